//! The answer of `student` as programs read it.

use super::answers::{Colour, Limits, Mean, Rate};
use super::shape::{object, words};

words!(Basis: Given Median NoRatings);
words!(From: File Hunt);
words!(Role: Faced Laid);
words!(By: Student Opponent);
words!(Judged: Costly InOrder TooFewGames NoHabit);
words!(Kind: Habit Fell Missed Forgot Unanswered);

object!(Students { students: Vec<Student> });
object!(Student {
    name: String,
    also: Vec<String>,
    games: Games,
    level: Level,
    min_sample: u64,
    settings: Asked,
    positions: Positions,
    habits: Vec<Habit>,
    interval_level: Option<f64>,
    had: Vec<Had>,
    traps_from: From,
    traps: Vec<Trap>,
    repertoire: Option<Lines>,
    left: Vec<Left>,
    first: Vec<Learn>,
    limits: Limits,
});
object!(Games {
    read: u64,
    as_white: u64,
    as_black: u64,
    left_out: LeftOut,
    repeated: u64,
    results: Both,
    ratings: Option<Ratings>,
    dates: Option<Dates>,
});
object!(LeftOut {
    other_players: u64,
    both_sides: u64,
    variant: u64,
    no_result: u64,
    broken: u64,
    no_moves: u64,
    illegal_move: u64,
});
object!(Both { white: Results, black: Results });
object!(Results = "results" { wins: u64, draws: u64, losses: u64 });
object!(Ratings { games: u64, low: u16, median: f64, high: u16 });
object!(Dates { games: u64, first: String, last: String });
object!(Level { from: u16, below: u16, pace: Vec<String>, basis: Basis });
object!(Asked { times: u64, tested_from: u64, fdr: f64, half_moves: u64 });
object!(Positions {
    had: u64,
    judged: u64,
    tests: u64,
    significant: u64,
    not_advised: u64,
    too_few_games: u64,
    no_habit: u64,
});
object!(Habit {
    line: String,
    fen: String,
    r#as: Colour,
    times: u64,
    played: u64,
    results: Results,
    r#move: Played,
    share: Rate,
    edge: Mean,
    better: Better,
    difference: Mean,
    cost_per_100_games: Mean,
    p: f64,
    q: f64,
    opening: Option<String>,
    may_lack: u64,
});
object!(Played = "played" { san: String, uci: String });
object!(Better { san: String, uci: String, edge: Mean, share: Rate });
object!(Had {
    line: String,
    fen: String,
    r#as: Colour,
    times: u64,
    r#move: Played,
    played: u64,
    results: Results,
    judged: Judged,
});
object!(Trap {
    name: String,
    role: Role,
    r#as: Colour,
    line: String,
    trap_fen: String,
    slip: String,
    refutation: String,
    times: u64,
    slipped: u64,
    escaped: u64,
    refuted: u64,
    missed: u64,
    level_slip_rate: Rate,
    level_find_rate: Rate,
    cost_per_100_games: Mean,
    instead: Vec<LevelMove>,
    games: Vec<Game>,
});
object!(LevelMove = "level move" { san: String, uci: String, games: u64, share: Rate, score: Mean });
object!(Game { event: String, date: Option<String>, opponent: Colour, slipped: bool, refuted: bool });
object!(Lines {
    r#as: Colour,
    games: u64,
    to_the_end: u64,
    within: u64,
    by_student: u64,
    by_first_move: u64,
    by_opponent: u64,
    several: u64,
});
object!(Left {
    line: String,
    fen: String,
    r#move: Played,
    by: By,
    times: u64,
    prepared: Vec<String>,
    share: Rate,
    continues: Vec<LevelMove>,
});
object!(Learn { kind: Kind, place: u64 });
