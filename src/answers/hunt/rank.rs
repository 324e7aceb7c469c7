//! The findings judged as traps, and put in order.

use shakmaty::Chess;

use super::chains::Fall;
use super::flow::Flow;
use super::path::Paths;
use super::reach::{Hits, interval, visits};
use super::report::{Branch, Found, HiddenBy, Reach, ReachKind};
use super::walk::{PositionId, Walk};
use super::{Hunt, rules::Repertoire};
use crate::answers::stats::{Interval, Z_95};
use crate::answers::trap::{Overrides, figures_with, judge_with};
use crate::answers::{Figure, Question, Sample};
use crate::counts::Counts;
use crate::lines::{Line, Trap, san_text};
use crate::terms::{Key, MoveCode};

/// A finding before its place is known.
struct Entry {
    trap: Trap,
    overrides: Overrides,
    falls: Vec<Fall>,
    /// Lower limit of net, which orders.
    net: f64,
    key: Key,
}

/// Judges the falls and shows the best.
pub(super) fn rank<C: Counts>(
    counts: &C,
    hunt: &Hunt,
    question: &Question,
    walk: &Walk,
    flow: &Flow,
    falls: Vec<Vec<Fall>>,
    hidden: &mut HiddenBy,
) -> Result<Vec<Found>, C::Error> {
    let paths = Paths::of(flow, walk.positions.len());
    let mut way = Way::of(counts, hunt, question, walk, flow)?;
    let mut entries = Vec::new();
    for falls in falls {
        let at = falls[0].slip.at;
        let steered = way.rate(flow, at, falls[0].slip.games());
        let path = paths.to(walk, at);
        let (Some(path), true) = (path, steered.as_ref().is_none_or(|rate| rate.value > Some(0.0)))
        else {
            hidden.not_reached += falls.len() as u64;
            continue;
        };
        let trap = trap_of(hunt, &path, &falls[0]);
        let refuted = Some(falls[0].refutation.scored);
        let overrides = Overrides { refuted, steered };
        let figures = figures_with(counts, &trap, question, &overrides)?;
        let net = figures.net.low.unwrap_or(f64::NEG_INFINITY);
        entries.push(Entry { trap, overrides, falls, net, key: walk.at(at).key });
    }
    entries.sort_by(|a, b| b.net.total_cmp(&a.net).then_with(|| a.key.cmp(&b.key)));
    let beyond = entries.iter().skip(hunt.top).map(|entry| entry.falls.len() as u64);
    hidden.beyond_top += beyond.sum::<u64>();
    entries.truncate(hunt.top);
    entries.into_iter().map(|entry| found(counts, hunt, question, walk, entry)).collect()
}

fn found<C: Counts>(
    counts: &C,
    hunt: &Hunt,
    question: &Question,
    walk: &Walk,
    entry: Entry,
) -> Result<Found, C::Error> {
    let Entry { trap, overrides, falls, .. } = entry;
    let mut trap = judge_with(counts, &trap, question, &overrides)?;
    if let Some(opening) = &trap.opening {
        trap.name = format!("{opening}, {}", trap.name);
    }
    let (kind, rate) = match hunt.repertoire {
        Some(_) => (ReachKind::Repertoire, trap.figures.steered.rate.clone()),
        None => (ReachKind::Occurrence, trap.figures.occurrence.clone()),
    };
    let first = &falls[0].slip;
    let position = walk.board(first.at);
    let branches = falls[1..].iter().map(|fall| branch(&position, fall, question)).collect();
    Ok(Found {
        reach: Reach { kind, rate },
        drop: drop_of(&first.others, &first.sample, question.min_sample),
        p: first.p,
        q: first.q,
        evaluations: first.evaluations,
        branches,
        trap,
    })
}

/// The path, the slip and the refutation from the initial position on; its name is the slip with its number.
fn trap_of(hunt: &Hunt, path: &[MoveCode], fall: &Fall) -> Trap {
    let mut line: Line = hunt.line.clone();
    let slip = line.len() + path.len();
    for code in path.iter().chain([&fall.slip.code, &fall.refutation.code]) {
        let mv = code.to_move(line.end()).expect("the walk has played it");
        line.play(mv);
    }
    Trap::new(line.text(slip..slip + 1), line, slip).expect("the refutation follows the slip")
}

fn branch(position: &Chess, fall: &Fall, question: &Question) -> Branch {
    let slip = &fall.slip;
    let mv = slip.code.to_move(position).expect("it was played here");
    let mut after = position.clone();
    shakmaty::Position::play_unchecked(&mut after, mv);
    let reply = fall.refutation.code.to_move(&after).expect("it was played here");
    Branch {
        slip: san_text(position, mv),
        slip_rate: question.sampling().share(slip.sample.games(), slip.games()),
        drop: drop_of(&slip.others, &slip.sample, question.min_sample),
        p: slip.p,
        q: slip.q,
        refutation: san_text(&after, reply),
        edge_refuted: fall.refutation.scored.edge(question.min_sample),
        evaluations: slip.evaluations,
    }
}

/// The difference of two edges.
fn drop_of(others: &Sample, slip: &Sample, min_sample: u64) -> Figure {
    let (held, lost) = (others.edge(min_sample), slip.edge(min_sample));
    let pieces = [("edge_others", &held), ("edge_slip", &lost)];
    Figure::combined(pieces, |[held, lost]| (held - lost, [1.0, -1.0]))
}

/// How a student with a repertoire comes to a position.
struct Way {
    known: Option<Known>,
}

struct Known {
    /// Chance of the hunt's line and variance of its logarithm.
    line: (f64, f64),
    visits: Vec<f64>,
    hits: Hits,
    all: u64,
}

impl Way {
    fn of<C: Counts>(
        counts: &C,
        hunt: &Hunt,
        question: &Question,
        walk: &Walk,
        flow: &Flow,
    ) -> Result<Way, C::Error> {
        let Some(repertoire) = &hunt.repertoire else { return Ok(Way { known: None }) };
        let positions = walk.positions.len();
        let known = Known {
            line: line_chance(counts, hunt, question, repertoire)?,
            visits: visits(flow, positions),
            hits: Hits::for_positions(positions),
            all: counts.totals().sum(hunt.victim(), question.filter).games,
        };
        Ok(Way { known: Some(known) })
    }

    /// The share of the student's games; none without a repertoire.
    fn rate(&mut self, flow: &Flow, at: PositionId, games: u64) -> Option<Figure> {
        let Known { line, visits, hits, all } = self.known.as_mut()?;
        hits.find(flow, at);
        let value = hits.from(PositionId::START) * line.0;
        let interval = interval(flow, hits, at, visits).scale(line.0);
        let half =
            |end: f64| if value > 0.0 && end > 0.0 { (end / value).ln().powi(2) } else { 0.0 };
        let widened = |end: f64| (half(end) + Z_95 * Z_95 * line.1).sqrt();
        let interval = Interval::new(
            value * (-widened(interval.low)).exp(),
            (value * widened(interval.high).exp()).min(1.0).max(value),
        );
        Some(Figure::known(value, interval, *all).with_k(games))
    }
}

/// The chance that a student's game goes through the hunt's line, and the variance of its logarithm.
fn line_chance<C: Counts>(
    counts: &C,
    hunt: &Hunt,
    question: &Question,
    repertoire: &Repertoire,
) -> Result<(f64, f64), C::Error> {
    let (mut chance, mut variance) = (1.0, 0.0);
    for (ply, &mv) in hunt.line.moves().iter().enumerate() {
        let position = hunt.line.position(ply);
        let (key, code) = (Key::of(position), MoveCode::of(mv));
        let own = shakmaty::Position::turn(position) == hunt.setter;
        let fixed = repertoire.at(key).filter(|_| own);
        if fixed.is_some_and(|codes| !codes.contains(&code)) {
            return Ok((0.0, 0.0));
        }
        let found = counts.position(key)?;
        let games = |wanted: &dyn Fn(MoveCode) -> bool| -> u64 {
            let moves = found.iter().flat_map(|found| &found.moves);
            let moves = moves.filter(|mv| wanted(mv.code));
            moves.map(|mv| mv.sum(question.filter).games).sum()
        };
        let here = games(&|other| other == code);
        let all = games(&|other| fixed.is_none_or(|codes| codes.contains(&other)));
        match fixed {
            Some(codes) if codes.len() == 1 => {}
            Some(codes) if all == 0 => chance /= codes.len() as f64,
            _ if here == 0 => return Ok((0.0, 0.0)),
            _ => {
                let share = here as f64 / all as f64;
                chance *= share;
                variance += if fixed.is_some() { 0.0 } else { (1.0 - share) / here as f64 };
            }
        }
    }
    Ok((chance, variance))
}
