//! Whether a trap is sound, and who says so.

use super::view::paragraph;
use crate::answers::mate::Proof;
use crate::answers::trap::{
    Grounds, Soundness, SoundnessCode, SoundnessSource, TrapReport, Witness,
};
use crate::pages::languages::capital;
use crate::pages::layout::{Side, TextTable};
use crate::pages::numbers::{count, counted};
use crate::pages::output::code;
use crate::pages::words::{self, clean};

/// The verdict, one row a source, and the cut-offs; one sentence where no source says anything.
pub(super) fn text(trap: &TrapReport) -> String {
    let soundness = &trap.soundness;
    let head = format!("Soundness: {}. {}.", name(soundness.verdict), capital(&because(soundness)));
    if soundness.sources.iter().all(is_silent) {
        let evals = soundness
            .sources
            .iter()
            .map(|source| row(source, &trap.trap_fen, false).pop().unwrap_or_default());
        let evals = evals.collect::<Vec<_>>().join("; ");
        let mut page = paragraph(&format!("{head} In the dumps: {evals}."), 0);
        page += &notes(soundness);
        return page;
    }
    let mut table = TextTable::new(&[
        ("source", Side::Left),
        ("after slip", Side::Right),
        ("without", Side::Right),
        ("slip loses", Side::Right),
        ("rests on", Side::Wrapped(33)),
    ]);
    for source in &soundness.sources {
        table.row(row(source, &trap.trap_fen, soundness.mate_in().is_some()));
    }
    let mut page = format!("{}\n{}", paragraph(&head, 0), table.render());
    page += &paragraph(&cutoffs(soundness), 0);
    page + &notes(soundness)
}

/// Why the verdict is what it is.
pub(super) fn because(soundness: &Soundness) -> String {
    let lost = |grounds: Grounds| match soundness.mate_in() {
        Some(moves) => format!("the slip allows mate in {moves}"),
        None => {
            let by = witness(grounds.by, soundness);
            format!("the slip loses {:.2} pawns by {by}", grounds.cp / 100.0)
        }
    };
    let stands = |grounds: Grounds| {
        let (value, by) = (pawns(Some(grounds.cp)), witness(grounds.by, soundness));
        format!("without it the setter has {value} by {by}")
    };
    let least = soundness.cutoffs.slip_loses_cp;
    match (soundness.slip_loses, soundness.without_slip) {
        (Some(loses), _) if loses.cp < least => {
            format!("{}: not {:.2} against the best move", lost(loses), least / 100.0)
        }
        (Some(loses), Some(without)) => {
            let gamble = soundness.verdict == SoundnessCode::Gamble;
            format!("{}, {} {}", lost(loses), if gamble { "but" } else { "and" }, stands(without))
        }
        (None, Some(without)) => {
            format!("{}; there are too few evaluations to say what the slip loses", stands(without))
        }
        (Some(loses), None) => {
            format!(
                "{}; there are too few evaluations of the other moves to say how the setter stands without it",
                lost(loses)
            )
        }
        (None, None) => "no source tells enough".into(),
    }
}

/// The verdict in words.
pub(super) fn name(verdict: SoundnessCode) -> String {
    code(&verdict).replace('_', " ")
}

/// The verdict with its numbers, a line each: what the slip loses, how the setter stands without
/// it, and who says so.
pub(super) fn short(soundness: &Soundness) -> String {
    let half = soundness.verdict == SoundnessCode::Unknown
        && soundness.slip_loses.is_some()
        && soundness.without_slip.is_none();
    let mut lines = vec![if half { "slip loses".to_owned() } else { name(soundness.verdict) }];
    if let Some(Grounds { cp, .. }) = soundness.slip_loses {
        lines.push(match soundness.mate_in() {
            Some(moves) => format!("mate in {moves}"),
            _ if half => format!("{:.2} pawns", cp / 100.0),
            _ => format!("loses {:.2}", cp / 100.0),
        });
    }
    lines.extend(soundness.without_slip.map(|grounds| format!("else {}", pawns(Some(grounds.cp)))));
    lines.extend(half.then(|| "else not known".to_owned()));
    let mut by: Vec<Witness> = Vec::new();
    for grounds in [soundness.slip_loses, soundness.without_slip].into_iter().flatten() {
        if grounds.by != Witness::Mate && !by.contains(&grounds.by) {
            by.push(grounds.by);
        }
    }
    lines.extend(by.into_iter().map(|by| match by {
        Witness::Engine => "engine".to_owned(),
        _ => evaluations(soundness).map_or("dumps".to_owned(), |n| format!("{n} evals")),
    }));
    lines.join("\n")
}

/// Evaluations after the slip and after the best other move: `12 and 8`.
fn evaluations(soundness: &Soundness) -> Option<String> {
    soundness.sources.iter().find_map(|source| match source {
        SoundnessSource::Evals(evals) => {
            Some(format!("{} and {}", count(evals.n_slip), count(evals.n_best)))
        }
        _ => None,
    })
}

/// Who says so, with the counts.
fn witness(by: Witness, soundness: &Soundness) -> String {
    match by {
        Witness::Evals => {
            let counts =
                evaluations(soundness).map_or(String::new(), |n| format!(" ({n} evaluations)"));
            format!("the dumps{counts}")
        }
        Witness::Mate => "the rules".into(),
        Witness::Engine => "the engine".into(),
    }
}

fn notes(soundness: &Soundness) -> String {
    let notes = soundness.notes.iter();
    notes.map(|note| paragraph(&format!("{}.", capital(&clean(note))), 0)).collect()
}

fn is_silent(source: &SoundnessSource) -> bool {
    matches!(source, SoundnessSource::Evals(evals)
        if evals.after_slip_cp.is_none() && evals.without_slip_cp.is_none())
}

/// Who is mated after the slip has no pawns to count there.
fn row(source: &SoundnessSource, fen: &str, mated: bool) -> Vec<String> {
    let numbered = |san: &str| words::numbered_from(fen, 0, san);
    let values = |after: Option<f64>, without, loses, rests: String, name: &str| {
        let (after, loses) = match after {
            Some(_) if mated => ("mate".to_owned(), "the game".to_owned()),
            after => (pawns(after), plain(loses)),
        };
        vec![name.to_owned(), after, pawns(without), loses, rests]
    };
    match source {
        SoundnessSource::Evals(evals) => {
            let best = match &evals.best {
                Some(best) => {
                    format!("{} after {}", counted(evals.n_best, "evaluation"), numbered(best))
                }
                None => "too few after any other move".to_owned(),
            };
            let slip = numbered(&evals.slip);
            let rests =
                format!("{} after the slip {slip}, {best}", counted(evals.n_slip, "evaluation"));
            let (after, without) = (evals.after_slip_cp, evals.without_slip_cp);
            values(after, without, evals.slip_loses_cp, rests, "the dumps")
        }
        SoundnessSource::Mate(mate) => {
            let found = match mate.proof {
                Proof::Proved { moves } => format!("mate in {moves} is forced"),
                Proof::NotForced => format!("no mate in {} is forced", mate.moves),
                Proof::GivenUp => format!("whether mate in {} is forced is open", mate.moves),
            };
            let rests = format!("{found}; {} searched", counted(mate.n.into(), "position"));
            values(None, None, None, rests, "the rules")
        }
        SoundnessSource::Engine(engine) => {
            let name = clean(&engine.name);
            let name = if name.is_empty() { "no name".to_owned() } else { name };
            let best = numbered(&engine.best);
            let rests = format!(
                "{name}, {} positions; best defence {best}; slip {}; {} after the refutation",
                count(engine.n),
                numbered(&engine.slip),
                pawns(Some(engine.after_refutation_cp))
            );
            let (after, without) = (engine.after_slip_cp, engine.without_slip_cp);
            values(Some(after), Some(without), Some(engine.slip_loses_cp), rests, "the engine")
        }
    }
}

fn cutoffs(soundness: &Soundness) -> String {
    let cutoffs = soundness.cutoffs;
    format!(
        "In pawns from the setter's side, a mate as 10; without: after the victim's best other move. The \
         slip must lose {} or more; then {} or more without it is sound, less a gamble. A mean \
         needs {}.",
        plain(Some(cutoffs.slip_loses_cp)),
        pawns(Some(cutoffs.sound_from_cp)),
        counted(cutoffs.least_evals, "evaluation")
    )
}

pub(super) fn pawns(centipawns: Option<f64>) -> String {
    centipawns.map_or("-".to_owned(), |centipawns| format!("{:+.2}", centipawns / 100.0))
}

fn plain(centipawns: Option<f64>) -> String {
    centipawns.map_or("-".to_owned(), |centipawns| format!("{:.2}", centipawns / 100.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::kit::trap_report;

    #[test]
    fn a_slip_that_loses_is_told_where_the_rest_is_unknown() {
        let mut soundness = trap_report().soundness;
        (soundness.verdict, soundness.without_slip) = (SoundnessCode::Unknown, None);
        soundness.slip_loses = Some(Grounds { cp: 310.0, by: Witness::Engine });
        assert_eq!(short(&soundness), "slip loses\n3.10 pawns\nelse not known\nengine");
        soundness.slip_loses = None;
        assert_eq!(short(&soundness), "unknown");
    }
}
