//! Names of players as they are compared.

use unicode_normalization::UnicodeNormalization;

use super::letters::text_of;
use super::tags::plain_value;

/// Whether a name is none: PGN writes `?` and `-` for what is not known.
pub(super) fn stands_for_none(name: &[u8]) -> bool {
    matches!(name, b"" | b"?" | b"-")
}

/// A player's name as it is compared: escapes undone, trimmed, composed (Unicode's form C),
/// in lower case.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PlayerName(String);

impl PlayerName {
    /// The name in a tag value; `None` if it stands for no name. Its bytes are read as
    /// [`text_of`] has them.
    pub fn from_tag(value: &[u8]) -> Option<PlayerName> {
        let name = plain_value(value);
        (!stands_for_none(&name)).then(|| PlayerName(folded(&text_of(&name))))
    }

    /// A name as a person types it, without escapes.
    pub fn typed(name: &str) -> Option<PlayerName> {
        let name = name.trim();
        (!stands_for_none(name.as_bytes())).then(|| PlayerName(folded(name)))
    }

    /// The name in lower case.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// What letters that look the same have in common.
fn folded(name: &str) -> String {
    match name.is_ascii() {
        true => name.to_ascii_lowercase(),
        false => name.nfc().collect::<String>().to_lowercase(),
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
        for other in ["JO\u{308}RG \"O\" HARA", "J\u{d6}RG \"O\" Hara"] {
            assert_eq!(PlayerName::typed(other), typed);
        }
        assert_eq!((PlayerName::typed(" ? "), PlayerName::from_tag(b"-")), (None, None));
    }
}
