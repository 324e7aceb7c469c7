//! Invented games on a tree of random legal moves, with traps planted in it whose truth is known.
//!
//! Black is the victim. The tree has no transpositions. Behind White's first move and one of five
//! replies are two positions in which Black chooses: in the one there is a trap, in the other a
//! decoy. A planted effect is added to White's chances once its last move is made; everything else
//! has no effect at all.

use std::collections::HashSet;

use deadfall::counts::InMemory;
use deadfall::lines::san_text;
use deadfall::terms::{CellId, Group, Key, Outcome, Pace, Rating, expected_milli};
use rand::seq::SliceRandom;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use shakmaty::fen::Fen;
use shakmaty::{Chess, Color, EnPassantMode, Move, Position};

/// Shares of the planted slips: every ninth trap has the same.
pub const SHARES: [f64; 9] = [0.05, 0.08, 0.10, 0.15, 0.20, 0.30, 0.40, 0.50, 0.60];
/// True drops of the decoys: at the null or below it.
pub const DECOYS: [f64; 3] = [0.05, 0.03, 0.05];
/// White's merit, which no position has a part in.
const WHITE: f64 = 0.03;

/// Players of Black who come again: each plays so many games through one position in which
/// Black chooses.
#[derive(Clone, Copy)]
pub struct Habits {
    pub games: usize,
    /// Correlation of a player's scores, the position and the move being given.
    pub correlation: f64,
}

/// How much a player's choices correlate.
const CHOICES: f64 = 0.7;
/// Variance of a score between equals with a draw in five.
const SCORE_VARIANCE: f64 = 0.2;
/// The half-move that chooses between the planted slip and the other moves.
const SLIP_PLY: usize = 3;

/// One of them.
struct Player {
    random: ChaCha8Rng,
    group: Group,
    rating: u16,
    /// What is added to Black's mean score.
    strength: f64,
    /// Places of the moves that lead to the position, and of those chosen there.
    habit: Vec<usize>,
    chosen: Vec<usize>,
}

impl Player {
    fn new(seed: u64, habits: Habits) -> Player {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let group = Group::from_index(random.random_range(0..Group::COUNT)).expect("a group");
        let rating = 1450 + 100 * random.random_range(0..2u16);
        let better = (habits.correlation * SCORE_VARIANCE).sqrt();
        let strength = if random.random() { better } else { -better };
        Player { random, group, rating, strength, habit: Vec::new(), chosen: Vec::new() }
    }

    /// The move that habit picks at a half-move, if it does: on the way there always the same one,
    /// and in the position one chosen before, as often as in Polya's urn.
    fn picks(&mut self, ply: usize) -> Option<usize> {
        if ply < SLIP_PLY {
            return self.habit.get(ply).copied();
        }
        let again = self.chosen.len() as f64;
        let fresh = (1.0 - CHOICES) / CHOICES;
        let habit = ply == SLIP_PLY && self.random.random::<f64>() * (fresh + again) < again;
        habit.then(|| self.chosen[self.random.random_range(0..self.chosen.len())])
    }

    fn remember(&mut self, ply: usize, place: usize) {
        match ply {
            _ if ply == self.habit.len() && ply < SLIP_PLY => self.habit.push(place),
            SLIP_PLY => self.chosen.push(place),
            _ => {}
        }
    }
}

/// A planted trap or decoy: the truth.
pub struct Planted {
    pub fen: String,
    pub slip: String,
    pub share: f64,
    /// Points a game that the slip costs against the other moves.
    pub drop: f64,
    /// Share of the games that come to the position.
    pub reach: f64,
}

struct Node {
    position: Chess,
    moves: Vec<Choice>,
}

struct Choice {
    mv: Move,
    weight: f64,
    to: usize,
    /// What is added to White's mean score from here on.
    effect: Option<f64>,
}

/// The tree and its truth.
pub struct League {
    nodes: Vec<Node>,
    pub traps: Vec<Planted>,
    pub decoys: Vec<Planted>,
    /// Positions after a planted slip, as FEN.
    pub behind: HashSet<String>,
}

pub fn fen(position: &Chess) -> String {
    Fen::from_position(position, EnPassantMode::Legal).to_string()
}

impl League {
    /// A tree from a seed.
    pub fn planted(seed: u64) -> League {
        League::grown(seed, true)
    }

    /// The same with decoys in the place of the traps, all at the null.
    pub fn of_decoys(seed: u64) -> League {
        League::grown(seed, false)
    }

    fn grown(seed: u64, with_traps: bool) -> League {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let root = Node { position: Chess::default(), moves: Vec::new() };
        let (traps, decoys) = (Vec::new(), Vec::new());
        let mut league = League { nodes: vec![root], traps, decoys, behind: HashSet::new() };
        let mut taken = HashSet::from([Key::of(&Chess::default())]);
        let mut grow = |league: &mut League, at: usize, weights: &[f64]| {
            league.grow(at, weights, &mut taken, &mut random)
        };
        for first in grow(&mut league, 0, &[1.0; 6]) {
            for reply in grow(&mut league, first, &[0.25, 0.25, 0.2, 0.2, 0.1]) {
                let reach = league.reach(first, reply);
                let third = grow(&mut league, reply, &[0.6, 0.4]);
                for (kind, at) in third.into_iter().enumerate() {
                    let reach = reach * [0.6, 0.4][kind];
                    league.plant(at, (with_traps, kind == 0), reach, &mut grow);
                }
            }
        }
        league
    }

    fn reach(&self, first: usize, reply: usize) -> f64 {
        let weight = |at: usize, to: usize| {
            let moves = &self.nodes[at].moves;
            let sum: f64 = moves.iter().map(|choice| choice.weight).sum();
            moves.iter().find(|choice| choice.to == to).expect("a child").weight / sum
        };
        weight(0, first) * weight(first, reply)
    }

    /// Plants a trap or a decoy, with quiet moves behind every choice.
    fn plant(
        &mut self,
        at: usize,
        (with_traps, first): (bool, bool),
        reach: f64,
        grow: &mut impl FnMut(&mut League, usize, &[f64]) -> Vec<usize>,
    ) {
        let trap = with_traps && first;
        let place = if trap { self.traps.len() } else { self.decoys.len() };
        let share = if trap { SHARES[place % SHARES.len()] } else { 0.25 };
        let rest = (1.0 - share) / 4.0;
        let children = grow(self, at, &[share, rest, rest, rest, rest]);
        let found = [0.6, 0.75, 0.9][place % 3];
        let (refuted, missed) = if trap { (0.33, 0.05 * (place % 2) as f64) } else { (0.0, 0.0) };
        let drop = if trap {
            found * refuted + (1.0 - found) * missed
        } else {
            DECOYS[if with_traps { place % DECOYS.len() } else { 0 }]
        };
        for (index, child) in children.iter().enumerate() {
            let weights = if index == 0 {
                vec![found, (1.0 - found) / 2.0, (1.0 - found) / 2.0]
            } else {
                vec![0.7, 0.3]
            };
            let replies = grow(self, *child, &weights);
            if index == 0 {
                let effect = |reply: usize| match (trap, reply) {
                    (false, _) => drop,
                    (true, 0) => refuted,
                    (true, _) => missed,
                };
                for (reply, choice) in self.nodes[*child].moves.iter_mut().enumerate() {
                    choice.effect = Some(effect(reply));
                }
            }
            for reply in replies {
                let quiet = grow(self, reply, &[0.5, 0.3, 0.2]);
                if index == 0 {
                    self.behind.insert(fen(&self.nodes[reply].position));
                }
                for next in quiet {
                    let last = grow(self, next, &[0.6, 0.4]);
                    for end in last {
                        grow(self, end, &[0.5, 0.5]);
                    }
                }
            }
        }
        let position = &self.nodes[at].position;
        let slip = san_text(position, self.nodes[at].moves[0].mv);
        let planted = Planted { fen: fen(position), slip, share, drop, reach };
        if trap { self.traps.push(planted) } else { self.decoys.push(planted) }
    }

    /// Adds random moves that lead to new positions.
    fn grow(
        &mut self,
        at: usize,
        weights: &[f64],
        taken: &mut HashSet<Key>,
        random: &mut ChaCha8Rng,
    ) -> Vec<usize> {
        let position = self.nodes[at].position.clone();
        let mut moves: Vec<Move> = position.legal_moves().into_iter().collect();
        moves.shuffle(random);
        let mut children = Vec::new();
        for mv in moves {
            let mut next = position.clone();
            next.play_unchecked(mv);
            if children.len() == weights.len() {
                break;
            }
            if !next.is_game_over() && next.legal_moves().len() >= 5 && taken.insert(Key::of(&next))
            {
                let (to, weight) = (self.nodes.len(), weights[children.len()]);
                self.nodes.push(Node { position: next, moves: Vec::new() });
                self.nodes[at].moves.push(Choice { mv, weight, to, effect: None });
                children.push(to);
            }
        }
        assert_eq!(children.len(), weights.len(), "enough legal moves");
        children
    }

    /// Counts of so many games; without habits every side of a game is a player of its own.
    pub fn play(&self, seed: u64, games: usize, habits: Option<Habits>) -> InMemory {
        let mut random = ChaCha8Rng::seed_from_u64(seed ^ 0x5eed);
        let paces = [Pace::Bullet, Pace::Blitz, Pace::Rapid, Pace::Classical];
        let mut counts = InMemory::counting(30);
        let mut black = None;
        for game in 0..games {
            if let Some(habits) = habits.filter(|habits| game % habits.games == 0) {
                let player = (game / habits.games) as u64;
                black = Some(Player::new(seed << 32 | player, habits));
            }
            // Both sides of each game are players of their own.
            let own = Group::from_index(game % Group::COUNT).expect("a remainder");
            let groups = [own, black.as_ref().map_or(own, |black: &Player| black.group)];
            let mut ratings = [(); 2].map(|()| 1450 + 100 * random.random_range(0..2u16));
            if let Some(black) = &black {
                ratings[1] = black.rating;
            }
            let ratings = ratings.map(|points| Rating::new(points).expect("a rating"));
            let pace = paces[random.random_range(0..paces.len())];
            let ids = ratings.map(|rating| CellId::new(rating.band(), pace));
            let expected =
                [expected_milli(ratings[0], ratings[1]), expected_milli(ratings[1], ratings[0])];
            let (mut at, mut effect, mut way) = (0, 0.0, Vec::new());
            while let Some((place, choice)) = self.choose(at, random.random()) {
                let ply = way.len();
                let habit = black.as_mut().and_then(|black| black.picks(ply));
                let (place, choice) =
                    habit.map_or((place, choice), |place| (place, &self.nodes[at].moves[place]));
                if let Some(black) = &mut black {
                    black.remember(ply, place);
                }
                way.push((at, place));
                effect = choice.effect.unwrap_or(effect);
                at = choice.to;
            }
            let mean = f64::from(expected[0]) / 1000.0 + WHITE + effect;
            assert!((0.0..=1.0).contains(&mean), "a mean score is no more than a point: {mean}");
            let strength = black.as_ref().map_or(0.0, |black| black.strength);
            let mean = (mean - strength).clamp(0.0, 1.0);
            let draw = 0.4 * mean.min(1.0 - mean);
            let at = random.random::<f64>();
            let white = match () {
                () if at < mean - draw / 2.0 => Outcome::Win,
                () if at < mean + draw / 2.0 => Outcome::Draw,
                () => Outcome::Loss,
            };
            let outcomes = [white, white.reversed()];
            for (side, color) in [(0, Color::White), (1, Color::Black)] {
                counts.totals.add_game(
                    color,
                    ids[side],
                    groups[side],
                    outcomes[side],
                    expected[side],
                );
            }
            for (ply, (at, place)) in way.into_iter().enumerate() {
                let side = ply % 2;
                let Node { position, moves } = &self.nodes[at];
                let cell = counts.add_game(position, moves[place].mv, ids[side], groups[side]);
                cell.add_game(outcomes[side], expected[side]);
            }
        }
        counts
    }

    fn choose(&self, at: usize, chance: f64) -> Option<(usize, &Choice)> {
        let moves = &self.nodes[at].moves;
        let sum: f64 = moves.iter().map(|choice| choice.weight).sum();
        let mut left = chance * sum;
        let found = moves.iter().enumerate().find(|(_, choice)| {
            left -= choice.weight;
            left < 0.0
        });
        found.or_else(|| moves.iter().enumerate().next_back())
    }
}
