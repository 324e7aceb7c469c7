//! A student's own games against the level: costly habits, traps met and laid, where prepared
//! lines are left.
//!
//! In: any [`Counts`], the [`StudentGames`], traps and prepared lines. Out: [`StudentAnswer`].
//! One file each:
//!
//! 1. `level` says whose games are the measure: the 200 points around the median of the student's
//!    own ratings, if nothing was asked.
//! 2. `visits` collects the positions that the student had to move in, and what the
//!    student did there.
//! 3. `habits` holds the usual move in each against every other move with enough games. What is
//!    tested is chosen by counts alone; the better move is the best of many, so all these pairs are
//!    one family, as the moves of a hunt are.
//! 4. `traps` follows traps from both sides, `left` the prepared lines.
//! 5. `first` picks what to learn first.
//! 6. `unadvised` knows the moves that no pupil is sent to, however well they score: they lay a
//!    trap that is not known to be sound. Nor is one advised that leaves its player worse where
//!    another does not (`trap::cutoffs`).
//! 7. `known` lists repeated moves that are slips whatever results say: of known traps, or because
//!    they allow mate in one.
//!
//! The student's own results choose nothing: they are few, and a lucky series would hide a habit or
//! invent one. What is costly is judged by the games of the level alone.

mod first;
mod habits;
mod known;
mod left;
mod level;
mod played;
mod report;
mod results;
mod rules;
mod traps;
mod unadvised;
mod visits;

#[cfg(test)]
mod tests;

pub use habits::{Better, Habit, Had, Judged, PositionTally};
pub use known::KnownSlip;
pub use left::{By, Left, LeftAnswer};
pub use level::{LevelMove, level_of};
pub use played::PlayedMove;
pub use report::{
    ColourTally, Dates, GamesSummary, Kind, Learn, Level, LevelBasis, Ratings, StudentAnswer,
    Students,
};
pub use results::Results;
pub use rules::{Asked, Settings, TIMES, TrapSource};
pub use traps::{NamedGame, Role, TrapRow};

use super::Question;
use super::trap::{Cache, Overrides, judge_cached};
use crate::counts::Counts;
use crate::lines::StudentGames;
use crate::terms::{BandRange, MoverFilter};
use unadvised::Unadvised;

/// Holds a student's games against the level of the question, or against the student's own if
/// none was given.
pub fn student<C: Counts>(
    counts: &C,
    games: &StudentGames,
    asked: &Asked<'_>,
    question: &Question,
) -> Result<StudentAnswer, C::Error> {
    let own = level_of(&games.taken);
    let (bands, basis) = match (asked.given_level, own) {
        (true, _) => (question.filter.bands, LevelBasis::Given),
        (false, Some(bands)) => (bands, LevelBasis::Median),
        (false, None) => (BandRange::ALL, LevelBasis::NoRatings),
    };
    let question = question.about(MoverFilter { bands, ..question.filter });
    let cache = Cache::new(counts);
    let judge = |trap| judge_cached(&cache, trap, &question, &Overrides::default());
    let reports = asked.traps.iter().map(judge).collect::<Result<Vec<_>, _>>()?;
    let judged = (asked.traps, reports.as_slice());
    let unadvised = Unadvised::of(&cache, judged, asked.traps_from)?;
    let (settings, baseline) = (asked.settings, cache.baseline());
    let had = visits::visited(&games.taken, settings.times);
    let own = (games.taken.as_slice(), had.as_slice());
    let mut habits = habits::habits(counts, baseline, own, (settings, &unadvised), &question)?;
    let slips = known::known_slips(&games.taken, &had, judged, settings.repeated());
    for habit in &mut habits.habits {
        let slip = slips.iter().find(|slip| slip.is(habit));
        habit.trap = slip.and_then(|slip| slip.trap.clone());
    }
    let traps = traps::traps(&cache, &games.taken, judged, &unadvised, &question)?;
    let left = match asked.prepared {
        Some((file, side)) => Some(left::left(&cache, file, side, &games.taken, &question)?),
        None => None,
    };
    let mut answer = StudentAnswer {
        name: games.name.clone(),
        also: games.also.clone(),
        games: GamesSummary::of(games),
        level: Level { bands, paces: question.filter.paces, basis },
        min_sample: question.min_sample,
        settings: *asked.settings,
        positions: habits.positions,
        habits: habits.habits,
        interval_level: habits.interval_level,
        slips,
        had: habits.had,
        traps_from: asked.traps_from,
        traps,
        repertoire: left.as_ref().map(|(answer, _)| answer.clone()),
        left: left.map_or(Vec::new(), |(_, left)| left),
        first: Vec::new(),
        limits: counts.limits().clone(),
    };
    answer.first = first::first(&answer);
    Ok(answer)
}
