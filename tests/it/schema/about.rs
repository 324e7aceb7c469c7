//! What `about` answers.

use super::answers::Pace;
use super::shape::object;

object!(About {
    format: u64,
    sources: Vec<Dump>,
    games_read: u64,
    games_counted: u64,
    nameless_sides: u64,
    left_out: LeftOut,
    first: Option<String>,
    last: Option<String>,
    undated: u64,
    positions: u64,
    cells: u64,
    visits: u64,
    visits_dropped: u64,
    half_moves: u16,
    keep_from: u64,
    absent_may_lack: u64,
    rules: Rules,
    levels: Vec<Level>,
    slopes: Vec<Slope>,
    store_bytes: u64,
    names_given_up: bool,
});
object!(Dump {
    name: String,
    hash: String,
    bytes: u64,
    file_bytes: Option<u64>,
    file_hash: Option<String>,
    games_read: u64,
    games_counted: u64,
    nameless_sides: u64,
    left_out: LeftOut,
    first: Option<String>,
    last: Option<String>,
    undated: u64,
    complete: bool,
});
object!(LeftOut = "left out" {
    variant: u64,
    no_result: u64,
    no_rating: u64,
    computer: u64,
    not_played_out: u64,
    unrated: u64,
    outside_dates: u64,
    other_pace: u64,
    rating_gap: u64,
    broken: u64,
    no_moves: u64,
    illegal_move: u64,
});
object!(Rules {
    half_moves: u16,
    since: Option<String>,
    until: Option<String>,
    paces: Vec<Pace>,
    max_gap: Option<u64>
});
object!(Slope { pace: Pace, value: f64, low: f64, high: f64, n: u64, n_eff: f64 });
object!(Level { from: u16, below: u16, pace: Pace, white: u64, black: u64 });
