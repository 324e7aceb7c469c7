//! What the trap pays and costs: edges, worth, price, net.

use shakmaty::san::SanPlus;

use super::Usual;
use super::evidence::Evidence;
use crate::answers::figure::Estimate;
use crate::answers::stats::{Part, combine};
use crate::answers::{Mean, Question, Rate, Sampling, Withheld};
use crate::terms::MoverFilter;

/// The setter's edges at the places of the line.
pub(super) struct Edges {
    pub find_rate: Rate,
    pub score_after_slip: Mean,
    pub edge_after_slip: Mean,
    pub edge_refuted: Mean,
    pub edge_no_slip: Mean,
    pub usual: Usual,
    /// All setters after the slip.
    edge_replies: Mean,
    /// The setters who do not refute, without a minimum sample.
    edge_others: Mean,
}

/// Looks the edges up under the filter.
pub(super) fn edges(evidence: &Evidence, question: &Question) -> Edges {
    let (filter, sampling) = (question.filter, question.sampling());
    let slipped = evidence.by_victims(true, filter);
    let (refuted, others) = (evidence.replies(true, filter), evidence.replies(false, filter));
    let found = refuted.games();
    let replies = found + others.games();
    let (find_rate, edge_refuted) = match evidence.refutation {
        Some(_) => (Rate::of(found, replies, sampling), refuted.edge(sampling)),
        None => {
            let why = Withheld::NoRefutation;
            (Rate::withheld(0, replies, why.clone()), Mean::withheld(0, why))
        }
    };
    Edges {
        find_rate,
        score_after_slip: slipped.score(sampling),
        edge_after_slip: slipped.edge(sampling),
        edge_refuted,
        edge_no_slip: evidence.by_victims(false, filter).edge(sampling),
        usual: usual(evidence, filter, sampling),
        edge_replies: refuted.plus(others).edge(sampling),
        edge_others: others.edge(Sampling { min_sample: 1, ..sampling }),
    }
}

/// The setters' other moves instead of the bait.
fn usual(evidence: &Evidence, filter: MoverFilter, sampling: Sampling) -> Usual {
    let Some(bait) = &evidence.bait else {
        return Usual { san: None, edge: Mean::withheld(0, Withheld::NoBait) };
    };
    let counts = bait.counts.as_deref();
    let other = |code| code != bait.code;
    let moves = counts.into_iter().flat_map(|counts| &counts.moves);
    // Sorted by code, which is by UCI text: the first of equals stays.
    let most = moves
        .filter(|mv| other(mv.code))
        .map(|mv| (mv.code, mv.sum(filter).games))
        .filter(|&(_, games)| games > 0)
        .reduce(|best, next| if next.1 > best.1 { next } else { best });
    let san = most.and_then(|(code, _)| {
        let mv = code.to_move(&bait.position)?;
        Some(SanPlus::from_move(bait.position.clone(), mv).to_string())
    });
    Usual { san, edge: evidence.usual(filter).edge(sampling) }
}

impl Edges {
    /// Points per 1000 games that go with knowing the refutation:
    /// 1000 s p (edge refuted - mean edge of all setters after the slip).
    ///
    /// Those who refute are among all setters, so for the interval the same number is written with
    /// independent parts: 1000 s p (1 - f) (edge refuted - edge of the others).
    pub fn worth(&self, steered: &Rate, slip_rate: &Rate) -> Mean {
        let n = steered.n.min(slip_rate.n).min(self.edge_refuted.n);
        let result = || {
            let s = steered.as_piece("steered")?;
            let p = slip_rate.as_piece("slip rate")?;
            let refuted = self.edge_refuted.as_piece("edge refuted")?;
            let all = self.edge_replies.as_piece("edge of all replies")?;
            let found = self.find_rate.as_piece("find rate")?;
            let value = 1000.0 * s.value * p.value * (refuted.value - all.value);
            let missed = 1.0 - found.value;
            // Where everybody refutes there are no others, and no gap.
            let others = self.edge_others.as_piece("edge of the other replies").unwrap_or(refuted);
            let gap = refuted.value - others.value;
            let part = |derivative: f64, of: Estimate| {
                Part::new(1000.0 * derivative, of.value, of.interval)
            };
            let parts = [
                part(p.value * missed * gap, s),
                part(s.value * missed * gap, p),
                part(-s.value * p.value * gap, found),
                part(s.value * p.value * missed, refuted),
                part(-s.value * p.value * missed, others),
            ];
            Ok(Estimate { value, interval: combine(value, &parts) })
        };
        Mean::from_result(result(), n)
    }

    /// Points a game that the bait costs when the victim does not slip.
    pub fn price(&self) -> Mean {
        let n = self.usual.edge.n.min(self.edge_no_slip.n);
        let result = || {
            let usual = self.usual.edge.as_piece("edge of the usual moves")?;
            let held = self.edge_no_slip.as_piece("edge without the slip")?;
            let value = usual.value - held.value;
            let parts = [
                Part::new(1.0, usual.value, usual.interval),
                Part::new(-1.0, held.value, held.interval),
            ];
            Ok(Estimate { value, interval: combine(value, &parts) })
        };
        Mean::from_result(result(), n)
    }

    /// Points per 1000 games of laying the trap instead of the usual moves:
    /// 1000 s (p edge refuted + (1 - p) edge without the slip - edge of the usual moves).
    pub fn net(&self, steered: &Rate, slip_rate: &Rate) -> Mean {
        let pieces = [&self.edge_refuted, &self.edge_no_slip, &self.usual.edge];
        let n = pieces.iter().map(|piece| piece.n).fold(steered.n.min(slip_rate.n), u64::min);
        let result = || {
            let s = steered.as_piece("steered")?;
            let p = slip_rate.as_piece("slip rate")?;
            let refuted = self.edge_refuted.as_piece("edge refuted")?;
            let held = self.edge_no_slip.as_piece("edge without the slip")?;
            let usual = self.usual.edge.as_piece("edge of the usual moves")?;
            let a_game = p.value * refuted.value + (1.0 - p.value) * held.value - usual.value;
            let value = 1000.0 * s.value * a_game;
            let part = |derivative: f64, of: Estimate| {
                Part::new(1000.0 * derivative, of.value, of.interval)
            };
            let parts = [
                part(a_game, s),
                part(s.value * (refuted.value - held.value), p),
                part(s.value * p.value, refuted),
                part(s.value * (1.0 - p.value), held),
                part(-s.value, usual),
            ];
            Ok(Estimate { value, interval: combine(value, &parts) })
        };
        Mean::from_result(result(), n)
    }
}
