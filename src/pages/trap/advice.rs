//! What to do with a trap, in a sentence, and the rules of it.

use super::soundness::pawns;
use super::view::{bait, refutations, slips};
use crate::answers::Figure;
use crate::answers::trap::{AdviceCode, Reason, ReasonCode, TrapReport};
use crate::pages::figures::Unit;
use crate::pages::numbers::{as_good, count, counted};
use crate::pages::output::code;
use crate::pages::words::{self, side};

/// The rules, as the help has them; numbers are those of the options where nothing else is said.
pub(super) const RULES: [(&str, &str); 5] = [
    (
        "advice",
        "what to do with the trap. A fact counts only if its whole interval says so; what no interval tells is open",
    ),
    (
        "  teach",
        "the slip is not rare (slips per 1000 from --occasional-from up, 1 if nothing is said), it is sound, and it pays (net per 1000 \
         above 0)",
    ),
    (
        "  warn",
        "teach the other side (lesson --side victim): players of these ratings fall for it themselves, more than --occasional-from times in 1000 of \
         their games as that colour (own slips), it costs them (edge after slip above 0; a mate that is proved needs no games to say so), and the slip loses. With teach or \
         alone, whatever laying it pays",
    ),
    (
        "  skip",
        "neither of these, and one thing speaks against it: it is rare, the marked move does not lose (no slip), it is a gamble, \
         without the slip the setter stands worse than -0.5, or it does not pay (net per 1000 not above 0). That it is rare or a gamble is \
         not enough where players of these ratings fall for it (own slips) and it is open what that costs them or whether the slip loses",
    ),
    (
        "  undecided",
        "none of these. It says about how many games of the level, as the colour that slips, would decide, if everything \
         stays as it is, or how many times as many where that is more than ten times, and nothing of this where fewer than 5 games \
         can be compared; which wider filter tells more; and that an \
         engine would (--engine) where there are too few evaluations to say whether the slip loses, or what the setter has without it",
    ),
];

/// The same for those who face it.
pub(super) const FACING: [(&str, &str); 8] = [
    (
        "advice, facing it",
        "with --side victim: what players of these ratings should do about the trap. It goes by own slips, against --occasional-from, \
         and by what the slip costs; a fact counts only if its whole interval says so",
    ),
    (
        "  learn",
        "they fall for it more often than that, it costs them, and the slip loses: the rule of warn",
    ),
    ("  how often open", "there are too few games to say whether they fall for it so often"),
    ("  cost open", "they do, and there are too few games to say what it costs them"),
    ("  ask engine", "they do, and there are too few evaluations to say whether the slip loses"),
    ("  no loss", "the marked move does not lose (no slip), so there is nothing to learn"),
    (
        "  no cost",
        "they play the marked move so often, and it costs them nothing (edge after slip not above 0)",
    ),
    ("  skip", "they do not fall for it so often"),
];

/// The command that makes the lesson for those who face a trap.
const OTHER_SIDE: &str = "lesson --side victim";

/// `teach, warn`.
pub(super) fn codes(trap: &TrapReport) -> String {
    trap.advice.codes.iter().map(code).collect::<Vec<_>>().join(", ")
}

/// The advice in a sentence.
pub(super) fn sentence(trap: &TrapReport) -> String {
    let has = |code| trap.advice.codes.contains(&code);
    match (has(AdviceCode::Teach), has(AdviceCode::Warn)) {
        (true, true) => format!("Teach it, from both sides ({OTHER_SIDE}): {}.", falls(trap)),
        (true, false) => "Teach it.".into(),
        (false, true) => {
            format!(
                "Teach the other side ({OTHER_SIDE}): {}{}.{}",
                falls(trap),
                not_laid(trap),
                erred(trap)
            )
        }
        (false, false) if has(AdviceCode::Skip) => {
            format!("Skip it: {}.{}", listed(&against(trap), "; "), erred(trap))
        }
        (false, false) => format!("Undecided: {}.", listed(&open(trap), "; ")),
    }
}

fn reason(trap: &TrapReport, code: ReasonCode) -> Option<&Reason> {
    trap.advice.reasons.iter().find(|reason| reason.code == code)
}

fn known(trap: &TrapReport, code: ReasonCode) -> Option<&Figure> {
    reason(trap, code)?.known.as_ref()
}

/// "players of this level fall for it themselves, 5.8 [4.7, 7.1] times in 1000 games as Black".
fn falls(trap: &TrapReport) -> String {
    let victim = side(trap.setter.other());
    let times = known(trap, ReasonCode::OwnSlips).map_or(String::new(), |own| {
        format!(", {} times in 1000 of their games as {victim}", Unit::Number.view(own).said())
    });
    format!("players of this level fall for it themselves{times}")
}

/// " 3.Nxe5 is an error itself: it loses 4.83 pawns (8 evaluations)."
pub(in crate::pages) fn erred(trap: &TrapReport) -> String {
    let loses = trap.soundness.bait_loses_cp.filter(|_| trap.soundness.bait_errs());
    loses.map_or(String::new(), |cp| {
        let evals = counted(trap.soundness.bait_evals.unwrap_or_default(), "evaluation");
        format!(" {} is an error itself: it loses {:.2} pawns ({evals}).", bait(trap), cp / 100.0)
    })
}

/// Why it is not to be laid.
fn not_laid(trap: &TrapReport) -> String {
    let mut why = against(trap);
    if why.is_empty() && reason(trap, ReasonCode::GainOpen).is_some() {
        why.push("whether it pays to lay the trap is not known".into());
    }
    if why.is_empty() { String::new() } else { format!("; {}", listed(&why, "; ")) }
}

/// What speaks against laying it.
fn against(trap: &TrapReport) -> Vec<String> {
    let said = |reason: &Reason| match reason.code {
        ReasonCode::Rare => Some("the slip is rare, even if you always play for it".to_owned()),
        ReasonCode::DoesNotPay => {
            Some("laying it scores no better than the other moves".to_owned())
        }
        ReasonCode::NoSlip => Some(format!(
            "the marked move does not lose ({} pawns)",
            reason.slip_loses_cp.map_or("?".into(), |cp| format!("{:.2}", cp / 100.0))
        )),
        ReasonCode::Gamble => Some(format!(
            "the trap is a gamble: you are at {} if they do not fall for it",
            pawns(reason.without_slip_cp)
        )),
        ReasonCode::StandsWorse => {
            Some(format!("you are at {} if they do not fall for it", pawns(reason.without_slip_cp)))
        }
        _ => None,
    };
    trap.advice.reasons.iter().filter_map(said).collect()
}

/// What is open, and what would decide.
fn open(trap: &TrapReport) -> Vec<String> {
    let victim = side(trap.setter.other());
    let shown = |reason: &Reason| reason.known.as_ref().is_none_or(|known| known.value.is_some());
    // A figure that is not known yet may turn out to lie near its limit.
    let about = if trap.advice.reasons.iter().all(shown) { "about" } else { "at least" };
    let told = |reason: &Reason| match reason.code {
        ReasonCode::MoreGames if reason.far_too_few().is_some() => {
            Some(format!("one of the figures rests on only {}", games(reason.far_too_few()?)))
        }
        ReasonCode::MoreGames if reason.times().is_some() => Some(format!(
            "this sample cannot settle it: it would take {about} {} times as many games",
            count(reason.times()?)
        )),
        ReasonCode::MoreGames => Some(format!(
            "it would take {about} {} at this level as {victim} to settle it (there are {})",
            counted(reason.games_to_decide?, "game"),
            count(reason.games?)
        )),
        ReasonCode::TooNear => Some("it is too close for any month of games to settle".to_owned()),
        ReasonCode::NoGames => Some(missing(trap, reason.figure)),
        ReasonCode::WiderFilter => {
            Some(format!("games by {} say more", words::filter(reason.filter?)))
        }
        _ => None,
    };
    let is = |code| reason(trap, code).is_some();
    let against = against(trap);
    let not_laid = !against.is_empty();
    let few = |code| reason(trap, code).is_some_and(|reason| !reason.never_known());
    let beyond = trap.advice.beyond();
    let never =
        reason(trap, ReasonCode::GainOpen).is_some_and(Reason::never_known) && beyond.is_none();
    let open = match (few(ReasonCode::HowOftenOpen), few(ReasonCode::GainOpen)) {
        _ if not_laid => None,
        (true, true) => Some("how often the slip comes up and whether it pays"),
        (true, false) => Some("how often the slip comes up"),
        (false, true) => Some("whether it pays"),
        (false, false) => None,
    };
    let mut parts: Vec<String> = not_laid.then(|| listed(&against, "; ")).into_iter().collect();
    parts.extend(open.map(|open| format!("too few games to say {open}")));
    parts.extend(beyond.map(words::not_counted));
    parts.extend((never && !not_laid).then(|| {
        "no number of games can say whether it pays to lay the trap: no move before the slip is the setter's, or the line is too long"
            .to_owned()
    }));
    parts.extend(is(ReasonCode::OwnSlips).then(|| falls(trap)));
    parts.extend(is(ReasonCode::CostOpen).then(|| "what the slip costs is not known".to_owned()));
    parts.extend(trap.advice.reasons.iter().filter_map(told));
    parts.extend(reason(trap, ReasonCode::AskEngine).and_then(|reason| {
        let lacking = match (reason.slip_loses_cp, trap.soundness.mate_in()) {
            (None, _) => "there are too few evaluations to say whether the slip loses".to_owned(),
            // Then only the other side is open, and it loses.
            (Some(_), _) if not_laid => return None,
            (Some(_), mate) => {
                let mate = mate.map_or(String::new(), |n| format!("the slip allows mate in {n}, but "));
                format!("{mate}there are too few evaluations of the other moves to say how you stand if they do not fall for it")
            }
        };
        Some(format!("{lacking}, so ask an engine (--engine)"))
    }));
    parts
}

/// What no game has, so that a figure is missing.
fn missing(trap: &TrapReport, figure: Option<&str>) -> String {
    let (setter, victim) = (side(trap.setter), side(trap.setter.other()));
    let only = |side, mv| {
        format!(
            "in no game counted did players of this level as {side} play anything but {mv}, so there is nothing to compare the \
             trap with"
        )
    };
    let none =
        |side, mv| format!("in no game counted did players of this level as {side} play {mv}");
    match figure {
        Some("usual") => only(setter, bait(trap)),
        Some("edge_no_slip") => only(victim, slips(trap)),
        Some("edge_after_slip") => none(victim, slips(trap)),
        Some("edge_refuted") => none(setter, refutations(trap)),
        _ => format!(
            "in no game counted did players of this level as {victim} reach the position this way"
        ),
    }
}

/// `1 game`, `30 games (as good as 4)`.
fn games(figure: &Figure) -> String {
    let effective = as_good(figure.n, figure.n_eff);
    let effective = effective.map_or(String::new(), |games| format!(" ({games})"));
    counted(figure.n, "game") + &effective
}

fn listed(parts: &[String], between: &str) -> String {
    parts.join(between)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::kit::trap_report;

    #[test]
    fn what_no_game_has_is_named_by_the_figure_that_is_missing() {
        let trap = trap_report();
        let said = |figure| missing(&trap, Some(figure));
        assert_eq!(
            said("usual"),
            "in no game counted did players of this level as White play anything but 5.Nxe5, so there is nothing to compare the trap with"
        );
        assert!(said("edge_no_slip").contains("as Black play anything but"));
        assert_eq!(
            said("edge_refuted"),
            "in no game counted did players of this level as White play 6.Bxf7+"
        );
        assert!(
            said("edge_after_slip")
                .starts_with("in no game counted did players of this level as Black play ")
        );
        assert!(said("slip_rate").ends_with("as Black reach the position this way"));
    }

    #[test]
    fn of_far_too_few_games_no_number_is_said() {
        let mut trap = trap_report();
        let reason = |n: u64| Reason {
            code: ReasonCode::MoreGames,
            figure: Some("usual"),
            known: Some(Figure { value: None, n, n_eff: n as f64, ..trap_report().figures.net }),
            limit: None,
            slip_loses_cp: None,
            without_slip_cp: None,
            games: Some(600),
            games_to_decide: Some(31_000),
            filter: None,
        };
        trap.advice.codes = vec![AdviceCode::Undecided];
        trap.advice.reasons = vec![reason(1)];
        let few = "Undecided: one of the figures rests on only 1 game.";
        assert_eq!(sentence(&trap), few);
        trap.advice.reasons = vec![reason(5)];
        let some = "Undecided: this sample cannot settle it: it would take at least 52 times as many games.";
        assert_eq!(sentence(&trap), some);
    }
}
