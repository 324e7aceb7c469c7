//! What was planted and what was drawn from it, for those who want to find it again.

use std::collections::BTreeMap;
use std::path::Path;

use anyhow::{Context, Result};
use shakmaty::fen::Fen;
use shakmaty::{CastlingMode, EnPassantMode};

use crate::planted::{Planted, rate};
use crate::players::name;

/// Bands of ratings, lower edges 400 to 2900.
const BANDS: usize = 26;
const LOWEST: i32 = 400;

/// How a trap went, in one game.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum State {
    NoSlip,
    Missed,
    Refuted,
}

/// One visit to a trap position in a game that an import counts.
pub struct Visit {
    pub trap: usize,
    /// The victim's number.
    pub player: u32,
    pub victim: i32,
    pub state: State,
    pub pace: &'static str,
    /// The mean of the time that an import reads, in millionths of a second; none without clocks.
    pub micros: Option<u64>,
    /// The setter's mean score from which the result was drawn, in millionths.
    pub score_millionths: u64,
}

/// One reply to a slip in a game that an import counts.
pub struct Reply {
    pub trap: usize,
    /// The setter's number.
    pub player: u32,
    pub setter: i32,
    pub pace: &'static str,
    pub finds: bool,
}

/// Sums of one trap and band; they add up whatever the order.
#[derive(Clone, Copy, Default)]
struct Cell {
    games: u64,
    slips: u64,
    replies: u64,
    finds: u64,
    /// Games and sums of mean scores by state.
    states: [(u64, u64); 3],
}

/// Sums of one trap, pace, band and player: choices of victims and replies of setters, and
/// games with clocks with the sum of their planted means in millionths of a second, with the
/// slip and without.
#[derive(Clone, Copy, Default)]
struct PaceCell {
    games: u64,
    slips: u64,
    replies: u64,
    times: [(u64, u64); 2],
}

#[derive(Clone)]
pub struct Tally {
    bands: Vec<[Cell; BANDS]>,
    paces: BTreeMap<(usize, &'static str, usize, u32), PaceCell>,
}

fn band(rating: i32) -> usize {
    ((rating - LOWEST) / 100).clamp(0, BANDS as i32 - 1) as usize
}

impl Tally {
    pub fn new(traps: usize) -> Tally {
        Tally { bands: vec![[Cell::default(); BANDS]; traps], paces: BTreeMap::new() }
    }

    pub fn count(&mut self, visit: &Visit) {
        let cells = &mut self.bands[visit.trap];
        let victims = &mut cells[band(visit.victim)];
        victims.games += 1;
        let state = &mut victims.states[visit.state as usize];
        state.0 += 1;
        state.1 += visit.score_millionths;
        if visit.state != State::NoSlip {
            victims.slips += 1;
        }
        let place = (visit.trap, visit.pace, band(visit.victim), visit.player);
        let pace = self.paces.entry(place).or_default();
        pace.games += 1;
        pace.slips += u64::from(visit.state != State::NoSlip);
        if let Some(micros) = visit.micros {
            let times = &mut pace.times[usize::from(visit.state == State::NoSlip)];
            times.0 += 1;
            times.1 += micros;
        }
    }

    pub fn reply(&mut self, reply: &Reply) {
        let setters = &mut self.bands[reply.trap][band(reply.setter)];
        setters.replies += 1;
        setters.finds += u64::from(reply.finds);
        let place = (reply.trap, reply.pace, band(reply.setter), reply.player);
        self.paces.entry(place).or_default().replies += 1;
    }

    pub fn add(&mut self, other: &Tally) {
        for (ours, theirs) in self.bands.iter_mut().zip(&other.bands) {
            for (a, b) in ours.iter_mut().zip(theirs) {
                a.games += b.games;
                a.slips += b.slips;
                a.replies += b.replies;
                a.finds += b.finds;
                for (x, y) in a.states.iter_mut().zip(&b.states) {
                    x.0 += y.0;
                    x.1 += y.1;
                }
            }
        }
        for (place, theirs) in &other.paces {
            let ours = self.paces.entry(*place).or_default();
            ours.games += theirs.games;
            ours.slips += theirs.slips;
            ours.replies += theirs.replies;
            for (x, y) in ours.times.iter_mut().zip(&theirs.times) {
                x.0 += y.0;
                x.1 += y.1;
            }
        }
    }
}

/// Writes one row a trap and band.
///
/// `slip_rate` and `find_rate` are the planted probabilities. `score_*` are the setter's true mean
/// scores over the games of the row's victims, given their ratings (empty without such a game);
/// `edge_*` the planted shifts against the ordinary expectation (there is none after the
/// refutation, where the score is fixed). `games` and `slips` were drawn by victims of the band,
/// `replies` and `finds` by setters of the band, whatever the order of moves that led behind the
/// slip, both over the games that an import with default options counts: first visit, within the
/// first 30 half-moves.
pub fn write_csv(path: &Path, planted: &Planted, tally: &Tally) -> Result<()> {
    let context = || format!("cannot write {}", path.display());
    let mut csv = csv::Writer::from_path(path).with_context(context)?;
    csv.write_record([
        "trap",
        "setter",
        "trap_fen",
        "slip",
        "refutation",
        "band",
        "slip_rate",
        "find_rate",
        "score_refuted",
        "score_missed",
        "score_no_slip",
        "edge_missed",
        "edge_no_slip",
        "games",
        "slips",
        "replies",
        "finds",
    ])?;
    for (trap, cells) in planted.traps.iter().zip(&tally.bands) {
        for (index, cell) in cells.iter().enumerate() {
            let edge = LOWEST + 100 * index as i32;
            let share =
                |ten_thousandths: u32| format!("{:.4}", f64::from(ten_thousandths) / 10_000.0);
            let shift = |thousandths: i32| format!("{:.3}", f64::from(thousandths) / 1000.0);
            let mean = |state: State| match cell.states[state as usize] {
                (0, _) => String::new(),
                (games, sum) => format!("{:.6}", sum as f64 / games as f64 / 1_000_000.0),
            };
            csv.write_record([
                trap.row.name.to_owned(),
                trap.setter.to_string(),
                Fen::from_position(&trap.position, EnPassantMode::Legal).to_string(),
                trap.slip.to_uci(CastlingMode::Standard).to_string(),
                trap.refutation.to_uci(CastlingMode::Standard).to_string(),
                edge.to_string(),
                share(rate(&trap.row.slip_rate, edge)),
                share(rate(&trap.row.find_rate, edge)),
                format!("{:.3}", f64::from(trap.row.refuted) / 1000.0),
                mean(State::Missed),
                mean(State::NoSlip),
                shift(trap.row.missed),
                shift(trap.row.no_slip),
                cell.games.to_string(),
                cell.slips.to_string(),
                cell.replies.to_string(),
                cell.finds.to_string(),
            ])?;
        }
    }
    csv.flush().with_context(context)
}

/// Writes one row a trap, pace, band and player, by number and name, that was met.
///
/// `games` were drawn by the player as a victim of the band, `slips` among them, `replies` as a
/// setter of the band, over the games that an import counts. `slip_timed` and `other_timed` are the
/// games with clocks, `slip_seconds` and `other_seconds` the sums of the means that their times
/// were drawn from: of the whole seconds between two readings.
pub fn write_paces(path: &Path, planted: &Planted, tally: &Tally) -> Result<()> {
    let context = || format!("cannot write {}", path.display());
    let mut csv = csv::Writer::from_path(path).with_context(context)?;
    csv.write_record([
        "trap_fen",
        "pace",
        "band",
        "player",
        "name",
        "games",
        "slips",
        "replies",
        "slip_timed",
        "slip_seconds",
        "other_timed",
        "other_seconds",
    ])?;
    for (&(trap, pace, band, player), cell) in &tally.paces {
        let seconds = |micros: u64| format!("{:.6}", micros as f64 / 1_000_000.0);
        let [slip, other] = cell.times;
        csv.write_record([
            Fen::from_position(&planted.traps[trap].position, EnPassantMode::Legal).to_string(),
            pace.to_owned(),
            (LOWEST + 100 * band as i32).to_string(),
            player.to_string(),
            name(player),
            cell.games.to_string(),
            cell.slips.to_string(),
            cell.replies.to_string(),
            slip.0.to_string(),
            seconds(slip.1),
            other.0.to_string(),
            seconds(other.1),
        ])?;
    }
    csv.flush().with_context(context)
}
