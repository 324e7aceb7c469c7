//! A walk over the stored positions: breadth first, layer by layer, transpositions joined.

use shakmaty::{Chess, Move, Position};

use super::Hunt;
use crate::answers::effect::behind;
use crate::counts::{Counts, GroupsOf, MoveCounts};
use crate::terms::{Key, KeyMap, MoveCode, MoverFilter};

/// How far a hunt has come, for whoever waits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Half-moves walked.
    pub half_moves: u16,
    /// Half-moves that the counts reach.
    pub of: u16,
    /// Positions met.
    pub positions: u64,
}

/// Place of a position among those walked; the start is 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct PositionId(pub u32);

impl PositionId {
    pub const START: PositionId = PositionId(0);

    pub fn index(self) -> usize {
        self.0 as usize
    }
}

/// A position as the walk first met it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Walked {
    pub key: Key,
    /// Half-moves from the initial position.
    pub ply: u16,
    /// From where, and by which move; the start leads to itself.
    from: (PositionId, MoveCode),
    /// Where its moves stand among all moves.
    moves: (u32, u32),
}

/// A move played in a walked position by movers of the filter.
#[derive(Clone, Copy, Debug)]
pub(super) struct PlayedMove {
    pub code: MoveCode,
    /// The position behind it, if that was walked too.
    pub to: Option<PositionId>,
    pub games: u32,
}

/// All positions met.
pub(super) struct Walk {
    pub positions: Vec<Walked>,
    moves: Vec<PlayedMove>,
    start: Chess,
    pub base: u16,
    pub half_moves: u16,
}

/// Games that come to a position by one move of the layer before.
#[derive(Clone, Copy)]
struct Arrival {
    key: Key,
    from: (PositionId, MoveCode),
    /// Of all movers.
    games: u64,
}

/// A position that was looked up.
struct Met<S> {
    board: Chess,
    moves: Vec<Departure>,
    seen: S,
}

/// A move that leads on from there.
struct Departure {
    code: MoveCode,
    /// By movers of the filter.
    games: u32,
    /// By all movers.
    all: u64,
    behind: Key,
}

impl Walk {
    /// Walks from the end of the hunt's line on. `see` gets every position once with the moves
    /// played there and, if it asks for them, their games by group, perhaps several side by side;
    /// what it makes of them is handed to `keep` in the order of the walk.
    ///
    /// A position is looked up once a layer brings it at least a twentieth of the games that a test
    /// needs, or the repertoire leads there. Games come to a position in at most half as many
    /// layers as there are half-moves, so nothing that could be tested is passed over unless it is
    /// reached only through positions that are themselves that rare.
    pub fn of<C: Counts, S: Send>(
        counts: &C,
        hunt: &Hunt,
        filter: MoverFilter,
        watch: &mut impl FnMut(Progress),
        see: impl Fn(&Chess, &[MoveCounts], &GroupsOf<'_>) -> S + Sync,
        mut keep: impl FnMut(PositionId, S),
    ) -> Result<Walk, C::Error> {
        let least = (hunt.reached / 20).max(1);
        let base = u16::try_from(hunt.line.len()).unwrap_or(u16::MAX);
        let half_moves = counts.limits().half_moves;
        let start = hunt.line.end().clone();
        let mut walk = Walk {
            positions: Vec::new(),
            moves: Vec::new(),
            start: start.clone(),
            base,
            half_moves,
        };
        let mut met: KeyMap<PositionId> = KeyMap::default();
        // Keys of the positions behind the moves, until all are met.
        let mut behind: Vec<Key> = Vec::new();
        let nowhere = (
            PositionId::START,
            MoveCode::of(Move::Put { role: shakmaty::Role::Pawn, to: shakmaty::Square::A1 }),
        );
        let mut arrivals = vec![Arrival { key: Key::of(&start), from: nowhere, games: u64::MAX }];
        // The boards of the layer before, from the node `first` on.
        let (mut boards, mut first) = (vec![start], PositionId::START);
        for ply in base..half_moves {
            let wanted = wanted(arrivals, least, &met);
            let keys: Vec<Key> = wanted.iter().map(|arrival| arrival.key).collect();
            let meet = |place: usize, found: &[MoveCounts], groups: &GroupsOf<'_>| {
                let Arrival { key, from, .. } = wanted[place];
                let mut board = boards[from.0.index() - first.index()].clone();
                if ply > base {
                    board.play_unchecked(from.1.to_move(&board).expect("the walk has played it"));
                }
                let seen = see(&board, found, groups);
                Met { moves: departures(hunt, filter, key, &board, found), board, seen }
            };
            let (mut next, mut boards_of_layer) = (Vec::new(), Vec::new());
            let first_of_layer = walk.positions.len() as u32;
            counts.moves_of_many(&keys, meet, |place, Met { board, moves, seen }| {
                let Arrival { key, from, .. } = wanted[place];
                let id = PositionId(
                    u32::try_from(walk.positions.len()).expect("fewer than 2^32 positions"),
                );
                met.insert(key, id);
                keep(id, seen);
                let first_move = walk.moves.len() as u32;
                for Departure { code, games, all, behind: key } in moves {
                    walk.moves.push(PlayedMove { code, to: None, games });
                    behind.push(key);
                    next.push(Arrival { key, from: (id, code), games: all });
                }
                let moves = (first_move, walk.moves.len() as u32);
                walk.positions.push(Walked { key, ply, from, moves });
                boards_of_layer.push(board);
            })?;
            (arrivals, boards, first) = (next, boards_of_layer, PositionId(first_of_layer));
            let positions = walk.positions.len() as u64;
            watch(Progress { half_moves: ply + 1, of: half_moves, positions });
        }
        for (mv, key) in walk.moves.iter_mut().zip(behind) {
            mv.to = met.get(&key).copied();
        }
        Ok(walk)
    }

    pub fn at(&self, id: PositionId) -> &Walked {
        &self.positions[id.index()]
    }

    /// The moves played there.
    pub fn moves(&self, id: PositionId) -> &[PlayedMove] {
        let (first, end) = self.at(id).moves;
        &self.moves[first as usize..end as usize]
    }

    pub fn ids(&self) -> impl DoubleEndedIterator<Item = PositionId> + use<> {
        (0..self.positions.len() as u32).map(PositionId)
    }

    /// The position behind a move, if that was walked.
    pub fn behind(&self, id: PositionId, code: MoveCode) -> Option<PositionId> {
        self.moves(id).iter().find(|mv| mv.code == code)?.to
    }

    /// The key of the position behind a move, walked or not; none of a code that is no
    /// legal move there.
    pub fn key_behind(&self, id: PositionId, code: MoveCode) -> Option<Key> {
        if let Some(to) = self.behind(id, code) {
            return Some(self.at(to).key);
        }
        let board = self.board(id);
        Some(behind(self.at(id).key, &board, code.to_move(&board)?))
    }

    /// The moves that first led to a position.
    pub fn first_moves(&self, id: PositionId) -> Vec<MoveCode> {
        let mut codes = Vec::new();
        let mut at = id;
        while at != PositionId::START {
            let (from, code) = self.at(at).from;
            codes.push(code);
            at = from;
        }
        codes.reverse();
        codes
    }

    /// The board of a position, by the moves that first led there.
    pub fn board(&self, id: PositionId) -> Chess {
        let mut position = self.start.clone();
        for code in self.first_moves(id) {
            let mv = code.to_move(&position).expect("the walk has played it");
            position.play_unchecked(mv);
        }
        position
    }
}

/// The first arrival at each position that enough games come to and that was not met before, in the
/// order of a store, so that each part of it is read once a layer.
fn wanted(mut arrivals: Vec<Arrival>, least: u64, met: &KeyMap<PositionId>) -> Vec<Arrival> {
    // Too few games come to most positions. Sums over all positions with the same last bits of the
    // key tell that of nearly all of them, and only the others have to be sorted.
    let mask = arrivals.len().next_power_of_two() - 1;
    let place = |arrival: &Arrival| arrival.key.0 as usize & mask;
    let mut sums = vec![0u64; mask + 1];
    for arrival in &arrivals {
        let sum = &mut sums[place(arrival)];
        *sum = sum.saturating_add(arrival.games);
    }
    arrivals.retain(|arrival| sums[place(arrival)] >= least);
    arrivals.sort_by_key(|arrival| arrival.key);
    let positions = arrivals.chunk_by(|a, b| a.key == b.key);
    let wanted = positions.filter(|same| {
        let games = same.iter().map(|here| here.games).fold(0, u64::saturating_add);
        games >= least && !met.contains_key(&same[0].key)
    });
    wanted.map(|same| same[0]).collect()
}

/// The moves from a position that can be played on its board.
fn departures(
    hunt: &Hunt,
    filter: MoverFilter,
    key: Key,
    board: &Chess,
    found: &[MoveCounts],
) -> Vec<Departure> {
    let forced = forced(hunt, key, board, found);
    let mut departures = Vec::with_capacity(found.len());
    // Most positions have several moves: all legal ones at once cost less than each alone.
    let legal = board.legal_moves();
    for (code, games, all) in moves(found, filter).chain(forced) {
        let from = Some(code.from());
        let is_it = |mv: &&Move| mv.from() == from && MoveCode::of(**mv) == code;
        let Some(&mv) = legal.iter().find(is_it) else { continue };
        let mut after = board.clone();
        after.play_unchecked(mv);
        departures.push(Departure { code, games, all, behind: key.behind(board, mv, &after) });
    }
    departures
}

/// Each move with its games by movers of the filter and by all movers.
fn moves(
    found: &[MoveCounts],
    filter: MoverFilter,
) -> impl Iterator<Item = (MoveCode, u32, u64)> + '_ {
    found.iter().map(move |mv| {
        let (mut some, mut all) = (0, 0);
        for (id, cell) in &mv.cells {
            all += cell.games;
            some += if filter.admits(*id) { cell.games } else { 0 };
        }
        (mv.code, u32::try_from(some).unwrap_or(u32::MAX), all)
    })
}

/// Moves of the repertoire that nobody played here: the walk must follow them all the same.
fn forced(
    hunt: &Hunt,
    key: Key,
    board: &Chess,
    found: &[MoveCounts],
) -> impl Iterator<Item = (MoveCode, u32, u64)> + use<> {
    let fixed = hunt.repertoire.as_ref().and_then(|repertoire| repertoire.at(key));
    let own = board.turn() == hunt.setter;
    let unplayed: Vec<MoveCode> = fixed
        .unwrap_or_default()
        .iter()
        .copied()
        .filter(|&code| own && found.iter().all(|mv| mv.code != code))
        .collect();
    unplayed.into_iter().map(|code| (code, 0, u64::from(u32::MAX)))
}
