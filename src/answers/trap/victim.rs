//! The other side: what the pupil who faces the trap should know.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use std::cmp::Ordering;

use shakmaty::fen::Fen;
use shakmaty::{Chess, Color, Position};

use super::advice::{AdviceCode, Facts, Told};
use super::asked::Asked;
use super::cache::Cache;
use super::cells::PerCell;
use super::cutoffs::left_worse;
use super::evidence::{Node, may_lack, nodes};
use super::explain::{effect_of, products};
use super::explanation::VictimExplanation;
use super::judge::{Overrides, judge_cached};
use super::reach::{SideChoices, choices, slips_of, steered};
use super::report::{Choice, Steered, TrapReport};
use super::soundness::SoundnessCode;
use crate::answers::moves::{MoveRow, PaceGames, color_name, rows};
use crate::answers::{Figure, Question, Withheld};
use crate::counts::{Counts, Lacking, Limits};
use crate::lines::{MarkedSlip, Trap};
use crate::terms::{EN_PASSANT, MoveCode, MoverFilter};
use serde::Serialize;

/// The answer to `trap --side victim`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct VictimAnswer {
    pub filter: MoverFilter,
    /// A figure that rests on fewer games is withheld.
    pub min_sample: u64,
    /// The traps, by the lower limit of own slips, else by games; equals by name and line.
    pub traps: Vec<VictimReport>,
    /// How far the counts reach.
    #[serde(skip)]
    pub limits: Limits,
}

/// A trap from the view of who may fall into it; scores and edges are the victim's.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct VictimReport {
    pub name: String,
    #[serde(serialize_with = "color_name")]
    pub victim: Color,
    pub line: String,
    pub trap_fen: String,
    pub slip: String,
    pub slips: Vec<String>,
    pub games: u64,
    pub occurrence: Figure,
    /// How often a pupil whose own moves follow the line meets the trap position: the product of
    /// the shares of the setters' moves.
    pub comes_up: Steered,
    pub setter_choices: Vec<Choice>,
    /// Share of the slips among the moves in the trap position.
    pub slip_rate: Figure,
    /// What to do about it.
    pub advice: VictimAdvice,
    #[serde(rename = "own_slips_per_1000")]
    pub own_slips: Figure,
    /// The moves in the trap position, best lower limit of the edge first, thin ones behind them by
    /// games, slips last.
    pub instead: Vec<MoveRow>,
    /// Those of them, UCI, that evaluations say leave the victim worse although others do not: no
    /// pupil is told to play them.
    #[serde(skip)]
    pub left_worse: Vec<String>,
    /// The victim's last choices before the trap position, the last one first.
    pub earlier: Vec<Earlier>,
    /// The counts behind the figures, if asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub explain: Option<VictimExplanation>,
    pub paces: Vec<PaceGames>,
    pub may_lack: Lacking,
}

/// What those who face a trap should do about it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum VictimAdvice {
    /// It catches players of the level, and the slip loses.
    Learn,
    /// Too few games tell whether it catches enough of them.
    HowOftenOpen,
    /// It catches them, and what that costs them is open.
    CostOpen,
    /// It catches them, and nothing says whether the slip loses: an engine would.
    AskEngine,
    /// The marked move does not lose.
    NoLoss,
    /// Many play the marked move, and it costs them nothing.
    NoCost,
    /// It catches few.
    Skip,
}

impl VictimAdvice {
    /// What the report on the trap says.
    pub fn of(trap: &TrapReport) -> VictimAdvice {
        let (own, often) = (&trap.figures.own_slips, trap.grounds.cutoffs.occasional);
        let (facts, soundness) = (Facts::of_report(trap), &trap.soundness);
        match (own.value.and(own.low), own.high) {
            _ if trap.advice.codes.contains(&AdviceCode::Warn) => VictimAdvice::Learn,
            _ if soundness.verdict == SoundnessCode::NoSlip => VictimAdvice::NoLoss,
            (Some(_), Some(high)) if high <= often => VictimAdvice::Skip,
            (Some(low), _) if low > often => match facts.falls {
                Told::No => VictimAdvice::NoCost,
                _ if soundness.slip_loses.is_none() => VictimAdvice::AskEngine,
                _ => VictimAdvice::CostOpen,
            },
            _ => VictimAdvice::HowOftenOpen,
        }
    }
}

/// A choice of the victim on the way to the trap.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Earlier {
    /// The move of the line with its number, such as `3...Nd4`.
    pub san: String,
    pub fen: String,
    /// All moves there, ordered as [`VictimReport::instead`]; every other one avoids the trap
    /// by this line.
    pub moves: Vec<MoveRow>,
    /// Those of them, UCI, that evaluations say leave the victim worse although others do not.
    #[serde(skip)]
    pub left_worse: Vec<String>,
}

/// How many choices before the trap position are shown.
const EARLIER: usize = 2;

/// Looks at traps from the victim's side.
pub fn judge_victim<C: Counts>(
    counts: &C,
    traps: &[Trap],
    question: &Question,
) -> Result<VictimAnswer, C::Error> {
    let cache = Cache::new(counts);
    let unexplained = Question { explain: false, ..*question };
    let judged = |trap| judge_cached(&cache, trap, &unexplained, &Overrides::default());
    let traps = traps.iter().map(|trap| report(&cache, trap, &judged(trap)?, question));
    let mut traps = traps.collect::<Result<Vec<_>, _>>()?;
    traps.sort_by(victim_order);
    Ok(VictimAnswer {
        filter: question.filter,
        min_sample: question.min_sample,
        traps,
        limits: counts.limits().clone(),
    })
}

/// Looks at a trap from the victim's side that is judged already, by the same question.
pub fn victim_report<C: Counts>(
    counts: &C,
    trap: &Trap,
    judged: &TrapReport,
    question: &Question,
) -> Result<VictimReport, C::Error> {
    report(&Cache::new(counts), trap, judged, question)
}

/// Which of two traps comes first for those who face them: the one that catches more of them for
/// sure; then games, name and line.
pub fn victim_order(a: &VictimReport, b: &VictimReport) -> Ordering {
    let slips = match (a.own_slips.low, b.own_slips.low) {
        (Some(a), Some(b)) => b.total_cmp(&a),
        (a, b) => b.is_some().cmp(&a.is_some()),
    };
    slips
        .then_with(|| b.games.cmp(&a.games))
        .then_with(|| (&a.name, &a.line).cmp(&(&b.name, &b.line)))
}

fn report<C: Counts>(
    cache: &Cache<'_, C>,
    trap: &Trap,
    judged: &TrapReport,
    question: &Question,
) -> Result<VictimReport, C::Error> {
    let victim = trap.victim();
    let all = nodes(cache, trap, 0..trap.slip_ply())?.into_iter();
    let (before, setters): (Vec<Node>, Vec<Node>) =
        all.partition(|node| node.position.turn() == victim);
    let slips: Vec<_> = trap.slips().iter().map(|slip| MoveCode::of(slip.slip())).collect();
    let slip = &Node::of_moves(cache, (trap, trap.line()), trap.slip_ply(), slips.clone())?;
    let left_worse_here = worse(slip, &slips);
    let games = PerCell::games(cache.totals(), victim);
    let setters_games = PerCell::games(cache.totals(), victim.other());
    let side = SideChoices { nodes: &setters, games: &setters_games };
    let split = slip.split(question.filter);
    let asked = Asked::new(question, cache.effects());
    let listed = |node: &Node| -> Result<Vec<MoveRow>, C::Error> {
        let (found, baseline) = (node.counts.as_deref(), cache.baseline());
        Ok(by_edge(rows(cache.counts(), found, node.position, baseline, question)?))
    };
    let slips: Vec<String> = trap.slips().iter().map(MarkedSlip::san).collect();
    let mut instead = listed(slip)?;
    instead.sort_by_key(|row| slips.contains(&row.san));
    let (occurrence, slip_rate) = (
        asked.occurrence(slip, victim, games.sum(question.filter, |a, b| a + b)),
        asked.share(slip),
    );
    let (comes_up, steering) = match setters.is_empty() {
        true => (no_setter(split.n), None),
        false => {
            let (steered, steering) = steered(side, &asked);
            (steered, Some(steering))
        }
    };
    let explain = question.explain.then(|| VictimExplanation {
        comes_up: steering.iter().flat_map(products).collect(),
        effects: setters.iter().chain([slip]).map(|node| effect_of(node, &asked)).collect(),
    });
    Ok(VictimReport {
        explain,
        name: trap.name().to_owned(),
        victim,
        line: trap.marked(trap.slip_ply() + 2),
        trap_fen: fen(trap.position()),
        slip: slip.san.clone(),
        slips,
        games: split.n,
        advice: VictimAdvice::of(judged),
        own_slips: slips_of([("occurrence", &occurrence), ("slip_rate", &slip_rate)]),
        occurrence,
        comes_up,
        setter_choices: choices(&setters, &asked),
        slip_rate,
        instead,
        left_worse: left_worse_here,
        earlier: before
            .iter()
            .rev()
            .take(EARLIER)
            .map(|node| {
                let moves = listed(node)?;
                let left_worse = worse(node, &[]);
                Ok(Earlier { san: node.numbered(), fen: fen(node.position), moves, left_worse })
            })
            .collect::<Result<_, _>>()?,
        paces: crate::answers::moves::games_by_pace(slip.counts.as_deref(), question.filter),
        may_lack: may_lack(before.iter().chain([slip]).chain(&setters)),
    })
}

/// The moves there, UCI, that no pupil is told to play.
fn worse(node: &Node, slips: &[MoveCode]) -> Vec<String> {
    let moves = node.counts.iter().flat_map(|counts| &counts.moves);
    left_worse(moves, slips).iter().map(MoveCode::to_string).collect()
}

/// A slip on move 1 needs no move of the setter.
fn no_setter(games: u64) -> Steered {
    let rate = Figure::withheld(games, Withheld::NoBait).with_k(games);
    Steered { rate, rarest: None, mixed: false, never: None }
}

fn fen(position: &Chess) -> String {
    Fen::from_position(position, EN_PASSANT).to_string()
}

fn by_edge(mut rows: Vec<MoveRow>) -> Vec<MoveRow> {
    rows.sort_by(|a, b| match (a.edge.low, b.edge.low) {
        (Some(a), Some(b)) => b.total_cmp(&a),
        (a, b) => b.is_some().cmp(&a.is_some()),
    });
    rows
}
