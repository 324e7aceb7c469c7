//! A line and its counts put together into a report.

use shakmaty::fen::Fen;

use super::any_order::steered_any_order;
use super::cache::Cache;
use super::curve::curve;
use super::evidence::Evidence;
use super::explain::explain;
use super::others;
use super::reach::{BandShares, Way, ahead, choices, slips, slips_of, steered};
use super::report::{BandRow, Figures, PaceRow, Steered, TrapAnswer, TrapReport, Verdict};
use super::soundness::Soundness;
use super::verdict::codes;
use super::worth::edges;
use crate::answers::edge::rating_difference;
use crate::answers::{Figure, Question, Sample};
use crate::counts::Counts;
use crate::lines::Trap;
use crate::terms::{BandRange, EN_PASSANT, MoverFilter, Pace, PaceSet};

/// Judges one trap.
///
/// # Errors
///
/// Whatever a look-up of the counts can fail with.
pub fn judge<C: Counts>(
    counts: &C,
    trap: &Trap,
    question: &Question,
) -> Result<TrapReport, C::Error> {
    judge_cached(&Cache::new(counts), trap, question, &Overrides::default())
}

/// What is known better from elsewhere than from the line's own counts.
#[derive(Clone, Debug, Default)]
pub(in crate::answers) struct Overrides {
    /// The setters' games with the refutation that its edge is taken from.
    pub refuted: Option<Sample>,
    /// How often the student gets the trap position.
    pub steered: Option<Figure>,
}

/// The figures of [`judge_cached`] over the whole filter, and nothing else.
pub(in crate::answers) fn figures_with<C: Counts>(
    cache: &Cache<'_, C>,
    trap: &Trap,
    question: &Question,
    overrides: &Overrides,
) -> Result<Figures, C::Error> {
    let evidence = Evidence::look_up(cache, trap)?;
    Ok(figures(&evidence, question, overrides).0)
}

/// [`judge`] with some of the figures over the whole filter given; rows of bands and paces keep their own.
pub(in crate::answers) fn judge_cached<C: Counts>(
    cache: &Cache<'_, C>,
    trap: &Trap,
    question: &Question,
    overrides: &Overrides,
) -> Result<TrapReport, C::Error> {
    let evidence = Evidence::look_up(cache, trap)?;
    let opening = evidence.opening().map(|opening| opening.tag.clone());
    let text = |text: String| (!text.is_empty()).then_some(text);
    let expected = evidence.by_victims(true, question.filter).expected();
    let (figures, shares) = figures(&evidence, question, overrides);
    let (any_order, orders) = steered_any_order(cache, trap, &figures.steered.rate, question)?;
    Ok(TrapReport {
        name: trap.name().to_owned(),
        setter: trap.setter(),
        line: trap.marked(evidence.reply.ply + 1),
        trap_fen: Fen::from_position(trap.position(), EN_PASSANT).to_string(),
        bait: evidence.bait.as_ref().map(|bait| bait.san.clone()),
        slip: evidence.slip.san.clone(),
        refutation: evidence.reply.san.clone(),
        steered_any_order: any_order,
        slips: others::slips(&evidence, question),
        refutations: others::refutations(&evidence, question),
        time: others::time(&evidence, question),
        bands: bands(&evidence, question),
        curve: curve(&evidence, question),
        by_pace: if question.by_pace { by_pace(&evidence, question) } else { Vec::new() },
        explain: question.explain.then(|| explain(&evidence, question, &shares, orders)),
        figures,
        eco: opening.clone().and_then(|tag| text(tag.eco)),
        opening: opening.and_then(|tag| text(tag.name)),
        choices: choices(&evidence.choices, question),
        paces: evidence.paces(question.filter),
        expected,
        rating_difference: expected.and_then(rating_difference),
        may_lack: evidence.may_lack(cache.limits().absent_may_lack),
        soundness: Soundness::of(&evidence),
    })
}

/// Judges traps in the order given.
///
/// # Errors
///
/// As [`judge`].
pub fn judge_all<C: Counts>(
    counts: &C,
    traps: &[Trap],
    question: &Question,
) -> Result<TrapAnswer, C::Error> {
    let cache = Cache::new(counts);
    let judged =
        traps.iter().map(|trap| judge_cached(&cache, trap, question, &Overrides::default()));
    Ok(TrapAnswer {
        filter: question.filter,
        cutoffs: question.cutoffs,
        min_sample: question.min_sample,
        traps: judged.collect::<Result<_, _>>()?,
        limits: counts.limits().clone(),
    })
}

/// The figures under the question's filter, and the shares that steering is made of.
fn figures(
    evidence: &Evidence,
    question: &Question,
    overrides: &Overrides,
) -> (Figures, BandShares) {
    let (filter, sampling) = (question.filter, question.sampling());
    let slip = evidence.slip.split(filter);
    let slip_rate = sampling.share(slip.k, slip.n);
    let way = Way { nodes: &evidence.choices, games: evidence.victims_games() };
    let (mut steered, shares) = steered(way, question);
    let mut slips_per_1000 = slips(&shares, &steered.rate, &slip_rate);
    if let Some(rate) = overrides.steered.clone() {
        slips_per_1000 = slips_of(&rate, &slip_rate);
        steered = Steered { rate, mixed: false, never: None };
    }
    let edges = edges(evidence, question, overrides.refuted);
    let mut nodes = evidence.choices.iter().chain([&evidence.slip]);
    let thin = nodes.any(|node| node.split(filter).n < sampling.least());
    let figures = Figures {
        games: slip.n,
        occurrence: sampling.share(slip.n, evidence.games_of_victims(filter)),
        worth: edges.worth(&steered.rate, &slip_rate),
        price: edges.price(),
        net: edges.net(&steered.rate, &slip_rate),
        ahead: ahead(&slips_per_1000, question.ahead),
        verdict: Verdict { codes: codes(&slips_per_1000, question.cutoffs, thin) },
        steered,
        slip_rate,
        find_rate: edges.find_rate,
        score_after_slip: edges.score_after_slip,
        edge_after_slip: edges.edge_after_slip,
        edge_refuted: edges.edge_refuted,
        edge_no_slip: edges.edge_no_slip,
        usual: edges.usual,
        slips_per_1000,
    };
    (figures, shares)
}

/// One row a band with a game in the trap position or after the slip.
fn bands(evidence: &Evidence, question: &Question) -> Vec<BandRow> {
    let row = |band| {
        let range = BandRange::only(band);
        let only = MoverFilter { bands: range, ..question.filter };
        let seen = evidence.slip.split(only).n + evidence.reply.split(only).n > 0;
        seen.then(|| BandRow {
            from: range.from,
            below: range.below,
            figures: figures(evidence, &question.about(only), &Overrides::default()).0,
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
        let figures = figures(evidence, &question.about(only), &Overrides::default()).0;
        PaceRow { pace, figures }
    };
    asked.map(row).collect()
}
