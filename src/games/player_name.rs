//! Names of players as they are compared.

use std::borrow::Cow;

use super::tags::plain_value;

/// Whether a name is none: PGN writes `?` and `-` for what is not known.
pub(super) fn stands_for_none(name: &[u8]) -> bool {
    matches!(name, b"" | b"?" | b"-")
}

/// A player's name as it is compared: escapes undone, trimmed, in ASCII lower case.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PlayerName(String);

impl PlayerName {
    /// The name in a tag value; `None` if it stands for no name. Bytes that are no UTF-8 are read as the PGN standard has
    /// them (ISO 8859-1).
    pub fn from_tag(value: &[u8]) -> Option<PlayerName> {
        let name = plain_value(value);
        (!stands_for_none(&name)).then(|| PlayerName(text_of(&name).to_ascii_lowercase()))
    }

    /// A name as a person types it, without escapes.
    pub fn typed(name: &str) -> Option<PlayerName> {
        let name = name.trim();
        (!stands_for_none(name.as_bytes())).then(|| PlayerName(name.to_ascii_lowercase()))
    }

    /// The name in lower case.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// Bytes of a tag as text: UTF-8, or else ISO 8859-1, in which every byte is a letter.
pub(super) fn text_of(bytes: &[u8]) -> Cow<'_, str> {
    match std::str::from_utf8(bytes) {
        Ok(text) => Cow::Borrowed(text),
        Err(_) => Cow::Owned(bytes.iter().copied().map(char::from).collect()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_typed_name_is_the_one_of_the_tag() {
        let typed = PlayerName::typed(" J\u{f6}rg \"O\" Hara ");
        assert_eq!(PlayerName::from_tag("J\u{f6}rg \\\"o\\\" hara".as_bytes()), typed);
        assert_eq!(PlayerName::from_tag(b"j\xf6rg \\\"O\\\" HARA"), typed);
        assert_eq!((PlayerName::typed(" ? "), PlayerName::from_tag(b"-")), (None, None));
    }
}
