//! The structs of a hunt's answer.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use serde::Serialize;
use shakmaty::Color;

use super::rules::Settings;
use crate::answers::Figure;
use crate::answers::moves::color_name;
use crate::answers::trap::{TrapReport, mean_cp};
use crate::counts::{Cell, Limits, MoveCounts};
use crate::lines::Trap;
use crate::terms::{MoveCode, MoverFilter};

/// The answer to `hunt`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HuntAnswer {
    #[serde(serialize_with = "color_name")]
    pub setter: Color,
    /// The line behind which was hunted, numbered; empty for the initial position.
    pub start: String,
    pub filter: MoverFilter,
    #[serde(rename = "reach_kind")]
    pub reach: ReachKind,
    /// Size of the family: pairs of position and move that were tested.
    pub tests: usize,
    pub significant: usize,
    pub hidden: u64,
    pub hidden_by: HiddenBy,
    /// The findings, best first: those that may pay to lay, then those that are no trap to lay.
    pub found: Vec<Found>,
    /// Where nothing is found, the moves that come nearest to it, with what each lacks.
    pub misses: Vec<Miss>,
    pub covered: Option<Covered>,
    /// The level of the intervals of the drops shown, 0.95..1: 1 - R q / m with R the drops shown,
    /// q the promised false discovery rate and m the tests (false coverage rate, see
    /// [`selected_miss`](crate::answers::stats::selected_miss)). None where nothing is found.
    pub interval_level: Option<f64>,
    pub settings: Settings,
    pub positions: usize,
    /// The smallest true drop that the best counted test would have shown with even odds, in points
    /// a game; none without a test. Where moves pass, those that cannot are taken without the
    /// habits of those who answer.
    pub detectable: Option<f64>,
    pub games: u64,
    /// How far the counts reach.
    #[serde(skip)]
    pub limits: Limits,
}

impl HuntAnswer {
    /// Whether the counts could not have shown a drop of the size that is looked for.
    pub fn is_too_small(&self) -> bool {
        self.detectable.is_none_or(|least| least > self.settings.min_drop)
    }
}

/// A move that nearly is a finding.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Miss {
    pub line: String,
    pub fen: String,
    pub slip: String,
    pub games: u64,
    pub n: u64,
    /// Points a game that it costs: edge of all other moves minus its own, with a 95 % interval.
    pub drop: Figure,
    pub p: Option<f64>,
    /// See `p`.
    pub q: Option<f64>,
    pub lacks: Vec<Lack>,
}

/// What keeps a move from being a finding, with what is there and what would be needed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "code", rename_all = "snake_case")]
#[expect(missing_docs, reason = "each field is what the variant says it is")]
pub enum Lack {
    /// Games in which the position is reached.
    Reached { n: u64, needed: u64 },
    /// Games of the move.
    Games { n: u64, needed: u64 },
    /// Games of the other moves together.
    OtherGames { n: u64, needed: u64 },
    /// The move's share.
    Share { value: f64, needed: f64 },
    /// Certainty: its q value, which must not be above the promised rate.
    Certain { q: f64, needed: f64 },
    /// Cost in points a game.
    Drop { value: f64, needed: f64 },
    /// The victim stood badly already: edge of the other moves.
    InOrder { edge: f64, needed: f64 },
    /// A reply that refutes it.
    Refutation,
    /// The student does not come there.
    Way,
    /// A place of its own: the fall is told elsewhere in its chain, or stands behind the last
    /// place shown.
    Place,
}

/// What a repertoire covers of a hunt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Covered {
    pub positions: usize,
    pub met: usize,
    pub tests: usize,
    pub tests_reached: usize,
}

/// What is known as reach.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ReachKind {
    /// Games of the victims that come to the position, whatever setters play.
    Occurrence,
    /// Games of a student who plays the repertoire that come to the position.
    Repertoire,
}

/// Significant moves that are not shown, each under the first reason.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct HiddenBy {
    pub not_in_order: u64,
    pub small_drop: u64,
    /// The fall is told elsewhere: the move is on the way to a slip, or behind one.
    pub told_elsewhere: u64,
    pub no_refutation: u64,
    pub not_reached: u64,
    /// Behind the last place shown.
    pub beyond_top: u64,
}

impl HiddenBy {
    /// All of them.
    pub fn total(&self) -> u64 {
        self.not_in_order
            + self.small_drop
            + self.told_elsewhere
            + self.no_refutation
            + self.not_reached
            + self.beyond_top
    }
}

/// One finding: a trap with its costliest slip.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Found {
    /// The trap, judged on the most frequent path to its position; the edge with the refutation
    /// comes from games that did not choose it.
    #[serde(flatten)]
    pub trap: TrapReport,
    /// The same as it is laid.
    #[serde(skip)]
    pub laid: Trap,
    /// Whether it may pay to lay it: net is not wholly below 0, and nothing says that the setter
    /// stands worse without the slip.
    pub to_lay: bool,
    pub reach: Reach,
    /// Points a game that the slip costs the victim: edge of all other moves minus its own. The
    /// interval is of the level [`HuntAnswer::interval_level`].
    pub drop: Figure,
    pub p: f64,
    pub q: f64,
    pub evaluations: Evaluations,
    pub branches: Vec<Branch>,
}

/// How often a position is reached.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reach {
    pub kind: ReachKind,
    /// The share of games. Of an occurrence `k` and `n` are the victims' games there and in all; a
    /// flow has no `k` and rests on the `n` games of the thinnest step of its likeliest path.
    #[serde(flatten)]
    pub rate: Figure,
}

/// A further slip.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Branch {
    pub slip: String,
    pub slip_rate: Figure,
    pub drop: Figure,
    pub p: f64,
    pub q: f64,
    pub refutation: String,
    pub edge_refuted: Figure,
    pub evaluations: Evaluations,
}

/// Evaluations after the slip and after the other moves, where games carry them: games of all
/// ratings and paces.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Evaluations {
    pub slip_cp: Option<f64>,
    pub slip_games: u64,
    pub others_cp: Option<f64>,
    pub others_games: u64,
    pub verdict: Verdict,
}

/// Whether evaluations bear a finding out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// The slip is worse than the other moves by half a pawn or more.
    Agree,
    /// It is not.
    Contradict,
    /// There are fewer than [`least_evals`](crate::answers::trap::SoundnessCutoffs) on a side.
    TooFew,
    /// The refutation mates, so none are needed.
    Mate,
}

impl Evaluations {
    /// Of the moves of a position, one of which is the slip; whether its refutation `mates`.
    pub(super) fn of<'a>(
        moves: impl Iterator<Item = &'a MoveCounts>,
        slip: MoveCode,
        mates: bool,
    ) -> Evaluations {
        const WORSE_CP: f64 = 50.0;
        let (mut own, mut others) = (Cell::default(), Cell::default());
        for mv in moves {
            let sum = if mv.code == slip { &mut own } else { &mut others };
            sum.merge(&mv.sum(MoverFilter::ALL));
        }
        let verdict = match mean_cp(&own).zip(mean_cp(&others)) {
            _ if mates => Verdict::Mate,
            None => Verdict::TooFew,
            Some((slip, others)) if slip <= others - WORSE_CP => Verdict::Agree,
            Some(_) => Verdict::Contradict,
        };
        let mean = |cell: &Cell| {
            (cell.eval_games > 0).then(|| cell.eval_cp as f64 / cell.eval_games as f64)
        };
        Evaluations {
            slip_cp: mean(&own),
            slip_games: own.eval_games,
            others_cp: mean(&others),
            others_games: others.eval_games,
            verdict,
        }
    }
}
