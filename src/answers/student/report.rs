//! The structs of the answer.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use serde::Serialize;
use shakmaty::Color;

use super::habits::{Habit, Had, PositionTally};
use super::known::KnownSlip;
use super::left::{Left, LeftAnswer};
use super::level::median;
use super::results::Results;
use super::rules::{Settings, TrapSource};
use super::traps::TrapRow;
use crate::counts::Limits;
use crate::lines::{NotTaken, StudentGames};
use crate::terms::{BandRange, MoverFilter, PaceSet};

/// What a student's own games say, held against the level.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StudentAnswer {
    pub name: String,
    pub also: Vec<String>,
    pub games: GamesSummary,
    pub level: Level,
    /// A figure that rests on fewer games is withheld.
    pub min_sample: u64,
    pub settings: Settings,
    pub positions: PositionTally,
    /// Costly habits, the one with the highest lower limit of its cost first.
    pub habits: Vec<Habit>,
    /// The level of the intervals of `difference` and `cost_per_100_games` of all habits; none
    /// without one.
    pub interval_level: Option<f64>,
    /// Repeated moves that are slips whatever results say.
    pub slips: Vec<KnownSlip>,
    pub had: Vec<Had>,
    pub traps_from: TrapSource,
    pub traps: Vec<TrapRow>,
    /// What the prepared lines were held against, if there are any.
    pub repertoire: Option<LeftAnswer>,
    /// Where the student's games leave them, most often first.
    pub left: Vec<Left>,
    pub first: Vec<Learn>,
    pub limits: Limits,
}

impl StudentAnswer {
    /// What is known of a habit besides results.
    pub fn known_slip(&self, habit: &Habit) -> Option<&KnownSlip> {
        self.slips.iter().find(|slip| slip.is(habit))
    }

    /// Whose games are the measure, as a filter.
    pub fn filter(&self) -> MoverFilter {
        MoverFilter { bands: self.level.bands, paces: self.level.paces }
    }
}

/// Something to learn: what it is, and which entry of the answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Learn {
    pub kind: Kind,
    pub place: usize,
}

/// Which list an entry belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Of `habits`.
    Habit,
    /// Of `slips`: a move that allows mate in one.
    Slip,
    /// Of `traps`: one that the student fell into.
    Fell,
    /// Of `traps`: one whose refutation the student missed.
    Missed,
    /// Of `left`: a prepared move that the student forgot.
    Forgot,
    /// Of `left`: an opponent's move that the file does not answer.
    Unanswered,
}

/// Several students, in the order asked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Students {
    /// One answer each.
    pub students: Vec<StudentAnswer>,
}

/// What was read and taken.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct GamesSummary {
    pub read: u64,
    pub as_white: u64,
    pub as_black: u64,
    pub left_out: NotTaken,
    pub repeated: u64,
    pub results: ColourTally,
    pub ratings: Option<Ratings>,
    pub dates: Option<Dates>,
}

/// Results by the student's colour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct ColourTally {
    pub white: Results,
    pub black: Results,
}

impl ColourTally {
    /// With both colours.
    pub fn all(self) -> Results {
        self.white + self.black
    }
}

/// The student's ratings.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Ratings {
    pub games: u64,
    pub low: u16,
    pub median: f64,
    pub high: u16,
}

/// From when to when.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Dates {
    pub games: u64,
    pub first: String,
    pub last: String,
}

impl GamesSummary {
    pub(super) fn of(games: &StudentGames) -> GamesSummary {
        let taken = &games.taken;
        let of = |colour: Color| -> Results {
            taken.iter().filter(|game| game.colour == colour).map(|game| game.outcome).collect()
        };
        let results = ColourTally { white: of(Color::White), black: of(Color::Black) };
        let rated = || taken.iter().filter_map(|game| game.rating).map(|rating| rating.points());
        let dated = || taken.iter().filter_map(|game| game.date.as_ref());
        let span = rated().min().zip(rated().max()).zip(median(taken));
        let dates = dated().min().zip(dated().max());
        GamesSummary {
            read: games.read,
            as_white: results.white.games(),
            as_black: results.black.games(),
            left_out: games.left_out,
            repeated: games.repeated,
            results,
            ratings: span.map(|((low, high), median)| Ratings {
                games: rated().count() as u64,
                low,
                median,
                high,
            }),
            dates: dates.map(|(first, last)| Dates {
                games: dated().count() as u64,
                first: first.clone(),
                last: last.clone(),
            }),
        }
    }

    /// Games taken.
    pub fn taken(&self) -> u64 {
        self.as_white + self.as_black
    }
}

/// Whose games are the measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Level {
    /// The ratings.
    #[serde(flatten)]
    pub bands: BandRange,
    #[serde(rename = "pace")]
    pub paces: PaceSet,
    pub basis: LevelBasis,
}

/// Where a level comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LevelBasis {
    /// It was asked for.
    Given,
    /// Around the median of the student's own ratings.
    Median,
    /// The student's games have no ratings: all of them.
    NoRatings,
}
