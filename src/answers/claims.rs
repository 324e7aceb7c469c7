//! What everybody says about a position, judged by the counts.

use serde::Serialize;
use shakmaty::{Chess, Position};

use super::moves::{MoveRow, MoveTable};
use super::stats::{Comparison, compare_counts};
use super::words::{number, percent, percent_interval, signed};
use super::{Mean, Rate};
use crate::counts::MoveCode;

/// Something said about a move of a position.
#[derive(Clone, Debug, PartialEq)]
pub struct Claim {
    /// The claim as it was put.
    pub text: String,
    /// The move it is about; it need not have been played.
    pub code: MoveCode,
    /// What is said.
    pub says: Says,
}

/// What can be said about a move.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Says {
    /// It is the most played (1), second most played (2), ... move.
    Rank(usize),
    /// It is among that many most played moves.
    Top(usize),
    /// Its share of the moves, 0..=1, lies on one side of a bound.
    Share(Bound),
    /// Its share, 0..=1, is within 5 points of this.
    ShareAbout(f64),
    /// It is played more than another move.
    MoreThan(MoveCode),
    /// It is played less than another move.
    LessThan(MoveCode),
    /// Its mean score, 0..=1, lies on one side of a bound.
    Score(Bound),
    /// Its edge, in points a game, lies on one side of a bound.
    Edge(Bound),
}

/// One side of a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Bound {
    /// The number and above.
    AtLeast(f64),
    /// Above the number.
    Above(f64),
    /// The number and below.
    AtMost(f64),
    /// Below the number.
    Below(f64),
}

/// A claim and what the counts say to it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ClaimAnswer {
    /// The claim as it was put.
    pub claim: String,
    /// Whether it holds.
    pub answer: Answer,
    /// What it was judged by, in words, with counts and intervals.
    pub because: String,
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

/// "About" means within this of the share.
const ABOUT: f64 = 0.05;

/// Judges a claim by the move table of its position.
pub fn judge(table: &MoveTable, position: &Chess, claim: &Claim) -> ClaimAnswer {
    let (answer, because) = decide(table, position, claim);
    ClaimAnswer { claim: claim.text.clone(), answer, because }
}

fn decide(table: &MoveTable, position: &Chess, claim: &Claim) -> (Answer, String) {
    let games = games_of(table, claim.code);
    let share = Rate::of(games, table.games, table.min_sample);
    let Some(played) = percent_interval(&share) else {
        let why = share.withheld.map_or(String::new(), |why| why.to_string());
        return (Answer::Undecided, format!("too few games in the position: {why}"));
    };
    let played = format!("played in {games} of {} games, {played}", table.games);
    match claim.says {
        Says::Rank(wanted) => {
            let ranks = Ranks::of(table, position, claim.code);
            (ranks.within(wanted, wanted), format!("{played}; {}", ranks.words()))
        }
        Says::Top(wanted) => {
            let ranks = Ranks::of(table, position, claim.code);
            (ranks.within(1, wanted), format!("{played}; {}", ranks.words()))
        }
        Says::Share(bound) => (bound.judge(share.low, share.high), played),
        Says::ShareAbout(wanted) => {
            let (from, to) = (wanted - ABOUT, wanted + ABOUT);
            let about = format!(
                "{played}; about means {} to {}",
                percent(from.max(0.0)),
                percent(to.min(1.0))
            );
            (
                all_or_none(share.low, share.high, |low, high| {
                    (low >= from && high <= to, high < from || low > to)
                }),
                about,
            )
        }
        Says::MoreThan(other) => versus(table, games, other, Comparison::Greater, &played),
        Says::LessThan(other) => versus(table, games, other, Comparison::Less, &played),
        Says::Score(bound) => {
            of_mean(row_of(table, claim.code).map(|row| &row.score), bound, number)
        }
        Says::Edge(bound) => of_mean(row_of(table, claim.code).map(|row| &row.edge), bound, signed),
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
    other: MoveCode,
    wanted: Comparison,
    played: &str,
) -> (Answer, String) {
    let theirs = games_of(table, other);
    let answer = match compare_counts(games, theirs) {
        Comparison::Unclear => Answer::Undecided,
        found if found == wanted => Answer::Holds,
        _ => Answer::Fails,
    };
    (answer, format!("{played}; the other in {theirs}"))
}

fn of_mean(
    mean: Option<&Mean>,
    bound: Bound,
    words: impl Fn(&Mean) -> Option<String>,
) -> (Answer, String) {
    let Some(mean) = mean else { return (Answer::Undecided, "never played here".to_owned()) };
    match words(mean) {
        Some(text) => (bound.judge(mean.low, mean.high), format!("{text} over {} games", mean.n)),
        None => {
            let why = mean.withheld.as_ref().map_or(String::new(), |why| why.to_string());
            (Answer::Undecided, format!("too few games of the move: {why}"))
        }
    }
}

impl Bound {
    fn judge(self, low: Option<f64>, high: Option<f64>) -> Answer {
        all_or_none(low, high, |low, high| match self {
            Bound::AtLeast(at) => (low >= at, high < at),
            Bound::Above(at) => (low > at, high <= at),
            Bound::AtMost(at) => (high <= at, low > at),
            Bound::Below(at) => (high < at, low >= at),
        })
    }
}

/// `judge` tells whether all and whether none of an interval agrees.
fn all_or_none(
    low: Option<f64>,
    high: Option<f64>,
    judge: impl Fn(f64, f64) -> (bool, bool),
) -> Answer {
    match low.zip(high).map(|(low, high)| judge(low, high)) {
        Some((true, _)) => Answer::Holds,
        Some((_, true)) => Answer::Fails,
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
    fn of(table: &MoveTable, position: &Chess, code: MoveCode) -> Ranks {
        let ours = games_of(table, code);
        let mut ranks = Ranks { above: 0, unclear: 0 };
        let others = position.legal_moves().into_iter().map(MoveCode::of).filter(|&o| o != code);
        for other in others {
            match compare_counts(games_of(table, other), ours) {
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
    fn judged(uci: &str, says: Says) -> ClaimAnswer {
        let even = [1500, 1500];
        let counts = ModelCounts::new()
            .add(48, even, "1-0", "e4")
            .add(12, even, "0-1", "e4")
            .add(25, even, "1/2", "d4")
            .add(10, even, "0-1", "c4")
            .add(5, even, "0-1", "Nf3");
        let position = play("").1;
        let Ok(table) = table(&counts, &position, &Question::default());
        judge(&table, &position, &Claim { text: "said".into(), code: code(uci), says })
    }

    fn code(uci: &str) -> MoveCode {
        uci.parse::<shakmaty::uci::UciMove>().expect("a move").into()
    }

    fn answer(uci: &str, says: Says) -> Answer {
        judged(uci, says).answer
    }

    /// 60 - 25 = 35 over sqrt(85) = 3.8; 25 - 10 over sqrt(35) = 2.5; 10 - 5 over sqrt(15) = 1.3.
    #[test]
    fn a_rank_holds_where_every_neighbour_is_surely_apart() {
        assert_eq!(answer("e2e4", Says::Rank(1)), Holds);
        assert_eq!(answer("d2d4", Says::Rank(2)), Holds);
        assert_eq!(answer("c2c4", Says::Rank(3)), Undecided);
        assert_eq!(answer("g1f3", Says::Rank(3)), Undecided);
    }

    #[test]
    fn a_rank_fails_on_either_side() {
        assert_eq!(answer("d2d4", Says::Rank(1)), Fails);
        assert_eq!(answer("e2e4", Says::Rank(2)), Fails);
        assert_eq!(answer("c2c4", Says::Rank(5)), Fails);
    }

    /// Five games are surely more than none, by sqrt(5) = 2.2: a4 is fifth at the best.
    #[test]
    fn a_move_never_played_counts_nothing() {
        assert_eq!(answer("a2a4", Says::Rank(4)), Fails);
        assert_eq!(answer("a2a4", Says::Rank(5)), Undecided);
        assert_eq!(answer("a2a4", Says::Top(20)), Holds);
        assert_eq!(answer("a2a4", Says::Share(Bound::AtMost(0.05))), Holds);
        assert_eq!(answer("a2a4", Says::Score(Bound::AtLeast(0.5))), Undecided);
    }

    #[test]
    fn the_top_is_a_range_of_ranks() {
        assert_eq!(answer("d2d4", Says::Top(2)), Holds);
        assert_eq!(answer("c2c4", Says::Top(2)), Fails);
        assert_eq!(answer("c2c4", Says::Top(3)), Undecided);
        assert_eq!(answer("c2c4", Says::Top(4)), Holds);
    }

    /// Wilson at 60 of 100: 0.502 to 0.691.
    #[test]
    fn a_share_is_judged_by_its_whole_interval() {
        assert_eq!(answer("e2e4", Says::Share(Bound::AtLeast(0.5))), Holds);
        assert_eq!(answer("e2e4", Says::Share(Bound::AtLeast(0.6))), Undecided);
        assert_eq!(answer("e2e4", Says::Share(Bound::AtLeast(0.7))), Fails);
        assert_eq!(answer("e2e4", Says::Share(Bound::Below(0.7))), Holds);
        assert_eq!(answer("e2e4", Says::Share(Bound::AtMost(0.5))), Fails);
    }

    /// Wilson at 0 of 100: 0 to 0.037; at 25 of 100: 0.175 to 0.343.
    #[test]
    fn about_means_within_five_points() {
        assert_eq!(answer("a2a4", Says::ShareAbout(0.02)), Holds);
        assert_eq!(answer("d2d4", Says::ShareAbout(0.25)), Undecided);
        assert_eq!(answer("d2d4", Says::ShareAbout(0.4)), Fails);
    }

    #[test]
    fn two_moves_compare_by_their_counts() {
        assert_eq!(answer("e2e4", Says::MoreThan(code("d2d4"))), Holds);
        assert_eq!(answer("e2e4", Says::LessThan(code("d2d4"))), Fails);
        assert_eq!(answer("c2c4", Says::MoreThan(code("g1f3"))), Undecided);
        assert_eq!(answer("a2a4", Says::LessThan(code("g1f3"))), Holds);
    }

    /// e4 scores 48/60 = 0.8, Wilson 0.682 to 0.882 without draws; expected 0.5; White's ordinary is
    /// (48 + 12.5)/100 - 0.5 = 0.105, so the edge is 0.195, 0.077 to 0.277.
    #[test]
    fn scores_and_edges_are_judged_by_their_intervals() {
        assert_eq!(answer("e2e4", Says::Score(Bound::Above(0.68))), Holds);
        assert_eq!(answer("e2e4", Says::Score(Bound::Above(0.7))), Undecided);
        assert_eq!(answer("e2e4", Says::Edge(Bound::Above(0.07))), Holds);
        assert_eq!(answer("e2e4", Says::Edge(Bound::Above(0.28))), Fails);
    }

    #[test]
    fn below_the_minimum_sample_a_claim_is_undecided_and_says_why() {
        let thin = judged("d2d4", Says::Score(Bound::Above(0.1)));
        assert_eq!(thin.answer, Undecided);
        assert_eq!(thin.because, "too few games of the move: 25 games, 50 needed");
        let position = play("e4").1;
        let Ok(table) = table(&ModelCounts::new(), &position, &Question::default());
        let claim = Claim { text: "e5 first".into(), code: code("e7e5"), says: Says::Rank(1) };
        let answer = judge(&table, &position, &claim);
        assert_eq!(
            (answer.answer, answer.because.as_str()),
            (Undecided, "too few games in the position: no games")
        );
    }

    #[test]
    fn an_answer_tells_its_counts() {
        let want = "played in 25 of 100 games, 25.0 % [17.5 %, 34.3 %]; 1 move surely played more, 0 too close to tell";
        assert_eq!(judged("d2d4", Says::Rank(2)).because, want);
    }
}
