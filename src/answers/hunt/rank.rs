//! The findings judged as traps, and put in order.

use shakmaty::{Chess, Position};

use super::Hunt;
use super::arrivals::Arrivals;
use super::chains::Fall;
use super::flow::Flow;
use super::path::Paths;
use super::report::{Branch, Evaluations, Found, HiddenBy, Reach, ReachKind};
use super::significance::{edge_difference, shown_miss};
use super::slip::Slip;
use super::walk::Walk;
use crate::answers::effect::{answers_at, behind};
use crate::answers::trap::{Cache, Overrides, figures_with, judge_cached};
use crate::answers::{Figure, Question};
use crate::counts::Counts;
use crate::lines::{Line, Trap, san_text};
use crate::terms::{Key, MoveCode};

/// A finding before its place is known.
struct Entry {
    trap: Trap,
    overrides: Overrides,
    falls: Vec<Fall>,
    /// Whether it is no trap to lay; those come last.
    not_to_lay: bool,
    /// Lower limit of net, which orders.
    net: f64,
    key: Key,
}

/// The findings that are shown, best first.
#[derive(Default)]
pub(super) struct Ranked {
    pub found: Vec<Found>,
    /// The level of the intervals of their drops; none without a finding.
    pub interval_level: Option<f64>,
}

/// Judges the falls and shows the best; `tests` is how many moves were tested.
pub(super) fn rank<C: Counts>(
    cache: &Cache<'_, C>,
    (hunt, tests): (&Hunt, usize),
    question: &Question,
    walk: &Walk,
    flow: &Flow,
    falls: Vec<Vec<Fall>>,
    hidden: &mut HiddenBy,
) -> Result<Ranked, C::Error> {
    let paths = Paths::of(flow, walk.positions.len());
    let mut arrivals = Arrivals::of(cache, hunt, question, walk, flow)?;
    let mut entries = Vec::new();
    for falls in falls {
        let at = falls[0].slip.at;
        let path = paths.to(walk, at).filter(|_| arrivals.leads_behind_the_line());
        let Some(path) = path else {
            hidden.not_reached += falls.len() as u64;
            continue;
        };
        let steered = arrivals.rate(cache, at, &path)?;
        let trap = trap_of(hunt, &path, &falls[0]);
        let refuted = Some(falls[0].refutation.scored);
        let overrides = Overrides { refuted, steered };
        let (figures, not_to_lay) = figures_with(cache, &trap, question, &overrides)?;
        let net = figures.net.low.unwrap_or(f64::NEG_INFINITY);
        entries.push(Entry { trap, overrides, falls, not_to_lay, net, key: walk.at(at).key });
    }
    entries.sort_by(|a, b| {
        let pays = a.not_to_lay.cmp(&b.not_to_lay).then_with(|| b.net.total_cmp(&a.net));
        pays.then_with(|| a.key.cmp(&b.key))
    });
    let beyond = entries.iter().skip(hunt.top).map(|entry| entry.falls.len() as u64);
    hidden.beyond_top += beyond.sum::<u64>();
    entries.truncate(hunt.top);
    let shown: usize = entries.iter().map(|entry| entry.falls.len()).sum();
    if shown == 0 {
        return Ok(Ranked::default());
    }
    // Further slips of a position are among them, and what `--top` hides is not.
    let miss = shown_miss(hunt.fdr, shown, tests);
    let found = entries.into_iter().map(|entry| found(cache, hunt, question, walk, entry, miss));
    Ok(Ranked { found: found.collect::<Result<_, _>>()?, interval_level: Some(1.0 - miss) })
}

fn found<C: Counts>(
    cache: &Cache<'_, C>,
    hunt: &Hunt,
    question: &Question,
    walk: &Walk,
    entry: Entry,
    miss: f64,
) -> Result<Found, C::Error> {
    let Entry { trap: laid, overrides, falls, .. } = entry;
    let mut trap = judge_cached(cache, &laid, question, &overrides)?;
    if let Some(opening) = &trap.opening {
        trap.name = format!("{opening}, {}", trap.name);
    }
    let (kind, rate) = match hunt.repertoire {
        Some(_) => (ReachKind::Repertoire, trap.figures.steered.rate.clone()),
        None => (ReachKind::Occurrence, trap.figures.occurrence.clone()),
    };
    let first = &falls[0].slip;
    let position = walk.board(first.at);
    let at = (&position, walk.at(first.at).key);
    let evaluations = evaluations(cache, at.1, first, laid.line().end())?;
    let branches = falls[1..].iter().map(|fall| branch(cache, at, fall, question, miss));
    let branches = branches.collect::<Result<_, _>>()?;
    Ok(Found {
        laid: laid.named(trap.name.clone()),
        reach: Reach { kind, rate },
        drop: drop_of(first, question, miss),
        p: first.p,
        q: first.q,
        evaluations,
        to_lay: !trap.is_not_to_lay(),
        branches,
        trap,
    })
}

/// The path, the slip and the refutation from the initial position on; its name is the slip
/// with its number.
fn trap_of(hunt: &Hunt, path: &[MoveCode], fall: &Fall) -> Trap {
    let mut line: Line = hunt.line.clone();
    let slip = line.len() + path.len();
    for code in path.iter().chain([&fall.slip.code, &fall.refutation.code]) {
        let mv = code.to_move(line.end()).expect("the walk has played it");
        line.play(mv);
    }
    Trap::new(line.text(slip..slip + 1), line, slip).expect("the refutation follows the slip")
}

fn branch<C: Counts>(
    cache: &Cache<'_, C>,
    (position, key): (&Chess, Key),
    fall: &Fall,
    question: &Question,
    miss: f64,
) -> Result<Branch, C::Error> {
    let Fall { slip, refutation } = fall;
    let sampling = question.sampling();
    let mv = slip.code.to_move(position).expect("it was played here");
    let mut after = position.clone();
    after.play_unchecked(mv);
    let reply = refutation.code.to_move(&after).expect("it was played here");
    let answered = behind(behind(key, position, mv), &after, reply);
    let answers = answers_at(cache.counts(), &[answered], question.filter)?;
    let mut refuted = after.clone();
    refuted.play_unchecked(reply);
    let effect = refutation.effect.of_score(refutation.scored.games(), answers[0]);
    let replies = sampling.with_effect(effect);
    Ok(Branch {
        slip: san_text(position, mv),
        slip_rate: sampling.with_effect(slip.effect.share).share(slip.sample.games(), slip.games()),
        drop: drop_of(slip, question, miss),
        p: slip.p,
        q: slip.q,
        refutation: san_text(&after, reply),
        edge_refuted: refutation.scored.edge(replies),
        evaluations: evaluations(cache, key, slip, &refuted)?,
    })
}

/// What evaluations say of a slip, and whether the position behind its refutation is mate.
fn evaluations<C: Counts>(
    cache: &Cache<'_, C>,
    key: Key,
    slip: &Slip,
    refuted: &Chess,
) -> Result<Evaluations, C::Error> {
    let found = cache.position(key)?;
    let moves = found.iter().flat_map(|found| &found.moves);
    Ok(Evaluations::of(moves, slip.code, refuted.is_checkmate()))
}

/// The difference of two edges, its interval missing with probability `miss`.
pub(super) fn drop_of(slip: &Slip, question: &Question, miss: f64) -> Figure {
    let [lost, held] = slip.of_scores;
    let (held, lost) = (("edge_others", &slip.others, held), ("edge_slip", &slip.sample, lost));
    edge_difference(held, lost, question.sampling(), miss)
}
