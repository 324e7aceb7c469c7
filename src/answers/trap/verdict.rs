//! The answer to "is this trap common at this level?", as codes and in words.

use super::evidence::Evidence;
use super::{Code, Figures, Steered, Verdict};
use crate::answers::words::{color, level, number, percent, percent_interval, percent_of, points};
use crate::answers::{Cutoffs, Mean, Question, Withheld};

/// The classes that the interval touches, the more frequent first; all three, or a node of the line
/// below the minimum sample, are too few games.
pub(super) fn codes(slips: &Mean, cutoffs: Cutoffs, thin: bool) -> Vec<Code> {
    let (Some(low), Some(high), false) = (slips.low, slips.high, thin) else {
        return vec![Code::TooFewGames];
    };
    let touched = [
        (Code::Common, high >= cutoffs.common),
        (Code::Occasional, low < cutoffs.common && high >= cutoffs.occasional),
        (Code::Rare, low < cutoffs.occasional),
    ];
    let codes: Vec<Code> =
        touched.into_iter().filter(|(_, touched)| *touched).map(|(code, _)| code).collect();
    if codes.len() == touched.len() { vec![Code::TooFewGames] } else { codes }
}

/// The verdict on the figures under the question's filter.
pub(super) fn verdict(
    evidence: &Evidence,
    question: &Question,
    figures: &Figures,
    thin: bool,
) -> Verdict {
    let codes = codes(&figures.slips_per_1000, question.cutoffs, thin);
    let parts = [
        reached(evidence, question, figures),
        slipped(evidence, figures),
        found(evidence, figures),
        paid(figures),
        counted(question, figures),
    ];
    let names: Vec<&str> = codes.iter().map(|code| code.name()).collect();
    // "Common" sounds like praise.
    let means = if codes == [Code::TooFewGames] { "" } else { " (how often, not how sound)" };
    let sentence = format!("{} So: {}{means}.", parts.join(" "), names.join(" or "));
    Verdict { codes, sentence }
}

/// "Below 2000, one in 23 of your games as White reaches this position if you play for it (...)."
fn reached(evidence: &Evidence, question: &Question, figures: &Figures) -> String {
    let (level, setter) = (level(question.filter), color(evidence.setter()));
    let Steered { rate, never, .. } = &figures.steered;
    let here = format!("your games as {setter}");
    let aim = "this position if you play for it";
    if let (Some(never), Some(high)) = (never, rate.high) {
        let because = match rate.n {
            0 => format!("no game comes to the choice of {never}"),
            n => format!("nobody plays {never} (0 of {n} games, up to {})", percent(high)),
        };
        return format!("{level}, none of {here} reaches {aim}: {because}.");
    }
    let (Some(value), Some(share)) = (rate.value, percent_interval(rate)) else {
        let why = reason(rate.withheld.as_ref());
        return format!("{level}, the share of {here} that reach {aim} is withheld ({why}).");
    };
    let thinnest = format!("{} games at the thinnest choice", rate.n);
    if evidence.choices.is_empty() {
        format!("{level}, each of {here} reaches {aim}: the opponent has no choice before it.")
    } else if value > 0.5 {
        format!("{level}, {share} of {here} reach {aim} ({thinnest}).")
    } else {
        format!("{level}, one in {:.0} of {here} reaches {aim} ({share}; {thinnest}).", 1.0 / value)
    }
}

fn slipped(evidence: &Evidence, figures: &Figures) -> String {
    let slip = evidence.slip.numbered();
    match percent_of(&figures.slip_rate, "opponents") {
        Some(share) => format!("{share} play the losing move {slip}."),
        None => format!(
            "The share of opponents who play the losing move {slip} is withheld ({}).",
            reason(figures.slip_rate.withheld.as_ref())
        ),
    }
}

fn found(evidence: &Evidence, figures: &Figures) -> String {
    let Some((refutation, _)) = &evidence.refutation else {
        return "The line names no refutation.".to_owned();
    };
    match percent_of(&figures.find_rate, "players at this level") {
        Some(share) => format!("{share} find the refutation {refutation}."),
        None => format!(
            "The share of players at this level who find the refutation {refutation} is withheld ({}).",
            reason(figures.find_rate.withheld.as_ref())
        ),
    }
}

/// Not "brings": who lays a trap may differ in more than that from who does not.
fn paid(figures: &Figures) -> String {
    let usual = figures.usual.san.as_ref();
    let usual = usual.map_or(String::new(), |san| format!(" (most often {san})"));
    let net = &figures.net;
    match points(net) {
        Some(points) => format!(
            "Laying it instead of the usual move{usual} goes with {points} points per 1000 games ({}).",
            behind(net)
        ),
        None => format!(
            "What goes with laying it instead of the usual move is withheld ({}).",
            reason(net.withheld.as_ref())
        ),
    }
}

/// The figure that decides, with the cut-offs.
fn counted(question: &Question, figures: &Figures) -> String {
    let Cutoffs { common, occasional } = question.cutoffs;
    let limits = format!("common from {common}, occasional from {occasional}");
    let slips = &figures.slips_per_1000;
    match number(slips) {
        Some(number) => format!(
            "That makes {number} slips per 1000 games that play for it ({}; {limits}).",
            behind(slips)
        ),
        None => format!(
            "Slips per 1000 games that play for it are withheld ({}; {limits}).",
            reason(slips.withheld.as_ref())
        ),
    }
}

fn behind(mean: &Mean) -> String {
    format!("{} games behind the thinnest figure", mean.n)
}

fn reason(why: Option<&Withheld>) -> String {
    why.map_or_else(|| "no interval".to_owned(), Withheld::to_string)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::stats::Interval;
    use Code::{Common, Occasional, Rare, TooFewGames};

    fn of(low: f64, high: f64) -> Vec<Code> {
        let slips = Mean::known((low + high) / 2.0, Interval::new(low, high), 100);
        codes(&slips, Cutoffs::default(), false)
    }

    #[test]
    fn an_interval_within_one_class_is_that_class() {
        assert_eq!(of(5.0, 9.0), [Common]);
        assert_eq!(of(1.0, 4.9), [Occasional]);
        assert_eq!(of(0.0, 0.99), [Rare]);
    }

    #[test]
    fn an_interval_over_a_cut_off_is_both_classes() {
        assert_eq!(of(4.9, 5.0), [Common, Occasional]);
        assert_eq!(of(0.9, 1.0), [Occasional, Rare]);
    }

    #[test]
    fn an_interval_over_both_cut_offs_is_too_few_games() {
        assert_eq!(of(0.9, 5.0), [TooFewGames]);
    }

    #[test]
    fn a_thin_node_or_no_figure_is_too_few_games() {
        let slips = Mean::known(7.0, Interval::new(6.0, 8.0), 100);
        assert_eq!(codes(&slips, Cutoffs::default(), true), [TooFewGames]);
        let withheld = Mean::withheld(0, Withheld::NoRefutation);
        assert_eq!(codes(&withheld, Cutoffs::default(), false), [TooFewGames]);
    }
}
