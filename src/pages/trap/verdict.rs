//! What the figures of a trap say, in sentences.

use super::figures::because;
use super::{summary, view};
use crate::answers::trap::{Choice, Steered, TrapAnswer, TrapReport};
use crate::answers::{Cutoffs, Figure};
use crate::pages::figures::Unit;
use crate::pages::numbers::{count, decimals, fixed, one_in};
use crate::pages::words::{clean, side};
use crate::terms::{BandRange, MoverFilter};

/// How often it is reached, how many fall for it, what it pays.
pub(super) fn facts(trap: &TrapReport, answer: &TrapAnswer) -> String {
    [reached(trap, answer.filter), slipped(trap), paid(trap)].join(" ")
}

/// The rarest step, who refutes, and what all comes to.
pub(super) fn more(trap: &TrapReport, answer: &TrapAnswer) -> String {
    let said = [rarest(trap), found(trap), slips(trap, answer.cutoffs), summary::how_often(trap)];
    said.iter().filter(|said| !said.is_empty()).cloned().collect::<Vec<_>>().join(" ")
}

/// `Below 2000`, `From 1200 to below 1600 in blitz`: the level at the head of a sentence.
fn level(filter: MoverFilter) -> String {
    let BandRange { from, below } = filter.bands;
    let ratings = match (from == 0, below == BandRange::ALL.below) {
        (true, true) => "At all ratings".to_owned(),
        (true, false) => format!("Below {below}"),
        (false, true) => format!("From {from} up"),
        (false, false) => format!("From {from} to below {below}"),
    };
    if filter.paces.is_all() { ratings } else { format!("{ratings} in {}", filter.paces) }
}

/// "Below 2000, about one in 23 of your games as White reaches this position if you play
/// for it (...)."
fn reached(trap: &TrapReport, filter: MoverFilter) -> String {
    let level = level(filter);
    let Steered { rate, never, .. } = &trap.figures.steered;
    let here = format!("your games as {}", side(trap.setter));
    let aim = "reaches this position if you play for it";
    // The product's own upper end would say less than that of the move that nobody plays.
    let played = never.as_ref().and_then(|san| trap.choices.iter().find(|c| &c.san == san));
    if let Some((Choice { san, share }, high)) = played.and_then(|c| Some((c, c.share.high?))) {
        let (never, most) = (clean(san), 100.0 * high);
        let (games, most) = (Unit::Share.view(share).count(), fixed(most, decimals(most)));
        return format!(
            "{level}, none of {here} {aim}: nobody plays {never} ({games} games, up to {most} %)."
        );
    }
    let Some(value) = rate.value else {
        return format!(
            "{level}, it can't be said how many of {here} reach this position if you play for it: {}.",
            why(rate)
        );
    };
    let share = Unit::Share.view(rate).said();
    if trap.choices.is_empty() {
        format!("{level}, each of {here} {aim}: the opponent has no choice before it.")
    } else if let Some(n) = one_in(value) {
        format!("{level}, about one in {} of {here} {aim} ({share}).", count(n))
    } else {
        format!("{level}, {share} of {here} reach this position if you play for it.")
    }
}

/// "Rarest step on the way: 2...f6, 302 of 2,670 games."
fn rarest(trap: &TrapReport) -> String {
    let Steered { rate, rarest, .. } = &trap.figures.steered;
    match rarest {
        Some(step) if rate.n > 0 => {
            let games = Unit::Share.view(rate).count();
            format!("Rarest step on the way: {games} with {}.", clean(step))
        }
        _ => String::new(),
    }
}

/// `the losing move 3...fxe5`, `a losing move (3...fxe5 or 3...Qe7)`; a marked one where it is not
/// known to lose.
pub(super) fn losing(trap: &TrapReport) -> String {
    let moves = view::slips(trap);
    let kind = if trap.soundness.slip_is_lost() { "losing" } else { "marked" };
    match &trap.slips {
        None => format!("the {kind} move {moves}"),
        Some(_) => format!("a {kind} move ({moves})"),
    }
}

fn slipped(trap: &TrapReport) -> String {
    let (rate, losing) = (&trap.figures.slip_rate, losing(trap));
    if rate.low.is_none() {
        return format!("How many opponents play {losing} can't be said: {}.", why(rate));
    }
    let games = of_games(rate);
    format!(
        "{} of opponents play {losing}{games}; the margin counts players and not games.",
        Unit::Share.view(rate).said()
    )
}

fn found(trap: &TrapReport) -> String {
    let rate = &trap.figures.find_rate;
    let refutation = match trap.refutations.is_some() {
        true => format!("a refutation ({})", view::refutations(trap)),
        false => format!("the refutation {}", view::refutations(trap)),
    };
    if rate.low.is_none() {
        return format!(
            "How many players of this level find {refutation} can't be said: {}.",
            why(rate)
        );
    }
    let games = of_games(rate);
    format!("{} of players of this level find {refutation}{games}.", Unit::Share.view(rate).said())
}

/// `, 97 of 218 games`; nothing for a thin share, which has them in its place.
fn of_games(rate: &Figure) -> String {
    let view = Unit::Share.view(rate);
    if view.is_thin() { String::new() } else { format!(", {}", view.count()) }
}

fn paid(trap: &TrapReport) -> String {
    let usual = view::usual(trap).map_or(String::new(), |mv| format!(" (most often {mv})"));
    let net = &trap.figures.net;
    match because(net) {
        None => format!(
            "Laying it instead of the other moves{usual} {} {} points per 1000 games.",
            if net.may_be_zero() { "may bring nothing:" } else { "brings" },
            Unit::Points.view(net).said()
        ),
        Some(why) => {
            format!("Whether it scores better than the other moves{usual} can't be said: {why}.")
        }
    }
}

/// The figure that decides how often, with the cut-offs.
fn slips(trap: &TrapReport, Cutoffs { common, occasional }: Cutoffs) -> String {
    let limits = format!("common: from {common} on; occasional: from {occasional} on");
    let slips = &trap.figures.slips_per_1000;
    match because(slips) {
        None => format!(
            "That makes {} slips in 1000 games that play for it ({limits}).",
            Unit::Number.view(slips).said()
        ),
        Some(why) => {
            format!("How many slip in 1000 games that play for it can't be said: {why} ({limits}).")
        }
    }
}

fn why(figure: &Figure) -> String {
    because(figure).unwrap_or_else(|| "no interval".into())
}
