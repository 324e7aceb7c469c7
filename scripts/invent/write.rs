//! Games as PGN text, the way dumps look: tags, an empty line, the moves on one line.

use std::io::Write;

use crate::chance::{Outcome, expectation};
use crate::dice::Dice;
use crate::kinds::Kind;
use crate::league::League;
use crate::play::{Played, Ply};
use crate::players::Player;
use crate::setting::Setting;

const LETTERS: &[u8; 62] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789";
const NEVER: &str = "writing to memory does not fail";

/// Appends game number `number` (from 0) of the dump to `text`.
pub fn write_game(
    text: &mut Vec<u8>,
    league: &League,
    number: u64,
    players: [&Player; 2],
    setting: &Setting,
    played: &Played,
    dice: &mut Dice,
) {
    let result = match (setting.kind, played.outcome) {
        (Kind::Unfinished, _) => "*",
        (_, Outcome::White) => "1-0",
        (_, Outcome::Draw) => "1/2-1/2",
        (_, Outcome::Black) => "0-1",
    };
    tags(text, league, number, players, setting, played, result, dice);
    text.push(b'\n');
    moves(text, &played.plies);
    text.extend_from_slice(result.as_bytes());
    text.extend_from_slice(b"\n\n");
}

fn tag(text: &mut Vec<u8>, name: &str, value: impl std::fmt::Display) {
    writeln!(text, "[{name} \"{value}\"]").expect(NEVER);
}

#[expect(clippy::too_many_arguments, reason = "the parts of one game")]
fn tags(
    text: &mut Vec<u8>,
    league: &League,
    number: u64,
    players: [&Player; 2],
    setting: &Setting,
    played: &Played,
    result: &str,
    dice: &mut Dice,
) {
    // A student's games are none of the league's, so that a build of the samples counts no
    // game twice over.
    let is_rated = setting.kind != Kind::Casual && league.only.is_none();
    let rated = if is_rated { "rated" } else { "casual" };
    let word = setting.pace.word;
    match dice.below(12) {
        0 => tag(text, "Event", format_args!("Spring Tide Arena, {rated} {word}")),
        1 => tag(text, "Event", format_args!("Breakwater Cup, {rated} {word}")),
        _ => tag(text, "Event", format_args!("Harbour League {rated} {word}")),
    }
    let site: String = (0..8).map(|_| char::from(LETTERS[dice.below(62) as usize])).collect();
    tag(text, "Site", format_args!("https://games.harbour-league.example/{site}"));
    let seconds = u64::from(league.month.days()) * 86_400 * number / league.games;
    let (year, month, day) = (league.month.year, league.month.month, seconds / 86_400 + 1);
    let date = format!("{year:04}.{month:02}.{day:02}");
    tag(text, "Date", &date);
    tag(text, "Round", "-");
    tag(text, "White", &players[0].name);
    tag(text, "Black", &players[1].name);
    tag(text, "Result", result);
    tag(text, "UTCDate", &date);
    let (hour, minute, second) = (seconds / 3600 % 24, seconds / 60 % 60, seconds % 60);
    tag(text, "UTCTime", format_args!("{hour:02}:{minute:02}:{second:02}"));
    ratings(text, setting, played, dice);
    let bot = (setting.kind == Kind::Computer).then(|| dice.below(2) as usize);
    for (side, name) in ["WhiteTitle", "BlackTitle"].into_iter().enumerate() {
        let title = if bot == Some(side) { "BOT" } else { players[side].title };
        if !title.is_empty() {
            tag(text, name, title);
        }
    }
    if setting.kind == Kind::Shuffled {
        tag(text, "Variant", "Chess960");
    }
    match played.opening.filter(|_| setting.fen.is_none()) {
        Some(opening) => {
            tag(text, "ECO", opening.eco);
            tag(text, "Opening", opening.name);
        }
        None => {
            tag(text, "ECO", "?");
            tag(text, "Opening", "?");
        }
    }
    if setting.pace.base == 0 {
        tag(text, "TimeControl", "-");
    } else {
        tag(text, "TimeControl", format_args!("{}+{}", setting.pace.base, setting.pace.increment));
    }
    let termination = match setting.kind {
        Kind::Abandoned => "Abandoned",
        Kind::Infraction => "Rules infraction",
        Kind::Unfinished => "Unterminated",
        _ if played.on_time => "Time forfeit",
        _ => "Normal",
    };
    tag(text, "Termination", termination);
    if let Some(fen) = setting.fen {
        tag(text, "SetUp", "1");
        tag(text, "FEN", fen);
    }
}

/// Ratings, and the points won and lost in rated games.
fn ratings(text: &mut Vec<u8>, setting: &Setting, played: &Played, dice: &mut Dice) {
    let unknown = (setting.kind == Kind::NoRating).then(|| dice.below(2));
    for (side, name, rating) in [(0, "WhiteElo", setting.white), (1, "BlackElo", setting.black)] {
        if unknown == Some(side) {
            tag(text, name, "?");
        } else {
            tag(text, name, rating);
        }
    }
    if matches!(setting.kind, Kind::Casual | Kind::NoRating | Kind::Unfinished) {
        return;
    }
    let score = match played.outcome {
        Outcome::White => 1.0,
        Outcome::Draw => 0.5,
        Outcome::Black => 0.0,
    };
    let won = 12.0 * (score - expectation(setting.white - setting.black));
    let points = if won < 0.0 { (won - 0.5) as i32 } else { (won + 0.5) as i32 };
    tag(text, "WhiteRatingDiff", format_args!("{points:+}"));
    tag(text, "BlackRatingDiff", format_args!("{:+}", -points));
}

fn moves(text: &mut Vec<u8>, plies: &[Ply]) {
    let commented = plies.iter().any(|ply| ply.clock.is_some() || ply.eval.is_some());
    for (index, ply) in plies.iter().enumerate() {
        let number = index / 2 + 1;
        if index % 2 == 0 {
            write!(text, "{number}. ").expect(NEVER);
        } else if commented {
            write!(text, "{number}... ").expect(NEVER);
        }
        ply.san.append_ascii_to(text);
        if ply.eval.is_some() || ply.clock.is_some() {
            text.extend_from_slice(b" {");
            if let Some(eval) = ply.eval {
                evaluation(text, eval);
            }
            if let Some(left) = ply.clock {
                let (hours, minutes, seconds) = (left / 3600, left / 60 % 60, left % 60);
                write!(text, " [%clk {hours}:{minutes:02}:{seconds:02}]").expect(NEVER);
            }
            text.extend_from_slice(b" }");
        }
        text.push(b' ');
    }
}

/// Pawns with two decimals, or `#` and the moves to mate.
fn evaluation(text: &mut Vec<u8>, cp: i32) {
    if cp.abs() > 20_000 {
        let sign = if cp < 0 { "-" } else { "" };
        write!(text, " [%eval #{sign}{}]", 30_000 - cp.abs()).expect(NEVER);
    } else {
        let sign = if cp < 0 { "-" } else { "" };
        let cp = cp.abs();
        write!(text, " [%eval {sign}{}.{:02}]", cp / 100, cp % 100).expect(NEVER);
    }
}
