//! A league whose every chance is known, and the counts of a month drawn from it.

use std::collections::BTreeMap;
use std::convert::Infallible;

use deadfall::answers::trap::TrapLine;
use deadfall::counts::{Cell, Counts, Limits, MoveCounts, PositionCounts, Totals};
use deadfall::terms::{Band, CellId, Key, MoveCode, Pace};
use shakmaty::san::San;
use shakmaty::{Chess, Color, Move, Position};

use super::sampling::Chance;

/// White makes one to four choices, then the slip; Black's reply refutes it. Legal is all that these moves need to be.
const LINES: [(&str, usize); 4] = [
    ("e4 Nf6 e5 Nd5", 2),
    ("e4 e5 Nf3 Nf6 Nxe5 d6", 4),
    ("e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qg5", 6),
    ("e4 e5 Nf3 Nc6 Bc4 Nd4 Nxd4 exd4 O-O d5", 8),
];

/// What the ratings predict for White, in thousandths, with the share of such games: opponents are about 100 points apart.
const GAPS: [(u16, f64); 3] = [(350, 0.25), (500, 0.5), (650, 0.25)];

/// A pace with the share of the games and the mean seconds on a move.
const PACES: [(Pace, f64, f64); 3] =
    [(Pace::Bullet, 0.3, 1.5), (Pace::Blitz, 0.6, 7.0), (Pace::Rapid, 0.1, 30.0)];

/// Chances of the players of a band, 0 to 1.
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
    /// The share of the games that Black keeps on the line after each of White's choices, the last one being the bait.
    pub keeps: Vec<f64>,
    /// What White scores above what the ratings predict, in all games.
    pub ordinary: f64,
    /// Black's edges: refuted, missed, without the slip, with other moves than the bait.
    pub edges: [f64; 4],
    pub draws: f64,
    /// Share of the games with clocks.
    pub clocks: f64,
    /// The slip's and the other moves' times in parts of the ordinary time.
    pub hurry: [f64; 2],
}

/// Counts of one month, and what depends on them.
pub struct Month {
    positions: BTreeMap<Key, PositionCounts>,
    totals: Totals,
    limits: Limits,
    pub line: TrapLine,
    /// True mean seconds of the slip and of the other moves at the paces that were drawn.
    pub seconds: [f64; 2],
}

impl Counts for Month {
    type Error = Infallible;

    fn position(&self, key: Key) -> Result<Option<PositionCounts>, Infallible> {
        Ok(self.positions.get(&key).cloned())
    }

    fn totals(&self) -> &Totals {
        &self.totals
    }

    fn limits(&self) -> &Limits {
        &self.limits
    }
}

/// Seconds measured so far: number, and the sum of the means they were drawn from.
#[derive(Clone, Copy, Default)]
struct Drawn {
    n: u64,
    means: f64,
}

impl League {
    /// Plays a month.
    pub fn month(&self, chance: &mut Chance) -> Month {
        let (moves, slip) = LINES[self.keeps.len() - 1];
        let mut play = Play { month: Month::empty(line(moves, slip)), chance, league: self };
        let mut drawn = [Drawn::default(); 2];
        for (index, truth) in self.bands.iter().enumerate() {
            let band = Band::from_index(10 + index).expect("a band");
            let mut left = (truth.games, 1.0);
            for (pace, share, seconds) in PACES {
                let games = play.chance.binomial(left.0, share / left.1);
                left = (left.0 - games, left.1 - share);
                play.band(CellId::new(band, pace), truth, games, seconds, &mut drawn);
            }
        }
        let mut month = play.month;
        month.seconds = drawn.map(|drawn| drawn.means / drawn.n as f64);
        month
    }
}

fn line(words: &str, slip: usize) -> TrapLine {
    let mut position = Chess::default();
    let moves = words.split(' ').map(|word| {
        let mv = word.parse::<San>().expect("a move").to_move(&position).expect("a legal move");
        position.play_unchecked(mv);
        mv
    });
    TrapLine { name: "Planted".into(), moves: moves.collect(), slip, ..TrapLine::default() }
}

impl Month {
    fn empty(line: TrapLine) -> Month {
        Month {
            positions: BTreeMap::new(),
            totals: Totals::default(),
            limits: Limits {
                half_moves: 30,
                keep_from: 1,
                absent_may_lack: 0,
                incomplete: Vec::new(),
            },
            line,
            seconds: [0.0; 2],
        }
    }

    /// Adds games of one move in the position before the line's half-move `ply`: the line's own move or another.
    fn add(&mut self, ply: usize, own: bool, id: CellId, cell: Cell) {
        let mut position = Chess::default();
        self.line.moves[..ply].iter().for_each(|&mv| position.play_unchecked(mv));
        let needed = self.line.moves[ply];
        let mv: Move = match own {
            true => needed,
            false => position.legal_moves().into_iter().find(|&mv| mv != needed).expect("others"),
        };
        let (key, code) = (Key::of(&position), MoveCode::of(mv));
        let moves = &mut self.positions.entry(key).or_insert(PositionCounts::empty(key)).moves;
        let place = moves.binary_search_by_key(&code, |mv| mv.code).unwrap_or_else(|place| {
            moves.insert(place, MoveCounts { code, cells: Vec::new() });
            place
        });
        // Bands and paces come in ascending order.
        moves[place].cells.push((id, cell));
    }
}

struct Play<'a> {
    month: Month,
    chance: &'a mut Chance,
    league: &'a League,
}

impl Play<'_> {
    fn band(
        &mut self,
        id: CellId,
        truth: &BandTruth,
        games: u64,
        seconds: f64,
        drawn: &mut [Drawn; 2],
    ) {
        let all = self.results(games, 0.0);
        self.month.totals.add_cell(Color::White, id, &swapped(all));
        self.month.totals.add_cell(Color::Black, id, &all);
        let plain = |games| Cell { games, ..Cell::default() };
        let mut here = games;
        for (choice, &share) in truth.choices.iter().enumerate() {
            let needed = self.chance.binomial(here, share);
            self.month.add(2 * choice, true, id, plain(needed));
            self.month.add(2 * choice, false, id, plain(here - needed));
            here = self.chance.binomial(needed, self.league.keeps[choice]);
            if choice + 1 == truth.choices.len() {
                let usual = self.results(needed - here, self.league.edges[3]);
                self.month.add(2 * choice + 1, true, id, plain(here));
                self.month.add(2 * choice + 1, false, id, usual);
            }
        }
        let slip = self.month.line.slip;
        let slips = self.chance.binomial(here, truth.slip);
        let finds = self.chance.binomial(slips, truth.find);
        let [refuted, missed, held, _] = self.league.edges;
        let refuted = self.results(finds, refuted);
        let missed = self.results(slips - finds, missed);
        let held = self.results(here - slips, held);
        self.month.add(slip + 1, true, id, refuted);
        self.month.add(slip + 1, false, id, missed);
        let mut slipped = refuted;
        slipped.merge(&missed);
        for (own, cell) in [(true, slipped), (false, held)] {
            let mut cell = swapped(cell);
            let mean = self.league.hurry[usize::from(!own)] * seconds;
            self.clock(&mut cell, mean, &mut drawn[usize::from(!own)]);
            self.month.add(slip, own, id, cell);
        }
    }

    /// Black's results in games in which Black's edge is `edge`.
    fn results(&mut self, games: u64, edge: f64) -> Cell {
        let (mut cell, mut left, mut rest) = (Cell::default(), games, 1.0);
        for (expected, share) in GAPS {
            let n = if rest <= share { left } else { self.chance.binomial(left, share / rest) };
            (left, rest) = (left - n, rest - share);
            let score = f64::from(1000 - expected) / 1000.0 - self.league.ordinary + edge;
            let draw = self.league.draws.min(score).min(1.0 - score);
            let draws = self.chance.binomial(n, draw);
            let wins = self.chance.binomial(n - draws, (score - draw / 2.0) / (1.0 - draw));
            cell.merge(&Cell {
                games: n,
                wins,
                draws,
                expected_milli: n * u64::from(1000 - expected),
                ..Cell::default()
            });
        }
        cell
    }

    /// Times with a long tail (log-normal) around half, once and one and a half times the mean, as time controls of one pace differ.
    fn clock(&mut self, cell: &mut Cell, mean: f64, drawn: &mut Drawn) {
        let n = self.chance.binomial(cell.games, self.league.clocks);
        for _ in 0..n {
            let control = 0.5 * self.chance.whole(1, 3) as f64;
            let seconds = mean * control * self.chance.long_tailed();
            cell.add_clock((10.0 * seconds).round() as u32);
        }
        drawn.n += n;
        drawn.means += n as f64 * mean;
    }
}

/// The other side's results.
fn swapped(cell: Cell) -> Cell {
    Cell { wins: cell.losses(), expected_milli: 1000 * cell.games - cell.expected_milli, ..cell }
}
