//! Where games of a level go behind a line, as a tree of moves.
//!
//! In: any [`Counts`], a [`Line`] and what to mark. Out: [`MapAnswer`]. The share of a move is the
//! share of the move before it times its own share among all moves of its position. Counts are by
//! position: where two orders of moves meet, the position stands behind both of them, each time
//! with the moves of all games that came there by any order.

use std::collections::{HashMap, HashSet};

use shakmaty::{Chess, Color, Move, Position};

use super::effect::design_effect;
use super::{Figure, Question};
use crate::counts::{Counts, Limits, PositionCounts};
use crate::lines::{Line, MarkedSlip, Prepared, Trap, san_text};
use crate::terms::{Key, MoverFilter};

/// What to draw, and what to mark in it.
#[derive(Clone, Copy, Debug)]
pub struct MapSettings<'a> {
    /// Half-moves behind the line.
    pub plies: usize,
    /// A move is told alone if at least this share of all games plays it, 0..=1, or if it
    /// leads to a slip.
    pub min_share: f64,
    /// Traps whose way and slips are marked.
    pub traps: &'a [Trap],
    /// A file of prepared lines and whose it is: the moves that it does not answer are marked.
    pub prepared: Option<(&'a Prepared, Color)>,
}

/// The games behind a line.
#[derive(Clone, Debug, PartialEq)]
pub struct MapAnswer {
    /// The line, numbered; empty for its start.
    pub line: String,
    /// The number of the first move of the map, and who plays it.
    pub first: (usize, Color),
    /// Whose choices.
    pub filter: MoverFilter,
    /// Behind a position with fewer games of different players nothing is told.
    pub min_sample: u64,
    /// Half-moves asked for.
    pub plies: usize,
    /// The share below which moves are pooled.
    pub min_share: f64,
    /// Games in the position of the line.
    pub games: u64,
    /// The moves there.
    pub moves: Vec<MapMove>,
    /// The traps of which a slip is in the map, in the order asked.
    pub traps: Vec<MapTrap>,
    /// Whether it lies behind the half-moves that the store counts.
    pub beyond: bool,
    /// Traps whose slips are not in it, and why.
    pub traps_left: TrapsLeft,
    /// Whether gaps were looked for, and whether the line's position is one of the file.
    pub repertoire: Option<bool>,
    /// How far the counts reach.
    pub limits: Limits,
}

/// A move, or several rare ones together, with those behind it.
#[derive(Clone, Debug, PartialEq)]
pub struct MapMove {
    /// SAN; empty for several moves.
    pub san: String,
    /// How many moves it stands for.
    pub moves: usize,
    /// The share of all games of the map, 0..=1.
    pub share: f64,
    /// The share among the moves of its position.
    pub here: Figure,
    /// Whether it is a move of a trap up to the slip.
    pub of_trap: bool,
    /// Of which trap it is a marked slip: its [number](MapTrap::number).
    pub slip: Option<usize>,
    /// Whether it is a move of the file's owner that the file has.
    pub prepared: bool,
    /// Whether it is a move that the file does not answer.
    pub gap: bool,
    /// The moves behind it.
    pub children: Vec<MapMove>,
}

/// Traps that a map does not show.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct TrapsLeft {
    /// Whose lines do not pass through the position of the map.
    pub elsewhere: usize,
    /// Whose slips come after its half-moves.
    pub deeper: usize,
    /// Whose slips come after the half-moves that the store counts.
    pub not_counted: usize,
    /// On whose way too few games come so far.
    pub thin: usize,
}

impl TrapsLeft {
    /// Of `traps` in a map behind `line`.
    fn of<'t>(
        traps: impl Iterator<Item = &'t Trap>,
        line: &Line,
        plies: usize,
        limits: &Limits,
    ) -> TrapsLeft {
        let mut left = TrapsLeft::default();
        for trap in traps {
            match behind(trap, line) {
                None => left.elsewhere += 1,
                Some(slip) if slip > plies => left.deeper += 1,
                Some(_) if limits.lacking(trap.position(), None).beyond().is_some() => {
                    left.not_counted += 1;
                }
                Some(_) => left.thin += 1,
            }
        }
        left
    }
}

/// Half-moves from the position of a line to a trap's slip, that included; none if the trap's own
/// line does not pass through it before.
pub fn behind(trap: &Trap, line: &Line) -> Option<usize> {
    let key = Key::of(line.end());
    let place = (0..=trap.slip_ply()).find(|&ply| Key::of(trap.line().position(ply)) == key)?;
    Some(trap.slip_ply() + 1 - place)
}

/// A trap in the map.
#[derive(Clone, Debug, PartialEq)]
pub struct MapTrap {
    /// Its place among the traps asked about, from 1: that of a lesson, if they are in
    /// teaching order.
    pub number: usize,
    /// What it is called.
    pub name: String,
    /// The line up to the refutation.
    pub line: String,
    /// The share of all games of the map in which a slip is played, all orders of moves together
    /// that the map shows.
    pub share: f64,
}

/// The tree behind a line.
pub fn map<C: Counts>(
    counts: &C,
    line: &Line,
    settings: &MapSettings<'_>,
    question: &Question,
) -> Result<MapAnswer, C::Error> {
    let walk = |traps: &[(usize, &Trap)]| {
        let (marks, slipped) = (Marks::of(traps), HashMap::new());
        let mut walk = Walk { counts, settings, question, marks, slipped };
        let moves = walk.behind(line.end(), 1.0, settings.plies)?;
        Ok((moves, walk.slipped))
    };
    let all: Vec<(usize, &Trap)> =
        settings.traps.iter().enumerate().map(|(place, trap)| (place + 1, trap)).collect();
    let (mut moves, slipped) = walk(&all)?;
    let share = |trap: &Trap| -> Option<f64> {
        let here = Key::of(trap.position());
        let shares: Vec<f64> =
            slips(trap).filter_map(|mv| slipped.get(&(here, mv)).copied()).collect();
        (!shares.is_empty()).then(|| shares.iter().sum())
    };
    let shown = |&(number, trap): &(usize, &Trap)| {
        let line = trap.marked(trap.slip_ply() + 2);
        Some(MapTrap { number, name: trap.name().to_owned(), line, share: share(trap)? })
    };
    let traps: Vec<MapTrap> = all.iter().filter_map(shown).collect();
    if traps.len() < all.len() {
        // A way that ends before its slip leads nowhere.
        let reached: Vec<_> =
            all.iter().copied().filter(|(_, trap)| share(trap).is_some()).collect();
        moves = walk(&reached)?.0;
    }
    let left = settings.traps.iter().filter(|trap| share(trap).is_none());
    let traps_left = TrapsLeft::of(left, line, settings.plies, counts.limits());
    let found = counts.position(Key::of(line.end()))?;
    Ok(MapAnswer {
        line: line.to_string(),
        first: (line.end().fullmoves().get() as usize, line.end().turn()),
        filter: question.filter,
        min_sample: question.min_sample,
        plies: settings.plies,
        min_share: settings.min_share,
        games: games(found.as_ref(), question.filter),
        moves,
        beyond: counts.limits().lacking(line.end(), None).beyond().is_some(),
        traps_left,
        traps,
        repertoire: settings.prepared.map(|(file, _)| file.place(Key::of(line.end())).is_some()),
        limits: counts.limits().clone(),
    })
}

fn games(found: Option<&PositionCounts>, filter: MoverFilter) -> u64 {
    found.into_iter().flat_map(|found| &found.moves).map(|mv| mv.games(filter)).sum()
}

/// The moves of a position with their games, most played first.
pub(super) fn played(
    found: Option<&PositionCounts>,
    board: &Chess,
    filter: MoverFilter,
) -> Vec<(Move, u64)> {
    let moves = found.into_iter().flat_map(|found| &found.moves).filter_map(|mv| {
        let games = mv.games(filter);
        Some((mv.code.to_move(board)?, games)).filter(|_| games > 0)
    });
    let mut moves: Vec<(Move, u64)> = moves.collect();
    moves.sort_by_cached_key(|&(mv, games)| (u64::MAX - games, san_text(board, mv)));
    moves
}

/// The marked moves of a trap position.
fn slips(trap: &Trap) -> impl Iterator<Item = Move> + '_ {
    trap.slips().iter().map(MarkedSlip::slip)
}

/// The moves of traps by the position in which they are played.
struct Marks {
    moves: HashSet<(Key, Move)>,
    /// With the number of the trap.
    slips: HashMap<(Key, Move), usize>,
}

impl Marks {
    fn of(traps: &[(usize, &Trap)]) -> Marks {
        let mut marks = Marks { moves: HashSet::new(), slips: HashMap::new() };
        for &(number, trap) in traps {
            let before = trap.line().moves()[..trap.slip_ply()].iter().enumerate();
            marks.moves.extend(before.map(|(ply, &mv)| (Key::of(trap.line().position(ply)), mv)));
            let here = Key::of(trap.position());
            marks.slips.extend(slips(trap).map(|mv| ((here, mv), number)));
        }
        marks
    }
}

struct Walk<'a, C> {
    counts: &'a C,
    settings: &'a MapSettings<'a>,
    question: &'a Question,
    marks: Marks,
    /// The share of all games that plays each slip.
    slipped: HashMap<(Key, Move), f64>,
}

impl<C: Counts> Walk<'_, C> {
    /// The moves in a position to which a share of all games comes, with at most so
    /// many half-moves.
    fn behind(
        &mut self,
        board: &Chess,
        share: f64,
        plies: usize,
    ) -> Result<Vec<MapMove>, C::Error> {
        let key = Key::of(board);
        if plies == 0 {
            return Ok(Vec::new());
        }
        let filter = self.question.filter;
        let found = self.counts.position(key)?;
        let (all, effect) = (games(found.as_ref(), filter), design_effect(found.as_ref(), filter));
        let sampling = self.question.sampling().with_effect(effect.share);
        if all == 0 || !sampling.suffices(all) {
            return Ok(Vec::new());
        }
        let played = played(found.as_ref(), board, filter);
        let file = self.settings.prepared.and_then(|(file, side)| {
            let place = file.place(key)?;
            Some((file, board.turn() == side, place))
        });
        let mut rows = Vec::new();
        let mut rest = [false, true].map(|gap| (gap, 0, 0));
        for (mv, games) in played {
            let of_all = share * games as f64 / all as f64;
            let mut after = board.clone();
            after.play_unchecked(mv);
            let slip = self.marks.slips.get(&(key, mv)).copied();
            let of_trap = slip.is_some() || self.marks.moves.contains(&(key, mv));
            let (prepared, gap) = file.map_or((false, false), |(file, own, place)| {
                let goes_on = !file.positions()[place].moves.is_empty();
                let known = file.positions()[place].moves.iter().any(|known| known.mv == mv);
                let reached = file.place(Key::of(&after)).is_some();
                (own && known, !own && goes_on && !reached)
            });
            if of_all < self.settings.min_share && !of_trap {
                let (_, moves, with) = &mut rest[usize::from(gap)];
                (*moves, *with) = (*moves + 1, *with + games);
                continue;
            }
            if slip.is_some() {
                *self.slipped.entry((key, mv)).or_default() += of_all;
            }
            let children = if gap { Vec::new() } else { self.behind(&after, of_all, plies - 1)? };
            rows.push(MapMove {
                san: san_text(board, mv),
                moves: 1,
                share: of_all,
                here: sampling.share(games, all),
                of_trap,
                slip,
                prepared,
                gap,
                children,
            });
        }
        let rest = rest.into_iter().filter(|&(_, moves, _)| moves > 0);
        rows.extend(rest.map(|(gap, moves, games)| MapMove {
            san: String::new(),
            moves,
            share: share * games as f64 / all as f64,
            here: sampling.share(games, all),
            of_trap: false,
            slip: None,
            prepared: false,
            gap,
            children: Vec::new(),
        }));
        Ok(rows)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::kit::ModelCounts;

    fn ask() -> Question {
        Question { min_sample: 1, ..Question::default() }
    }

    /// 1. e4 in 60 of 100 games; e5 in 30 of these, c5 in 30; d4 in 40, of which 10 go on with e6
    ///    and transpose behind e4.
    fn counts() -> ModelCounts {
        ModelCounts::new()
            .add(30, [1500, 1500], "1-0", "e4 e5 Nf3 f6 Nxe5")
            .add(20, [1500, 1500], "1-0", "e4 c5 Nf3 d6")
            .add(10, [1500, 1500], "1-0", "e4 e6 d4 d5")
            .add(30, [1500, 1500], "0-1", "d4 d5 c4 e6")
            .add(10, [1500, 1500], "0-1", "d4 e6 e4 c5")
    }

    fn asked(line: &str, settings: &MapSettings<'_>) -> MapAnswer {
        let line = if line.is_empty() { Line::default() } else { line.parse().expect("a line") };
        let Ok(answer) = map(&counts(), &line, settings, &ask());
        answer
    }

    const PLAIN: MapSettings<'static> =
        MapSettings { plies: 4, min_share: 0.0, traps: &[], prepared: None };

    fn names(moves: &[MapMove]) -> Vec<(&str, f64)> {
        moves.iter().map(|row| (row.san.as_str(), (1000.0 * row.share).round())).collect()
    }

    #[test]
    fn shares_are_products_and_orders_of_moves_meet() {
        let answer = asked("", &PLAIN);
        assert_eq!((answer.games, names(&answer.moves)), (100, vec![("e4", 600.0), ("d4", 400.0)]));
        let e4 = &answer.moves[0];
        assert_eq!(names(&e4.children), [("e5", 300.0), ("c5", 200.0), ("e6", 100.0)]);
        // Behind 1. e4 e6 2. d4 stand the 20 games of both orders: half of each way.
        let d4 = &e4.children[2].children[0];
        assert_eq!(names(&d4.children), [("c5", 50.0), ("d5", 50.0)]);
        assert_eq!((d4.children[0].here.k, d4.children[0].here.n), (Some(10), 20));
    }

    #[test]
    fn rare_moves_are_pooled_but_not_on_the_way_to_a_slip() {
        let trap = Trap::from_text("1. e4 e5 2. Nf3 f6?? 3. Nxe5").remove(0).expect("a trap");
        let traps = [trap];
        let settings = MapSettings { min_share: 0.35, traps: &traps, ..PLAIN };
        let answer = asked("", &settings);
        let [e5, rest] = &answer.moves[0].children[..] else { panic!("{answer:?}") };
        assert!(e5.of_trap && e5.slip.is_none() && (rest.moves, rest.san.as_str()) == (2, ""));
        let f6 = &e5.children[0].children[0];
        assert!(f6.slip == Some(1) && f6.of_trap);
        assert_eq!((answer.traps[0].share * 100.0).round(), 30.0);
        assert_eq!(answer.traps_left, TrapsLeft::default());
        let left = |line: &str, settings: &MapSettings<'_>| {
            let TrapsLeft { elsewhere, deeper, not_counted, thin } =
                asked(line, settings).traps_left;
            assert_eq!(not_counted, 0);
            [elsewhere, deeper, thin]
        };
        assert_eq!(left("1. d4", &settings), [1, 0, 0]);
        assert_eq!(left("", &MapSettings { plies: 3, ..settings }), [0, 1, 0]);
        assert_eq!(left("1. e4", &MapSettings { plies: 3, ..settings }), [0, 0, 0]);
        let rare = [Trap::from_text("1. e4 e5 2. Nf3 d6?? 3. d4").remove(0).expect("a trap")];
        assert_eq!(left("", &MapSettings { traps: &rare, ..settings }), [0, 0, 1]);
    }

    #[test]
    fn gaps_are_the_opponents_moves_that_the_file_lacks() {
        let file = Prepared::read("1. e4 e5 2. Nf3 (2. Nc3) Nc6 *").expect("a file");
        let answer = asked("", &MapSettings { prepared: Some((&file, Color::White)), ..PLAIN });
        let [e4, d4] = &answer.moves[..] else { panic!("{answer:?}") };
        assert!(e4.prepared && !e4.gap && !d4.prepared && !d4.gap);
        let gaps: Vec<_> = e4.children.iter().map(|row| (row.san.as_str(), row.gap)).collect();
        assert_eq!(gaps, [("e5", false), ("c5", true), ("e6", true)]);
        // Out of the file nothing is a gap, and behind a gap nothing is told.
        assert!(d4.children.iter().all(|row| !row.gap) && e4.children[1].children.is_empty());
        assert_eq!(answer.repertoire, Some(true));
    }

    #[test]
    fn nothing_is_told_behind_too_few_games_and_beyond_the_half_moves() {
        let line = Line::default();
        let question = Question { min_sample: 25, ..Question::default() };
        let settings = MapSettings { plies: 2, ..PLAIN };
        let Ok(answer) = map(&counts(), &line, &settings, &question);
        assert!(answer.moves[0].children.iter().all(|row| row.children.is_empty()));
        let question = Question { min_sample: 1000, ..Question::default() };
        let Ok(answer) = map(&counts(), &line, &settings, &question);
        assert_eq!((answer.games, answer.moves.len()), (100, 0));
    }
}
