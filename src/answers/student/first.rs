//! What to learn first.

use super::habits::Habit;
use super::left::By;
use super::played::fen;
use super::report::{Kind, Learn, StudentAnswer};
use super::traps::Role;
use crate::answers::Figure;

/// So many things are picked.
const FIRST: usize = 3;

/// Three things to learn first.
///
/// Moves that allow mate in one come first, since they lose whatever results say, unless a trap or
/// a habit tells them. Then by the lower limit of what they cost in 100 games, if that lies above
/// zero; then by how often they happened: traps that the student fell into, refutations missed,
/// prepared moves forgotten, opponents' moves without an answer (twice or more). A position is told
/// once. Who opens with another first move than the prepared one has forgotten nothing.
pub(super) fn first(answer: &StudentAnswer) -> Vec<Learn> {
    let mut found: Vec<(Learn, f64, u64, String)> = Vec::new();
    let low = |cost: &Figure| cost.low.unwrap_or(0.0).max(0.0);
    for (place, habit) in answer.habits.iter().enumerate() {
        let learn = Learn { kind: Kind::Habit, place };
        found.push((learn, low(&habit.cost_per_100_games), habit.played, habit.fen.clone()));
    }
    for (place, slip) in answer.slips.iter().enumerate() {
        let told = slip.trap.is_some() || answer.habits.iter().any(|habit| slip.is(habit));
        if slip.mate.is_some() && !told {
            let learn = Learn { kind: Kind::Slip, place };
            found.push((learn, f64::INFINITY, slip.played, slip.fen.clone()));
        }
    }
    for (place, trap) in answer.traps.iter().enumerate() {
        let (kind, times) = match trap.role {
            Role::Faced => (Kind::Fell, trap.slipped),
            Role::Laid => (Kind::Missed, trap.missed),
        };
        let position = match trap.role {
            Role::Faced => trap.trap_fen.clone(),
            Role::Laid => fen(&trap.shown.0),
        };
        // A habit in the same position says what to play instead, and which trap it is the slip of.
        let tells = |habit: &Habit| trap.role == Role::Laid || habit.trap.is_some();
        let mut habits = answer.habits.iter();
        let is_habit = habits.any(|habit| same(&habit.fen, &position) && tells(habit));
        if times > 0 && !is_habit {
            found.push((Learn { kind, place }, low(&trap.cost_per_100_games), times, position));
        }
    }
    for (place, left) in answer.left.iter().enumerate() {
        let kind = match left.by {
            By::Student => Kind::Forgot,
            By::Opponent => Kind::Unanswered,
        };
        if left.times > 1 && !left.is_first {
            found.push((Learn { kind, place }, 0.0, left.times, left.fen.clone()));
        }
    }
    // What is equal stays in the order of the lists.
    found.sort_by(|a, b| {
        b.1.total_cmp(&a.1).then((a.0.kind as usize).cmp(&(b.0.kind as usize))).then(b.2.cmp(&a.2))
    });
    let mut first: Vec<(Learn, String)> = Vec::new();
    for (learn, _, _, fen) in found {
        if first.len() < FIRST && first.iter().all(|(_, other)| !same(&fen, other)) {
            first.push((learn, fen));
        }
    }
    first.into_iter().map(|(learn, _)| learn).collect()
}

/// Whether two FENs are of one position, whatever their counters.
fn same(fen: &str, other: &str) -> bool {
    fen.split(' ').take(4).eq(other.split(' ').take(4))
}
