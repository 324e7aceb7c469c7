//! From which rating on few slip.

use maud::{Markup, html};

use crate::answers::lesson::Material;
use crate::pages::languages::Language;

/// The sentence, if it was asked.
pub(super) fn below(material: &Material, words: &Language) -> Markup {
    let Some(below) = &material.report.curve.slip_below else { return Markup::default() };
    let level = 100.0 * below.level;
    let level = words.fixed(level, usize::from(level.fract() != 0.0)) + words.percent;
    let rating = |rating: Option<u16>| match rating {
        Some(rating) => html! { data value=(rating) { (rating) } },
        None => html! { (words.below_not) },
    };
    let said = match (below.value, &below.withheld) {
        (_, Some(_)) => words.below_unknown(&level, &words.few_games(below.n)),
        (None, None) => words.below_never(&level),
        (Some(_), None) => words.below_from(
            &level,
            html! {
                span.figure {
                    (rating(below.value)) " "
                    span.interval { "[" (rating(below.low)) (words.between) (rating(below.high)) "]" }
                }
            },
        ),
    };
    html! { p { (said) } }
}
