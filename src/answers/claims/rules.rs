//! Whether a claim holds by the counts of a position, as they are or grown.

use serde::Serialize;
use shakmaty::{Chess, Position};

use crate::answers::moves::{MoveRow, MoveTable};
use crate::answers::stats::{Comparison, Interval, compare_counts};
use crate::answers::{Figure, Sampling};
use crate::lines::{Bound, Claim, ClaimKind, Relation};
use crate::terms::MoveCode;

/// What "about" means if nothing is said: within five points of a share or score, 0.05
/// points a game.
pub const ABOUT: f64 = 0.05;

/// More games than this are no answer: all open dumps together hold fewer.
const MOST: u64 = 1_000_000_000;

/// Nobody waits for so many times the games that there are: a claim that takes more is practically
/// a tie, if the margins are narrow.
pub const FAR: u64 = 20;

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

/// Games in the position at which the claim would be decided, one way or the other, if every count
/// grew alike: the present shares and scores are taken for the true ones, and so is how often
/// players come again (the design effect stays). `None` without games, or if [`MOST`] would not do,
/// as where the estimate lies on the number itself.
pub(super) fn games_to_decide(
    table: &MoveTable,
    position: &Chess,
    claim: &Claim,
    about: f64,
) -> Option<u64> {
    let decided =
        |games| Grown { games, table, position }.answer(claim, about) != Answer::Undecided;
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

/// The counts of a position as they would be with `games` games of the same kind.
pub(super) struct Grown<'a> {
    games: u64,
    table: &'a MoveTable,
    position: &'a Chess,
}

impl<'a> Grown<'a> {
    /// The counts as they are.
    pub fn not(table: &'a MoveTable, position: &'a Chess) -> Grown<'a> {
        Grown { games: table.games, table, position }
    }

    /// Rounded to whole games.
    fn count(&self, count: u64) -> u64 {
        (count as f64 * self.games as f64 / self.table.games as f64).round() as u64
    }

    /// Games of a move; 0 for one that was never played.
    pub fn of(&self, code: MoveCode) -> u64 {
        row_of(self.table, code).map_or(0, |row| self.count(row.games))
    }

    /// How figures of shares are made here.
    pub fn sampling(&self) -> Sampling {
        self.table.sampling().with_effect(self.table.effect.share)
    }

    /// Whether the claim holds; undecided where the figure that it speaks of is withheld, and a
    /// rank where shares are thin.
    pub fn answer(&self, claim: &Claim, about: f64) -> Answer {
        let code = MoveCode::of(claim.mv);
        let ranked = |best: u8, worst: u8| self.ranks(code).within(best.into(), worst.into());
        let versus = |other, wanted| match self.compare(code, other) {
            Comparison::Unclear => Answer::Undecided,
            found if found == wanted => Answer::Holds,
            _ => Answer::Fails,
        };
        let against = |bound: Bound, figure: Option<Figure>| {
            let known = figure.and_then(|figure| figure.estimate());
            known.map_or(Answer::Undecided, |(_, interval)| against(bound, interval, about))
        };
        let of_counts = !matches!(claim.kind, ClaimKind::Score(_) | ClaimKind::Edge(_));
        if of_counts && !self.sampling().suffices(self.games) {
            return Answer::Undecided;
        }
        match claim.kind {
            ClaimKind::Rank(rank) => ranked(rank, rank),
            ClaimKind::Top(last) => ranked(1, last),
            ClaimKind::Share(bound) => against(bound, Some(self.share(code))),
            ClaimKind::MoreThan(other) => versus(MoveCode::of(other), Comparison::Greater),
            ClaimKind::LessThan(other) => versus(MoveCode::of(other), Comparison::Less),
            ClaimKind::Score(bound) => against(bound, self.score(code).map(|(score, _)| score)),
            ClaimKind::Edge(bound) => {
                let edge = self.score(code).map(|(score, beside)| score.shifted(-beside));
                against(bound, edge)
            }
        }
    }

    /// The rank of a move among all legal moves; those never played count 0.
    pub fn ranks(&self, code: MoveCode) -> Ranks {
        let count = |wanted| self.compared_as(wanted, code).count();
        Ranks { played_more: count(Comparison::Greater), too_close: count(Comparison::Unclear) }
    }

    /// The legal moves that are too close to a move to say which is played more.
    pub fn too_close(&self, code: MoveCode) -> Vec<MoveCode> {
        self.compared_as(Comparison::Unclear, code).collect()
    }

    /// The other legal moves that compare so with a move.
    fn compared_as(&self, wanted: Comparison, code: MoveCode) -> impl Iterator<Item = MoveCode> {
        let others = self.position.legal_moves().into_iter().map(MoveCode::of);
        others.filter(move |&other| other != code && self.compare(other, code) == wanted)
    }

    pub fn share(&self, code: MoveCode) -> Figure {
        self.sampling().share(self.of(code), self.games)
    }

    /// Whether what a claim turns on is a tie for all practical purposes: the intervals of all
    /// shares that it compares lie together within `about`, or the interval of the value within
    /// `about` of the claim's number.
    pub fn is_practically_equal(&self, claim: &Claim, about: f64) -> bool {
        let code = MoveCode::of(claim.mv);
        let together = |mut codes: Vec<MoveCode>| {
            codes.push(code);
            let shares = codes.into_iter().map(|code| self.share(code));
            let ends: Option<Vec<Interval>> =
                shares.map(|share| share.estimate().map(|(_, interval)| interval)).collect();
            ends.is_some_and(|ends| {
                let low = ends.iter().map(|end| end.low).fold(f64::INFINITY, f64::min);
                let high = ends.iter().map(|end| end.high).fold(f64::NEG_INFINITY, f64::max);
                high - low <= about
            })
        };
        let near = |bound: Bound, figure: Option<Figure>| {
            let known = figure.and_then(|figure| figure.estimate());
            known.is_some_and(|(_, Interval { low, high })| {
                low >= bound.value - about && high <= bound.value + about
            })
        };
        match claim.kind {
            ClaimKind::Rank(_) | ClaimKind::Top(_) => together(self.too_close(code)),
            ClaimKind::MoreThan(other) | ClaimKind::LessThan(other) => {
                together(vec![MoveCode::of(other)])
            }
            ClaimKind::Share(bound) => near(bound, Some(self.share(code))),
            ClaimKind::Score(bound) => near(bound, self.score(code).map(|(score, _)| score)),
            ClaimKind::Edge(bound) => {
                near(bound, self.score(code).map(|(score, beside)| score.shifted(-beside)))
            }
        }
    }

    /// Which of two moves is played more.
    fn compare(&self, one: MoveCode, other: MoveCode) -> Comparison {
        compare_counts(self.of(one), self.of(other), self.sampling().margin)
    }

    /// The move's score, and what is taken off for its edge.
    fn score(&self, code: MoveCode) -> Option<(Figure, f64)> {
        let row = row_of(self.table, code)?;
        let [wins, draws, losses] =
            [row.wins, row.draws, row.losses].map(|games| self.count(games));
        let sampling = self.table.sampling().with_effect(row.score_effect);
        Some((sampling.score(wins, draws, losses), row.expected + row.ordinary))
    }
}

/// The row of a move that was played.
pub(super) fn row_of(table: &MoveTable, code: MoveCode) -> Option<&MoveRow> {
    let uci = code.to_string();
    table.moves.iter().find(|row| row.uci == uci)
}

/// Holds if the whole interval agrees with the bound, fails if none of it does.
fn against(bound: Bound, Interval { low, high }: Interval, about: f64) -> Answer {
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

/// What is known of a move's rank: it lies from `played_more` + 1 to `played_more` +
/// `too_close` + 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Ranks {
    /// Other moves that are surely played more.
    pub played_more: usize,
    /// Other moves that may or may not be.
    pub too_close: usize,
}

impl Ranks {
    fn within(self, best: usize, worst: usize) -> Answer {
        let (from, to) = (self.played_more + 1, self.played_more + self.too_close + 1);
        if best <= from && to <= worst {
            Answer::Holds
        } else if to < best || worst < from {
            Answer::Fails
        } else {
            Answer::Undecided
        }
    }
}

#[cfg(test)]
mod tests {
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
        games_to_decide(&hundred_games(), &play("").1, &claim(text), ABOUT)
    }

    /// 10 against 5: (10 - 5) f / sqrt(15 f) reaches 2.04 at f = 15 x 2.04^2 / 25 = 2.496; the rest
    /// is the rounding to whole games.
    #[test]
    fn two_counts_need_their_difference_to_reach_two_standard_errors() {
        let games = needed("c4 > Nf3").expect("decidable");
        assert!((240..=280).contains(&games), "{games}");
        assert_eq!(needed("c4 third"), Some(games));
    }

    /// A share of 0.6 against 0.49 is clear; against 0.58 the half width 2.04 sqrt(0.24 / n) must
    /// shrink to 0.02: n = 2496 (Wald; Wilson is near it).
    #[test]
    fn a_share_needs_its_interval_to_clear_the_number() {
        let games = needed("e4 >= 58%").expect("decidable");
        assert!((2440..=2560).contains(&games), "{games}");
        assert_eq!(needed("e4 >= 49%"), Some(100), "decided as it is");
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
