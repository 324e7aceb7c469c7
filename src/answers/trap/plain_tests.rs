//! Reports on invented games against the definitions, computed game by game from a plain list.

use proptest::prelude::*;
use shakmaty::Color::{self, Black, White};

use super::*;
use crate::answers::kit::{ModelCounts, trap};
use crate::answers::stats::{
    ByGroup, CalibrationSums, DesignEffect, GROUPS, Level, SCORE_CORRELATION, Slope,
    design_effect_of_residuals, games_a_player, pools,
};
use crate::answers::{Figure, Question};
use crate::terms::{BandRange, MoverFilter, Pace, PaceSet, Rating, expected_milli};

/// The line and two other moves at each of its plies; none of them leads back into the line.
const LINE: [(&str, [&str; 2]); 8] = [
    ("e4", ["d4", "c4"]),
    ("e5", ["c5", "e6"]),
    ("Nf3", ["Nc3", "f4"]),
    ("Nc6", ["Nf6", "d6"]),
    ("Bc4", ["Bb5", "d4"]),
    ("Nd4", ["Nf6", "Bc5"]),
    ("Nxe5", ["c3", "O-O"]),
    ("Qg5", ["Ne6", "d6"]),
];
const BAIT: usize = 5;
const SLIP: usize = 6;

#[derive(Clone, Debug)]
struct Game {
    /// White's and Black's.
    ratings: [u16; 2],
    pace: Pace,
    /// White's score in half points.
    halves: u8,
    /// At which ply the game leaves the line, 8 for never, and by which move.
    leaves: usize,
    by: usize,
}

impl Game {
    fn moves(&self) -> Vec<&'static str> {
        let mut moves: Vec<_> = LINE[..self.leaves].iter().map(|(mv, _)| *mv).collect();
        moves.extend(LINE.get(self.leaves).map(|(_, others)| others[self.by]));
        moves
    }

    /// Whether a move is played in the position before this ply of the line.
    fn reaches(&self, ply: usize) -> bool {
        self.leaves >= ply
    }

    fn follows(&self, ply: usize) -> bool {
        self.leaves > ply
    }

    fn band(&self, side: Color) -> u16 {
        self.ratings[side as usize ^ 1] / 100 * 100
    }

    /// Score and expected score.
    fn score(&self, side: Color) -> (f64, f64) {
        let rating = |at: usize| Rating::new(self.ratings[at]).expect("a rating");
        let expected = f64::from(expected_milli(rating(0), rating(1))) / 1000.0;
        let score = f64::from(self.halves) / 2.0;
        if side == White { (score, expected) } else { (1.0 - score, 1.0 - expected) }
    }
}

struct Plain<'a> {
    games: &'a [Game],
    filter: MoverFilter,
}

impl<'a> Plain<'a> {
    fn admits(&self, game: &Game, mover: Color) -> bool {
        let range = self.filter.bands.from..self.filter.bands.below;
        range.contains(&game.band(mover)) && self.filter.paces.contains(game.pace)
    }

    /// The games that reach a ply of the line with a mover of the filter.
    fn at(&self, ply: usize) -> Vec<&'a Game> {
        let mover = if ply.is_multiple_of(2) { White } else { Black };
        self.games.iter().filter(|g| g.reaches(ply) && self.admits(g, mover)).collect()
    }

    fn split(&self, ply: usize) -> (Vec<&'a Game>, Vec<&'a Game>) {
        self.at(ply).into_iter().partition(|game| game.follows(ply))
    }

    fn share(&self, ply: usize) -> (u64, u64) {
        let (with, without) = self.split(ply);
        (with.len() as u64, (with.len() + without.len()) as u64)
    }

    /// How fast White's score rises with the expected one in a pace.
    fn slope(&self, pace: Pace) -> f64 {
        let mut sums = CalibrationSums::default();
        let mut groups = [0; GROUPS];
        for (place, game) in self.games.iter().enumerate().filter(|(_, game)| game.pace == pace) {
            let (score, expected) = game.score(White);
            sums.games += 1;
            sums.wins += u64::from(score == 1.0);
            sums.draws += u64::from(score == 0.5);
            sums.expected += expected;
            sums.expected_sq += expected * expected;
            sums.expected_result += expected * score;
            groups[place % GROUPS] += 1;
        }
        let effect = design_effect_of_residuals(games_a_player(&groups), SCORE_CORRELATION);
        Slope::of(&sums, effect).value
    }

    /// Mean over games of Black's score minus what is ordinary for the mover's kind.
    fn edge(&self, games: &[&Game], mover: Color) -> f64 {
        let sign = if mover == Black { 1.0 } else { -1.0 };
        let above = |game: &&Game| {
            let slope = self.slope(game.pace);
            let level = |alike: &dyn Fn(&Game) -> bool| {
                let mut level = Level::default();
                for other in self.games.iter().filter(|other| alike(other)) {
                    let (score, expected) = other.score(mover);
                    level.games += 1;
                    level.score += score;
                    level.expected += expected;
                }
                level
            };
            let all = level(&|other| other.pace == game.pace);
            let band =
                level(&|other| other.pace == game.pace && other.band(mover) == game.band(mover));
            let (score, expected) = game.score(mover);
            score - band.shrunk(all, slope) - slope * expected
        };
        sign * games.iter().map(above).sum::<f64>() / games.len() as f64
    }

    /// D of the shares before a ply.
    fn effect(&self, ply: usize) -> f64 {
        let mover = if ply.is_multiple_of(2) { White } else { Black };
        let mut moves: Vec<(&str, ByGroup)> = Vec::new();
        for (place, game) in self.games.iter().enumerate() {
            let Some(&mv) = game.moves().get(ply) else { continue };
            if !game.reaches(ply) || !self.admits(game, mover) {
                continue;
            }
            let at = moves.iter().position(|(other, _)| *other == mv).unwrap_or_else(|| {
                moves.push((mv, [0; GROUPS]));
                moves.len() - 1
            });
            moves[at].1[place % GROUPS] += 1;
        }
        DesignEffect::of(&moves.into_iter().map(|(_, games)| games).collect::<Vec<_>>()).share
    }

    /// Whether a share before a ply has a value.
    fn suffices(&self, ply: usize, least: u64) -> bool {
        let n = self.share(ply).1;
        n > 0 && n as f64 / self.effect(ply) + 1e-9 >= least as f64
    }

    /// Bands with few games share them.
    fn steered(&self) -> f64 {
        let bands = (0..4000u16).step_by(100).filter_map(|from| BandRange::new(from, from + 100));
        let range = self.filter.bands.from..self.filter.bands.below;
        let bands = bands.filter(|band| range.contains(&band.from));
        let own = |bands| Plain { filter: MoverFilter { bands, ..self.filter }, ..*self };
        let own: Vec<Plain<'_>> = bands.map(own).filter(|own| !own.at(0).is_empty()).collect();
        let mut products: Vec<f64> = own.iter().map(|own| own.at(0).len() as f64).collect();
        let weights: f64 = products.iter().sum();
        for ply in [0, 2, 4] {
            let shares: Vec<(u64, u64)> = own.iter().map(|own| own.share(ply)).collect();
            for pool in pools(&shares.iter().map(|share| share.1).collect::<Vec<_>>()) {
                let k: u64 = pool.iter().map(|&band| shares[band].0).sum();
                let n: u64 = pool.iter().map(|&band| shares[band].1).sum();
                let share = if n == 0 { 0.0 } else { k as f64 / n as f64 };
                pool.iter().for_each(|&band| products[band] *= share);
            }
        }
        products.iter().sum::<f64>() / weights
    }
}

fn games() -> impl Strategy<Value = Vec<Game>> {
    let depth = prop_oneof![1 => 0..4usize, 3 => 4..=8usize];
    let game = (1450..1750u16, 1450..1750u16, any::<bool>(), 0..=2u8, depth, 0..2usize);
    let game = game.prop_map(|(white, black, fast, halves, leaves, by)| {
        let pace = if fast { Pace::Blitz } else { Pace::Rapid };
        Game { ratings: [white, black], pace, halves, leaves, by }
    });
    prop::collection::vec(game, 1..60)
}

fn filters() -> impl Strategy<Value = MoverFilter> {
    let paces = prop_oneof![Just(PaceSet::ALL), Just(PaceSet::from_iter([Pace::Blitz]))];
    (14..17u16, 1..5u16, paces).prop_map(|(from, width, paces)| {
        let bands = BandRange::new(from * 100, (from + width) * 100).expect("on the edges");
        MoverFilter { bands, paces }
    })
}

/// A known value lies in its interval and equals the wanted one; a withheld one lacks games.
fn same(mean: &Figure, n: u64, least: u64, want: f64) -> Result<(), TestCaseError> {
    prop_assert_eq!(mean.n, n);
    prop_assert!(mean.n_eff <= n as f64);
    prop_assert_eq!(mean.value.is_some(), n > 0 && mean.n_eff + 1e-9 >= least as f64);
    if let (Some(value), Some(low), Some(high)) = (mean.value, mean.low, mean.high) {
        prop_assert!((value - want).abs() < 1e-9, "{} is not {}", value, want);
        prop_assert!(low <= value && value <= high);
    }
    Ok(())
}

fn made_of(mean: &Figure, want: f64) -> Result<(), TestCaseError> {
    same(mean, mean.n, if mean.value.is_some() { 0 } else { u64::MAX }, want)
}

fn counted(rate: &Figure, (k, n): (u64, u64), enough: bool) -> Result<(), TestCaseError> {
    prop_assert_eq!((rate.k, rate.n, rate.value.is_some()), (Some(k), n, enough));
    prop_assert_eq!(rate.low.is_some(), n > 0, "a thin share has its interval");
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_report_follows_the_definitions(games in games(), filter in filters(), least in 1..5u64) {
        let mut counts = ModelCounts::new();
        for game in &games {
            let result = ["0-1", "1/2", "1-0"][usize::from(game.halves)];
            counts.game(game.ratings, game.pace, result, &game.moves().join(" "));
        }
        let line = trap(&LINE.map(|(mv, _)| mv).join(" "), SLIP);
        let question = Question { filter, min_sample: least, ..Question::default() };
        let Ok(report) = judge(&counts, &line, &question);
        let figures = report.figures;
        let plain = Plain { games: &games, filter };

        let (slipped, held) = plain.split(SLIP);
        let (refuted, missed) = plain.split(SLIP + 1);
        let replies = plain.at(SLIP + 1);
        let (_, usual) = plain.split(BAIT);
        let n = |games: &[&Game]| games.len() as u64;
        let all = n(&plain.at(0));
        let enough = all > 0 && figures.occurrence.n_eff + 1e-9 >= least as f64;
        counted(&figures.occurrence, (n(&plain.at(SLIP)), all), enough)?;
        counted(&figures.slip_rate, plain.share(SLIP), plain.suffices(SLIP, least))?;
        counted(&figures.find_rate, plain.share(SLIP + 1), plain.suffices(SLIP + 1, least))?;
        prop_assert_eq!(n(&refuted) + n(&missed), n(&replies));

        let edges = [&slipped, &held].map(|games| plain.edge(games, White));
        let edge_refuted = plain.edge(&refuted, Black);
        let edge_usual = plain.edge(&usual, Black);
        same(&figures.edge_after_slip, n(&slipped), least, edges[0])?;
        same(&figures.edge_no_slip, n(&held), least, edges[1])?;
        same(&figures.edge_refuted, n(&refuted), least, edge_refuted)?;
        same(&figures.usual.edge, n(&usual), least, edge_usual)?;

        let (s, (k, all)) = (plain.steered(), plain.share(SLIP));
        let p = k as f64 / all as f64;
        let steered = &figures.steered.rate;
        if let (Some(value), Some(low), Some(high)) = (steered.value, steered.low, steered.high) {
            prop_assert!((value - s).abs() < 1e-9, "{} is not {}", value, s);
            prop_assert!(0.0 <= low && low <= value && value <= high && high <= 1.0);
        } else {
            prop_assert!([0, 2, 4].iter().any(|&ply| !plain.suffices(ply, least)));
        }
        made_of(&figures.slips_per_1000, 1000.0 * s * p)?;
        made_of(&figures.worth, 1000.0 * s * p * (edge_refuted - plain.edge(&replies, Black)))?;
        made_of(&figures.price, edge_usual - edges[1])?;
        made_of(&figures.net, 1000.0 * s * (p * edge_refuted + (1.0 - p) * edges[1] - edge_usual))?;
        let whole = report.bands.iter().map(|row| row.figures.games).sum::<u64>();
        prop_assert_eq!(whole, figures.games);
    }
}
