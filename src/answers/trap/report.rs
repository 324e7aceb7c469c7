//! The structs of a trap report; scores and edges are the setter's.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use serde::Serialize;
use shakmaty::Color;

use super::advice::{Advice, AdviceGrounds};
use super::explanation::Explanation;
use super::soundness::Soundness;
use crate::answers::moves::{PaceGames, color_name};
use crate::answers::{Cutoffs, Figure, Withheld};
use crate::counts::{Lacking, Limits};
use crate::terms::{MoverFilter, Pace};

/// The answer to `trap`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TrapAnswer {
    pub filter: MoverFilter,
    pub cutoffs: Cutoffs,
    /// A figure that rests on fewer games is withheld.
    pub min_sample: u64,
    pub traps: Vec<TrapReport>,
    pub limits: Limits,
}

/// All about one trap.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TrapReport {
    pub name: String,
    #[serde(serialize_with = "color_name")]
    pub setter: Color,
    pub line: String,
    pub trap_fen: String,
    pub bait: Option<String>,
    pub slip: String,
    pub refutation: String,
    pub advice: Advice,
    /// What the advice rests on besides.
    #[serde(skip)]
    pub grounds: AdviceGrounds,
    /// The figures over the whole filter.
    #[serde(flatten)]
    pub figures: Figures,
    /// How often it arises if the victim may play the line's moves in any order; `k` of `n` games
    /// at the rarest step of the likeliest order.
    pub steered_any_order: Figure,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slips: Option<Alternatives<Slip>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub refutations: Option<Alternatives<Refutation>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub other_ways: Vec<String>,
    /// Seconds on the slip and on the other moves in the trap position.
    pub time: TimeTaken,
    /// One row a band that has a game in the trap position or after the slip.
    pub bands: Vec<BandRow>,
    /// The setter's choices before the bait, in order: what each costs or brings, which net
    /// does not hold.
    pub earlier_choices: Vec<EarlierChoice>,
    pub curve: Curve,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub by_pace: Vec<PaceRow>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub explain: Option<Explanation>,
    /// The learned opening name of the last named position of the line.
    pub opening: Option<String>,
    pub eco: Option<String>,
    pub choices: Vec<Choice>,
    pub paces: Vec<PaceGames>,
    /// The setter's expected score after the slip, 0..=1; none without games.
    pub expected: Option<f64>,
    /// The rating difference (setter minus victim) that this expected score is equal to.
    pub rating_difference: Option<f64>,
    /// The most games that may be missing from any position used; 0 means that all are exact.
    pub may_lack: Lacking,
    /// Does the slip lose, and how does the setter stand without it?
    pub soundness: Soundness,
    /// What the slip costs its player, in points a game, where it allows a mate that is proved: the
    /// victims' score without it, or of too few games that of all their games as that colour. None
    /// without a proof.
    #[serde(skip)]
    pub at_stake: Option<Figure>,
}

impl TrapReport {
    /// Whether it is no trap to lay: net lies wholly below 0, or the setter stands worse if the
    /// victim does not slip.
    pub fn is_not_to_lay(&self) -> bool {
        is_not_to_lay(&self.figures, &self.soundness)
    }
}

/// The same of what a report is made of.
pub(in crate::answers) fn is_not_to_lay(figures: &Figures, soundness: &Soundness) -> bool {
    figures.net.high.is_some_and(|high| high < 0.0) || soundness.stands_worse()
}

/// A choice of the setter on the way to the bait, against what is usually played there.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EarlierChoice {
    /// The line's move with its number, such as `2...Nc6`.
    pub san: String,
    pub edge: Figure,
    pub usual: Usual,
    /// Points a game: edge of the line's move minus that of the others; below 0 it has a price.
    pub difference: Figure,
}

/// Several moves that do the same for the trap.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Alternatives<M> {
    pub moves: Vec<M>,
    pub together: Figure,
}

/// One of several slips.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Slip {
    pub san: String,
    pub share: Figure,
    pub edge: Figure,
    /// Share of its refutations among the replies to it.
    pub find_rate: Figure,
}

/// One of several refutations.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Refutation {
    pub after: String,
    pub san: String,
    pub share: Figure,
    pub edge: Figure,
}

/// Seconds spent in the trap position.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TimeTaken {
    pub slip_s: Figure,
    pub others_s: Figure,
    /// Slip minus others, the mixes of paces taken as they are.
    pub difference_s: Figure,
}

/// Figures over the ratings.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Curve {
    pub slip_rate: Vec<Stretch>,
    pub find_rate: Vec<Stretch>,
    /// The setter's edge after the slip by the victims' ratings.
    pub edge_after_slip: Vec<Stretch>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slip_below: Option<SlipBelow>,
}

/// One figure over one band or several joined ones.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stretch {
    pub from: u16,
    pub below: u16,
    pub joined: bool,
    /// The figure of all these games together.
    #[serde(flatten)]
    pub figure: Figure,
}

/// From which rating on the slip rate is below a level, by a fit that never rises with the rating.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SlipBelow {
    pub level: f64,
    /// Lower edge of the first band below the level; none if it is not reached.
    pub value: Option<u16>,
    /// Lower end of the 95 % interval; none if it is not reached in any case.
    pub low: Option<u16>,
    /// Upper end; none if it may not be reached.
    pub high: Option<u16>,
    pub n: u64,
    pub n_eff: f64,
    pub reached: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub withheld: Option<Withheld>,
}

/// The figures of one pace.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PaceRow {
    pub pace: Pace,
    /// Its figures alone.
    #[serde(flatten)]
    pub figures: Figures,
}

/// One row of the table over the bands: the band of whoever moves.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BandRow {
    pub from: u16,
    pub below: u16,
    /// The figures of this band alone.
    #[serde(flatten)]
    pub figures: Figures,
}

/// What is known about a trap under one filter.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figures {
    pub games: u64,
    pub occurrence: Figure,
    /// How often a student who always plays the line gets the trap position.
    pub steered: Steered,
    /// Share of the slips among the moves in the trap position.
    pub slip_rate: Figure,
    /// Share of the refutations among the replies to the slips.
    pub find_rate: Figure,
    pub score_after_slip: Figure,
    /// The setter's edge after the slip, from the victims' cells.
    pub edge_after_slip: Figure,
    /// The setter's edge with the refutation, from the setters' cells; of several slips each counts
    /// as often as it is played.
    pub edge_refuted: Figure,
    /// The setter's edge in the trap position when the victim does not slip.
    pub edge_no_slip: Figure,
    pub usual: Usual,
    #[serde(rename = "worth_per_1000")]
    pub worth: Figure,
    /// Points that the bait costs when the victim does not slip, against the other moves.
    pub price: Figure,
    /// Points per 1000 games of laying the trap instead of the other moves.
    #[serde(rename = "net_per_1000")]
    pub net: Figure,
    pub slips_per_1000: Figure,
    #[serde(rename = "own_slips_per_1000")]
    pub own_slips: Figure,
    pub ahead: Ahead,
    pub verdict: Verdict,
}

/// A product of shares along the line. `k`, `n` and `n_eff` are those of its rarest step: `k` of
/// `n` games made the move that the line needs there.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Steered {
    /// The share, averaged over the bands.
    #[serde(flatten)]
    pub rate: Figure,
    /// The rarest step: the needed move, as a numbered move, of the choice that fewest different
    /// players had to make; none without a choice.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rarest: Option<String>,
    pub mixed: bool,
    /// The first needed move that no game plays though the choice came up often enough, as a
    /// numbered move; `value` is then 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub never: Option<String>,
}

/// One of the victim's choices before the trap position.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Choice {
    /// The needed move with its number, such as `2...Nc6`.
    pub san: String,
    pub share: Figure,
}

/// What is usually played instead of the bait or of another move of the setter.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Usual {
    pub san: Option<String>,
    pub edge: Figure,
}

/// What to expect of the student's next games as the setter.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Ahead {
    pub games: u64,
    pub expected: Figure,
    pub range: Option<NextSlips>,
    pub at_least_one: Figure,
}

/// Numbers of slips, ends included: chance and the margin of the estimate together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct NextSlips {
    pub low: u64,
    pub high: u64,
}

/// Is the trap common?
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Verdict {
    /// One class; two if the interval touches both, the more frequent first.
    pub codes: Vec<Code>,
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
    /// They do not reach so far.
    NotCounted,
}
