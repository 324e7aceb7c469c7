//! The planted traps as the games meet them: found by position, rates by band.

use std::collections::HashMap;

use anyhow::{Context, Result, ensure};
use shakmaty::{Chess, Color, Move, Position};

use crate::openings::{follow, key, read_move};
use crate::traps::{ANCHORS, Row, TABLE};

/// What is planted at a position.
#[derive(Clone, Copy)]
pub enum Spot {
    /// The trap position of this trap: the victim chooses.
    Trap(usize),
    /// The slip has been played: the setter chooses.
    Slip(usize),
    /// The usual move in the line behind a refutation, and whether the setter makes it.
    Follow(Move, bool),
}

/// One trap, its moves read.
pub struct Trap {
    pub row: &'static Row,
    pub setter: Color,
    pub position: Chess,
    /// The moves from the start to the trap position.
    pub line: Vec<Move>,
    pub slip: Move,
    pub refutation: Move,
    pub others: Vec<(Move, u32)>,
    pub declines: Vec<(Move, u32)>,
}

pub struct Planted {
    pub traps: Vec<Trap>,
    spots: HashMap<u64, Spot>,
}

impl Planted {
    pub fn read() -> Result<Planted> {
        let mut planted = Planted { traps: Vec::new(), spots: HashMap::new() };
        for row in TABLE {
            planted.plant(row).with_context(|| row.name.to_owned())?;
        }
        Ok(planted)
    }

    fn plant(&mut self, row: &'static Row) -> Result<()> {
        let index = self.traps.len();
        let (position, line) = read_line(row.line)?;
        let after_slip = follow(position.clone(), row.slip)?;
        let mut after = follow(after_slip.clone(), row.refutation)?;
        self.spot(&position, Spot::Trap(index))?;
        self.spot(&after_slip, Spot::Slip(index))?;
        let setter = after_slip.turn();
        for san in row.follow.split_whitespace() {
            let usual = read_move(&after, san)?;
            self.spot(&after, Spot::Follow(usual, after.turn() == setter))?;
            after.play_unchecked(usual);
        }
        self.traps.push(Trap {
            row,
            setter,
            line,
            slip: read_move(&position, row.slip)?,
            refutation: read_move(&after_slip, row.refutation)?,
            others: read_weights(&position, row.others)?,
            declines: read_weights(&after_slip, row.declines)?,
            position,
        });
        Ok(())
    }

    fn spot(&mut self, position: &Chess, spot: Spot) -> Result<()> {
        let taken = self.spots.insert(key(position), spot).is_some();
        ensure!(!taken, "two traps meet in one position");
        Ok(())
    }

    pub fn at(&self, key: u64) -> Option<Spot> {
        self.spots.get(&key).copied()
    }

    pub fn len(&self) -> usize {
        self.traps.len()
    }
}

/// The rate at a rating, in ten-thousandths: that of the lower edge of its band.
pub fn rate(rates: &[u32; 5], rating: i32) -> u32 {
    let edge = (rating / 100 * 100).clamp(ANCHORS[0], ANCHORS[4]);
    let left = ANCHORS[1..4].iter().filter(|&&anchor| edge >= anchor).count();
    let along = (edge - ANCHORS[left]) as u32;
    let width = (ANCHORS[left + 1] - ANCHORS[left]) as u32;
    // Anchors are 400 apart and bands 100 wide, so quarters of the difference: exact in 1/10,000.
    (10 * rates[left] * (width - along) + 10 * rates[left + 1] * along) / width
}

fn read_line(text: &str) -> Result<(Chess, Vec<Move>)> {
    let mut position = Chess::default();
    let mut line = Vec::new();
    for san in text.split_whitespace() {
        let chosen = read_move(&position, san)?;
        position.play_unchecked(chosen);
        line.push(chosen);
    }
    Ok((position, line))
}

fn read_weights(position: &Chess, text: &str) -> Result<Vec<(Move, u32)>> {
    let words: Vec<&str> = text.split_whitespace().collect();
    words
        .chunks(2)
        .map(|pair| {
            ensure!(pair.len() == 2, "{} has no weight", pair[0]);
            Ok((read_move(position, pair[0])?, pair[1].parse()?))
        })
        .collect()
}
