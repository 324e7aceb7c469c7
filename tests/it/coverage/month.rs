//! A month of a league, played game by game.

use deadfall::counts::{Cell, GroupGames, InMemory, Total};
use deadfall::lines::Trap;
use deadfall::terms::{Band, CellId, Group, Key, MoveCode, Outcome, Pace};
use shakmaty::Color;

use super::league::{BandTruth, League, MOVES, Month, moves_at, shares};
use super::players::{Activity, CORRELATION, Player, Urn, crowd, dealt, games_a_player};
use super::sampling::Chance;

/// What the ratings predict for White, in thousandths, with the share of such games: opponents are
/// about 100 points apart.
const GAPS: [(u16, f64); 3] = [(350, 0.25), (500, 0.5), (650, 0.25)];

/// A pace with the share of the games and the mean seconds on a move.
const PACES: [(Pace, f64, f64); 3] =
    [(Pace::Bullet, 0.3, 1.5), (Pace::Blitz, 0.6, 7.0), (Pace::Rapid, 0.1, 30.0)];

/// The variance of a result, about.
const VARIANCE: f64 = 0.22;

/// Seconds measured so far: number, and the sum of the means they were drawn from.
#[derive(Clone, Copy, Default)]
struct Drawn {
    n: u64,
    means: f64,
}

impl League {
    /// Plays a month.
    pub fn month(&self, chance: &mut Chance) -> Month {
        let mut play = Play::of(self, chance);
        for (index, truth) in self.bands.iter().enumerate() {
            play.band(Band::from_index(10 + index).expect("a band"), truth);
        }
        let seconds = play.drawn.map(|drawn| drawn.means / drawn.n as f64);
        Month { counts: play.counts, trap: play.trap, seconds }
    }
}

/// A game on its way along the line: who plays White, by place in the crowd, and at which pace.
#[derive(Clone, Copy)]
pub struct Game {
    pub white: usize,
    pace: usize,
}

/// The games of a move at each pace.
type Slots = [(Cell, GroupGames); PACES.len()];

/// Those of all moves of a position of one band.
#[derive(Default)]
pub struct Here([Slots; MOVES]);

impl Here {
    /// Adds a game of this player; the cell, for what else is known of it.
    pub fn add(&mut self, mv: usize, game: Game, mover: &Player) -> &mut Cell {
        let (cell, groups) = &mut self.0[mv][game.pace];
        groups.add(group(mover), 1);
        cell
    }
}

fn group(player: &Player) -> Group {
    Group::from_index(player.group).expect("as many groups")
}

pub struct Play<'a> {
    /// Games of a player as White, as Black before the bait, and as Black after the slip.
    white: Activity,
    baiter: Activity,
    replier: Activity,
    pub trap: Trap,
    pub counts: InMemory,
    /// White's and Black's results of the band's games from the position before the bait
    /// on, by pace.
    ended: [[Total; 2]; PACES.len()],
    drawn: [Drawn; 2],
    pub chance: &'a mut Chance,
    league: &'a League,
}

impl<'a> Play<'a> {
    pub fn of(league: &'a League, chance: &'a mut Chance) -> Play<'a> {
        Play {
            white: Activity::of(league.games_a_white()),
            baiter: Activity::of(league.games_a_baiter()),
            replier: Activity::of(games_a_player(league.effect)),
            trap: league.trap(),
            counts: InMemory::counting(30),
            ended: Default::default(),
            drawn: Default::default(),
            chance,
            league,
        }
    }

    fn band(&mut self, band: Band, truth: &BandTruth) {
        let whites = crowd(self.chance, &self.white, truth.games);
        let (mut games, groups) = self.all_games(&whites);
        // White's habits on the way; what Black keeps on the line depends on who Black is only
        // before the bait.
        let last = truth.choices.len() - 1;
        for (choice, &share) in truth.choices.iter().enumerate() {
            let chosen = self.choose(&whites, games.iter().map(|game| game.white), share);
            let mut here = Here::default();
            for (game, &mv) in games.iter().zip(&chosen) {
                here.add(mv, *game, &whites[game.white]).games += 1;
            }
            self.put(2 * choice, band, &here);
            let keep = if choice == last { 1.0 } else { self.league.keeps[choice] };
            let mut goes_on = chosen.iter().map(|&mv| mv == 0 && self.chance.unit() < keep);
            games.retain(|_| goes_on.next().expect("one a game"));
        }
        self.bait(band, truth, &whites, &games);
        self.totals(band, self.league.at_the_bait(truth), groups);
    }

    /// All games as White, each player's side by side, and those of each pace by group.
    pub fn all_games(&mut self, whites: &[Player]) -> (Vec<Game>, [GroupGames; PACES.len()]) {
        let mut games = Vec::new();
        let mut groups = <[GroupGames; PACES.len()]>::default();
        for (white, player) in whites.iter().enumerate() {
            // Players keep to a pace.
            let at = self.chance.unit();
            let pace = usize::from(at >= PACES[0].1) + usize::from(at >= PACES[0].1 + PACES[1].1);
            groups[pace].add(group(player), player.games);
            games.extend((0..player.games).map(|_| Game { white, pace }));
        }
        (games, groups)
    }

    /// The totals of both sides: the games that have ended, the share of all that they are and
    /// Black's edge in them, and all others, in which Black has the edge that makes the mean of all
    /// the ordinary one.
    pub fn totals(
        &mut self,
        band: Band,
        (share, edge): (f64, f64),
        groups: [GroupGames; PACES.len()],
    ) {
        let others = -share * edge / (1.0 - share);
        let ended = std::mem::take(&mut self.ended);
        for ((groups, ended), (pace, ..)) in groups.into_iter().zip(ended).zip(PACES) {
            let mut sides = self.results(groups.total() - ended[0].cell.games, others);
            sides.iter_mut().zip(&ended).for_each(|(all, ended)| all.merge(ended));
            let [white, black] = sides;
            let id = CellId::new(band, pace);
            // Who plays Black matters to nothing that is looked at here but by its number of games.
            self.counts.totals.add(Color::Black, id, &Total { groups: groups.clone(), ..black });
            self.counts.totals.add(Color::White, id, &Total { groups, ..white });
        }
    }

    /// Results of so many games in which Black has this edge, White's and Black's.
    fn results(&mut self, games: u64, edge: f64) -> [Total; 2] {
        let (mut totals, mut left, mut rest) = (<[Total; 2]>::default(), games, 1.0);
        for (expected, share) in GAPS {
            let n = if rest <= share { left } else { self.chance.binomial(left, share / rest) };
            (left, rest) = (left - n, rest - share);
            let (win, draw) = self.chances(expected, edge);
            let wins = self.chance.binomial(n, win);
            let draws = self.chance.binomial(n - wins, draw / (1.0 - win));
            for (total, (wins, expected)) in
                totals.iter_mut().zip([(n - wins - draws, expected), (wins, 1000 - expected)])
            {
                let expected = u64::from(expected);
                total.cell.games += n;
                total.cell.wins += wins;
                total.cell.draws += draws;
                total.cell.expected_milli += n * expected;
                total.expected_sq += n * expected * expected;
                total.expected_result += expected * (1000 * wins + 500 * draws);
            }
        }
        totals
    }

    /// Black's chances of a win and of a draw where the ratings predict this for White, in
    /// thousandths.
    fn chances(&self, expected: u16, edge: f64) -> (f64, f64) {
        let beyond = f64::from(1000 - expected) / 1000.0 - 0.5;
        let score = 0.5 + self.league.slope * beyond - self.league.ordinary + edge;
        let draw = self.league.draws.min(score).min(1.0 - score);
        (score - draw / 2.0, draw)
    }

    /// The moves that the players of these games choose, 0 being the line's own.
    pub fn choose(
        &mut self,
        players: &[Player],
        games: impl Iterator<Item = usize>,
        own: f64,
    ) -> Vec<usize> {
        let mut urns = vec![Urn::default(); players.len()];
        let shares = shares(own);
        games.map(|player| urns[player].choose(self.chance, &shares, CORRELATION)).collect()
    }

    /// From Black's choice before the bait on: games end with a result.
    fn bait(&mut self, band: Band, truth: &BandTruth, whites: &[Player], games: &[Game]) {
        let [refuted, missed, held, usual] = self.league.edges;
        let slip_ply = self.trap.slip_ply();
        let baiters = crowd(self.chance, &self.baiter, games.len() as u64);
        let blacks = dealt(self.chance, &baiters);
        let keep = *self.league.keeps.last().expect("a choice");
        let baits = self.choose(&baiters, blacks.iter().copied(), keep);
        let on = || games.iter().zip(&blacks).zip(&baits).filter(|(_, bait)| **bait == 0);
        let victims = on().map(|((game, _), _)| game.white);
        let slips = self.choose(whites, victims, truth.slip);
        let slipped = slips.iter().filter(|slip| **slip == 0).count();
        let repliers = crowd(self.chance, &self.replier, slipped as u64);
        let mut deal = dealt(self.chance, &repliers).into_iter();
        let replies = self.choose(&repliers, deal.clone(), truth.find);

        let (mut before, mut here, mut after) = <(Here, Here, Here)>::default();
        let (mut slips, mut replies) = (slips.into_iter(), replies.into_iter());
        for ((&game, &black), &bait) in games.iter().zip(&blacks).zip(&baits) {
            let (white, black) = (&whites[game.white], &baiters[black]);
            if bait != 0 {
                let result = self.result(usual, white, black);
                before.add(bait, game, black).merge(&result);
                self.end(game, &result);
                continue;
            }
            let slip = slips.next().expect("one a bait");
            let result = if slip == 0 {
                let replier = &repliers[deal.next().expect("one a slip")];
                let reply = replies.next().expect("one a slip");
                let edge = if reply == 0 { refuted } else { missed };
                let result = self.result(edge, white, replier);
                after.add(reply, game, replier).merge(&result);
                result
            } else {
                self.result(held, white, black)
            };
            before.add(0, game, black).merge(&result);
            self.end(game, &result);
            let cell = here.add(slip, game, white);
            cell.merge(&swapped(result));
            self.clock(cell, usize::from(slip != 0), game, white);
        }
        self.put(slip_ply - 1, band, &before);
        self.put(slip_ply, band, &here);
        self.put(slip_ply + 1, band, &after);
    }

    /// Adds a game with Black's result to the games of both sides.
    pub fn end(&mut self, game: Game, result: &Cell) {
        let sides = [swapped(*result), *result];
        for (total, cell) in self.ended[game.pace].iter_mut().zip(sides) {
            let expected = cell.expected_milli;
            total.cell.merge(&cell);
            total.expected_sq += expected * expected;
            total.expected_result += expected * (1000 * cell.wins + 500 * cell.draws);
        }
    }

    /// Black's result in one game in which Black's edge is `edge`.
    pub fn result(&mut self, edge: f64, white: &Player, black: &Player) -> Cell {
        let at = self.chance.unit();
        let gap = usize::from(at >= GAPS[0].1) + usize::from(at >= GAPS[0].1 + GAPS[1].1);
        let expected = GAPS[gap].0;
        let better = black.better(VARIANCE) - white.better(VARIANCE);
        let (win, draw) = self.chances(expected, edge + better);
        let at = self.chance.unit();
        let outcome = match () {
            () if at < win => Outcome::Win,
            () if at < win + draw => Outcome::Draw,
            () => Outcome::Loss,
        };
        let mut cell = Cell::default();
        cell.add_game(outcome, 1000 - expected);
        cell
    }

    /// A time with a long tail around the player's own mean.
    fn clock(&mut self, cell: &mut Cell, which: usize, game: Game, white: &Player) {
        if self.chance.unit() < self.league.clocks {
            let mean = self.league.hurry[which] * PACES[game.pace].2;
            let seconds = mean * white.slowness() * self.chance.long_tailed();
            cell.add_clock((10.0 * seconds).round() as u32);
            self.drawn[which].n += 1;
            self.drawn[which].means += mean;
        }
    }

    /// Puts the games of one position and band into the counts.
    pub fn put(&mut self, ply: usize, band: Band, here: &Here) {
        let (position, moves) = moves_at(&self.trap, ply);
        let key = Key::of(&position);
        for (mv, slots) in moves.into_iter().zip(&here.0) {
            for ((cell, groups), (pace, ..)) in slots.iter().zip(PACES) {
                let id = CellId::new(band, pace);
                if cell.games > 0 {
                    self.counts.cell(&position, mv, id).merge(cell);
                    let counts = self.counts.positions.get_mut(&key).expect("it has a cell");
                    let (code, groups) = (MoveCode::of(mv), groups.occurring());
                    groups.for_each(|(group, games)| counts.groups.add(code, id, group, games));
                }
            }
        }
    }
}

/// The other side's results.
fn swapped(cell: Cell) -> Cell {
    Cell { wins: cell.losses(), expected_milli: 1000 * cell.games - cell.expected_milli, ..cell }
}
