//! What is played in the positions of a file.

use shakmaty::{Move, Position};

use super::rules::{Own, Settings};
use crate::answers::Question;
use crate::answers::effect::effect_of_groups;
use crate::counts::{Counts, GroupsOf, MoveCounts};
use crate::lines::{Prepared, PreparedPosition};
use crate::terms::{Key, MoveCode};

/// Where a move leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum To {
    /// To a position of the file.
    Place(usize),
    /// Out of the file: a gap.
    Out,
}

/// A move that is played in a position of the file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Choice {
    pub mv: Move,
    /// Games of the movers with it; of a share that is fixed, as many as say that it is sure.
    pub games: u64,
    /// Its share, above 0.
    pub chance: f64,
    pub to: To,
}

/// A position of the file.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Turn {
    /// No line goes on here.
    End,
    /// The file goes on, but no game of such movers is known here.
    Unknown,
    /// A move is chosen, of so many games, of which `effect` tell as much as one. The chances
    /// add up to 1.
    Choice { own: bool, games: u64, effect: f64, choices: Vec<Choice> },
}

/// Stands for a share that is no estimate: as many games leave it no margin to speak of, and it is
/// never the rarest step.
pub(super) const SURE: u64 = 1 << 40;

/// The positions of the file by place.
pub(super) struct Choices {
    pub turns: Vec<Turn>,
}

impl Choices {
    /// Looks up every position in which something is to be learned, all of them together.
    pub fn of<C: Counts>(
        counts: &C,
        file: &Prepared,
        settings: &Settings,
        question: &Question,
    ) -> Result<Choices, C::Error> {
        let positions = file.positions();
        let is_own = |place: usize| positions[place].board.turn() == settings.side;
        let fixed = |position: &PreparedPosition| match (settings.own, position.moves.len()) {
            (_, 0) => Turn::End,
            (Own::First, _) => equally(position, 1),
            (Own::Equal | Own::Level, moves) => equally(position, moves),
        };
        // What the counts do not know stays as it is here.
        let mut turns: Vec<Turn> = positions
            .iter()
            .enumerate()
            .map(|(place, position)| match is_own(place) || position.moves.is_empty() {
                true => fixed(position),
                false => Turn::Unknown,
            })
            .collect();
        let learns = |place: &usize| match (positions[*place].moves.len(), is_own(*place)) {
            (0, _) => false,
            (moves, true) => settings.own == Own::Level && moves > 1,
            (_, false) => true,
        };
        let mut wanted: Vec<(Key, usize)> = (0..positions.len())
            .filter(learns)
            .map(|place| (positions[place].key, place))
            .collect();
        wanted.sort_unstable();
        let keys: Vec<Key> = wanted.iter().map(|(key, _)| *key).collect();
        let make = |index: usize, found: &[MoveCounts], groups: &GroupsOf<'_>| {
            let place = wanted[index].1;
            let (own, position) = (is_own(place), &positions[place]);
            let in_file = |mv: Move| position.moves.iter().any(|known| known.mv == mv);
            let played = found.iter().filter_map(|found| {
                let games = found.games(question.filter);
                let mv = found.code.to_move(&position.board).filter(|&mv| !own || in_file(mv))?;
                (games > 0).then_some((mv, games))
            });
            let played: Vec<(Move, u64)> = played.collect();
            let chosen = |code| played.iter().any(|&(mv, _)| MoveCode::of(mv) == code);
            let groups = found.iter().zip(groups(question.filter));
            let groups = groups.filter(|(mv, _)| chosen(mv.code)).map(|(_, games)| games);
            let effect = effect_of_groups(&groups.collect::<Vec<_>>());
            learned(file, position, own, &played, effect.share)
        };
        counts.moves_of_many(&keys, make, |index, learned| {
            if let Some(node) = learned {
                turns[wanted[index].1] = node;
            }
        })?;
        Ok(Choices { turns })
    }
}

/// The first moves of the file, as likely as each other.
fn equally(position: &PreparedPosition, moves: usize) -> Turn {
    let choices = position.moves.iter().take(moves).map(|known| Choice {
        mv: known.mv,
        games: SURE,
        chance: 1.0 / moves as f64,
        to: To::Place(known.to),
    });
    Turn::Choice { own: true, games: SURE * moves as u64, effect: 1.0, choices: choices.collect() }
}

/// The moves that were played, with where they lead; none if none was.
fn learned(
    file: &Prepared,
    position: &PreparedPosition,
    own: bool,
    played: &[(Move, u64)],
    effect: f64,
) -> Option<Turn> {
    let games: u64 = played.iter().map(|(_, games)| games).sum();
    let choices = played.iter().map(|&(mv, of_move)| {
        let mut after = position.board.clone();
        after.play_unchecked(mv);
        let place = file.place(position.key.behind(&position.board, mv, &after));
        let to = place.map_or(To::Out, To::Place);
        Choice { mv, games: of_move, chance: of_move as f64 / games as f64, to }
    });
    (games > 0).then(|| Turn::Choice { own, games, effect, choices: choices.collect() })
}

impl Choice {
    /// The move as counts and programs name it.
    pub fn code(&self) -> MoveCode {
        MoveCode::of(self.mv)
    }
}
