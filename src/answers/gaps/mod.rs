//! What a file of prepared lines leaves unanswered.
//!
//! In: any [`Counts`], a [`Prepared`] file and whose file it is. Out: [`GapsAnswer`]. A student who always plays the file is
//! followed through its positions: the student's moves are those of the file, the opponents' as they are at the level. The
//! stages, one file each:
//!
//! 1. `choices` looks every position of the file up once: which moves are played there, and which of them lead back into it.
//! 2. `flow` sends one game in, half-move by half-move. What plays a move that leads out of the file has met a gap and is
//!    gone: the first leaving counts. Ways that meet in a position go on together.
//! 3. `margin` makes every share of games into a rate with its interval.
//! 4. `listing` tells the gaps by how often they are met, with what the level replies.
//! 5. `spare` finds what hardly ever comes up, and how few moves carry most games.
//! 6. `map` spreads the flow out again as a tree, for a picture.
//!
//! A line ends where the file has no move in its last position, whoever made the last move; a game that comes there is
//! answered. What comes to a position in which the file goes on, but of which the counts know no game of such movers, is
//! unknown. Answered, met and unknown add up to one.

mod choices;
mod flow;
mod listing;
mod map;
mod margin;
mod report;
mod rules;
mod spare;

#[cfg(test)]
mod tests;

pub use map::{MapBlock, MapKind};
pub use report::{FileSummary, Gap, GapMove, GapsAnswer, PlyAnswer, Reply, Spare, SpareLine};
pub use rules::{Own, Settings};

use super::Question;
use crate::counts::Counts;
use crate::lines::Prepared;
use choices::Choices;
use flow::Flow;
use margin::{Goal, Margins};

/// Follows a student who plays the file.
pub fn gaps<C: Counts>(
    counts: &C,
    file: &Prepared,
    settings: &Settings,
    question: &Question,
) -> Result<GapsAnswer, C::Error> {
    let choices = Choices::of(counts, file, settings, question)?;
    let flow = Flow::of(&choices, settings.half_moves);
    let margins = Margins { choices: &choices, flow: &flow, question };
    let found = flow.gaps(&choices);
    let shown: Vec<_> =
        found.iter().take_while(|gap| gap.met >= settings.met).take(settings.top).collect();
    let by_ply = by_ply(&flow, &choices, &margins);
    Ok(GapsAnswer {
        filter: question.filter,
        side: settings.side,
        settings: *settings,
        min_sample: question.min_sample,
        file: FileSummary::of(file, settings.side),
        answered: margins.rate(Goal::Answered(u16::MAX)),
        left: margins.rate(Goal::Left),
        unknown: margins.rate(Goal::Unknown),
        half_left_by: by_ply.iter().find(|row| row.left >= 0.5).map(|row| row.ply),
        by_ply,
        gaps_in_all: found.len(),
        gaps: listing::gaps(counts, file, &margins, &shown)?,
        spare: spare::spare(file, &margins, settings),
        map: map::map(file, &choices, settings.half_moves),
        limits: counts.limits().clone(),
    })
}

/// One row a half-move, up to the last in which a game can still leave the file.
fn by_ply(flow: &Flow, choices: &Choices, margins: &Margins<'_>) -> Vec<PlyAnswer> {
    let rows = flow.by_ply(choices).into_iter().enumerate();
    rows.map(|(index, (left, unknown))| {
        let ply = index as u16 + 1;
        PlyAnswer { ply, answered: margins.rate(Goal::Answered(ply)), left, unknown }
    })
    .collect()
}
