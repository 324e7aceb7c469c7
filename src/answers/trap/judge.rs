//! A line and its counts put together into a report.

use shakmaty::Chess;
use shakmaty::fen::Fen;
use shakmaty::san::SanPlus;

use super::any_order::steered_any_order;
use super::cache::Cache;
use super::curve::curve;
use super::evidence::Evidence;
use super::explain::explain;
use super::others;
use super::reach::{ahead, choices, occurrence, reach};
use super::verdict::verdict;
use super::worth::edges;
use super::{BandRow, Figures, PaceRow, Soundness, TrapAnswer, TrapLine, TrapReport};
use crate::answers::edge::rating_difference;
use crate::answers::{Question, Rate, Sample};
use crate::counts::Counts;
use crate::terms::{BandRange, EN_PASSANT, MoverFilter, Pace, PaceSet};

/// Judges one trap.
///
/// # Errors
///
/// Whatever a look-up of the counts can fail with.
///
/// # Panics
///
/// If the slip is not one of the line's moves, or a move is not legal.
pub fn judge<C: Counts>(
    counts: &C,
    line: &TrapLine,
    question: &Question,
) -> Result<TrapReport, C::Error> {
    judge_cached(&Cache::new(counts), line, question, &Given::default())
}

/// What is known better from elsewhere than from the line's own counts.
#[derive(Clone, Debug, Default)]
pub(in crate::answers) struct Given {
    /// The setters' games with the refutation that its edge is taken from.
    pub refuted: Option<Sample>,
    /// How often the student gets the trap position.
    pub steered: Option<Rate>,
}

/// [`judge`] with some of the figures over the whole filter given; rows of bands and paces keep their own.
pub(in crate::answers) fn judge_given<C: Counts>(
    counts: &C,
    line: &TrapLine,
    question: &Question,
    given: &Given,
) -> Result<TrapReport, C::Error> {
    judge_cached(&Cache::new(counts), line, question, given)
}

/// The figures of [`judge_given`] over the whole filter, and nothing else.
pub(in crate::answers) fn figures_given<C: Counts>(
    counts: &C,
    line: &TrapLine,
    question: &Question,
    given: &Given,
) -> Result<Figures, C::Error> {
    let evidence = Evidence::look_up(&Cache::new(counts), line)?;
    Ok(figures(&evidence, question, given))
}

fn judge_cached<C: Counts>(
    cache: &Cache<'_, C>,
    line: &TrapLine,
    question: &Question,
    given: &Given,
) -> Result<TrapReport, C::Error> {
    let evidence = Evidence::look_up(cache, line)?;
    let opening = evidence.opening().map(|opening| opening.tag.clone());
    let text = |text: String| (!text.is_empty()).then_some(text);
    let expected = evidence.by_victims(true, question.filter).expected();
    let figures = figures(&evidence, question, given);
    let (any_order, orders) = steered_any_order(cache, line, &figures.steered.rate, question)?;
    let time = others::time(&evidence, question);
    let explain = question
        .explain
        .then(|| explain(&evidence, line, question, &figures, (&any_order, orders), &time));
    Ok(TrapReport {
        name: line.name.clone(),
        setter: evidence.setter(),
        line: numbered(line),
        trap_fen: Fen::from_position(&evidence.slip.position, EN_PASSANT).to_string(),
        bait: evidence.bait.as_ref().map(|bait| bait.san.clone()),
        slip: evidence.slip.san.clone(),
        refutation: evidence.refutation.as_ref().map(|(san, _)| san.clone()),
        steered_any_order: any_order,
        slips: others::slips(&evidence, line, question),
        refutations: others::refutations(&evidence, line, question),
        time,
        bands: bands(&evidence, question),
        curve: curve(&evidence, question),
        by_pace: if question.by_pace { by_pace(&evidence, question) } else { Vec::new() },
        explain,
        figures,
        eco: opening.clone().and_then(|tag| text(tag.eco)),
        opening: opening.and_then(|tag| text(tag.name)),
        choices: choices(&evidence.choices, question),
        paces: evidence.paces(question.filter),
        expected,
        rating_difference: expected.and_then(rating_difference),
        may_lack: evidence.may_lack(cache.limits().absent_may_lack),
        soundness: Soundness::of(&evidence, line),
    })
}

/// Judges traps in the order given.
///
/// # Errors
///
/// As [`judge`].
pub fn judge_all<C: Counts>(
    counts: &C,
    lines: &[TrapLine],
    question: &Question,
) -> Result<TrapAnswer, C::Error> {
    let cache = Cache::new(counts);
    let traps = lines.iter().map(|line| judge_cached(&cache, line, question, &Given::default()));
    Ok(TrapAnswer {
        filter: question.filter,
        cutoffs: question.cutoffs,
        min_sample: question.min_sample,
        cluster: question.cluster,
        traps: traps.collect::<Result<_, _>>()?,
        limits: counts.limits().clone(),
    })
}

fn figures(evidence: &Evidence, question: &Question, given: &Given) -> Figures {
    let slip = evidence.slip.split(question.filter);
    let slip_rate = Rate::of(slip.k, slip.n, question.sampling());
    let mut reach = reach(evidence, question);
    if let Some(steered) = &given.steered {
        reach = reach.given(steered.clone(), &slip_rate);
    }
    let mut edges = edges(evidence, question);
    if let Some(refuted) = &given.refuted {
        edges.edge_refuted = refuted.edge(question.sampling());
    }
    let steered = &reach.steered.rate;
    let mut figures = Figures {
        games: slip.n,
        occurrence: occurrence(evidence, question),
        worth: edges.worth(steered, &slip_rate),
        price: edges.price(),
        net: edges.net(steered, &slip_rate),
        ahead: ahead(&reach.slips, question.ahead),
        slip_rate,
        find_rate: edges.find_rate,
        score_after_slip: edges.score_after_slip,
        edge_after_slip: edges.edge_after_slip,
        edge_refuted: edges.edge_refuted,
        edge_no_slip: edges.edge_no_slip,
        usual: edges.usual,
        steered: reach.steered,
        slips_per_1000: reach.slips,
        verdict: super::Verdict { codes: Vec::new(), sentence: String::new() },
    };
    figures.verdict = verdict(evidence, question, &figures, reach.thin);
    figures
}

/// One row a band with a game in the trap position or after the slip.
fn bands(evidence: &Evidence, question: &Question) -> Vec<BandRow> {
    let row = |band| {
        let range = BandRange::only(band);
        let only = MoverFilter { bands: range, ..question.filter };
        let replies = evidence.replies(true, only).plus(evidence.replies(false, only));
        let seen = evidence.slip.split(only).n + replies.games() > 0;
        seen.then(|| BandRow {
            from: range.from,
            below: range.below,
            figures: figures(evidence, &question.about(only), &Given::default()),
        })
    };
    question.filter.bands.bands().filter_map(row).collect()
}

/// The figures of the paces at which games are played over the board or online.
fn by_pace(evidence: &Evidence, question: &Question) -> Vec<PaceRow> {
    let paces = [Pace::Bullet, Pace::Blitz, Pace::Rapid, Pace::Classical];
    let asked = paces.into_iter().filter(|&pace| question.filter.paces.contains(pace));
    let row = |pace| {
        let only = MoverFilter { paces: PaceSet::from_iter([pace]), ..question.filter };
        PaceRow { pace, figures: figures(evidence, &question.about(only), &Given::default()) }
    };
    asked.map(row).collect()
}

/// `1. e4 e5 2. Nf3 ...` up to the refutation, the slip marked.
pub(super) fn numbered(line: &TrapLine) -> String {
    numbered_to(line, line.slip + 2)
}

/// The first `plies` moves, the slip marked if it is among them.
pub(super) fn numbered_to(line: &TrapLine, plies: usize) -> String {
    let mut position = Chess::default();
    let words = line.moves.iter().enumerate().take(plies).map(|(ply, &mv)| {
        let number = if ply % 2 == 0 { format!("{}. ", ply / 2 + 1) } else { String::new() };
        let san = SanPlus::from_move_and_play_unchecked(&mut position, mv);
        let mark = if ply == line.slip { "??" } else { "" };
        format!("{number}{san}{mark}")
    });
    words.collect::<Vec<String>>().join(" ")
}
