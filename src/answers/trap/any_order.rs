//! How often the trap position arises when the victim may play the line's moves in any order.

use std::collections::BTreeMap;

use shakmaty::{Chess, Position};

use super::TrapLine;
use super::cache::Cache;
use super::evidence::split;
use crate::answers::stats::{Next, PathSum};
use crate::answers::{Question, Rate, Withheld};
use crate::counts::Counts;
use crate::terms::{Key, MoveCode};

/// The most moves of the victim before the slip: 2^12 sets of moves played.
pub(super) const MOST_MOVES: usize = 12;

/// The chance that the trap position arises at its own ply if the setter plays the line's moves in their order and the victim
/// the line's own moves in any legal order; `steered` is the same for the line's order alone.
///
/// The shares are those of all movers of the filter together, in every position on every such way. A way through a position that
/// was not kept, or without games by such movers, counts as 0. It leaves out what needs another order of the setter's moves, other moves
/// of the victim that lead to the same position, and the trap position at another ply.
///
/// # Errors
///
/// Whatever a look-up of the counts can fail with.
pub(super) fn steered_any_order<C: Counts>(
    cache: &Cache<'_, C>,
    line: &TrapLine,
    steered: &Rate,
    question: &Question,
) -> Result<(Rate, Vec<String>), C::Error> {
    let moves = line.slip / 2;
    if moves == 0 {
        return Ok((steered.clone(), Vec::new()));
    }
    if moves > MOST_MOVES {
        let why = Withheld::TooLong { moves, most: MOST_MOVES };
        return Ok((Rate::withheld(steered.k, steered.n, why), Vec::new()));
    }
    let mut walk = Walk::new(cache, line, question);
    let start = walk.node(&walk.setter_moves_first(), 0)?;
    let Some(Next::Node(start)) = start else {
        return Ok((steered.clone(), walk.told));
    };
    let value = walk.sum.value(start);
    // Then the line's own order is one of those that nobody plays.
    let Some((k, n)) = walk.sum.thinnest(start) else {
        return Ok((steered.clone(), walk.told));
    };
    let needed = question.min_sample.max(1);
    let rate = match n < needed {
        true => Rate::withheld(k, n, Withheld::TooFew { n, needed }),
        false => Rate::known(value, walk.sum.interval(start), k, n),
    };
    Ok((rate, walk.told))
}

/// The positions behind every set of the victim's moves that can be played.
struct Walk<'a, 'c, C> {
    cache: &'c Cache<'a, C>,
    question: &'c Question,
    /// The victim's moves before the slip.
    victim: Vec<MoveCode>,
    /// The setter's moves; the first is played before the victim's first if the setter is White.
    setter: Vec<MoveCode>,
    setter_first: bool,
    goal: Key,
    sum: PathSum,
    /// By set of moves played and position; `None` where no way leads on.
    known: BTreeMap<(u16, Key), Option<Next>>,
    /// The positions in words, if they are asked for.
    told: Vec<String>,
}

impl<'a, 'c, C: Counts> Walk<'a, 'c, C> {
    fn new(cache: &'c Cache<'a, C>, line: &TrapLine, question: &'c Question) -> Walk<'a, 'c, C> {
        let before = || line.moves.iter().take(line.slip).enumerate();
        let side = |victim: bool| {
            let ours = before().filter(|(ply, _)| (ply % 2 == line.slip % 2) == victim);
            ours.map(|(_, &mv)| MoveCode::of(mv)).collect::<Vec<_>>()
        };
        let mut goal = Chess::default();
        before().for_each(|(_, &mv)| goal.play_unchecked(mv));
        Walk {
            cache,
            question,
            victim: side(true),
            setter: side(false),
            setter_first: line.slip % 2 == 1,
            goal: Key::of(&goal),
            sum: PathSum::in_clusters(question.cluster),
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
        let mut games = 0;
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
                let split = split(counts.as_deref(), code, self.question.filter);
                games = split.n;
                choices.push((code, split.k, next));
            }
        }
        if self.question.explain && !choices.is_empty() {
            self.tell(key, games, &choices);
        }
        let choices: Vec<(u64, Next)> = choices.into_iter().map(|(_, k, next)| (k, next)).collect();
        let node = (!choices.is_empty()).then(|| Next::Node(self.sum.node(games, &choices)));
        self.known.insert((played, key), node);
        Ok(node)
    }

    fn tell(&mut self, key: Key, games: u64, choices: &[(MoveCode, u64, Next)]) {
        let moves = choices.iter().map(|(code, k, _)| format!("{code} {k}/{games}"));
        let moves: Vec<String> = moves.collect();
        self.told.push(format!("{key}: {}", moves.join(", ")));
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
