//! Templates of the language filled in, and text of others made harmless.

use maud::{Markup, PreEscaped, html};

use crate::pages::safe::{steers, turns_direction};
pub(super) use crate::pages::template::fill;
use crate::pages::template::{Part, parts, value};

/// The most letters of a name that are shown.
const LONGEST_NAME: usize = 120;

/// [`fill`] with markup in the slots; the template's own text is escaped.
pub(super) fn fill_markup(template: &str, values: &[(&str, Markup)]) -> Markup {
    let written = parts(template).map(|part| match part {
        Part::Text(text) => html! { (text) }.into_string(),
        Part::Slot(slot) => value(slot, values).0.clone(),
    });
    PreEscaped(written.collect())
}

/// Text as markup.
pub(super) fn plain(text: &str) -> Markup {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slots_are_filled_and_the_rest_is_escaped() {
        assert_eq!(fill("{a} of {b}", &[("a", "1".into()), ("b", "2".into())]), "1 of 2");
        let bold = html! { b { "x<y" } };
        let filled = fill_markup("a < {slot}.", &[("slot", bold)]).into_string();
        assert_eq!(filled, "a &lt; <b>x&lt;y</b>.");
    }

    #[test]
    fn names_stay_on_one_line_in_one_direction_and_short() {
        assert_eq!(name_of(" a\x07b\r\n\u{202e}c\u{2028}d "), "a b c d");
        assert_eq!(name_of(&"x".repeat(10_000)).chars().count(), LONGEST_NAME + 1);
        assert_eq!(name_of("\u{5d0}\u{5d1}"), "\u{5d0}\u{5d1}");
    }
}
