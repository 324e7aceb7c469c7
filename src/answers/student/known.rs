//! Moves of the student that are known to be slips, whatever results say: marked slips of traps,
//! and moves that allow mate in one.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use serde::Serialize;
use shakmaty::{Chess, Color, Move, Position};

use super::habits::Habit;
use super::played::{PlayedMove, fen};
use super::visits::{Visited, play, shown};
use crate::answers::moves::color_name;
use crate::answers::trap::{SoundnessCode, TrapReport};
use crate::lines::{Line, OwnGame, Trap};
use crate::terms::{Key, MoveCode};

/// A slip that the student repeats.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct KnownSlip {
    /// The way on which most of the student's games came there, numbered; empty for the
    /// initial position.
    pub line: String,
    pub fen: String,
    #[serde(rename = "as", serialize_with = "color_name")]
    pub colour: Color,
    pub times: u64,
    #[serde(rename = "move")]
    pub mv: PlayedMove,
    pub played: u64,
    /// The opponent's move that mates at once, if one does.
    pub mate: Option<PlayedMove>,
    /// The trap whose slip it is, by its name.
    pub trap: Option<String>,
    /// The position with the move that led to it.
    #[serde(skip)]
    pub shown: (Chess, Option<Move>),
}

impl KnownSlip {
    /// Whether a habit is this move.
    pub fn is(&self, habit: &Habit) -> bool {
        (&self.fen, &self.mv.uci) == (&habit.fen, &habit.mv.uci)
    }
}

/// What the student played `least` times or more, those that allow mate first, then by how often.
pub(super) fn known_slips(
    games: &[OwnGame],
    had: &[Visited],
    (traps, reports): (&[Trap], &[TrapReport]),
    least: u64,
) -> Vec<KnownSlip> {
    let losing = |report: &TrapReport| report.soundness.verdict != SoundnessCode::NoSlip;
    let traps: Vec<(Key, &Trap)> = traps
        .iter()
        .zip(reports)
        .filter(|(_, report)| losing(report))
        .map(|(trap, _)| (Key::of(trap.position()), trap))
        .collect();
    let mut slips = Vec::new();
    for visited in had {
        let line = visited.usual_line(games);
        for (code, played) in visited.moves(games) {
            let is_slip =
                |trap: &Trap| trap.slips().iter().any(|slip| MoveCode::of(slip.slip()) == code);
            let trap = traps.iter().find(|(key, trap)| *key == visited.key && is_slip(trap));
            let mate = if played < least { None } else { mate_in_one(&line, code) };
            if played >= least && (mate.is_some() || trap.is_some()) {
                slips.push(KnownSlip {
                    line: line.to_string(),
                    fen: fen(line.end()),
                    colour: line.end().turn(),
                    times: visited.times(),
                    mv: PlayedMove::of(&line, code),
                    played,
                    mate,
                    trap: trap.map(|(_, trap)| trap.name().to_owned()),
                    shown: shown(&line),
                });
            }
        }
    }
    slips.sort_by(|a, b| {
        let mates = b.mate.is_some().cmp(&a.mate.is_some());
        mates
            .then(b.played.cmp(&a.played))
            .then_with(|| (&a.line, &a.mv.uci).cmp(&(&b.line, &b.mv.uci)))
    });
    slips
}

/// The reply to a move after a line that mates, the first by UCI text of several.
fn mate_in_one(line: &Line, code: MoveCode) -> Option<PlayedMove> {
    let mut after = line.clone();
    play(&mut after, code);
    let mates = |mv: &Move| {
        let mut end = after.end().clone();
        end.play_unchecked(*mv);
        end.is_checkmate()
    };
    let replies = after.end().legal_moves();
    let mate = replies.iter().filter(|mv| mates(mv)).map(|mv| MoveCode::of(*mv)).min()?;
    Some(PlayedMove::of(&after, mate))
}
