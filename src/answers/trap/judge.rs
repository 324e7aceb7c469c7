//! A line and its counts put together into a report.

use shakmaty::fen::Fen;

use super::advice::{Advice, AdviceGrounds, Facts};
use super::advise::order;
use super::any_order::steered_any_order;
use super::asked::Asked;
use super::cache::Cache;
use super::curve::curve;
use super::earlier::earlier_choices;
use super::evidence::{Evidence, may_lack, nodes};
use super::explain::explain;
use super::others;
use super::reach::{SideChoices, Steering, ahead, choices, slips, slips_of, steered};
use super::report::{
    BandRow, Figures, PaceRow, Steered, TrapAnswer, TrapReport, Verdict, is_not_to_lay,
};
use super::scores::score_effects;
use super::soundness::Soundness;
use super::verdict::codes;
use super::worth::edges;
use crate::answers::edge::rating_difference;
use crate::answers::{Figure, Question, Sample};
use crate::counts::Counts;
use crate::lines::Trap;
use crate::terms::{BandRange, EN_PASSANT, MoverFilter, Pace, PaceSet};

/// Judges one trap.
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

/// The figures of [`judge_cached`] over the whole filter, and whether they and the soundness say
/// that it is no trap to lay.
pub(in crate::answers) fn figures_with<C: Counts>(
    cache: &Cache<'_, C>,
    trap: &Trap,
    question: &Question,
    overrides: &Overrides,
) -> Result<(Figures, bool), C::Error> {
    let evidence = Evidence::look_up(cache, trap)?;
    let figures = figures(&evidence, &Asked::new(question, cache.effects()), overrides).0;
    let is_not_to_lay = is_not_to_lay(&figures, &Soundness::of(&evidence));
    Ok((figures, is_not_to_lay))
}

/// What victims score in the trap position without the slip; of too few games what they score in
/// all games of that colour.
fn at_stake(evidence: &Evidence, asked: &Asked<'_>) -> Figure {
    let held = asked.sampling(score_effects(evidence, asked).held);
    let known = evidence.by_victims(false, asked.filter()).swapped().score(held);
    if known.value.is_some() {
        return known;
    }
    let all = evidence.totals.sum(evidence.trap.victim(), asked.filter());
    asked.question.sampling().score(all.wins, all.draws, all.losses())
}

/// [`judge`] with some of the figures over the whole filter given; rows of bands and paces
/// keep their own.
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
    let asked = Asked::new(question, cache.effects());
    let (figures, steering) = figures(&evidence, &asked, overrides);
    let (any_order, orders) = steered_any_order(cache, trap, &figures.steered.rate, &asked)?;
    let soundness = Soundness::of(&evidence);
    let grounds = grounds(&evidence, &asked, &figures, &soundness);
    // Every second half-move before the bait is the setter's.
    let bait = trap.bait_ply().unwrap_or(0);
    let earlier = nodes(cache, trap, (bait % 2..bait).step_by(2))?;
    Ok(TrapReport {
        name: trap.name().to_owned(),
        setter: trap.setter(),
        line: trap.marked(trap.slip_ply() + 2),
        trap_fen: Fen::from_position(trap.position(), EN_PASSANT).to_string(),
        bait: evidence.bait.as_ref().map(|bait| bait.san.clone()),
        slip: evidence.slip.san.clone(),
        refutation: trap.line().san(trap.slip_ply() + 1),
        steered_any_order: any_order,
        slips: others::slips(&evidence, &asked, &figures.slip_rate),
        refutations: others::refutations(&evidence, &asked, &figures.find_rate),
        other_ways: trap.other_ways().iter().map(|way| way.text(0..way.len())).collect(),
        time: others::time(&evidence, &asked),
        bands: bands(&evidence, &asked),
        earlier_choices: earlier_choices(cache, &earlier, &asked)?,
        curve: curve(&evidence, &asked),
        by_pace: if question.by_pace { by_pace(&evidence, &asked) } else { Vec::new() },
        explain: question.explain.then(|| explain(&evidence, &asked, &steering, orders)),
        advice: Advice::of(&figures, &soundness, &grounds),
        grounds,
        figures,
        eco: opening.clone().and_then(|tag| text(tag.eco)),
        opening: opening.and_then(|tag| text(tag.name)),
        choices: choices(&evidence.choices, &asked),
        paces: evidence.paces(question.filter),
        expected,
        rating_difference: expected.and_then(rating_difference),
        may_lack: may_lack(evidence.nodes().chain(&earlier)),
        at_stake: soundness.mate_in().map(|_| at_stake(&evidence, &asked)),
        soundness,
    })
}

/// What the advice rests on besides: if the figures leave something open, what wider
/// filters say of it.
fn grounds(
    evidence: &Evidence,
    asked: &Asked<'_>,
    known: &Figures,
    soundness: &Soundness,
) -> AdviceGrounds {
    let (filter, cutoffs) = (asked.filter(), asked.question.cutoffs);
    if Facts::of(known, soundness, cutoffs).are_known() {
        return AdviceGrounds { cutoffs, wider: Vec::new() };
    }
    let (bands, paces) = (BandRange::ALL, PaceSet::ALL);
    let mut wider = vec![
        MoverFilter { paces, ..filter },
        MoverFilter { bands, ..filter },
        MoverFilter { bands, paces },
    ];
    wider.dedup();
    wider.retain(|wider| *wider != filter);
    let facts = |wider: MoverFilter| {
        let about = figures(evidence, &asked.about(wider), &Overrides::default()).0;
        (wider, Facts::of(&about, soundness, cutoffs))
    };
    AdviceGrounds { cutoffs, wider: wider.into_iter().map(facts).collect() }
}

/// Judges traps, in the order given: [`order`] puts them in theirs.
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

/// Traps in the order in which a lesson has them for those who lay them.
pub fn in_teaching_order<C: Counts>(
    counts: &C,
    traps: Vec<Trap>,
    question: &Question,
) -> Result<Vec<Trap>, C::Error> {
    let reports = judge_all(counts, &traps, question)?.traps;
    let mut judged: Vec<(TrapReport, Trap)> = reports.into_iter().zip(traps).collect();
    judged.sort_by(|(a, _), (b, _)| order(a, b));
    Ok(judged.into_iter().map(|(_, trap)| trap).collect())
}

/// The figures under the question's filter, and what steering is made of.
fn figures(evidence: &Evidence, asked: &Asked<'_>, overrides: &Overrides) -> (Figures, Steering) {
    let (filter, question) = (asked.filter(), &asked.question);
    let (slip, slip_rate) = (asked.split(&evidence.slip), asked.share(&evidence.slip));
    let side = SideChoices { nodes: &evidence.choices, games: evidence.victims_games() };
    let (mut steered, steering) = steered(side, asked);
    let mut slips_per_1000 = slips(&steering, &steered.rate, &slip_rate, slip);
    if let Some(rate) = overrides.steered.clone() {
        slips_per_1000 = slips_of([("steered", &rate), ("slip_rate", &slip_rate)]);
        steered = Steered { rate, rarest: None, mixed: false, never: None };
    }
    let edges = edges(evidence, asked, overrides.refuted);
    let mut nodes = evidence.choices.iter().chain([&evidence.slip]);
    let thin = nodes.any(|node| !asked.shares(node).suffices(node.split(filter).n));
    let victim = evidence.trap.victim();
    let occurrence = asked.occurrence(&evidence.slip, victim, evidence.games_of_victims(filter));
    let figures = Figures {
        games: slip.n,
        own_slips: slips_of([("occurrence", &occurrence), ("slip_rate", &slip_rate)]),
        occurrence,
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
    (figures, steering)
}

/// One row a band with a game in the trap position or after the slip; its design effects are those
/// of all bands, since a band has too few games to show its own.
fn bands(evidence: &Evidence, asked: &Asked<'_>) -> Vec<BandRow> {
    let row = |band| {
        let range = BandRange::only(band);
        let only = asked.of_bands(range);
        let seen = evidence.slip.split(only.filter()).n + evidence.refutations(only.filter()).n > 0;
        seen.then(|| BandRow {
            from: range.from,
            below: range.below,
            figures: figures(evidence, &only, &Overrides::default()).0,
        })
    };
    asked.filter().bands.bands().filter_map(row).collect()
}

/// The figures of the paces at which games are played over the board or online.
fn by_pace(evidence: &Evidence, asked: &Asked<'_>) -> Vec<PaceRow> {
    let filter = asked.filter();
    let paces = [Pace::Bullet, Pace::Blitz, Pace::Rapid, Pace::Classical];
    let within = paces.into_iter().filter(|&pace| filter.paces.contains(pace));
    let row = |pace| {
        let only = asked.about(MoverFilter { paces: PaceSet::from_iter([pace]), ..filter });
        PaceRow { pace, figures: figures(evidence, &only, &Overrides::default()).0 }
    };
    within.map(row).collect()
}
