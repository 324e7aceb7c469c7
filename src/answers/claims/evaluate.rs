//! Claims about one position.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use serde::ser::SerializeStruct;
use serde::{Serialize, Serializer};
use shakmaty::Chess;

use super::asked::Asked;
use super::rules::{Answer, FAR, Grown, Ranks, games_to_decide, row_of};
use crate::answers::Figure;
use crate::answers::moves::{MoveRow, MoveTable};
use crate::lines::{Claim, ClaimKind};
use crate::terms::MoveCode;

/// A claim and what the counts say to it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ClaimAnswer {
    pub claim: String,
    pub asked: Asked,
    pub answer: Answer,
    pub because: Because,
    /// For an undecided claim: games in the position that would decide it, if all shares and scores
    /// stay as they are now. None where no number would, or where nothing is known yet.
    pub games_to_decide: Option<u64>,
    /// Whether it is undecided for good: more than [`FAR`] times the games there are would be
    /// needed, and yet the intervals of what is compared lie together within what counts as
    /// about the same.
    pub practically_equal: bool,
}

/// What a claim was judged by; beside the share only what it speaks of.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Because {
    pub share: Figure,
    pub ranks: Option<Ranks>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub instead: Vec<Rival>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub too_close: Vec<Rival>,
    pub other_games: Option<u64>,
    pub score: Option<Figure>,
    pub edge: Option<Figure>,
}

/// Another move.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rival {
    pub san: String,
    pub rank: usize,
    pub share: Figure,
}

impl Because {
    /// The figure that the claim speaks of.
    pub fn figure(&self) -> &Figure {
        self.score.as_ref().or(self.edge.as_ref()).unwrap_or(&self.share)
    }
}

/// Judges a claim by the move table of its position; `about` is how far from its number a value may
/// be that is about it, as a fraction.
pub fn evaluate(table: &MoveTable, position: &Chess, claim: &Claim, about: f64) -> ClaimAnswer {
    let counts = Grown::not(table, position);
    let answer = counts.answer(claim, about);
    let undecided = answer == Answer::Undecided;
    let games_to_decide =
        undecided.then(|| games_to_decide(table, position, claim, about)).flatten();
    let far = games_to_decide.is_none_or(|games| games > FAR * table.games);
    ClaimAnswer {
        claim: claim.text.clone(),
        asked: Asked::of(claim, position, about),
        answer,
        because: because(&counts, table, claim, answer),
        games_to_decide,
        practically_equal: undecided && far && counts.is_practically_equal(claim, about),
    }
}

fn because(counts: &Grown<'_>, table: &MoveTable, claim: &Claim, answer: Answer) -> Because {
    let code = MoveCode::of(claim.mv);
    let mean = |of: fn(&MoveRow) -> &Figure| {
        let known = row_of(table, code).map(|row| of(row).clone());
        Some(known.unwrap_or_else(|| table.sampling().mean(0, 0)))
    };
    let none = Because {
        share: counts.share(code),
        ranks: None,
        instead: Vec::new(),
        too_close: Vec::new(),
        other_games: None,
        score: None,
        edge: None,
    };
    let ranked = |best: u8, worst: u8| {
        let stands_there = |row: &&MoveRow| {
            let rank = u8::try_from(row.rank).ok();
            answer == Answer::Fails && rank.is_some_and(|rank| (best..=worst).contains(&rank))
        };
        let close = counts.too_close(code);
        let is_close = |row: &&MoveRow| close.iter().any(|code| code.to_string() == row.uci);
        Because {
            ranks: Some(counts.ranks(code)),
            instead: rivals(table.moves.iter().filter(stands_there)),
            too_close: rivals(table.moves.iter().filter(is_close)),
            ..none.clone()
        }
    };
    match claim.kind {
        ClaimKind::Share(_) => none,
        ClaimKind::Rank(rank) => ranked(rank, rank),
        ClaimKind::Top(last) => ranked(1, last),
        ClaimKind::MoreThan(other) | ClaimKind::LessThan(other) => {
            Because { other_games: Some(counts.of(MoveCode::of(other))), ..none }
        }
        ClaimKind::Score(_) => Because { score: mean(|row| &row.score), ..none },
        ClaimKind::Edge(_) => Because { edge: mean(|row| &row.edge), ..none },
    }
}

fn rivals<'r>(rows: impl Iterator<Item = &'r MoveRow>) -> Vec<Rival> {
    rows.map(|row| Rival { san: row.san.clone(), rank: row.rank, share: row.share.clone() })
        .collect()
}

/// The answer to `moves`: the table of a position and the claims about it.
#[derive(Clone, Debug, PartialEq)]
pub struct MovesAnswer {
    pub table: MoveTable,
    /// The claims in the order in which they were put.
    pub claims: Vec<ClaimAnswer>,
}

impl MovesAnswer {
    /// Judges claims about the `position` of a table; for `about` see [`evaluate`].
    pub fn of(table: MoveTable, position: &Chess, claims: &[Claim], about: f64) -> MovesAnswer {
        let claims = claims.iter().map(|claim| evaluate(&table, position, claim, about)).collect();
        MovesAnswer { table, claims }
    }
}

/// One object, the claims behind the moves.
impl Serialize for MovesAnswer {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let MoveTable {
            position,
            filter,
            games,
            effect: _,
            moves,
            min_sample,
            paces,
            expected,
            rating_difference,
            limits,
        } = &self.table;
        let mut object = to.serialize_struct("MovesAnswer", 11)?;
        object.serialize_field("position", position)?;
        object.serialize_field("filter", filter)?;
        object.serialize_field("games", games)?;
        object.serialize_field("n_eff", &self.table.effective_games())?;
        object.serialize_field("moves", moves)?;
        object.serialize_field("claims", &self.claims)?;
        object.serialize_field("min_sample", min_sample)?;
        object.serialize_field("paces", paces)?;
        object.serialize_field("expected", expected)?;
        object.serialize_field("rating_difference", rating_difference)?;
        object.serialize_field("limits", limits)?;
        object.end()
    }
}

#[cfg(test)]
mod tests {
    use super::super::ABOUT;
    use super::*;
    use crate::answers::Question;
    use crate::answers::kit::{ModelCounts, play};
    use crate::answers::moves::table;
    use crate::terms::{Band, CellId, Group, Outcome, Pace};
    use Answer::{Fails, Holds, Undecided};
    use shakmaty::Color;

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
        evaluate(&table, &position, &Claim::parse(text, &position).expect("a claim"), ABOUT)
    }

    fn answer(text: &str) -> Answer {
        judged(text).answer
    }

    /// 60 - 25 = 35 over sqrt(85) = 3.8; 25 - 10 over sqrt(35) = 2.5; 10 - 5 over sqrt(15) = 1.3.
    /// Five games are surely more than none, by sqrt(5) = 2.2: a4 is fifth at the best. Wilson with
    /// Student's quantile at 60 of 100: 0.498 to 0.694; at 0 of 100: 0 to 0.040; at 25 of 100:
    /// 0.173 to 0.347.
    #[test]
    fn claims_of_ranks_and_shares_are_judged_by_whole_intervals() {
        let cases = [
            (Holds, "e4 first; d4 second; a4 top 20; d4 top 2; c4 top 4"),
            (Fails, "d4 first; e4 second; c4 fifth; a4 fourth; c4 top 2"),
            (Undecided, "c4 third; Nf3 third; a4 fifth; c4 top 3"),
            (Holds, "e4 >= 49%; e4 < 70%; a4 <= 5%; a4 about 2%"),
            (Fails, "e4 >= 70%; e4 <= 49%; d4 about 40%"),
            (Undecided, "e4 >= 60%; d4 about 25%; a4 score >= 50%"),
            (Holds, "e4 > d4; a4 < Nf3"),
            (Fails, "e4 < d4"),
            (Undecided, "c4 > Nf3"),
        ];
        for (wanted, claims) in cases {
            for claim in claims.split("; ") {
                assert_eq!(answer(claim), wanted, "{claim}");
            }
        }
    }

    #[test]
    fn how_near_is_about_can_be_said() {
        let position = play("").1;
        let Ok(table) = table(&hundred_games(), &position, &Question::default());
        let claim = Claim::parse("d4 about 25%", &position).expect("a claim");
        assert_eq!(evaluate(&table, &position, &claim, 0.1).answer, Holds);
        assert_eq!(evaluate(&table, &position, &claim, 0.01).answer, Undecided);
    }

    /// e4 scores 48/60 = 0.8, Wilson 0.677 to 0.884 without draws; expected 0.5, and at that White
    /// scores (48 + 12.5)/100 = 0.605, so the edge is 0.195, 0.072 to 0.279.
    #[test]
    fn scores_and_edges_are_judged_by_their_intervals() {
        assert_eq!(answer("e4 score > 67%"), Holds);
        assert_eq!(answer("e4 score > 70%"), Undecided);
        assert_eq!(answer("e4 edge > 0.07"), Holds);
        assert_eq!(answer("e4 edge > 0.28"), Fails);
        let edge = judged("e4 edge > 0.07").because.edge.expect("asked for");
        assert_eq!((edge.n, (1000.0 * edge.value.expect("known")).round()), (60, 195.0));
    }

    /// 20 groups of players with ten games each play 1. e4 and nothing else, 12 play 1. d4. By
    /// hand: the squared residuals are 2 (20 x 3.75^2 + 12 x 6.25^2) = 1500, times 32/31, against
    /// 320 x 2 x 0.625 x 0.375 = 150: D = 10.32, and the 320 games are as good as 31. z = 80 /
    /// sqrt(320) = 4.47 for persons, 1.39 with D. Wilson at 19.375 of 31: 0.443 to 0.777.
    fn loyal(min_sample: u64, text: &str) -> ClaimAnswer {
        let (mut counts, position) = (ModelCounts::new(), play("").1);
        let id = CellId::new(Band::from_index(15).expect("a band"), Pace::Blitz);
        for game in 0..320 {
            let group = Group::from_index(game % 32).expect("a group");
            let mv = play(if game % 32 < 20 { "e4" } else { "d4" }).0[0];
            counts.add_game(&position, mv, id, group).add_game(Outcome::Win, 500);
            counts.totals.add_game(Color::White, id, group, Outcome::Win, 500);
        }
        let question = Question { min_sample, ..Question::default() };
        let Ok(table) = table(&counts, &position, &question);
        let claim = Claim::parse(text, &position).expect("a claim");
        evaluate(&table, &position, &claim, ABOUT)
    }

    #[test]
    fn players_who_always_play_the_same_tell_less() {
        let share = loyal(20, "e4 >= 44%");
        assert_eq!(share.answer, Holds);
        let Figure { n, n_eff, value, low, high, .. } = share.because.share;
        assert_eq!((n, value), (320, Some(0.625)));
        let near = |found: Option<f64>, want: f64| (found.expect("known") - want).abs() < 5e-4;
        assert!(
            (n_eff - 31.0).abs() < 1e-9 && near(low, 0.443) && near(high, 0.777),
            "{low:?} {high:?}"
        );
        for claim in ["e4 >= 45%", "e4 first", "e4 > d4"] {
            assert_eq!(loyal(20, claim).answer, Undecided, "{claim}");
        }
    }

    /// f = 2.0395^2 x 10.3226 x 320 / 80^2 = 2.147 times 320 games, but for rounding to whole
    /// games; and 50 x 10.3226 for the minimum sample.
    #[test]
    fn the_games_needed_are_of_players_who_come_again_as_often() {
        let games =
            |min_sample, claim| loyal(min_sample, claim).games_to_decide.expect("decidable");
        assert!((680..=695).contains(&games(50, "e4 first")), "{}", games(50, "e4 first"));
        assert_eq!(games(50, "e4 first"), games(20, "e4 > d4"));
        assert_eq!(games(50, "e4 >= 44%"), 517);
    }

    /// A share rests on 31 games, a score on 200: it does not depend on who plays.
    #[test]
    fn a_score_is_judged_where_shares_are_thin() {
        let thin = loyal(50, "e4 >= 20%");
        assert_eq!((thin.answer, thin.because.share.value), (Undecided, None));
        assert!(thin.because.share.low.is_some());
        assert_eq!(loyal(50, "e4 score >= 90%").answer, Holds);
    }

    #[test]
    fn below_the_minimum_sample_a_claim_is_undecided_and_says_why() {
        let thin = judged("d4 score > 10%");
        let score = thin.because.score.expect("a claim about the score");
        assert_eq!((thin.answer, score.n, score.value), (Undecided, 25, None));
        let position = play("e4").1;
        let Ok(table) = table(&ModelCounts::new(), &position, &Question::default());
        let claim = Claim::parse("e5 first", &position).expect("a claim");
        let answer = evaluate(&table, &position, &claim, ABOUT);
        assert_eq!((answer.answer, answer.because.share.n), (Undecided, 0));
        assert_eq!(answer.games_to_decide, None);
    }

    #[test]
    fn who_has_the_rank_instead_is_told_where_a_claim_fails() {
        let names = |text: &str| -> Vec<String> {
            let because = judged(text).because;
            because.instead.iter().map(|rival| format!("{} {}", rival.rank, rival.san)).collect()
        };
        assert_eq!(names("d4 first"), ["1 e4"]);
        assert_eq!(names("e4 second"), ["2 d4"]);
        assert_eq!(names("c4 top 2"), ["1 e4", "2 d4"]);
        assert!(names("e4 first").is_empty() && names("c4 third").is_empty());
        let close = judged("c4 third").because.too_close;
        assert_eq!((close.len(), close[0].san.as_str(), close[0].share.k), (1, "Nf3", Some(5)));
    }

    /// 2,000 games each: Wilson from 0.4774 to 0.5226 without an effect, and even that is within
    /// five points of the other; among 100 games each interval is wider than that.
    #[test]
    fn a_tie_is_practical_where_the_margins_are_narrow() {
        let even = [1500, 1500];
        let tie = |games: usize, about, text: &str| {
            let counts =
                ModelCounts::new().add(games, even, "1/2", "e4").add(games, even, "1/2", "d4");
            let position = play("").1;
            let Ok(table) = table(&counts, &position, &Question::default());
            let claim = Claim::parse(text, &position).expect("a claim");
            evaluate(&table, &position, &claim, about)
        };
        let answer = tie(2000, ABOUT, "e4 first");
        assert_eq!((answer.answer, answer.practically_equal), (Undecided, true));
        assert_eq!(answer.because.too_close[0].san, "d4");
        assert!(tie(2000, ABOUT, "e4 > d4").practically_equal);
        assert!(tie(2000, ABOUT, "e4 >= 50%").practically_equal);
        assert!(!tie(2000, 0.01, "e4 first").practically_equal);
        assert!(!tie(100, ABOUT, "e4 first").practically_equal);
        assert!(!tie(10, ABOUT, "e4 first").practically_equal, "too few games are no tie");
        assert!(!tie(2000, ABOUT, "e4 >= 20%").practically_equal, "it holds");
    }

    #[test]
    fn an_answer_tells_what_it_was_judged_by() {
        let because = judged("d4 second").because;
        assert_eq!((because.share.k, because.share.n), (Some(25), 100));
        assert_eq!(because.ranks, Some(Ranks { played_more: 1, too_close: 0 }));
        assert_eq!((because.other_games, &because.score, &because.edge), (None, &None, &None));
        assert_eq!(judged("e4 > d4").because.other_games, Some(25));
        let never = judged("a4 score > 10%").because.score.expect("asked for");
        assert_eq!((never.n, never.value), (0, None));
    }
}
