//! Who plays, at what pace, and under which circumstances; chunks of whole games.

use shakmaty::fen::Fen;
use shakmaty::{CastlingMode, Chess, Color};

use crate::dice::Dice;
use crate::kinds::{Kind, draw_kind};
use crate::league::{CHUNK, League};
use crate::play::{Played, play};
use crate::players::{Player, RATINGS};
use crate::setting::Setting;
use crate::shape::{draw_length, draw_pace};
use crate::truth::{Reply, Tally, Visit};
use crate::write::write_game;

/// Half-moves that an import counts by default.
const COUNTED_PLIES: usize = 30;

/// Share of the games, in 1/10,000, in which nobody leaves the book on purpose. They make the main
/// lines long, while the other games make rare positions frequent: real dumps have both.
const BOOKISH: u32 = 1600;

/// The games of one chunk as PGN, and what was drawn at planted positions.
pub fn invent_chunk(league: &League, chunk: u64) -> (Vec<u8>, Tally) {
    let mut dice = Dice::new(league.seed, chunk + 1);
    let mut text = Vec::with_capacity(2 << 20);
    let mut tally = Tally::new(league.traps.len());
    let first = chunk * CHUNK;
    for number in first..(first + CHUNK).min(league.games) {
        invent_game(league, number, &mut dice, &mut text, &mut tally);
    }
    (text, tally)
}

fn invent_game(
    league: &League,
    number: u64,
    dice: &mut Dice,
    text: &mut Vec<u8>,
    tally: &mut Tally,
) {
    let (one, two) = league.players.pair(dice);
    let (white, black) = if dice.chance(5000) { (one, two) } else { (two, one) };
    let kind = draw_kind(dice);
    let pace = draw_pace(dice);
    let setting = Setting {
        kind,
        pace,
        white: rating_today(white, dice),
        black: rating_today(black, dice),
        characters: [white.character, black.character],
        clocks: dice.chance(league.clocks) && pace.base > 0,
        evals: dice.chance(league.evals),
        time_forfeits: match pace.word {
            "bullet" => 4200,
            "blitz" => 2800,
            "rapid" => 1200,
            _ => 700,
        },
        fen: kind.fen(dice),
        bookish: dice.chance(BOOKISH),
        fashion: fashion(league, white.rating, dice),
    };
    let length = match kind {
        Kind::Empty => 0,
        Kind::Abandoned => dice.between(1, 14) as usize,
        _ => draw_length(dice),
    };
    let start = setting.fen.map_or_else(Chess::default, read_fen);
    let mut played = play(league, &setting, start, length, dice);
    if played.over && !kind.may_end_on_the_board() {
        played.plies.pop();
    }
    if kind == Kind::Counted {
        count(&setting, &played, tally);
    }
    let is_asked = |name: &String| *name == white.name || *name == black.name;
    if league.only.as_ref().is_none_or(is_asked) {
        write_game(text, league, number, [white, black], &setting, &played, dice);
    }
}

/// A trap line to follow, in up to one game in sixteen; stronger players care less for fashions.
fn fashion(league: &League, rating: i32, dice: &mut Dice) -> Option<usize> {
    let share = (2300 - rating).clamp(100, 900) as u32;
    if !dice.chance(share * 7 / 10) {
        return None;
    }
    dice.weighted(league.traps.traps.iter().map(|trap| trap.row.fashion))
}

/// A player's rating moves a little within a month.
fn rating_today(player: &Player, dice: &mut Dice) -> i32 {
    (player.rating + dice.between(-12, 12)).clamp(RATINGS.0, RATINGS.1)
}

fn read_fen(fen: &str) -> Chess {
    fen.parse::<Fen>()
        .expect("our own FENs are well formed")
        .into_position(CastlingMode::Standard)
        .expect("our own FENs are legal")
}

/// Notes what was drawn within the half-moves that an import counts.
fn count(setting: &Setting, played: &Played, tally: &mut Tally) {
    for met in played.met.iter().filter(|met| met.ply < COUNTED_PLIES) {
        let victim = if met.ply % 2 == 0 { Color::White } else { Color::Black };
        let score = victim.fold_wb(1.0 - played.score, played.score);
        tally.count(&Visit {
            trap: met.trap,
            player: setting.character(victim).number,
            victim: setting.rating(victim),
            state: met.state,
            pace: setting.pace.word,
            micros: met.micros,
            score_millionths: (score * 1_000_000.0) as u64,
        });
    }
    for replied in played.replied.iter().filter(|replied| replied.ply < COUNTED_PLIES) {
        let setter = if replied.ply % 2 == 0 { Color::White } else { Color::Black };
        tally.reply(&Reply {
            trap: replied.trap,
            player: setting.character(setter).number,
            setter: setting.rating(setter),
            pace: setting.pace.word,
            finds: replied.finds,
        });
    }
}
