//! What the trap pays and costs: edges, worth, price, net.

use super::asked::{Asked, after};
use super::evidence::{Evidence, Node};
use super::report::Usual;
use super::scores::score_effects;
use crate::answers::stats::{Interval, Part, combine, pools};
use crate::answers::{Figure, Sample, Sampling, Withheld};
use crate::lines::san_text;
use crate::terms::MoverFilter;

/// The setter's edges at the places of the line.
pub(super) struct Edges {
    pub find_rate: Figure,
    pub score_after_slip: Figure,
    pub edge_after_slip: Figure,
    pub edge_refuted: Figure,
    pub edge_no_slip: Figure,
    pub usual: Usual,
    /// All setters after the slip.
    pub edge_replies: Figure,
    /// The setters who do not refute, without a minimum sample.
    edge_others: Figure,
}

/// Looks the edges up under the filter; those who refute may be `given`.
pub(super) fn edges(evidence: &Evidence, asked: &Asked<'_>, given: Option<Sample>) -> Edges {
    let filter = asked.filter();
    let effects = score_effects(evidence, asked);
    let (here, after) = (evidence.slip.lacking, after(&evidence.replies));
    let [slipped_by, victims] =
        [effects.slipped, effects.held].map(|effect| asked.sampling(effect).lacking(here));
    let [all_replies, setters] =
        [effects.replies, effects.refuted].map(|effect| asked.sampling(effect).lacking(after));
    let slipped = evidence.by_victims(true, filter);
    let (refuted, others) = (evidence.replies(true, filter), evidence.replies(false, filter));
    let edge_refuted = match given {
        Some(given) => given.edge(setters),
        None => {
            let shares = asked.shares(&evidence.slip);
            refuted_edge(&strata(evidence, filter), setters, shares)
        }
    };
    Edges {
        find_rate: asked.find_rate(&evidence.replies),
        score_after_slip: slipped.score(slipped_by),
        edge_after_slip: slipped.edge(slipped_by),
        edge_refuted,
        edge_no_slip: evidence.by_victims(false, filter).edge(victims),
        usual: usual(evidence, asked, effects.usual),
        edge_replies: refuted.plus(others).edge(all_replies),
        edge_others: others
            .edge(Sampling { min_sample: 1, ..asked.scores_after(&evidence.replies) }),
    }
}

/// Slips whose refuted games are taken together.
pub(super) struct Stratum {
    /// Which slips, by their places in the text.
    pub slips: Vec<usize>,
    /// Games of the victims with them.
    pub slipped: u64,
    /// Games of the setters who refute them.
    pub refuted: Sample,
}

/// Each slip with enough refuted games, and all others together: by games, as the bands of a
/// choice are pooled.
pub(super) fn strata(evidence: &Evidence, filter: MoverFilter) -> Vec<Stratum> {
    let refuted = |slip: usize| evidence.replies[slip].replies(true, filter);
    let mut slips: Vec<usize> = (0..evidence.replies.len()).collect();
    // A pool that is still thin takes in its neighbour: the one with the fewest games.
    slips.sort_by_key(|&slip| refuted(slip).games());
    let games: Vec<u64> = slips.iter().map(|&slip| refuted(slip).games()).collect();
    let stratum = |pool: Vec<usize>| {
        let mut slips: Vec<usize> = pool.into_iter().map(|place| slips[place]).collect();
        slips.sort_unstable();
        let slipped = slips.iter().map(|&slip| evidence.replies[slip].slipped(filter).games());
        let slipped = slipped.sum();
        let refuted = slips.iter().map(|&slip| refuted(slip)).fold(Sample::default(), Sample::plus);
        Stratum { slips, slipped, refuted }
    };
    pools(&games).into_iter().map(stratum).collect()
}

/// What setters who refute get for an average slip: each stratum counts as often as victims slip
/// so, not as often as it is refuted, since the student knows every refutation.
fn refuted_edge(strata: &[Stratum], setters: Sampling, victims: Sampling) -> Figure {
    let all = strata.iter().map(|part| part.refuted).fold(Sample::default(), Sample::plus);
    let slipped: u64 = strata.iter().map(|part| part.slipped).sum();
    if strata.len() < 2 || slipped == 0 || !setters.suffices(all.games()) {
        return all.edge(setters);
    }
    let each = Sampling { min_sample: 1, ..setters };
    let edges = strata.iter().filter_map(|part| {
        let weight = part.slipped as f64 / slipped as f64;
        part.refuted.edge(each).estimate().map(|(edge, interval)| (weight, edge, interval))
    });
    let edges: Vec<_> = edges.collect();
    let value: f64 = edges.iter().map(|(weight, edge, _)| weight * edge).sum();
    // The weights are shares of the slips: their multinomial variance.
    let spread: f64 = edges.iter().map(|(weight, edge, _)| weight * (edge - value).powi(2)).sum();
    let margin = victims.margin.z() * (spread / slipped as f64).sqrt();
    let parts = edges.iter().map(|&(weight, edge, interval)| Part::new(weight, edge, interval));
    let weights = Part::new(1.0, 0.0, Interval::new(-margin, margin));
    let interval = combine(value, &parts.chain([weights]).collect::<Vec<_>>());
    Figure::known(value, interval, all.games()).with_effect(setters.margin.design_effect)
}

/// The setters' other moves instead of the bait.
fn usual(evidence: &Evidence, asked: &Asked<'_>, effect: f64) -> Usual {
    let Some(bait) = &evidence.bait else {
        return Usual { san: None, edge: Figure::withheld(0, Withheld::NoBait) };
    };
    let edge = evidence.usual(asked.filter()).edge(asked.sampling(effect).lacking(bait.lacking));
    Usual { san: most_played_other(bait, asked.filter()), edge }
}

/// The most played move instead of the line's, SAN.
pub(super) fn most_played_other(node: &Node<'_>, filter: MoverFilter) -> Option<String> {
    let moves = node.counts.iter().flat_map(|counts| &counts.moves);
    // Sorted by code, which is by UCI text: the first of equals stays.
    let (code, _) = moves
        .filter(|mv| !node.has(mv.code))
        .map(|mv| (mv.code, mv.games(filter)))
        .filter(|&(_, games)| games > 0)
        .reduce(|best, next| if next.1 > best.1 { next } else { best })?;
    Some(san_text(node.position, code.to_move(node.position)?))
}

impl Edges {
    /// Points per 1000 games that go with knowing the refutation:
    /// 1000 s p (edge refuted - mean edge of all setters after the slip).
    ///
    /// Those who refute are among all setters, so for the interval the same number is written with
    /// independent parts: 1000 s p (1 - f) (edge refuted - edge of the others).
    pub fn worth(&self, steered: &Figure, slip_rate: &Figure) -> Figure {
        let refuted = &self.edge_refuted;
        // Where everybody refutes there are no others, and no gap. They do not make the
        // figure thinner.
        let others = if self.edge_others.value.is_some() { &self.edge_others } else { refuted };
        let others = Figure { n: refuted.n, n_eff: refuted.n_eff, ..others.clone() };
        let pieces = [
            ("steered", steered),
            ("slip_rate", slip_rate),
            // Named before the find rate, which is thin only where this is.
            ("edge_refuted", refuted),
            ("edge_replies", &self.edge_replies),
            ("find_rate", &self.find_rate),
            ("edge_refuted", refuted),
            ("edge_others", &others),
        ];
        Figure::combined(pieces, |[s, p, _, all, found, refuted, others]| {
            let (missed, gap) = (1.0 - found, refuted - others);
            let by_find = -s * p * gap;
            let of_edges = s * p * missed;
            let by = [p * missed * gap, s * missed * gap, 0.0, 0.0, by_find, of_edges, -of_edges];
            (1000.0 * s * p * (refuted - all), by.map(|by| 1000.0 * by))
        })
    }

    /// Points a game that the bait costs when the victim does not slip.
    pub fn price(&self) -> Figure {
        let pieces = [("usual", &self.usual.edge), ("edge_no_slip", &self.edge_no_slip)];
        Figure::combined(pieces, |[usual, held]| (usual - held, [1.0, -1.0]))
    }

    /// Points per 1000 games of laying the trap instead of the other moves:
    /// 1000 s (p edge refuted + (1 - p) edge without the slip - edge of the other moves).
    pub fn net(&self, steered: &Figure, slip_rate: &Figure) -> Figure {
        let pieces = [
            ("steered", steered),
            ("slip_rate", slip_rate),
            ("edge_refuted", &self.edge_refuted),
            ("edge_no_slip", &self.edge_no_slip),
            ("usual", &self.usual.edge),
        ];
        Figure::combined(pieces, |[s, p, refuted, held, usual]| {
            let a_game = p * refuted + (1.0 - p) * held - usual;
            let by = [a_game, s * (refuted - held), s * p, s * (1.0 - p), -s];
            (1000.0 * s * a_game, by.map(|by| 1000.0 * by))
        })
    }
}
