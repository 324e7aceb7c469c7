//! How often the trap position arises when the victim may play the line's moves in any order.

use std::collections::BTreeMap;

use shakmaty::{Chess, Position};

use super::asked::Asked;
use super::cache::Cache;
use super::explanation::{Followed, Order};
use crate::answers::stats::{Factor, Next, PathSum, T_95};
use crate::answers::{Figure, Withheld};
use crate::counts::{Counts, MoveCounts};
use crate::lines::Trap;
use crate::terms::{Key, MoveCode};

/// The most moves of the victim before the slip: 2^12 sets of moves played.
pub(super) const MOST_MOVES: usize = 12;

/// The chance that the trap position arises at its own ply if the setter plays the line's moves in
/// their order and the victim the line's own moves in any legal order; `steered` is the same for
/// the line's order alone.
///
/// The shares are those of all movers of the filter together, in every position on every such way.
/// A way through a position that was not kept, or without games by such movers, counts as 0. It
/// leaves out what needs another order of the setter's moves, other moves of the victim that lead
/// to the same position, and the trap position at another ply.
pub(super) fn steered_any_order<C: Counts>(
    cache: &Cache<'_, C>,
    trap: &Trap,
    steered: &Figure,
    asked: &Asked<'_>,
) -> Result<(Figure, Vec<Order>), C::Error> {
    let moves = trap.slip_ply() / 2;
    // Behind the half-moves that are counted no order is known.
    if moves == 0 || steered.withheld.as_ref().is_some_and(|why| why.beyond().is_some()) {
        return Ok((steered.clone(), Vec::new()));
    }
    if moves > MOST_MOVES {
        let why = Withheld::TooLong { moves, most: MOST_MOVES };
        let withheld = Figure::withheld(steered.n, why).with_k(steered.k.unwrap_or(0));
        return Ok((withheld, Vec::new()));
    }
    let mut walk = Walk::new(cache, trap, asked);
    let start = walk.node(&walk.setter_moves_first(), 0)?;
    let Some(Next::Node(start)) = start else {
        return Ok((steered.clone(), walk.told));
    };
    let value = walk.sum.value(start);
    // Then the line's own order is one of those that nobody plays.
    let Some(Factor { k, n, design_effect }) = walk.sum.thinnest(start) else {
        return Ok((steered.clone(), walk.told));
    };
    let sampling = asked.question.sampling().with_effect(design_effect);
    let rate = match sampling.suffices(n) {
        true => Figure::known(value, walk.sum.interval(start, T_95), n).with_effect(design_effect),
        false => sampling.withheld(n),
    };
    Ok((rate.with_k(k), walk.told))
}

/// The positions behind every set of the victim's moves that can be played.
struct Walk<'a, 'c, C> {
    cache: &'c Cache<'a, C>,
    asked: &'c Asked<'c>,
    /// The victim's moves before the slip.
    victim: Vec<MoveCode>,
    /// The setter's moves; the first is played before the victim's first if the setter is White.
    setter: Vec<MoveCode>,
    setter_first: bool,
    goal: Key,
    sum: PathSum,
    /// By set of moves played and position; `None` where no way leads on.
    known: BTreeMap<(u16, Key), Option<Next>>,
    /// The positions, if they are asked for.
    told: Vec<Order>,
}

impl<'a, 'c, C: Counts> Walk<'a, 'c, C> {
    fn new(cache: &'c Cache<'a, C>, trap: &Trap, asked: &'c Asked<'c>) -> Walk<'a, 'c, C> {
        let slip = trap.slip_ply();
        let side = |victim: bool| {
            let before = trap.line().moves().iter().take(slip).enumerate();
            let ours = before.filter(|(ply, _)| (ply % 2 == slip % 2) == victim);
            ours.map(|(_, &mv)| MoveCode::of(mv)).collect::<Vec<_>>()
        };
        Walk {
            cache,
            asked,
            victim: side(true),
            setter: side(false),
            setter_first: slip % 2 == 1,
            goal: Key::of(trap.position()),
            sum: PathSum::default(),
            known: BTreeMap::new(),
            told: Vec::new(),
        }
    }

    /// The position of the victim's first choice.
    fn setter_moves_first(&self) -> Chess {
        let mut position = Chess::default();
        if self.setter_first
            && let Some(mv) = self.setter[0].to_move(&position)
        {
            position.play_unchecked(mv);
        }
        position
    }

    /// The node of the position in which the victim has played the moves in the set `played`.
    fn node(&mut self, position: &Chess, played: u16) -> Result<Option<Next>, C::Error> {
        let key = Key::of(position);
        let all = (1 << self.victim.len()) - 1;
        if played == all {
            return Ok((key == self.goal).then_some(Next::Goal));
        }
        if let Some(&known) = self.known.get(&(played, key)) {
            return Ok(known);
        }
        let counts = self.cache.position(key)?;
        let mut choices = Vec::new();
        let filter = self.asked.filter();
        let games_of = |mv: &MoveCounts| mv.games(filter);
        let moves = || counts.iter().flat_map(|counts| &counts.moves);
        // Without games here no way leads on, so what lies behind need not be looked at.
        if counts.is_some() {
            for (index, &code) in self.victim.clone().iter().enumerate() {
                let open = |other: usize| played & (1 << other) == 0;
                // Of two equal moves the first counts, or each way would count twice.
                let again = (0..index).any(|other| open(other) && self.victim[other] == code);
                if !open(index) || again {
                    continue;
                }
                let Some(next) = self.after(position, code, played) else { continue };
                let Some(next) = self.node(&next, played | 1 << index)? else { continue };
                let k = moves().filter(|mv| mv.code == code).map(games_of).sum();
                choices.push((code, k, next));
            }
        }
        let games = if choices.is_empty() { 0 } else { moves().map(games_of).sum() };
        if self.asked.question.explain && !choices.is_empty() {
            let followed =
                |(code, k, _): &(MoveCode, u64, Next)| Followed { uci: code.to_string(), k: *k };
            let moves = choices.iter().map(followed).collect();
            self.told.push(Order { key: key.to_string(), n: games, moves });
        }
        let choices: Vec<(u64, Next)> = choices.into_iter().map(|(_, k, next)| (k, next)).collect();
        let node = (!choices.is_empty()).then(|| {
            let effect = self.asked.effect_at(key, counts.as_deref()).share;
            Next::Node(self.sum.node(games, effect, &choices))
        });
        self.known.insert((played, key), node);
        Ok(node)
    }

    /// The position after the victim's move and the setter's next one, if both are legal.
    fn after(&self, position: &Chess, code: MoveCode, played: u16) -> Option<Chess> {
        let mut position = position.clone();
        position.play_unchecked(code.to_move(&position)?);
        let reply = played.count_ones() as usize + usize::from(self.setter_first);
        let reply = self.setter.get(reply)?.to_move(&position)?;
        position.play_unchecked(reply);
        Some(position)
    }
}
