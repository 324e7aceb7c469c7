//! The most frequent path to every position.

use super::flow::Flow;
use super::walk::{PositionId, Walk};
use crate::terms::MoveCode;

/// One position at one half-move, on the likeliest way there.
#[derive(Clone, Copy)]
struct Stop {
    id: PositionId,
    /// The product of the shares of the moves.
    chance: f64,
    /// Place in the layer before.
    back: u32,
}

/// The likeliest path to each position at each half-move.
pub(super) struct Paths {
    layers: Vec<Vec<Stop>>,
    /// Layer and place of each position's likeliest stop.
    best: Vec<Option<(u16, u32)>>,
}

impl Paths {
    pub fn of(flow: &Flow, positions: usize) -> Paths {
        let mut paths = Paths { layers: Vec::new(), best: vec![None; positions] };
        // Where nobody comes to any position, there is no start either.
        let start = (positions > 0).then_some(Stop { id: PositionId::START, chance: 1.0, back: 0 });
        let mut layer = Vec::from_iter(start);
        const NONE: u32 = u32::MAX;
        let mut places = vec![NONE; positions];
        for depth in 0..flow.plies {
            let mut next: Vec<Stop> = Vec::new();
            for (place, stop) in layer.iter().enumerate() {
                let known = paths.best[stop.id.index()];
                let known = known
                    .map(|(depth, place)| paths.layers[usize::from(depth)][place as usize].chance);
                // A way that is longer and no likelier leads nowhere more likely.
                if known.is_some_and(|known| known >= stop.chance) {
                    continue;
                }
                paths.best[stop.id.index()] = Some((depth, place as u32));
                for arc in flow.out(stop.id) {
                    let chance = stop.chance * arc.chance;
                    let reached = Stop { id: arc.to, chance, back: place as u32 };
                    let at = &mut places[arc.to.index()];
                    if *at == NONE {
                        *at = next.len() as u32;
                        next.push(reached);
                    } else if next[*at as usize].chance < chance {
                        next[*at as usize] = reached;
                    }
                }
            }
            next.iter().for_each(|stop| places[stop.id.index()] = NONE);
            paths.layers.push(layer);
            layer = next;
        }
        paths
    }

    /// The moves of the likeliest path to a position; `None` if no game of the flow comes there.
    pub fn to(&self, walk: &Walk, id: PositionId) -> Option<Vec<MoveCode>> {
        let (depth, mut place) = self.best[id.index()]?;
        let mut stops = vec![id];
        for depth in (1..=usize::from(depth)).rev() {
            place = self.layers[depth][place as usize].back;
            stops.push(self.layers[depth - 1][place as usize].id);
        }
        stops.reverse();
        let moves = stops.windows(2).map(|pair| {
            let moves = walk.moves(pair[0]).iter().filter(|mv| mv.to == Some(pair[1]));
            moves.max_by_key(|mv| mv.games).map(|mv| mv.code)
        });
        moves.collect()
    }
}
