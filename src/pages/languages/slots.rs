//! Slots of sentences: filled in pages, checked by the compiler.

use maud::{Markup, PreEscaped, Render};

use crate::pages::template::{Part, parts};

/// The template with its slots filled, its own text escaped. That it has just these slots was
/// [checked](check).
pub(super) fn filled<const N: usize>(template: &str, values: [(&str, Markup); N]) -> Markup {
    let mut written = String::new();
    for part in parts(template) {
        match part {
            Part::Text(text) => text.render_to(&mut written),
            Part::Slot(slot) => {
                let given = values.iter().filter(|(name, _)| *name == slot);
                given.for_each(|(_, value)| value.render_to(&mut written));
            }
        }
    }
    PreEscaped(written)
}

/// Stops the compiler where a template lacks one of these slots or has another one.
pub(super) const fn check(template: &str, slots: &[&str], message: &str) {
    let text = template.as_bytes();
    let mut found = [false; 16];
    let mut at = 0;
    while at < text.len() {
        if text[at] == b'}' {
            panic!("{}", message);
        }
        if text[at] == b'{' {
            let mut slot = 0;
            while slot < slots.len() && !begins(text, at + 1, slots[slot].as_bytes()) {
                slot += 1;
            }
            if slot == slots.len() {
                panic!("{}", message);
            }
            found[slot] = true;
            at += slots[slot].len() + 1;
        }
        at += 1;
    }
    let mut slot = 0;
    while slot < slots.len() {
        if !found[slot] {
            panic!("{}", message);
        }
        slot += 1;
    }
}

/// The same of a template that may have no slot at all.
pub(super) const fn check_if_any(template: &str, slots: &[&str], message: &str) {
    let text = template.as_bytes();
    let mut at = 0;
    while at < text.len() {
        if text[at] == b'{' {
            return check(template, slots, message);
        }
        at += 1;
    }
    check(template, &[], message);
}

/// Whether the name and a closing brace are there.
const fn begins(text: &[u8], from: usize, name: &[u8]) -> bool {
    if from + name.len() >= text.len() || text[from + name.len()] != b'}' {
        return false;
    }
    let mut at = 0;
    while at < name.len() {
        if text[from + at] != name[at] {
            return false;
        }
        at += 1;
    }
    true
}

/// What a page shows of this, as plain text.
pub(in crate::pages) fn text_of(markup: &Markup) -> String {
    let outside = markup.0.split('<').enumerate().map(|(place, piece)| match place {
        0 => piece,
        _ => piece.split_once('>').map_or("", |(_, text)| text),
    });
    let text: String = outside.collect();
    let letters = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&amp;", "&")];
    letters.iter().fold(text, |text, (written, letter)| text.replace(written, letter))
}

#[cfg(test)]
mod tests {
    use super::*;
    use maud::html;
    use std::panic::catch_unwind;

    #[test]
    fn slots_are_filled_and_the_rest_is_escaped() {
        let bold = html! { b { "x<y" } };
        let written = filled("a < {slot} & {slot}.", [("slot", bold)]);
        assert_eq!(written.0, "a &lt; <b>x&lt;y</b> &amp; <b>x&lt;y</b>.");
        assert_eq!(text_of(&written), "a < x<y & x<y.");
    }

    #[test]
    fn a_template_has_the_slots_it_should_have_and_no_others() {
        let holds = |template, slots| catch_unwind(|| check(template, slots, "")).is_ok();
        assert!(holds("{a} of {ab}, {a}", &["a", "ab"]) && holds("none", &[]));
        for (template, slots) in [
            ("{a}", &["a", "b"][..]),
            ("{a} {b}", &["a"]),
            ("{a", &["a"]),
            ("a}", &[]),
            ("{}", &["a"]),
        ] {
            assert!(!holds(template, slots), "{template}");
        }
        let may_hold = |template| catch_unwind(|| check_if_any(template, &["n"], "")).is_ok();
        assert_eq!(
            ["one game", "{n} games", "{m} games", "one}"].map(may_hold),
            [true, true, false, false]
        );
    }
}
