//! How many games would decide a claim that these do not.

use shakmaty::Chess;

use super::{Answer, Ranks, against, compared, games_of, row_of};
use crate::answers::moves::MoveTable;
use crate::answers::stats::{Comparison, Interval, tango, wilson};
use crate::lines::{Bound, Claim, ClaimKind};
use crate::terms::MoveCode;

/// More games than this are no answer: all open dumps together hold fewer.
const MOST: u64 = 1_000_000_000;

/// Games in the position at which the claim would be decided, one way or the other, if every count
/// grew alike: the present shares and scores are taken for the true ones. `None` without games, or if
/// [`MOST`] would not do, as where the estimate lies on the number itself.
pub(super) fn games_to_decide(
    table: &MoveTable,
    position: &Chess,
    claim: &Claim,
    about: f64,
) -> Option<u64> {
    let decided = |games: u64| {
        Grown { table, position, about, games }
            .answer(claim)
            .is_some_and(|answer| answer != Answer::Undecided)
    };
    let mut few = table.games;
    if few == 0 {
        return None;
    }
    let mut enough = few;
    while !decided(enough) {
        few = enough;
        enough *= 2;
        if enough > MOST {
            return None;
        }
    }
    while enough - few > 1 {
        let middle = few + (enough - few) / 2;
        *(if decided(middle) { &mut enough } else { &mut few }) = middle;
    }
    Some(enough)
}

/// The table as it would be with `games` games of the same kind.
struct Grown<'a> {
    table: &'a MoveTable,
    position: &'a Chess,
    about: f64,
    games: u64,
}

impl Grown<'_> {
    /// Rounded to whole games.
    fn count(&self, count: u64) -> u64 {
        (count as f64 * self.games as f64 / self.table.games as f64).round() as u64
    }

    fn of(&self, code: MoveCode) -> u64 {
        self.count(games_of(self.table, code))
    }

    fn answer(&self, claim: &Claim) -> Option<Answer> {
        if self.games < self.table.min_sample {
            return None;
        }
        let code = MoveCode::of(claim.mv);
        let ranked = |best: u8, worst: u8| {
            let ranks = Ranks::of(self.position, code, |other| self.of(other));
            ranks.within(best.into(), worst.into())
        };
        let versus = |other, wanted| compared(self.of(code), self.of(MoveCode::of(other)), wanted);
        Some(match claim.kind {
            ClaimKind::Rank(rank) => ranked(rank, rank),
            ClaimKind::Top(last) => ranked(1, last),
            ClaimKind::Share(bound) => self.judged(bound, wilson(self.of(code), self.games)?),
            ClaimKind::MoreThan(other) => versus(other, Comparison::Greater),
            ClaimKind::LessThan(other) => versus(other, Comparison::Less),
            ClaimKind::Score(bound) => self.judged(bound, self.score(code)?.0),
            ClaimKind::Edge(bound) => {
                let (score, beside) = self.score(code)?;
                self.judged(bound, score.shift(-beside))
            }
        })
    }

    fn judged(&self, bound: Bound, interval: Interval) -> Answer {
        against(bound, Some(interval.low), Some(interval.high), self.about)
    }

    /// The interval of the move's score, and what is taken off for its edge.
    fn score(&self, code: MoveCode) -> Option<(Interval, f64)> {
        let row = row_of(self.table, code)?;
        let [wins, draws, losses] =
            [row.wins, row.draws, row.losses].map(|games| self.count(games));
        let enough = wins + draws + losses >= self.table.min_sample;
        let interval = tango(wins, draws, losses).filter(|_| enough)?;
        Some((interval, row.expected + row.ordinary))
    }
}

#[cfg(test)]
mod tests {
    use super::super::{ABOUT, decide, judge};
    use super::*;
    use crate::answers::Question;
    use crate::answers::kit::{ModelCounts, play};
    use crate::answers::moves::table;

    /// 100 games: e4 60 (48 points), d4 25, c4 10, Nf3 5.
    fn hundred_games() -> MoveTable {
        let even = [1500, 1500];
        let counts = ModelCounts::new()
            .add(48, even, "1-0", "e4")
            .add(12, even, "0-1", "e4")
            .add(25, even, "1/2", "d4")
            .add(10, even, "0-1", "c4")
            .add(5, even, "0-1", "Nf3");
        let Ok(table) = table(&counts, &play("").1, &Question::default());
        table
    }

    fn claim(text: &str) -> Claim {
        Claim::parse(text, &play("").1).expect("a claim")
    }

    fn needed(text: &str) -> Option<u64> {
        judge(&hundred_games(), &play("").1, &claim(text), ABOUT).games_to_decide
    }

    #[test]
    fn with_the_games_there_are_it_answers_as_the_table_does() {
        let (table, position) = (hundred_games(), play("").1);
        for text in [
            "e4 first",
            "c4 third",
            "a4 fifth",
            "c4 top 3",
            "e4 >= 60%",
            "e4 > d4",
            "c4 > Nf3",
            "e4 about 60%",
            "e4 score > 70%",
            "e4 edge > 0.07",
            "e4 edge > 0.28",
            "d4 < 40%",
        ] {
            let claim = claim(text);
            let grown = Grown { table: &table, position: &position, about: ABOUT, games: 100 };
            let (answer, _) = decide(&table, &position, &claim, ABOUT);
            assert_eq!(grown.answer(&claim), Some(answer), "{text}");
        }
    }

    /// 10 against 5: (10 - 5) f / sqrt(15 f) reaches 1.96 at f = 15 x 1.96^2 / 25 = 2.305; the rest is
    /// the rounding to whole games.
    #[test]
    fn two_counts_need_their_difference_to_reach_two_standard_errors() {
        let games = needed("c4 > Nf3").expect("decidable");
        assert!((220..=260).contains(&games), "{games}");
        assert_eq!(needed("c4 third"), Some(games));
    }

    /// A share of 0.6 against 0.5 is clear; against 0.58 the half width 1.96 sqrt(0.24 / n) must
    /// shrink to 0.02: n = 2305 (Wald; Wilson is near it).
    #[test]
    fn a_share_needs_its_interval_to_clear_the_number() {
        let games = needed("e4 >= 58%").expect("decidable");
        assert!((2250..=2360).contains(&games), "{games}");
        assert_eq!(needed("e4 >= 50%"), None, "decided as it is");
    }

    #[test]
    fn an_estimate_on_the_number_is_never_decided() {
        assert_eq!(needed("e4 >= 60%"), None);
        assert_eq!(needed("a4 fifth"), None, "nothing tells the moves apart that nobody played");
    }

    #[test]
    fn a_thin_move_needs_the_minimum_sample_at_least() {
        assert_eq!(needed("d4 score > 10%"), Some(198), "25 of 100 grow to 50 by 198");
        assert_eq!(needed("a4 score > 10%"), None);
    }
}
