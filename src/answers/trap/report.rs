//! The structs of a trap report; scores and edges are the setter's.

use serde::Serialize;
use shakmaty::{Color, Move};

use super::Soundness;
use crate::answers::moves::{PaceGames, color_name};
use crate::answers::{Cutoffs, Mean, Rate};
use crate::counts::{Limits, MoverFilter};
use crate::lines::Trap;

/// A trap to judge: a line from the initial position with a slip in it.
#[derive(Clone, Debug, PartialEq)]
pub struct TrapLine {
    /// What it is called.
    pub name: String,
    /// The legal moves from the initial position; those behind the refutation are not looked at.
    pub moves: Vec<Move>,
    /// Which of the moves is the slip, from 0. The setter is the side that does not play it.
    pub slip: usize,
}

impl From<&Trap> for TrapLine {
    fn from(trap: &Trap) -> TrapLine {
        TrapLine {
            name: trap.name().to_owned(),
            moves: trap.line().moves().to_vec(),
            slip: trap.slip_ply(),
        }
    }
}

/// The answer to `trap`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TrapAnswer {
    /// Whose choices.
    pub filter: MoverFilter,
    /// Of the verdict.
    pub cutoffs: Cutoffs,
    /// A figure that rests on fewer games is withheld.
    pub min_sample: u64,
    /// The traps in the order asked.
    pub traps: Vec<TrapReport>,
    /// How far the counts reach.
    pub limits: Limits,
}

/// All about one trap.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TrapReport {
    /// What it is called.
    pub name: String,
    /// Who lays it.
    #[serde(serialize_with = "color_name")]
    pub setter: Color,
    /// The line as numbered moves up to the refutation, the slip marked `??`.
    pub line: String,
    /// The position in which the victim chooses.
    pub trap_fen: String,
    /// The setter's last move before the slip, SAN.
    pub bait: Option<String>,
    /// The losing move, SAN.
    pub slip: String,
    /// The winning reply, SAN.
    pub refutation: Option<String>,
    /// The figures over the whole filter.
    #[serde(flatten)]
    pub figures: Figures,
    /// One row a band that has a game in the trap position or after the slip.
    pub bands: Vec<BandRow>,
    /// The learned opening name of the last named position of the line.
    pub opening: Option<String>,
    /// Its ECO code.
    pub eco: Option<String>,
    /// The victim's choices before the trap position that the line needs.
    pub choices: Vec<Choice>,
    /// Games in the trap position by pace, in table order, only paces with games.
    pub paces: Vec<PaceGames>,
    /// The setter's expected score after the slip, 0..=1; none without games.
    pub expected: Option<f64>,
    /// The rating difference (setter minus victim) that this expected score is equal to.
    pub rating_difference: Option<f64>,
    /// The most games that may be missing from any position used; 0 means that all are exact.
    pub may_lack: u64,
    /// Does the slip lose, and how does the setter stand without it?
    pub soundness: Soundness,
}

/// One row of the table over the bands: the band of whoever moves.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BandRow {
    /// Lower edge, inclusive.
    pub from: u16,
    /// Upper edge, exclusive.
    pub below: u16,
    /// The figures of this band alone.
    #[serde(flatten)]
    pub figures: Figures,
}

/// What is known about a trap under one filter.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figures {
    /// Games in which a victim of the filter moved in the trap position.
    pub games: u64,
    /// `games` of all games that these victims play as that colour.
    pub occurrence: Rate,
    /// How often a student who always plays the line gets the trap position.
    pub steered: Steered,
    /// Share of the slip among the moves in the trap position.
    pub slip_rate: Rate,
    /// Share of the refutation among the replies to the slip.
    pub find_rate: Rate,
    /// The setter's score after the slip, from the victims' cells.
    pub score_after_slip: Mean,
    /// The setter's edge after the slip, from the victims' cells.
    pub edge_after_slip: Mean,
    /// The setter's edge with the refutation, from the setters' cells.
    pub edge_refuted: Mean,
    /// The setter's edge in the trap position when the victim does not slip.
    pub edge_no_slip: Mean,
    /// All other moves instead of the bait.
    pub usual: Usual,
    /// Points per 1000 games that go with knowing the refutation.
    pub worth: Mean,
    /// Points that the bait costs when the victim does not slip, against the usual moves.
    pub price: Mean,
    /// Points per 1000 games of laying the trap instead of the usual moves.
    pub net: Mean,
    /// Slips per 1000 games of a student who always plays the line.
    pub slips_per_1000: Mean,
    /// The student's next games.
    pub ahead: Ahead,
    /// Is the trap common at this level?
    pub verdict: Verdict,
}

/// A product of shares along the line: `k` of `n` games made the needed move at its thinnest node.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Steered {
    /// The share, averaged over the bands.
    #[serde(flatten)]
    pub rate: Rate,
    /// Whether a band too thin at some node took the share of all bands there.
    pub mixed: bool,
    /// The first needed move that no game plays, as a numbered move; `value` is then 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub never: Option<String>,
}

/// One of the victim's choices before the trap position.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Choice {
    /// The needed move with its number, such as `2...Nc6`.
    pub san: String,
    /// Its share in the position where it is played.
    pub share: Rate,
}

/// What is usually played instead of the bait.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Usual {
    /// The most played other move, SAN.
    pub san: Option<String>,
    /// The setter's edge over all other moves.
    pub edge: Mean,
}

/// What to expect of the student's next games as the setter.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Ahead {
    /// How many games.
    pub games: u64,
    /// Expected number of slips in them.
    pub expected: Mean,
    /// Chance of at least one, 0..=1.
    pub at_least_one: Mean,
}

/// Is the trap common?
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Verdict {
    /// One class; two if the interval touches both, the more frequent first.
    pub codes: Vec<Code>,
    /// The answer in words, with its counts and intervals.
    pub sentence: String,
}

/// A class of the verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Code {
    /// At or above the upper cut-off.
    Common,
    /// Between the cut-offs.
    Occasional,
    /// Below the lower cut-off.
    Rare,
    /// The counts do not tell.
    TooFewGames,
}

impl Code {
    /// The class in words, such as `too few games`.
    pub fn name(self) -> &'static str {
        match self {
            Code::Common => "common",
            Code::Occasional => "occasional",
            Code::Rare => "rare",
            Code::TooFewGames => "too few games",
        }
    }
}
