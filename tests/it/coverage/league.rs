//! A league whose every chance is known.

use std::array;

use deadfall::counts::InMemory;
use deadfall::lines::{Line, Trap};
use shakmaty::{Chess, Move, Position};

use super::players::{CORRELATION, games_a_player};

/// White makes one to four choices, then the slip; Black's reply refutes it. Legal is all that
/// these moves need to be.
const LINES: [(&str, usize); 4] = [
    ("e4 Nf6 e5 Nd5", 2),
    ("e4 e5 Nf3 Nf6 Nxe5 d6", 4),
    ("e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qg5", 6),
    ("e4 e5 Nf3 Nc6 Bc4 Nd4 Nxd4 exd4 O-O d5", 8),
];

/// Moves that are played in a position: the line's own and two others.
pub const MOVES: usize = 3;

/// The shares of the moves in a position where the line's own has this one.
pub fn shares(own: f64) -> [f64; MOVES] {
    [own, 0.6 * (1.0 - own), 0.4 * (1.0 - own)]
}

/// Chances of the players of a band, 0 to 1: the means over its players.
#[derive(Clone)]
pub struct BandTruth {
    /// All games that the band plays as White; as many as Black.
    pub games: u64,
    /// The shares of White's choices up to the trap position.
    pub choices: Vec<f64>,
    pub slip: f64,
    pub find: f64,
}

/// Everything that is true.
#[derive(Clone)]
pub struct League {
    /// Neighbouring bands from 1000 up.
    pub bands: Vec<BandTruth>,
    /// The share of the games that Black keeps on the line after each of White's choices, the last
    /// one being the bait.
    pub keeps: Vec<f64>,
    /// What White scores above what the calibrated ratings predict, in all games.
    pub ordinary: f64,
    /// By how much the mean score rises with the one that the rating formula predicts.
    pub slope: f64,
    /// Black's edges: refuted, missed, without the slip, with other moves than the bait.
    pub edges: [f64; 4],
    pub draws: f64,
    /// Share of the games with clocks.
    pub clocks: f64,
    /// The slip's and the other moves' times in parts of the ordinary time.
    pub hurry: [f64; 2],
    /// The design effect of a share in the trap position.
    pub effect: f64,
}

impl League {
    /// The part of a player's further games that come as far as the trap position with one of the
    /// player's games there: players who chose a move once choose it again more often than others,
    /// as the correlation says.
    fn faithful(&self) -> f64 {
        let again = |share: f64| share + CORRELATION * (1.0 - share);
        let choices =
            |band: &BandTruth| band.choices.iter().map(|&share| again(share)).product::<f64>();
        let mean = self.bands.iter().map(choices).sum::<f64>() / self.bands.len() as f64;
        mean * self.keeps.iter().product::<f64>()
    }

    /// Games as White of the player of an average game.
    pub fn games_a_white(&self) -> f64 {
        1.0 + (games_a_player(self.effect) - 1.0) / self.faithful()
    }

    /// Games in the position before the bait of the player of an average game as Black.
    pub fn games_a_baiter(&self) -> f64 {
        let keep = self.keeps.last().expect("a choice");
        1.0 + (games_a_player(self.effect) - 1.0) / (keep + CORRELATION * (1.0 - keep))
    }

    /// The share of a band's games that come to the position before the bait, and
    /// Black's edge there.
    pub fn at_the_bait(&self, band: &BandTruth) -> (f64, f64) {
        let [refuted, missed, held, usual] = self.edges;
        let (bait, before) = self.keeps.split_last().expect("a choice");
        let share = band.choices.iter().chain(before).product();
        let slipped = band.find * refuted + (1.0 - band.find) * missed;
        let baited = band.slip * slipped + (1.0 - band.slip) * held;
        (share, bait * baited + (1.0 - bait) * usual)
    }

    /// All games of all bands.
    pub fn games(&self) -> u64 {
        self.bands.iter().map(|band| band.games).sum()
    }

    /// The trap that is judged.
    pub fn trap(&self) -> Trap {
        let (moves, slip) = LINES[self.keeps.len() - 1];
        let line: Line = moves.parse().expect("a line");
        Trap::new("Planted".into(), line, slip).expect("a refutation follows")
    }
}

/// The moves in the position before the line's half-move `ply`, the line's own first.
pub fn moves_at(trap: &Trap, ply: usize) -> (Chess, [Move; MOVES]) {
    let position = trap.line().position(ply).clone();
    let own = trap.line().moves()[ply];
    let mut others = position.legal_moves().into_iter().filter(|&mv| mv != own);
    let moves = array::from_fn(|place| match place {
        0 => own,
        _ => others.next().expect("other moves are legal"),
    });
    (position, moves)
}

/// Counts of one month, and what depends on them.
pub struct Month {
    pub counts: InMemory,
    pub trap: Trap,
    /// True mean seconds of the slip and of the other moves at the paces that were drawn.
    pub seconds: [f64; 2],
}
