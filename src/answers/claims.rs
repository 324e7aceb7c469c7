//! What everybody says about a position, judged by the counts.

mod needed;
mod report;

use serde::Serialize;
use shakmaty::{Chess, Move, Position};

use super::moves::{MoveRow, MoveTable};
use super::stats::{Comparison, compare_counts};
use super::words::{percents, reason, signed};
use super::{Figure, Sampling};
use crate::lines::{Bound, Claim, ClaimKind, Relation};
use crate::terms::MoveCode;
use needed::games_to_decide;

pub use report::{ClaimReport, ListedClaim, judge_listed};

/// A claim and what the counts say to it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ClaimAnswer {
    /// The claim as it was put.
    pub claim: String,
    /// Whether it holds.
    pub answer: Answer,
    /// What it was judged by, in words, with counts and intervals.
    pub because: String,
    /// For an undecided claim: games in the position that would decide it, if all shares and scores
    /// stay as they are now. None where no number would, or where nothing is known yet.
    pub games_to_decide: Option<u64>,
}

/// Whether a claim holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Answer {
    /// The whole interval agrees.
    Holds,
    /// None of the interval agrees.
    Fails,
    /// The counts do not tell.
    Undecided,
}

/// What "about" means if nothing is said: within five points of a share or score, 0.05 points a game.
pub const ABOUT: f64 = 0.05;

/// Judges a claim by the move table of its position; `about` is how far from its number a value may
/// be that is about it, as a fraction.
pub fn judge(table: &MoveTable, position: &Chess, claim: &Claim, about: f64) -> ClaimAnswer {
    let (answer, because) = decide(table, position, claim, about);
    let undecided = answer == Answer::Undecided;
    let games_to_decide =
        undecided.then(|| games_to_decide(table, position, claim, about)).flatten();
    ClaimAnswer { claim: claim.text.clone(), answer, because, games_to_decide }
}

fn decide(table: &MoveTable, position: &Chess, claim: &Claim, about: f64) -> (Answer, String) {
    let code = MoveCode::of(claim.mv);
    let games = games_of(table, code);
    let share = Sampling::from(table.min_sample).share(games, table.games);
    let Some(played) = percents(&share) else {
        let why = reason(share.withheld.as_ref());
        return (Answer::Undecided, format!("too few games in the position: {why}"));
    };
    let played = format!("played in {games} of {} games, {played}", table.games);
    let ranked = |best: u8, worst: u8| {
        let ranks = Ranks::of(position, code, |other| games_of(table, other));
        (ranks.within(best.into(), worst.into()), format!("{played}; {}", ranks.words()))
    };
    let row = row_of(table, code);
    match claim.kind {
        ClaimKind::Rank(rank) => ranked(rank, rank),
        ClaimKind::Top(last) => ranked(1, last),
        ClaimKind::Share(bound) => (against(bound, share.low, share.high, about), played),
        ClaimKind::MoreThan(other) => versus(table, games, other, Comparison::Greater, &played),
        ClaimKind::LessThan(other) => versus(table, games, other, Comparison::Less, &played),
        ClaimKind::Score(bound) => of_mean(row.map(|row| &row.score), bound, about, percents),
        ClaimKind::Edge(bound) => of_mean(row.map(|row| &row.edge), bound, about, signed),
    }
}

fn row_of(table: &MoveTable, code: MoveCode) -> Option<&MoveRow> {
    let uci = code.to_string();
    table.moves.iter().find(|row| row.uci == uci)
}

/// Games of a move; 0 for one that was never played.
fn games_of(table: &MoveTable, code: MoveCode) -> u64 {
    row_of(table, code).map_or(0, |row| row.games)
}

fn versus(
    table: &MoveTable,
    games: u64,
    other: Move,
    wanted: Comparison,
    played: &str,
) -> (Answer, String) {
    let theirs = games_of(table, MoveCode::of(other));
    let answer = compared(games, theirs, wanted);
    (answer, format!("{played}; the other in {theirs}"))
}

fn compared(ours: u64, theirs: u64, wanted: Comparison) -> Answer {
    match compare_counts(ours, theirs) {
        Comparison::Unclear => Answer::Undecided,
        found if found == wanted => Answer::Holds,
        _ => Answer::Fails,
    }
}

fn of_mean(
    mean: Option<&Figure>,
    bound: Bound,
    about: f64,
    words: impl Fn(&Figure) -> Option<String>,
) -> (Answer, String) {
    let Some(mean) = mean else { return (Answer::Undecided, "never played here".to_owned()) };
    match words(mean) {
        Some(text) => {
            (against(bound, mean.low, mean.high, about), format!("{text} over {} games", mean.n))
        }
        None => {
            let why = reason(mean.withheld.as_ref());
            (Answer::Undecided, format!("too few games of the move: {why}"))
        }
    }
}

/// Holds if the whole interval agrees with the bound, fails if none of it does.
fn against(bound: Bound, low: Option<f64>, high: Option<f64>, about: f64) -> Answer {
    let Some((low, high)) = low.zip(high) else { return Answer::Undecided };
    let at = bound.value;
    let (all, none) = match bound.relation {
        Relation::AtLeast => (low >= at, high < at),
        Relation::Above => (low > at, high <= at),
        Relation::AtMost => (high <= at, low > at),
        Relation::Below => (high < at, low >= at),
        Relation::About => {
            (low >= at - about && high <= at + about, high < at - about || low > at + about)
        }
    };
    match (all, none) {
        (true, _) => Answer::Holds,
        (_, true) => Answer::Fails,
        _ => Answer::Undecided,
    }
}

/// How many other moves are surely played more than one, and how many may or may not be.
struct Ranks {
    above: usize,
    unclear: usize,
}

impl Ranks {
    /// All legal moves take part; those never played count 0.
    fn of(position: &Chess, code: MoveCode, games: impl Fn(MoveCode) -> u64) -> Ranks {
        let ours = games(code);
        let mut ranks = Ranks { above: 0, unclear: 0 };
        let others = position.legal_moves().into_iter().map(MoveCode::of).filter(|&o| o != code);
        for other in others {
            match compare_counts(games(other), ours) {
                Comparison::Greater => ranks.above += 1,
                Comparison::Unclear => ranks.unclear += 1,
                Comparison::Less => {}
            }
        }
        ranks
    }

    /// The rank lies from `above` + 1 to `above` + `unclear` + 1.
    fn within(&self, best: usize, worst: usize) -> Answer {
        let (from, to) = (self.above + 1, self.above + self.unclear + 1);
        if best <= from && to <= worst {
            Answer::Holds
        } else if to < best || worst < from {
            Answer::Fails
        } else {
            Answer::Undecided
        }
    }

    fn words(&self) -> String {
        let moves = if self.above == 1 { "move" } else { "moves" };
        format!("{} {moves} surely played more, {} too close to tell", self.above, self.unclear)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::Question;
    use crate::answers::kit::{ModelCounts, play};
    use crate::answers::moves::table;
    use Answer::{Fails, Holds, Undecided};

    /// 100 games: e4 60 (48 points), d4 25, c4 10, Nf3 5.
    fn hundred_games() -> ModelCounts {
        let even = [1500, 1500];
        ModelCounts::new()
            .add(48, even, "1-0", "e4")
            .add(12, even, "0-1", "e4")
            .add(25, even, "1/2", "d4")
            .add(10, even, "0-1", "c4")
            .add(5, even, "0-1", "Nf3")
    }

    fn judged(text: &str) -> ClaimAnswer {
        let position = play("").1;
        let Ok(table) = table(&hundred_games(), &position, &Question::default());
        judge(&table, &position, &Claim::parse(text, &position).expect("a claim"), ABOUT)
    }

    fn answer(text: &str) -> Answer {
        judged(text).answer
    }

    /// 60 - 25 = 35 over sqrt(85) = 3.8; 25 - 10 over sqrt(35) = 2.5; 10 - 5 over sqrt(15) = 1.3.
    #[test]
    fn a_rank_holds_where_every_neighbour_is_surely_apart() {
        assert_eq!(answer("e4 first"), Holds);
        assert_eq!(answer("d4 second"), Holds);
        assert_eq!(answer("c4 third"), Undecided);
        assert_eq!(answer("Nf3 third"), Undecided);
    }

    #[test]
    fn a_rank_fails_on_either_side() {
        assert_eq!(answer("d4 first"), Fails);
        assert_eq!(answer("e4 second"), Fails);
        assert_eq!(answer("c4 fifth"), Fails);
    }

    /// Five games are surely more than none, by sqrt(5) = 2.2: a4 is fifth at the best.
    #[test]
    fn a_move_never_played_counts_nothing() {
        assert_eq!(answer("a4 fourth"), Fails);
        assert_eq!(answer("a4 fifth"), Undecided);
        assert_eq!(answer("a4 top 20"), Holds);
        assert_eq!(answer("a4 <= 5%"), Holds);
        assert_eq!(answer("a4 score >= 50%"), Undecided);
    }

    #[test]
    fn the_top_is_a_range_of_ranks() {
        assert_eq!(answer("d4 top 2"), Holds);
        assert_eq!(answer("c4 top 2"), Fails);
        assert_eq!(answer("c4 top 3"), Undecided);
        assert_eq!(answer("c4 top 4"), Holds);
    }

    /// Wilson at 60 of 100: 0.502 to 0.691.
    #[test]
    fn a_share_is_judged_by_its_whole_interval() {
        assert_eq!(answer("e4 >= 50%"), Holds);
        assert_eq!(answer("e4 >= 60%"), Undecided);
        assert_eq!(answer("e4 >= 70%"), Fails);
        assert_eq!(answer("e4 < 70%"), Holds);
        assert_eq!(answer("e4 <= 50%"), Fails);
    }

    /// Wilson at 0 of 100: 0 to 0.037; at 25 of 100: 0.175 to 0.343.
    #[test]
    fn about_means_within_five_points() {
        assert_eq!(answer("a4 about 2%"), Holds);
        assert_eq!(answer("d4 about 25%"), Undecided);
        assert_eq!(answer("d4 about 40%"), Fails);
    }

    #[test]
    fn how_near_is_about_can_be_said() {
        let position = play("").1;
        let Ok(table) = table(&hundred_games(), &position, &Question::default());
        let claim = Claim::parse("d4 about 25%", &position).expect("a claim");
        assert_eq!(judge(&table, &position, &claim, 0.1).answer, Holds);
        assert_eq!(judge(&table, &position, &claim, 0.01).answer, Undecided);
    }

    #[test]
    fn two_moves_compare_by_their_counts() {
        assert_eq!(answer("e4 > d4"), Holds);
        assert_eq!(answer("e4 < d4"), Fails);
        assert_eq!(answer("c4 > Nf3"), Undecided);
        assert_eq!(answer("a4 < Nf3"), Holds);
    }

    /// e4 scores 48/60 = 0.8, Wilson 0.682 to 0.882 without draws; expected 0.5; White's ordinary is
    /// (48 + 12.5)/100 - 0.5 = 0.105, so the edge is 0.195, 0.077 to 0.277.
    #[test]
    fn scores_and_edges_are_judged_by_their_intervals() {
        assert_eq!(answer("e4 score > 68%"), Holds);
        assert_eq!(answer("e4 score > 70%"), Undecided);
        assert_eq!(answer("e4 edge > 0.07"), Holds);
        assert_eq!(answer("e4 edge > 0.28"), Fails);
        assert_eq!(judged("e4 edge > 0.07").because, "+0.195 [+0.077, +0.277] over 60 games");
    }

    #[test]
    fn below_the_minimum_sample_a_claim_is_undecided_and_says_why() {
        let thin = judged("d4 score > 10%");
        assert_eq!(thin.answer, Undecided);
        assert_eq!(thin.because, "too few games of the move: 25 games, 50 needed");
        let position = play("e4").1;
        let Ok(table) = table(&ModelCounts::new(), &position, &Question::default());
        let claim = Claim::parse("e5 first", &position).expect("a claim");
        let answer = judge(&table, &position, &claim, ABOUT);
        assert_eq!(answer.answer, Undecided);
        assert_eq!(answer.because, "too few games in the position: no games");
    }

    #[test]
    fn an_answer_tells_its_counts() {
        let want = "played in 25 of 100 games, 25.0 % [17.5 %, 34.3 %]; 1 move surely played more, \
                    0 too close to tell";
        assert_eq!(judged("d4 second").because, want);
        assert_eq!(
            judged("e4 > d4").because,
            "played in 60 of 100 games, 60.0 % [50.2 %, 69.1 %]; the other in 25"
        );
    }
}
