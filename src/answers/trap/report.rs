//! The structs of a trap report; scores and edges are the setter's.

use serde::Serialize;
use shakmaty::{Color, Move};

use super::Soundness;
use super::explain::Explanation;
use crate::answers::moves::{PaceGames, color_name};
use crate::answers::{Cutoffs, Mean, Rate, Withheld};
use crate::counts::Limits;
use crate::lines::Trap;
use crate::terms::{MoverFilter, Pace};

/// A trap to judge: a line from the initial position with a slip in it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TrapLine {
    /// What it is called.
    pub name: String,
    /// The legal moves from the initial position; those behind the refutation are not looked at.
    pub moves: Vec<Move>,
    /// Which of the moves is the slip, from 0. The setter is the side that does not play it.
    pub slip: usize,
    /// Further moves marked as slips in the trap position.
    pub other_slips: Vec<Move>,
    /// Further replies to the slip that are known to win.
    pub other_refutations: Vec<Move>,
}

impl From<&Trap> for TrapLine {
    fn from(trap: &Trap) -> TrapLine {
        TrapLine {
            name: trap.name().to_owned(),
            moves: trap.line().moves().to_vec(),
            slip: trap.slip_ply(),
            other_slips: trap.other_slips().to_vec(),
            other_refutations: trap.other_refutations().to_vec(),
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
    /// Games a cluster; 1 means that every game counts as independent.
    pub cluster: f64,
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
    /// How often it arises if the victim may play the line's moves in any order; `k` of `n` games at the
    /// thinnest choice of the likeliest order.
    pub steered_any_order: Rate,
    /// Every slip marked in the trap position, if there are several.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slips: Option<Alternatives>,
    /// Every refutation given, if there are several.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub refutations: Option<Alternatives>,
    /// Seconds on the slip and on the other moves in the trap position.
    pub time: TimeTaken,
    /// One row a band that has a game in the trap position or after the slip.
    pub bands: Vec<BandRow>,
    /// Over the ratings, thin bands joined.
    pub curve: Curve,
    /// The figures of each pace, if asked.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub by_pace: Vec<PaceRow>,
    /// The counts behind the figures over the whole filter, if asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub explain: Option<Explanation>,
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

/// Several moves of one position that do the same for the trap.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Alternatives {
    /// Each of them, the line's own first.
    pub moves: Vec<Other>,
    /// All of them together.
    pub together: Rate,
}

/// One of several slips or refutations.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Other {
    /// The move, SAN.
    pub san: String,
    /// Its share among all moves of the position.
    pub share: Rate,
    /// The setter's edge with it.
    pub edge: Mean,
}

/// Seconds spent in the trap position.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TimeTaken {
    /// Mean of the slip.
    pub slip_s: Mean,
    /// Mean of all other moves.
    pub others_s: Mean,
    /// Slip minus others, the mixes of paces taken as they are.
    pub difference_s: Mean,
}

/// Figures over the ratings.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Curve {
    /// Slip rate by the victims' ratings.
    pub slip_rate: Vec<Stretch<Rate>>,
    /// Find rate by the setters' ratings.
    pub find_rate: Vec<Stretch<Rate>>,
    /// The setter's edge after the slip by the victims' ratings.
    pub edge_after_slip: Vec<Stretch<Mean>>,
    /// From which rating on fewer slip than asked, if asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slip_below: Option<SlipBelow>,
}

/// One figure over one band or several joined ones.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stretch<T> {
    /// Lower edge, inclusive.
    pub from: u16,
    /// Upper edge, exclusive.
    pub below: u16,
    /// Whether it is more than one band.
    pub joined: bool,
    /// The figure of all these games together.
    #[serde(flatten)]
    pub figure: T,
}

/// From which rating on the slip rate is below a level, by a fit that never rises with the rating.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SlipBelow {
    /// The level, 0..=1.
    pub level: f64,
    /// Lower edge of the first band below the level; none if it is not reached.
    pub value: Option<u16>,
    /// Lower end of the 95 % interval; none if it is not reached in any case.
    pub low: Option<u16>,
    /// Upper end; none if it may not be reached.
    pub high: Option<u16>,
    /// Games in the trap position.
    pub n: u64,
    /// Whether the fit reaches the level at the ratings there are.
    pub reached: bool,
    /// Why there is no answer.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub withheld: Option<Withheld>,
}

/// The figures of one pace.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PaceRow {
    /// The pace.
    pub pace: Pace,
    /// Its figures alone.
    #[serde(flatten)]
    pub figures: Figures,
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
