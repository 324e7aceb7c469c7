//! Any game of a text: what its tags say, and its movetext, whether a build would count it or not.

use super::game::{is_variant, rating};
use super::tags::value_text;
use super::{Date, GameResult, Movetext, PlayerName, Tags, hash_game};
use crate::terms::Rating;

/// A longer value is cut off, in letters.
const LONGEST_VALUE: usize = 255;

/// A game that was not judged.
#[derive(Clone, Copy, Debug)]
pub struct AnyGame<'a> {
    pub(super) tags: Tags<'a>,
    pub(super) movetext: Option<&'a [u8]>,
}

impl<'a> AnyGame<'a> {
    /// White's name and Black's, where there are names.
    pub fn names(&self) -> [Option<PlayerName>; 2] {
        [self.tags.white, self.tags.black].map(|name| name.and_then(PlayerName::from_tag))
    }

    /// Both names as the tags have them, for people; empty where there is none.
    pub fn written_names(&self) -> [String; 2] {
        [self.tags.white, self.tags.black].map(|name| name.map_or(String::new(), value))
    }

    /// White's rating and Black's, where they are ratings.
    pub fn ratings(&self) -> [Option<Rating>; 2] {
        [self.tags.white_elo, self.tags.black_elo].map(|points| points.and_then(rating))
    }

    /// The site as the tag has it; empty if it says nothing.
    pub fn site(&self) -> String {
        self.tags.site.map_or(String::new(), value)
    }

    /// The event as the tag has it; empty if it says nothing.
    pub fn event(&self) -> String {
        self.tags.event.map_or(String::new(), value)
    }

    /// The date, if it is whole.
    pub fn date(&self) -> Option<Date> {
        self.tags.utc_date.or(self.tags.date).and_then(Date::from_tag)
    }

    /// Whether it is another game than standard chess, or begins elsewhere than in the
    /// start position.
    pub fn is_variant(&self) -> bool {
        is_variant(&self.tags)
    }

    /// The result of the tag, if it is one.
    pub fn tagged_result(&self) -> Option<GameResult> {
        GameResult::from_marker(self.tags.result?.trim_ascii())
    }

    /// By what the same game is known again: tags that tell games apart, and the moves as they
    /// are written.
    pub fn hash(&self) -> u128 {
        let Tags { event, white, black, date, utc_date, .. } = self.tags;
        let tags = [event, white, black, date, utc_date].map(Option::unwrap_or_default);
        hash_game(&[&tags.join(&b'\n'), self.movetext.unwrap_or_default()].concat())
    }

    /// The movetext; `None` if the game is longer than any that counts.
    pub fn movetext(&self) -> Option<Movetext<'a>> {
        self.movetext.map(Movetext::new)
    }
}

/// A tag value as text, empty if it stands for nothing.
fn value(value: &[u8]) -> String {
    let text: String = value_text(value).chars().take(LONGEST_VALUE).collect();
    if matches!(text.as_str(), "?" | "-") { String::new() } else { text }
}
