//! The answer of `gaps` as programs read it.

use super::answers::{Colour, Filter, Mean, Rate};
use super::shape::{object, with_move, words};

words!(Own: First Level Equal);

object!(Gaps {
    filter: Filter,
    r#as: Colour,
    settings: Asked,
    min_sample: u64,
    file: Prepared,
    answered: Mean,
    left: Mean,
    unknown: Mean,
    half_left_by: Option<u16>,
    by_ply: Vec<Ply>,
    gaps_in_all: u64,
    gaps: Vec<Gap>,
    unused: Vec<Unused>,
    prepared_moves: u64,
    never_chosen: u64,
    carry_95: u64,
});
object!(Asked { own: Own, half_moves: Option<u16>, met: f64, top: u64, unused: f64 });
object!(Prepared {
    games: u64,
    lines: u64,
    positions: u64,
    moves: u64,
    own_choices: u64,
    their_choices: u64,
    without_reply: u64,
});
object!(Ply { ply: u16, answered: Mean, left: f64, unknown: f64 });
object!(Gap {
    line: String,
    fen: String,
    ply: u64,
    r#move: Played,
    name: Option<String>,
    eco: Option<String>,
    met: Rate,
    share: Rate,
    games: u64,
    score: Mean,
    edge: Mean,
    eval_cp: Mean,
    replies: Vec<Reply>,
    may_lack: u64,
});
object!(Played = "played" { san: String, uci: String });
with_move!(Reply { best: Option<bool> });
object!(Unused { line: String, met: Rate, moves: u64 });
