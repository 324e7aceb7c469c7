//! Text of others made harmless.

use maud::{Markup, html};

use crate::pages::languages::Language;
use crate::pages::safe::{steers, turns_direction};

/// The most letters of a name that are shown.
pub const LONGEST_NAME: usize = 120;

pub(in crate::pages) fn plain(text: &str) -> Markup {
    html! { (text) }
}

/// Words of others on one line, as long as they are, as [`name_of`] makes them harmless.
pub(super) fn words_of(text: &str) -> String {
    let left = |c: &char| !turns_direction(*c) && *c != '\u{feff}';
    let letters: String =
        text.chars().filter(left).map(|c| if steers(c) { ' ' } else { c }).collect();
    letters.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Text of others on one line, not too long. Control characters become spaces; marks that turn
/// the direction of writing, which would reach beyond the name, are left out.
pub(in crate::pages) fn name_of(text: &str) -> String {
    let name = words_of(text);
    match name.char_indices().nth(LONGEST_NAME) {
        Some((end, _)) => format!("{}\u{2026}", name[..end].trim_end()),
        None => name,
    }
}

/// The name of a trap. A hunt names it by its `slip`, as in `Petrov, 3... Nd4`, whose letters are
/// those of the language.
pub(in crate::pages) fn trap_name(name: &str, slip: &str, words: &Language) -> String {
    let name = name_of(name);
    match name.strip_suffix(slip) {
        Some(before) => format!("{before}{}", words.letters(slip)),
        None => name,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::languages::LANGUAGES;

    #[test]
    fn moves_in_names_have_the_letters_of_the_language() {
        let named = |name| LANGUAGES.map(|words| trap_name(name, "3... Nd4", words));
        assert_eq!(
            named("Nest, 3... Nd4"),
            ["Nest, 3... Nd4", "Nest, 3... Sd4", "Nest, 3... Cd4", "Nest, 3... Cd4"]
        );
        assert_eq!(named("The Bishop's Nd4"), ["The Bishop's Nd4"; 4]);
    }

    #[test]
    fn names_stay_on_one_line_in_one_direction_and_short() {
        assert_eq!(name_of(" a\x07b\r\n\u{202e}c\u{2028}d "), "a b c d");
        assert_eq!(name_of(&"x".repeat(10_000)).chars().count(), LONGEST_NAME + 1);
        assert_eq!(name_of("\u{5d0}\u{5d1}"), "\u{5d0}\u{5d1}");
    }
}
