//! Where games go along a line: at each of its positions the moves, the line's own first.

use shakmaty::Move;

use super::effect::design_effect;
use super::map::played;
use super::{Figure, Question};
use crate::counts::Counts;
use crate::lines::{MarkedSlip, Trap, san_text};
use crate::terms::Key;

/// The moves of a position of the line.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The line's own move first, then the others by games.
    pub moves: Vec<StepMove>,
}

/// One of them.
#[derive(Clone, Debug, PartialEq)]
pub struct StepMove {
    /// SAN.
    pub san: String,
    /// Its share among all moves here.
    pub share: f64,
    /// The same with its margin.
    pub here: Figure,
    /// Whether it is a marked slip.
    pub slip: bool,
}

/// The positions from the first move to the slip, as far as games come; the line's move
/// may have none.
pub fn steps<C: Counts>(
    counts: &C,
    trap: &Trap,
    question: &Question,
) -> Result<Vec<Step>, C::Error> {
    let slips: Vec<Move> = trap.slips().iter().map(MarkedSlip::slip).collect();
    let mut steps = Vec::new();
    for ply in 0..=trap.slip_ply() {
        let board = trap.line().position(ply);
        let found = counts.position(Key::of(board))?;
        let mut moves = played(found.as_ref(), board, question.filter);
        let all: u64 = moves.iter().map(|(_, games)| games).sum();
        if all == 0 {
            break;
        }
        let own = trap.line().moves()[ply];
        if moves.iter().all(|(mv, _)| *mv != own) {
            moves.push((own, 0));
        }
        moves.sort_by_key(|(mv, _)| *mv != own);
        let effect = design_effect(found.as_ref(), question.filter);
        let lacking = counts.limits().lacking(board, found.as_ref());
        let sampling = question.sampling().with_effect(effect.share).lacking(lacking);
        let step = |(mv, games): (Move, u64)| StepMove {
            san: san_text(board, mv),
            share: games as f64 / all as f64,
            here: sampling.share(games, all),
            slip: ply == trap.slip_ply() && slips.contains(&mv),
        };
        steps.push(Step { moves: moves.into_iter().map(step).collect() });
    }
    Ok(steps)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::kit::ModelCounts;

    fn steps(games: &ModelCounts) -> Vec<Vec<(String, u64, bool)>> {
        let trap = Trap::from_text("1. e4 e5 2. Nf3 f6?? 3. Nxe5").remove(0).expect("a trap");
        let Ok(steps) = super::steps(games, &trap, &Question::default());
        let row = |mv: &StepMove| (mv.san.clone(), mv.here.k.unwrap_or(0), mv.slip);
        steps.iter().map(|step| step.moves.iter().map(row).collect()).collect()
    }

    #[test]
    fn each_step_has_the_lines_move_first_and_then_the_most_played() {
        let games = ModelCounts::new()
            .add(3, [1500, 1500], "1-0", "e4 e5 Nf3 f6 Nxe5")
            .add(9, [1500, 1500], "1-0", "e4 e5 Nf3 Nc6")
            .add(20, [1500, 1500], "1-0", "e4 c5 Nf3 d6");
        let row = |san: &str, k, slip| (san.to_owned(), k, slip);
        let want = [
            vec![row("e4", 32, false)],
            vec![row("e5", 12, false), row("c5", 20, false)],
            vec![row("Nf3", 12, false)],
            vec![row("f6", 3, true), row("Nc6", 9, false)],
        ];
        assert_eq!(steps(&games), want);
    }

    #[test]
    fn the_steps_end_where_no_game_comes_and_a_move_without_games_is_told() {
        let games = ModelCounts::new().add(5, [1500, 1500], "1-0", "e4 c5 Nf3 d6");
        let steps = steps(&games);
        assert_eq!(steps.len(), 2);
        assert_eq!(steps[1], [("e5".to_owned(), 0, false), ("c5".to_owned(), 5, false)]);
    }
}
