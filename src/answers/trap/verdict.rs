//! The answer to "is this trap common at this level?", as codes and in words.

use super::evidence::Evidence;
use super::{Code, Figures, Verdict};
use crate::answers::words::{color, level, percent, percent_interval, percent_of, points};
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
    let sentence = format!("{}. So: {}.", parts.join("; "), names.join(" or "));
    Verdict { codes, sentence }
}

/// "Below 2000, one in 23 of your games as White reaches this position if you play for it (...)".
fn reached(evidence: &Evidence, question: &Question, figures: &Figures) -> String {
    let level = level(question.filter);
    let setter = color(evidence.setter());
    let steered = &figures.steered;
    if let Some(never) = &steered.never {
        let upto = steered.rate.high.map_or(String::new(), |high| {
            format!(" (0 of {}, up to {})", steered.rate.n, percent(high))
        });
        return format!(
            "{level}, no game as {setter} reaches this position if you play for it: nobody plays {never}{upto}"
        );
    }
    let Some(value) = steered.rate.value else {
        let why = reason(steered.rate.withheld.as_ref());
        return format!(
            "{level}, how often your games as {setter} reach this position if you play for it is withheld: {why}"
        );
    };
    let often = match value {
        value if value >= 0.995 => "every one".to_owned(),
        value if value > 0.5 => percent(value),
        value => format!("one in {:.0}", 1.0 / value),
    };
    let n = steered.rate.n;
    let thinnest = if evidence.choices.is_empty() {
        String::new()
    } else {
        format!(", thinnest of its choices {n} games")
    };
    format!(
        "{level}, {often} of your games as {setter} reaches this position if you play for it ({}{thinnest})",
        percent_interval(&steered.rate).unwrap_or_default()
    )
}

fn slipped(evidence: &Evidence, figures: &Figures) -> String {
    let slip = evidence.slip.numbered();
    match percent_of(&figures.slip_rate, "opponents") {
        Some(text) => format!("{text} play the losing move {slip}"),
        None => format!(
            "how many opponents play the losing move {slip} is withheld: {}",
            reason(figures.slip_rate.withheld.as_ref())
        ),
    }
}

fn found(evidence: &Evidence, figures: &Figures) -> String {
    let refutation = evidence.refutation.as_ref().map_or("the refutation", |(san, _)| san);
    match percent_of(&figures.find_rate, "players at this level") {
        Some(text) => format!("{text} find the refutation {refutation}"),
        None => format!(
            "how many players at this level find the refutation is withheld: {}",
            reason(figures.find_rate.withheld.as_ref())
        ),
    }
}

fn paid(figures: &Figures) -> String {
    let usual = figures.usual.san.as_ref().map_or(String::new(), |san| format!(" (mostly {san})"));
    match points(&figures.net) {
        Some(text) => {
            format!(
                "laying it instead of the usual move{usual} goes with {text} points per 1000 games"
            )
        }
        None => format!(
            "what laying it instead of the usual move brings is withheld: {}",
            reason(figures.net.withheld.as_ref())
        ),
    }
}

/// The figure that decides, with the cut-offs.
fn counted(question: &Question, figures: &Figures) -> String {
    let Cutoffs { common, occasional } = question.cutoffs;
    let limits = format!("common from {common}, occasional from {occasional}");
    let slips = &figures.slips_per_1000;
    match (slips.value, slips.low, slips.high) {
        (Some(value), Some(low), Some(high)) => format!(
            "that makes {value:.2} [{low:.2}, {high:.2}] slips per 1000 games that play for it ({limits})"
        ),
        _ => format!(
            "slips per 1000 games that play for it are withheld: {} ({limits})",
            reason(slips.withheld.as_ref())
        ),
    }
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
