//! The answer to "is this trap common at this level?", in words.

use super::summary;
use crate::answers::trap::{Choice, Code, Steered, TrapAnswer, TrapReport};
use crate::answers::{Cutoffs, Figure};
use crate::pages::figures::{Unit, reason};
use crate::pages::numbers::{counted, decimals, fixed};
use crate::pages::words::{clean, side};
use crate::terms::{BandRange, MoverFilter};

/// The figures that tell how often, and what they come to.
pub(super) fn sentence(trap: &TrapReport, answer: &TrapAnswer) -> String {
    let parts = [reached(trap, answer.filter), slipped(trap), found(trap), paid(trap)];
    let codes = summary::verdict(trap);
    // "Common" sounds like praise.
    let known = trap.figures.verdict.codes != [Code::TooFewGames];
    let means = if known { " (how often, not how sound)" } else { "" };
    format!("{} {} So: {codes}{means}.", parts.join(" "), slips(trap, answer.cutoffs))
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

/// "Below 2000, one in 23 of your games as White reaches this position if you play for it (...)."
fn reached(trap: &TrapReport, filter: MoverFilter) -> String {
    let level = level(filter);
    let Steered { rate, rarest, never, .. } = &trap.figures.steered;
    let here = format!("your games as {}", side(trap.setter));
    let aim = "this position if you play for it";
    // The product's own upper end would say less than that of the move that nobody plays.
    let played = never.as_ref().and_then(|san| trap.choices.iter().find(|c| &c.san == san));
    if let Some((Choice { san, share }, high)) = played.and_then(|c| Some((c, c.share.high?))) {
        let (never, most) = (clean(san), 100.0 * high);
        let (count, most) = (Unit::Share.view(share).count(), fixed(most, decimals(most)));
        return format!(
            "{level}, none of {here} reaches {aim}: nobody plays {never} ({count} games, up to {most} %)."
        );
    }
    let Some(value) = rate.value else {
        let why = why(rate);
        return format!("{level}, the share of {here} that reach {aim} is withheld ({why}).");
    };
    let share = Unit::Share.view(rate);
    let step = match rarest {
        Some(step) => format!("rarest step: {} with {}", share.count(), clean(step)),
        None => counted(rate.n, "game"),
    };
    let share = share.said();
    if trap.choices.is_empty() {
        format!("{level}, each of {here} reaches {aim}: the opponent has no choice before it.")
    } else if value > 0.5 {
        format!("{level}, {share} of {here} reach {aim} ({step}).")
    } else {
        format!("{level}, one in {:.0} of {here} reaches {aim} ({share}; {step}).", 1.0 / value)
    }
}

fn slipped(trap: &TrapReport) -> String {
    // The number of the slip stands at the end of the position.
    let number = trap.trap_fen.rsplit(' ').next().unwrap_or_default();
    let slip = format!("{number}{}{}", trap.setter.fold_wb("...", "."), clean(&trap.slip));
    let rate = &trap.figures.slip_rate;
    match rate.low {
        Some(_) => format!("{} play the losing move {slip}.", of(rate, "opponents")),
        None => format!(
            "The share of opponents who play the losing move {slip} is withheld ({}).",
            why(rate)
        ),
    }
}

fn found(trap: &TrapReport) -> String {
    let (refutation, rate) = (clean(&trap.refutation), &trap.figures.find_rate);
    match rate.low {
        Some(_) => {
            format!("{} find the refutation {refutation}.", of(rate, "players at this level"))
        }
        None => format!(
            "The share of players at this level who find the refutation {refutation} is withheld ({}).",
            why(rate)
        ),
    }
}

/// Not "brings": who lays a trap may differ in more than that from who does not.
fn paid(trap: &TrapReport) -> String {
    let usual = trap.figures.usual.san.as_deref();
    let usual = usual.map_or(String::new(), |san| format!(" (most often {})", clean(san)));
    let net = &trap.figures.net;
    match net.value {
        Some(_) => format!(
            "Laying it instead of the usual move{usual} goes with {} points per 1000 games ({}).",
            Unit::Points.view(net).said(),
            behind(net)
        ),
        None => format!(
            "What goes with laying it instead of the usual move is withheld ({}).",
            why(net)
        ),
    }
}

/// The figure that decides, with the cut-offs.
fn slips(trap: &TrapReport, Cutoffs { common, occasional }: Cutoffs) -> String {
    let limits = format!("common from {common}, occasional from {occasional}");
    let slips = &trap.figures.slips_per_1000;
    match slips.value {
        Some(_) => format!(
            "That makes {} slips per 1000 games that play for it ({}; {limits}).",
            Unit::Number.view(slips).said(),
            behind(slips)
        ),
        None => {
            format!(
                "Slips per 1000 games that play for it are withheld ({}; {limits}).",
                why(slips)
            )
        }
    }
}

/// `44.5 [38.1, 51.1] % of opponents, 97 of 218,`; a thin one `13 of 43 [19, 46] % of opponents`.
fn of(rate: &Figure, whom: &str) -> String {
    let view = Unit::Share.view(rate);
    let games = if view.is_thin() { String::new() } else { format!(", {},", view.count()) };
    format!("{} of {whom}{games}", view.said())
}

fn behind(figure: &Figure) -> String {
    format!("{} behind the rarest figure", Unit::Number.view(figure).games_said())
}

fn why(figure: &Figure) -> String {
    figure.withheld.as_ref().map_or_else(|| "no interval".into(), reason)
}
