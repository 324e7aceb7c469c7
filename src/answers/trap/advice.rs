//! The structs of an advice: codes, and the reasons with their numbers.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use serde::Serialize;

use crate::answers::{Cutoffs, Figure};
use crate::counts::Beyond;
use crate::terms::MoverFilter;

/// More games than so many times those there are do not come in the next months.
const MANY_TIMES: u64 = 10;
/// Of fewer games nobody can say how many times as many it takes.
const LEAST_TO_TELL: f64 = 5.0;

/// What to do with a trap.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Advice {
    /// `undecided` or `skip` alone, or `teach` and `warn`, one or both.
    pub codes: Vec<AdviceCode>,
    pub reasons: Vec<Reason>,
}

/// One piece of advice.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum AdviceCode {
    /// It comes up, it is sound and it pays.
    Teach,
    /// Players of the level fall for it: teach the other side.
    Warn,
    /// The counts, or the evaluations, do not tell.
    Undecided,
    /// It is rare, its slip does not lose, it is a gamble, or it does not pay.
    Skip,
}

/// A reason, with the numbers behind it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reason {
    pub code: ReasonCode,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub figure: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub known: Option<Figure>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slip_loses_cp: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub without_slip_cp: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub games: Option<u64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub games_to_decide: Option<u64>,
    /// A wider filter whose figures leave nothing open.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub filter: Option<MoverFilter>,
}

impl Advice {
    /// How far behind the counted half-moves a figure lies on which it turns.
    pub fn beyond(&self) -> Option<Beyond> {
        let withheld = |reason: &Reason| reason.known.as_ref()?.withheld.as_ref()?.beyond();
        self.reasons.iter().filter_map(withheld).max()
    }
}

impl Reason {
    /// How many times the games that there are would decide, where that is too many to count on.
    pub fn times(&self) -> Option<u64> {
        let times = self.games_to_decide?.div_ceil(self.games?.max(1));
        (times > MANY_TIMES).then_some(times)
    }

    /// The figure that more games are needed for, where it has so few that nobody can say how many.
    pub fn far_too_few(&self) -> Option<&Figure> {
        let known = self.known.as_ref().filter(|_| self.code == ReasonCode::MoreGames)?;
        (known.n_eff < LEAST_TO_TELL).then_some(known)
    }

    /// Whether the figure is withheld for another reason than too few games: the slip is the first
    /// move, the line is too long, or not all of it is counted.
    pub fn never_known(&self) -> bool {
        let withheld = self.known.as_ref().and_then(|known| known.withheld.as_ref());
        withheld.is_some_and(|why| why.games_needed().is_none())
    }
}

/// The kind of a [`Reason`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ReasonCode {
    /// The victims slip often enough if one plays for it.
    ComesUp,
    /// They do not.
    Rare,
    /// The counts do not tell.
    HowOftenOpen,
    /// Laying it scores better than the other moves.
    Pays,
    /// It scores no better.
    DoesNotPay,
    /// The counts do not tell.
    GainOpen,
    /// The slip loses, and without it the setter does not stand worse.
    Sound,
    /// The slip loses, but without it the setter stands worse.
    Gamble,
    /// The marked move does not lose.
    NoSlip,
    /// The setter stands worse if they do not slip; nothing tells whether the slip loses.
    StandsWorse,
    /// Nothing tells: an engine would, or evaluations of what lacks them.
    AskEngine,
    /// Players of the level slip in so many of all their games.
    OwnSlips,
    /// What that costs them is open.
    CostOpen,
    /// So many games of the level would decide.
    MoreGames,
    /// More games than make sense would have to decide: a figure lies too near its limit.
    TooNear,
    /// A figure that is open, or one that it is made of, has no game at all.
    NoGames,
    /// Other players' games, taken together with these, decide.
    WiderFilter,
}

/// What advice rests on besides the figures and the soundness.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AdviceGrounds {
    /// From when on a trap comes up.
    pub(super) cutoffs: Cutoffs,
    /// What wider filters tell, the nearest first; none where the figures leave nothing open.
    pub(super) wider: Vec<(MoverFilter, Facts)>,
}

/// What a whole interval says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Told {
    Yes,
    No,
    Open,
}

/// What figures say to the questions that advice asks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Facts {
    /// Do they slip often enough if one plays for it?
    pub comes_up: Told,
    /// Does it score better than the other moves?
    pub pays: Told,
    /// Do players of the level fall for it in their own games, and does it cost them? Open: they
    /// do, and what it costs is open.
    pub falls: Told,
}
