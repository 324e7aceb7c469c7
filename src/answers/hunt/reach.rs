//! How likely games are to come to a position: a flow, layer by layer, first visits only.

use super::flow::Flow;
use super::walk::PositionId;

/// The chance of coming to one target from every position, within the half-moves that are counted.
///
/// The target takes in what reaches it: a game that comes back later is not counted again.
pub(super) struct Hits {
    chance: Vec<f64>,
    /// Positions with a chance, the target first.
    touched: Vec<PositionId>,
}

impl Hits {
    /// Nothing yet, for a number of positions; to be used again for one target after another.
    pub fn for_positions(positions: usize) -> Hits {
        Hits { chance: vec![0.0; positions], touched: Vec::new() }
    }

    /// The chance of coming to `target` from every position in at most the half-moves of the flow,
    /// by stepping back from it.
    pub fn find(&mut self, flow: &Flow, target: PositionId) {
        self.touched.drain(..).for_each(|id| self.chance[id.index()] = 0.0);
        let mut layer = vec![(target, 1.0)];
        let mut place = std::collections::HashMap::new();
        for _ in 0..flow.plies {
            let mut before: Vec<(PositionId, f64)> = Vec::new();
            place.clear();
            for &(id, chance) in &layer {
                if self.chance[id.index()] == 0.0 {
                    self.touched.push(id);
                }
                self.chance[id.index()] += chance;
                for arc in flow.back(id).iter().filter(|arc| arc.to != target) {
                    let at = *place.entry(arc.to).or_insert(before.len());
                    match before.get_mut(at) {
                        Some(known) => known.1 += chance * arc.chance,
                        None => before.push((arc.to, chance * arc.chance)),
                    }
                }
            }
            layer = before;
        }
    }

    /// The chance from a position.
    pub fn from(&self, id: PositionId) -> f64 {
        self.chance[id.index()]
    }
}

/// Expected visits of every position on the way from the start, all visits counted.
pub(super) fn visits(flow: &Flow, positions: usize) -> Vec<f64> {
    let mut visits = vec![0.0; positions];
    let mut mass = vec![0.0; positions];
    let mut layer = vec![PositionId::START];
    mass[PositionId::START.index()] = 1.0;
    for _ in 0..flow.plies {
        let arrived: Vec<f64> =
            layer.iter().map(|id| std::mem::take(&mut mass[id.index()])).collect();
        let mut next = Vec::new();
        for (&id, arrived) in layer.iter().zip(arrived) {
            visits[id.index()] += arrived;
            for arc in flow.out(id) {
                let at = &mut mass[arc.to.index()];
                if *at == 0.0 {
                    next.push(arc.to);
                }
                *at += arrived * arc.chance;
            }
        }
        layer = next;
    }
    visits
}

/// The variance of the logarithm of the chance from the start; 0 if that is 0.
///
/// The chance is a polynomial in the shares; to first order its variance is the sum over the
/// positions on the way of visits^2 times the variance of the mean chance after a move, each
/// share's variance that of a multinomial of the position's effective games. `design_effect` is
/// asked for a position's D where something there is uncertain.
pub(super) fn log_variance<E>(
    flow: &Flow,
    hits: &Hits,
    target: PositionId,
    visits: &[f64],
    mut design_effect: impl FnMut(PositionId) -> Result<f64, E>,
) -> Result<f64, E> {
    let mut variance = 0.0;
    for &id in hits.touched.iter().filter(|&&id| id != target) {
        let (visits, n) = (visits[id.index()], flow.learned[id.index()] as f64);
        let moments = flow.out(id).iter().fold((0.0, 0.0), |(first, second), arc| {
            let chance = hits.from(arc.to);
            (first + arc.chance * chance, second + arc.chance * chance * chance)
        });
        let spread = (moments.1 - moments.0 * moments.0).max(0.0);
        if visits > 0.0 && n > 0.0 && spread > 0.0 {
            variance += visits.powi(2) * spread * design_effect(id)? / n;
        }
    }
    let value = hits.from(PositionId::START);
    Ok(if value > 0.0 { variance / value.powi(2) } else { 0.0 })
}
