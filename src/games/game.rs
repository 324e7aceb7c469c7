//! A game as its tags describe it, and the judgement whether it counts.

use memchr::memchr2_iter;

use super::tags::value_text;
use super::{Date, LeftOut, Rules, Tags};
use crate::counts::OpeningTag;
use crate::terms::{Outcome, Rating, TimeControl};

/// The result of a finished game.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GameResult {
    /// 1-0.
    WhiteWins,
    /// 1/2-1/2.
    Draw,
    /// 0-1.
    BlackWins,
}

impl GameResult {
    /// From a Result tag or an end marker, exactly as the PGN standard spells it.
    pub fn from_marker(marker: &[u8]) -> Option<GameResult> {
        match marker {
            b"1-0" => Some(GameResult::WhiteWins),
            b"1/2-1/2" => Some(GameResult::Draw),
            b"0-1" => Some(GameResult::BlackWins),
            _ => None,
        }
    }

    /// The result from White's view.
    pub fn for_white(self) -> Outcome {
        match self {
            GameResult::WhiteWins => Outcome::Win,
            GameResult::Draw => Outcome::Draw,
            GameResult::BlackWins => Outcome::Loss,
        }
    }
}

/// What the tags of a game that may count say.
#[derive(Clone, Copy, Debug)]
pub struct Game<'a> {
    /// White's rating.
    pub white: Rating,
    /// Black's rating.
    pub black: Rating,
    /// The result.
    pub result: GameResult,
    /// The time control.
    pub time_control: TimeControl,
    /// The date, if it is whole.
    pub date: Option<Date>,
    /// White's name and Black's as written; `None` without such a tag.
    pub players: [Option<&'a [u8]>; 2],
    opening: Option<&'a [u8]>,
    eco: Option<&'a [u8]>,
}

const START_POSITION: &[u8] = b"rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq -";

impl<'a> Game<'a> {
    /// Judges a game by its tags: reasons in the order of [`LeftOut`], up to its rating gap.
    pub fn admit(tags: &Tags<'a>, rules: &Rules) -> Result<Game<'a>, LeftOut> {
        if is_variant(tags) {
            return Err(LeftOut::Variant);
        }
        let result = tags
            .result
            .map(<[u8]>::trim_ascii)
            .and_then(GameResult::from_marker)
            .ok_or(LeftOut::NoResult)?;
        let white = tags.white_elo.and_then(rating).ok_or(LeftOut::NoRating)?;
        let black = tags.black_elo.and_then(rating).ok_or(LeftOut::NoRating)?;
        if [tags.white_title, tags.black_title].into_iter().flatten().any(|title| is(title, b"BOT"))
        {
            return Err(LeftOut::Computer);
        }
        let not_played_out: [&[u8]; 3] = [b"abandoned", b"rules infraction", b"unterminated"];
        if tags.termination.is_some_and(|how| not_played_out.iter().any(|reason| is(how, reason))) {
            return Err(LeftOut::NotPlayedOut);
        }
        if tags.event.is_some_and(says_unrated) {
            return Err(LeftOut::Unrated);
        }
        let date = tags.utc_date.or(tags.date).and_then(Date::from_tag);
        let early =
            rules.since.is_some_and(|bound| !date.is_some_and(|date| bound.allows_from(date)));
        let late =
            rules.until.is_some_and(|bound| !date.is_some_and(|date| bound.allows_until(date)));
        if early || late {
            return Err(LeftOut::OutsideDates);
        }
        let time_control = tags.time_control.map_or(TimeControl::UNKNOWN, TimeControl::from_tag);
        if !rules.paces.contains(time_control.pace) {
            return Err(LeftOut::OtherPace);
        }
        let gap = white.points().abs_diff(black.points());
        if rules.max_gap.is_some_and(|most| gap > most) {
            return Err(LeftOut::RatingGap);
        }
        let (opening, eco) = (tags.opening.and_then(known), tags.eco.and_then(known));
        let players = [tags.white, tags.black];
        Ok(Game { white, black, result, time_control, date, players, opening, eco })
    }

    /// The bytes that tell opening tags apart: code and name as written.
    pub fn opening_bytes(&self) -> (&'a [u8], &'a [u8]) {
        (self.eco.unwrap_or_default(), self.opening.unwrap_or_default())
    }

    /// The opening tag, `None` if the game has neither name nor code.
    pub fn opening_tag(&self) -> Option<OpeningTag> {
        let text = |value: Option<&[u8]>| {
            value.map_or(String::new(), |value| value_text(value).into_owned())
        };
        let tag = OpeningTag { eco: text(self.eco), name: text(self.opening) };
        (tag != OpeningTag::default()).then_some(tag)
    }
}

/// Another game than standard chess, or not from the start position.
pub(super) fn is_variant(tags: &Tags) -> bool {
    let other =
        tags.variant.is_some_and(|variant| !is(variant, b"Standard") && !is(variant, b"Chess"));
    let set_up = tags.set_up.is_some_and(|value| value.trim_ascii() == b"1");
    let from_elsewhere =
        tags.fen.map(<[u8]>::trim_ascii).filter(|fen| !fen.is_empty()).is_some_and(|fen| {
            let fields = |text: &'static [u8]| text.split(|&byte| byte == b' ');
            let mut given = fen.split(|&byte| byte == b' ').filter(|field| !field.is_empty());
            !fields(START_POSITION).all(|field| given.next() == Some(field))
        });
    other || set_up || from_elsewhere
}

/// Equal in any case, apart from white space around.
fn is(value: &[u8], word: &[u8]) -> bool {
    value.trim_ascii().eq_ignore_ascii_case(word)
}

fn says_unrated(event: &[u8]) -> bool {
    let is_word = |word: &[u8], start: usize| {
        let (before, rest) = event.split_at(start);
        let is_letter = |byte: Option<&u8>| byte.is_some_and(u8::is_ascii_alphanumeric);
        rest.get(..word.len()).is_some_and(|found| found.eq_ignore_ascii_case(word))
            && !is_letter(before.last())
            && !is_letter(rest.get(word.len()))
    };
    // Both have one u; most events have none or two.
    memchr2_iter(b'u', b'U', event)
        .any(|at| is_word(b"unrated", at) || at >= 3 && is_word(b"casual", at - 3))
}

/// A rating that counts.
pub(super) fn rating(value: &[u8]) -> Option<Rating> {
    let digits = value.trim_ascii();
    if digits.is_empty() || !digits.iter().all(u8::is_ascii_digit) {
        return None;
    }
    let points = digits.iter().fold(0u32, |sum, digit| {
        (sum * 10 + u32::from(digit - b'0')).min(u32::from(Rating::MAX) + 1)
    });
    Rating::new(points as u16)
}

/// A longer value, in bytes as written, is no name or code (PGN standard, section 4.3: lines of at
/// most 255 characters).
const LONGEST_NAME: usize = 255;

/// A value that says something: not empty and not `?`.
fn known(value: &[u8]) -> Option<&[u8]> {
    let value = value.trim_ascii();
    (!value.is_empty() && value != b"?" && value.len() <= LONGEST_NAME).then_some(value)
}

#[cfg(test)]
#[path = "game_tests.rs"]
mod tests;
