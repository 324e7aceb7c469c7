//! What a file of prepared lines leaves unanswered.
//!
//! In: any [`Counts`], a [`Prepared`] file and whose file it is. Out: [`GapsAnswer`]. A student who
//! always plays the file is followed through its positions: the student's moves are those of the
//! file, the opponents' as they are at the level. The stages, one file each:
//!
//! 1. `choices` looks every position of the file up once: which moves are played there, and which
//!    of them lead back into it.
//! 2. `flow` sends one game in, half-move by half-move. What plays a move that leads out of the
//!    file has met a gap and is gone: the first leaving counts. Ways that meet in a position go
//!    on together.
//! 3. `margin` makes every share of games into a rate with its interval.
//! 4. `listing` tells the gaps by how often they are met, with what the level replies.
//! 5. `spare` finds what hardly ever comes up, and how few moves carry most games.
//! 6. `map` spreads the flow out again as a tree, for a picture.
//!
//! A line ends where the file has no move in its last position, whoever made the last move; a game
//! that comes there is answered. What comes to a position in which the file goes on, but of which
//! the counts know no game of such movers, is unknown. Answered, met and unknown add up to one.

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

use shakmaty::Position;

use super::Question;
use crate::counts::{Beyond, Counts, Limits};
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
    let lacking = |place: usize| counts.limits().lacking(&file.positions()[place].board, None);
    let nothing = flow.nothing(&choices).map(lacking);
    let margins = Margins { choices: &choices, flow: &flow, question, nothing };
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
        half_left_by: by_ply.iter().find(|row| row.left >= Some(0.5)).map(|row| row.ply),
        unknown_beyond: unknown_beyond(counts.limits(), file, &flow, settings),
        by_ply,
        gaps_in_all: found.len(),
        gaps: listing::gaps(counts, file, &margins, &shown)?,
        spare: spare::spare(file, &margins, settings),
        map: map::map(file, &choices, settings.half_moves),
        limits: counts.limits().clone(),
    })
}

/// If games come to places that are not counted: how far all choices of opponents in the file are
/// from being counted.
fn unknown_beyond(
    limits: &Limits,
    file: &Prepared,
    flow: &Flow,
    settings: &Settings,
) -> Option<Beyond> {
    let positions = file.positions();
    let beyond = |place: usize| limits.lacking(&positions[place].board, None).beyond();
    flow.unknown().find_map(beyond)?;
    let theirs = |place: &usize| {
        positions[*place].board.turn() != settings.side && !positions[*place].moves.is_empty()
    };
    (0..positions.len()).filter(theirs).filter_map(beyond).max()
}

/// One row a half-move, up to the last in which a game can still leave the file.
fn by_ply(flow: &Flow, choices: &Choices, margins: &Margins<'_>) -> Vec<PlyAnswer> {
    let rows = flow.by_ply(choices).into_iter().enumerate();
    rows.map(|(index, (left, unknown))| {
        let ply = index as u16 + 1;
        let answered = margins.rate(Goal::Answered(ply));
        let told = |share: f64| answered.value.map(|_| share);
        PlyAnswer { ply, left: told(left), unknown: told(unknown), answered }
    })
    .collect()
}
