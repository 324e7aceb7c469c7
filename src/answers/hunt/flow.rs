//! How games flow through the walked positions: the chance of every move, forwards and backwards.

use super::Hunt;
use super::walk::{PositionId, Walk};

/// A move with its chance.
#[derive(Clone, Copy, Debug)]
pub(super) struct Arc {
    pub to: PositionId,
    pub chance: f64,
}

/// Chances of moves between positions. Victims move as they do at the level, setters too, but where
/// a repertoire says otherwise; what leads out of the walk is lost.
pub(super) struct Flow {
    out: Lists,
    back: Lists,
    /// Games that the chances of a position were learned from; 0 where they are fixed.
    pub learned: Vec<u64>,
    /// Half-moves counted from the start on: games come to a position before one of them.
    pub plies: u16,
}

/// Arcs by position, one list behind the other.
struct Lists {
    ends: Vec<u32>,
    arcs: Vec<Arc>,
}

impl Lists {
    fn of(&self, id: PositionId) -> &[Arc] {
        let first = id.index().checked_sub(1).map_or(0, |before| self.ends[before]);
        &self.arcs[first as usize..self.ends[id.index()] as usize]
    }
}

impl Flow {
    pub fn of(walk: &Walk, hunt: &Hunt) -> Flow {
        let mut out = Lists { ends: Vec::new(), arcs: Vec::new() };
        let mut learned = Vec::new();
        for id in walk.ids() {
            let here = walk.at(id);
            let own = here.ply.is_multiple_of(2) == hunt.setter.is_white();
            let repertoire = hunt.repertoire.as_ref().filter(|_| own);
            let fixed = repertoire.and_then(|repertoire| repertoire.at(here.key));
            let moves = walk.moves(id).iter();
            let moves: Vec<_> =
                moves.filter(|mv| fixed.is_none_or(|codes| codes.contains(&mv.code))).collect();
            let games: u64 = moves.iter().map(|mv| u64::from(mv.games)).sum();
            for mv in &moves {
                // Several fixed moves that nobody plays are as likely as each other.
                let chance = match (games, fixed) {
                    (0, Some(_)) => 1.0 / moves.len() as f64,
                    (0, None) => 0.0,
                    _ => f64::from(mv.games) / games as f64,
                };
                if let Some(to) = mv.to.filter(|_| chance > 0.0) {
                    out.arcs.push(Arc { to, chance });
                }
            }
            out.ends.push(out.arcs.len() as u32);
            learned.push(if fixed.is_some() { 0 } else { games });
        }
        let back = reversed(&out, walk.positions.len());
        Flow { out, back, learned, plies: walk.half_moves.saturating_sub(walk.base) }
    }

    /// The moves from a position.
    pub fn out(&self, id: PositionId) -> &[Arc] {
        self.out.of(id)
    }

    /// The moves into a position; `to` is where they come from.
    pub fn back(&self, id: PositionId) -> &[Arc] {
        self.back.of(id)
    }
}

fn reversed(out: &Lists, positions: usize) -> Lists {
    let mut ends = vec![0u32; positions];
    out.arcs.iter().for_each(|arc| ends[arc.to.index()] += 1);
    let mut sum = 0;
    for end in &mut ends {
        sum += *end;
        *end = sum;
    }
    let mut arcs = vec![Arc { to: PositionId::START, chance: 0.0 }; out.arcs.len()];
    let mut free = ends.clone();
    // From the last to the first, so that each list keeps the order of the positions.
    for id in (0..positions as u32).rev().map(PositionId) {
        for arc in out.of(id).iter().rev() {
            free[arc.to.index()] -= 1;
            arcs[free[arc.to.index()] as usize] = Arc { to: id, chance: arc.chance };
        }
    }
    Lists { ends, arcs }
}
