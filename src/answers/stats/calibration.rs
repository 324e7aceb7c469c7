//! What the ratings really predict: the slope of the mean score on the expected one, and the
//! ordinary level of a band.
//!
//! The rating formula says that the mean score rises as fast as the expected one. On real dumps it
//! rises with 0.83 to 0.84 of that, so an edge against the bare formula flatters whoever meets
//! stronger opponents. The score that is ordinary for an expectation e is instead
//!
//! ordinary(e) = level + slope x e,
//!
//! with one slope a pace, by least squares, and a level of the colour, the band and the pace: mean
//! score - slope x mean expectation.

use super::interval::Interval;
use super::normal::Z_95;

/// The slope of dumps that were measured.
const USUAL_SLOPE: f64 = 0.84;

/// How far the slope of a dump is believed to lie from it, as a standard deviation.
const SLOPE_SPREAD: f64 = 0.05;

/// The least variance of a game's score about the line, in points squared: three games may happen
/// to lie on one.
const LEAST_VARIANCE: f64 = 1.0 / 16.0;

/// A band's own games weigh like this many of its colour and pace.
///
/// The level of a band is normal about that of its colour and pace with standard deviation t, and
/// the mean of its n games about it with s / sqrt(n): the best estimate is the mean of the two
/// weighted by n and s^2 / t^2. A score varies by s^2 = 0.22 about what the ratings predict (0.25
/// less a quarter of the draws), and levels by t = 0.021 points, half the size of the first move's
/// merit: 500 games.
const LEVEL_GAMES: f64 = 500.0;

/// Sums over games from White's view, expectations in points, 0 to 1 a game.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CalibrationSums {
    /// Games.
    pub games: u64,
    /// Won games.
    pub wins: u64,
    /// Drawn games.
    pub draws: u64,
    /// Sum of e, what the ratings predict.
    pub expected: f64,
    /// Sum of e^2.
    pub expected_sq: f64,
    /// Sum of e times the result.
    pub expected_result: f64,
}

/// How fast the mean score rises with the expected one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slope {
    /// The slope used: the least-squares slope, shrunk.
    pub value: f64,
    /// Its 95 % interval.
    pub interval: Interval,
    /// Games.
    pub games: u64,
    /// Games of different players that tell as much.
    pub effective_games: f64,
    /// The least-squares slope of the games alone and its standard error; none if all
    /// expectations are equal.
    pub own: Option<(f64, f64)>,
}

impl Slope {
    /// From games of which `design_effect`, at least 1, are worth one.
    ///
    /// Least squares b = sum (e - mean e)(r - mean r) / sum (e - mean e)^2 with variance D s^2 /
    /// sum (e - mean e)^2, s^2 the squared residuals by n - 2. The prior is normal about 0.84 with
    /// standard deviation 0.05, so the slope is the mean of the two weighted by their inverse
    /// variances, and its variance the inverse of the sum of these.
    pub fn of(sums: &CalibrationSums, design_effect: f64) -> Slope {
        let own = sums.least_squares(design_effect);
        let prior = SLOPE_SPREAD.powi(-2);
        let (weighted, weight) = match own {
            Some((slope, error)) => (slope * error.powi(-2), error.powi(-2)),
            None => (0.0, 0.0),
        };
        let value = (USUAL_SLOPE * prior + weighted) / (prior + weight);
        let half = Z_95 / (prior + weight).sqrt();
        let interval = Interval::new(value - half, value + half);
        let games = sums.games;
        Slope {
            value,
            interval,
            games,
            effective_games: games as f64 / design_effect.max(1.0),
            own,
        }
    }
}

impl CalibrationSums {
    /// Slope and standard error.
    fn least_squares(&self, design_effect: f64) -> Option<(f64, f64)> {
        if self.games < 3 {
            return None;
        }
        let n = self.games as f64;
        let score = self.wins as f64 + 0.5 * self.draws as f64;
        let squares = self.wins as f64 + 0.25 * self.draws as f64;
        let spread = self.expected_sq - self.expected * self.expected / n;
        // Rounding leaves this much where all expectations are equal.
        if spread <= 1e-12 * self.expected_sq {
            return None;
        }
        let together = self.expected_result - self.expected * score / n;
        let slope = together / spread;
        let residual = (squares - score * score / n - slope * together) / (n - 2.0);
        let variance = residual.max(LEAST_VARIANCE) * design_effect.max(1.0) / spread;
        Some((slope, variance.sqrt()))
    }
}

/// Games of a colour and pace, of one band or of all.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Level {
    /// Games.
    pub games: u64,
    /// Sum of the scores, in points.
    pub score: f64,
    /// Sum of the expected scores, in points.
    pub expected: f64,
}

impl Level {
    /// Mean score - slope x mean expectation, in points; 0 without games.
    fn own(self, slope: f64) -> f64 {
        (self.score - slope * self.expected) / self.games.max(1) as f64
    }

    /// The ordinary level of this band, in points: its own, shrunk towards that of `all` bands of
    /// its colour and pace.
    ///
    /// The score that is ordinary for an expectation e is the level + slope x e.
    pub fn shrunk(self, all: Level, slope: f64) -> f64 {
        let n = self.games as f64;
        (n * self.own(slope) + LEVEL_GAMES * all.own(slope)) / (n + LEVEL_GAMES)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sums(games: &[(f64, f64)]) -> CalibrationSums {
        let mut sums = CalibrationSums { games: games.len() as u64, ..Default::default() };
        for &(e, r) in games {
            sums.wins += u64::from(r == 1.0);
            sums.draws += u64::from(r == 0.5);
            sums.expected += e;
            sums.expected_sq += e * e;
            sums.expected_result += e * r;
        }
        sums
    }

    /// By hand: e 0.25, 0.5, 0.75 with results 0, 0.5, 1 lie on a line of slope 2, which has the
    /// least variance of 1/16 and so the standard error sqrt(1/16 / 0.125) = 0.7071. Inverse
    /// variances 400 and 2: (0.84 x 400 + 2 x 2) / 402.
    #[test]
    fn a_few_games_hardly_move_the_slope() {
        let slope = Slope::of(&sums(&[(0.25, 0.0), (0.5, 0.5), (0.75, 1.0)]), 1.0);
        let (own, error) = slope.own.expect("a spread");
        assert!((own - 2.0).abs() < 1e-12 && (error - 0.5f64.sqrt()).abs() < 1e-12);
        assert!((slope.value - 340.0 / 402.0).abs() < 1e-12);
        assert!((slope.interval.width() / 2.0 - Z_95 / 402f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn without_a_spread_the_usual_slope_stands() {
        for games in [&[][..], &[(0.6, 1.0); 50], &[(0.1, 0.0), (0.9, 1.0)]] {
            let slope = Slope::of(&sums(games), 1.0);
            assert_eq!((slope.value, slope.own), (USUAL_SLOPE, None));
            assert!(slope.interval.contains(USUAL_SLOPE + 1.9 * SLOPE_SPREAD));
        }
    }

    /// By hand: own level 0.6 - 0.8 x 0.5 = 0.2, that of all 0.5 - 0.8 x 0.5 = 0.1; 500 games weigh
    /// as much as the 500 of the prior.
    #[test]
    fn a_band_with_few_games_takes_the_level_of_all() {
        let of = |games: u64, mean: f64| Level {
            games,
            score: games as f64 * mean,
            expected: games as f64 * 0.5,
        };
        let all = of(100_000, 0.5);
        assert!((of(500, 0.6).shrunk(all, 0.8) - 0.15).abs() < 1e-12);
        assert!((of(0, 0.0).shrunk(all, 0.8) - 0.1).abs() < 1e-12);
        assert!((of(1_000_000, 0.6).shrunk(all, 0.8) - 0.2).abs() < 1e-4);
    }

    /// Equal expectations have no spread, be they 0 or so many that rounding leaves one: 1,000,001
    /// games at 0.1.
    #[test]
    fn equal_expectations_have_no_slope_of_their_own() {
        assert_eq!(Slope::of(&sums(&[(0.0, 0.0); 3]), 1.0).own, None);
        let n: f64 = 1_000_001.0;
        let (expected, expected_sq) = (n * 0.1, n * 0.1 * 0.1);
        assert!(expected_sq - expected * expected / n > 0.0);
        let many =
            CalibrationSums { games: 1_000_001, expected, expected_sq, ..Default::default() };
        assert_eq!(Slope::of(&many, 1.0).own, None);
    }

    #[test]
    fn a_design_effect_divides_the_games_and_is_at_least_one() {
        let sums = sums(&[(0.25, 0.0), (0.5, 0.5), (0.75, 1.0), (0.5, 0.0)]);
        assert_eq!(Slope::of(&sums, 4.0).effective_games, 1.0);
        assert_eq!(Slope::of(&sums, 0.5), Slope::of(&sums, 1.0));
    }

    proptest! {
        #[test]
        fn the_slope_lies_between_its_own_and_the_usual(games in prop::collection::vec((0.05..0.95f64, 0..3u8), 3..60)) {
            let games: Vec<_> = games.iter().map(|&(e, r)| (e, f64::from(r) / 2.0)).collect();
            let slope = Slope::of(&sums(&games), 1.0);
            if let Some((own, _)) = slope.own {
                let (low, high) = (own.min(USUAL_SLOPE), own.max(USUAL_SLOPE));
                prop_assert!(low - 1e-9 <= slope.value && slope.value <= high + 1e-9);
            }
        }
    }
}
