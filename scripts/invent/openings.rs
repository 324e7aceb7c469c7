//! The opening tree: reads `openings.txt`, one row a position, and draws book moves from it.
//!
//! Rows are found again by position, so transpositions meet. A row is `ECO | name | line | moves`;
//! ECO and name may be empty (the last name on the way holds). Each move carries its weight at the
//! ratings 800, 1500 and 2200, or one weight for all; in between, weights are interpolated.

use std::collections::HashMap;

use anyhow::{Context, Result, bail, ensure};
use shakmaty::san::SanPlus;
use shakmaty::zobrist::Zobrist64;
use shakmaty::{Chess, EnPassantMode, Move, Position};

use crate::dice::Dice;

const TABLE: &str = include_str!("openings.txt");
const ANCHORS: [i32; 3] = [800, 1500, 2200];

/// The key under which a position is found again.
pub fn key(position: &Chess) -> u64 {
    position.zobrist_hash::<Zobrist64>(EnPassantMode::Legal).into()
}

/// The name of an opening, with its ECO code.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Opening {
    pub eco: &'static str,
    pub name: &'static str,
}

pub struct BookPosition {
    pub opening: Option<Opening>,
    moves: Vec<(Move, [u32; 3])>,
}

pub struct Book(HashMap<u64, BookPosition>);

impl Book {
    pub fn read() -> Result<Book> {
        let mut nodes = HashMap::new();
        for (number, row) in TABLE.lines().enumerate() {
            if row.trim().is_empty() || row.starts_with('#') {
                continue;
            }
            let (key, node) = read_row(row)
                .with_context(|| format!("openings.txt, line {}: {row}", number + 1))?;
            ensure!(
                nodes.insert(key, node).is_none(),
                "openings.txt, line {}: the position has a row already: {row}",
                number + 1
            );
        }
        Ok(Book(nodes))
    }

    pub fn get(&self, key: u64) -> Option<&BookPosition> {
        self.0.get(&key)
    }
}

impl BookPosition {
    /// A book move as players of this rating choose it; `None` if the row has no moves.
    pub fn draw(&self, rating: i32, dice: &mut Dice) -> Option<Move> {
        let weights = self.moves.iter().map(|(_, weights)| weight_at(weights, rating));
        dice.weighted(weights).map(|index| self.moves[index].0)
    }
}

/// Linear between the anchors, constant outside, in hundredths.
fn weight_at(weights: &[u32; 3], rating: i32) -> u32 {
    let rating = rating.clamp(ANCHORS[0], ANCHORS[2]);
    let left = usize::from(rating >= ANCHORS[1]);
    let along = (rating - ANCHORS[left]) as u32;
    let width = (ANCHORS[left + 1] - ANCHORS[left]) as u32;
    100 * (weights[left] * (width - along) + weights[left + 1] * along) / width
}

fn read_row(row: &'static str) -> Result<(u64, BookPosition)> {
    let fields: Vec<&'static str> = row.split('|').map(str::trim).collect();
    let &[eco, name, line, moves] = fields.as_slice() else {
        bail!("four fields are needed");
    };
    let opening = (!name.is_empty()).then_some(Opening { eco, name });
    ensure!(name.is_empty() == eco.is_empty(), "name and ECO code go together");
    let position = follow(Chess::default(), line)?;
    let mut node = BookPosition { opening, moves: Vec::new() };
    let mut words = moves.split_whitespace();
    while let Some(san) = words.next() {
        let weights = words.next().with_context(|| format!("{san} has no weight"))?;
        let parts: Vec<u32> = weights
            .split('/')
            .map(str::parse)
            .collect::<Result<_, _>>()
            .with_context(|| format!("weights of {san}"))?;
        let weights = match *parts.as_slice() {
            [all] => [all; 3],
            [low, middle, high] => [low, middle, high],
            _ => bail!("one weight or three are needed for {san}"),
        };
        let chosen = read_move(&position, san)?;
        ensure!(node.moves.iter().all(|(other, _)| *other != chosen), "{san} is there twice");
        node.moves.push((chosen, weights));
    }
    Ok((key(&position), node))
}

/// The position after `line` (SAN words) from `position`.
pub fn follow(mut position: Chess, line: &str) -> Result<Chess> {
    for san in line.split_whitespace() {
        let chosen = read_move(&position, san)?;
        position.play_unchecked(chosen);
    }
    Ok(position)
}

/// A legal move written as SAN.
pub fn read_move(position: &Chess, san: &str) -> Result<Move> {
    let plus: SanPlus = san.parse().with_context(|| format!("{san} is no move"))?;
    plus.san.to_move(position).with_context(|| format!("{san} is not legal there"))
}
