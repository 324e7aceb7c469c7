//! Figures as people read them in a lesson: as few digits as the interval bears out.
//!
//! On the page each number stands in a `data` element whose value is the unrounded figure, the same
//! that the JSON of `trap` and `moves` has.

use maud::{Markup, html};

use super::text::plain;
use crate::answers::trap::Code;
use crate::answers::{Figure, Withheld};
use crate::counts::Beyond;
use crate::pages::languages::{Language, text_of};
use crate::pages::numbers;

/// In which way a figure is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::pages) enum Unit {
    /// A fraction as percent.
    Percent,
    /// Points a game as signed points per 100 games.
    Edge,
    /// The same from the opponent's view: the sign turned and the interval with it.
    EdgeTurned,
    /// A signed number.
    Points,
    Number,
}

/// A figure in digits; the ends are in order.
struct Digits {
    /// None for a thin share.
    value: Option<Number>,
    ends: Option<(Number, Number)>,
}

/// A number in digits and in full.
struct Number {
    digits: String,
    full: f64,
}

impl Unit {
    fn factor(self) -> f64 {
        match self {
            Unit::Percent | Unit::Edge => 100.0,
            Unit::EdgeTurned => -100.0,
            Unit::Points | Unit::Number => 1.0,
        }
    }

    /// One rule for each kind, so that figures beside each other have the same digits: shares in
    /// whole percent from ten on, edges in whole points, all else with one decimal; what is below
    /// one has two digits that count.
    fn decimals(self, figure: &Figure) -> usize {
        let of = |x: Option<f64>| x.map_or(0.0, |x| (x * self.factor()).abs());
        match self {
            Unit::Edge | Unit::EdgeTurned => 0,
            Unit::Percent => match of(figure.value.or(figure.high)) {
                share if share >= 10.0 => 0,
                share => numbers::decimals(share),
            },
            Unit::Points | Unit::Number => {
                let ends = [figure.value, figure.low, figure.high].map(of);
                numbers::decimals(ends.into_iter().fold(0.0, f64::max))
            }
        }
    }

    fn digits(self, figure: &Figure, words: &Language) -> Option<Digits> {
        let ends = figure.low.zip(figure.high);
        let value = figure.value;
        value.or(figure.low)?;
        let decimals = self.decimals(figure);
        let number = |full: f64| {
            let x = full * self.factor();
            let digits = match self {
                Unit::Percent | Unit::Number => words.fixed(x, decimals),
                _ => words.signed(x, decimals),
            };
            Number { digits, full }
        };
        let ends = ends.map(|(low, high)| match self {
            Unit::EdgeTurned => (number(high), number(low)),
            _ => (number(low), number(high)),
        });
        Some(Digits { value: value.map(number), ends })
    }

    fn mark(self, words: &Language) -> &'static str {
        if self == Unit::Percent { words.percent } else { "" }
    }
}

impl Number {
    fn markup(&self) -> Markup {
        html! { data value=(self.full) { (self.digits) } }
    }
}

/// `62 % [58, 66]`; a thin share as `13 of 43 [19, 46] %`; `too few games (3)` where withheld.
pub(in crate::pages) fn markup(figure: &Figure, unit: Unit, words: &Language) -> Markup {
    let Some(Digits { value, ends }) = unit.digits(figure, words) else {
        return withheld(figure, words);
    };
    let interval = ends.as_ref().map(|(low, high)| {
        html! { " " span.interval { "[" (low.markup()) (words.between) (high.markup()) "]" } }
    });
    html! {
        span.figure {
            @if let Some(value) = value {
                (value.markup()) (unit.mark(words)) @if let Some(interval) = interval { (interval) }
            } @else {
                span.count { (of_games(figure, words)) }
                @if let Some(interval) = interval { (interval) (unit.mark(words)) }
            }
        }
    }
}

/// `13 of 43`.
fn of_games(figure: &Figure, words: &Language) -> Markup {
    let [k, n] = [figure.k.unwrap_or(0), figure.n].map(|games| plain(&words.count(games)));
    words.of_games(k, n)
}

/// `62 % [58, 66] of 1,204 (as good as 900)`; a thin share has its count in any case.
pub(in crate::pages) fn counted(figure: &Figure, unit: Unit, words: &Language) -> Markup {
    if figure.value.is_none() {
        return markup(figure, unit, words);
    }
    let count = html! { span.count { (games(figure, words)) } };
    words.of_games(markup(figure, unit, words), count)
}

/// `62 % [58, 66] of 1,204`: for a sentence. What the games are as good as is in the tables.
pub(super) fn of_many(figure: &Figure, unit: Unit, words: &Language) -> Markup {
    match figure.value {
        None => markup(figure, unit, words),
        Some(_) => words.of_games(
            markup(figure, unit, words),
            html! { span.count { (words.count(figure.n)) } },
        ),
    }
}

/// `62 %`, `4` of what is gained, a thin share as `13 of 43`: one number, for pupils. Margins are
/// in the tables.
pub(in crate::pages) fn bare(figure: &Figure, unit: Unit, words: &Language) -> Markup {
    match unit.digits(figure, words) {
        None => withheld(figure, words),
        Some(Digits { value: Some(Number { digits, full }), .. }) => {
            let digits = digits.trim_start_matches('+').to_owned();
            html! { span.figure { (Number { digits, full }.markup()) (unit.mark(words)) } }
        }
        Some(_) => html! { span.figure { (of_games(figure, words)) } },
    }
}

/// `1,204`, and what they are as good as where players came again.
fn games(figure: &Figure, words: &Language) -> Markup {
    let effective = figure.n_eff.round() as u64;
    match effective < figure.n {
        true => words.as_good_as(figure.n, effective),
        false => plain(&words.count(figure.n)),
    }
}

/// Why there is no figure.
pub(super) fn withheld(figure: &Figure, words: &Language) -> Markup {
    match &figure.withheld {
        Some(Withheld::NoBait) => plain(words.no_bait),
        Some(Withheld::NotCounted(_)) => plain(words.verdict_of(&[Code::NotCounted]).as_str()),
        // Rounded down, or it would be enough.
        Some(why) if why.for_few_players() => {
            words.too_few_as_good(figure.n, figure.n_eff.floor() as u64)
        }
        _ => words.too_few(figure.n),
    }
}

/// How many half-moves are counted, and how many would have to be.
pub(super) fn not_counted(beyond: Beyond, words: &Language) -> Markup {
    words.not_counted(beyond.counted.into(), beyond.needed.into())
}

/// Why a figure can't be said, for the end of a sentence: `only 23 games`.
pub(super) fn why(figure: &Figure, words: &Language) -> String {
    match &figure.withheld {
        Some(Withheld::NoBait) => words.no_bait.into(),
        Some(Withheld::NotCounted(beyond)) => text_of(&not_counted(*beyond, words)),
        Some(why) if why.for_few_players() => text_of(&withheld(figure, words)),
        _ if figure.n == 0 => words.no_games.into(),
        _ => words.few_games(figure.n),
    }
}

/// The N of "one in N games", for what such a number says.
pub(super) fn one_in(share: f64, words: &Language) -> Option<Markup> {
    let n = numbers::one_in(share)?;
    Some(html! { data value=(share) { (words.count(n)) } })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::Sampling;
    use crate::pages::languages::ENGLISH;

    #[test]
    fn enough_games_of_too_few_players_show_what_they_are_as_good_as() {
        let told = |figure: &Figure| text_of(&markup(figure, Unit::Edge, &ENGLISH));
        let few_players = Sampling::from(50).with_effect(118.0 / 49.6).score(50, 20, 48);
        assert_eq!(told(&few_players), "too few games (118, as good as 49)");
        assert_eq!(why(&few_players, &ENGLISH), "too few games (118, as good as 49)");
        let many = Sampling::from(50).with_effect(2.0).share(600, 1000);
        assert_eq!(
            [counted, of_many, bare].map(|say| text_of(&say(&many, Unit::Percent, &ENGLISH))),
            [
                "60\u{a0}% [55, 64] of 1,000 (as good as 500)",
                "60\u{a0}% [55, 64] of 1,000",
                "60\u{a0}%"
            ]
        );
        let few_games = Sampling::from(50).with_effect(2.0).score(5, 2, 9);
        assert_eq!(told(&few_games), "too few games (16)");
    }
}
