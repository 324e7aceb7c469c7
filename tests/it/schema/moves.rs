//! What `moves` answers, and what is said to claims.

use super::answers::{Filter, Limits, Mean, MoveRow, PaceGames, Position, Rate};
use super::shape::{object, words};

words!(Measure: Rank Top Share Score Edge MoreThan LessThan);
words!(Judgement: Holds Fails Undecided);

object!(Moves {
    position: Position,
    filter: Filter,
    games: u64,
    n_eff: f64,
    moves: Vec<MoveRow>,
    claims: Vec<Claim>,
    min_sample: u64,
    paces: Vec<PaceGames>,
    expected: Option<f64>,
    rating_difference: Option<f64>,
    limits: Limits,
});
object!(Claim = "claim" {
    claim: String,
    asked: Asked,
    answer: Judgement,
    because: Because,
    games_to_decide: Option<u64>,
    practically_equal: bool
});
object!(Asked {
    san: String,
    measure: Measure,
    relation: Option<String>,
    value: Option<f64>,
    within: Option<f64>,
    other: Option<String>,
});
object!(Rival = "rival" { san: String, rank: u64, share: Rate });
object!(Because {
    share: Rate,
    ranks: Option<Ranks>,
    instead: Option<Vec<Rival>>,
    too_close: Option<Vec<Rival>>,
    other_games: Option<u64>,
    score: Option<Mean>,
    edge: Option<Mean>,
});
object!(Ranks { played_more: u64, too_close: u64 });
object!(Claims {
    filter: Filter,
    min_sample: u64,
    about: f64,
    hold: u64,
    fail: u64,
    undecided: u64,
    claims: Vec<ListedClaim>,
});
object!(ListedClaim ["claim" {
    claim: String,
    asked: Asked,
    answer: Judgement,
    because: Because,
    games_to_decide: Option<u64>,
    practically_equal: bool,
}] {
    number: u64,
    line: String,
    games: u64,
    n_eff: f64,
    may_lack: u64,
});
