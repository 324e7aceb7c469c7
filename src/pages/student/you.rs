//! Sentences of the page, which speaks to the student; those of the text page speak to the teacher.

use maud::{Markup, html};

use super::phrases::{played_between, points};
use crate::answers::student::{
    By, GamesSummary, LeftAnswer, LevelBasis, StudentAnswer, TrapSource,
};
use crate::pages::languages::Language;
use crate::pages::lesson::plain;

/// Ratings and dates.
pub(super) fn spans(games: &GamesSummary, words: &Language) -> Option<Markup> {
    let ratings = games.ratings.map(|ratings| {
        let [low, high] = [ratings.low, ratings.high].map(|end| end.to_string());
        words.own_ratings(&low, &high, &points(ratings.median, words), &words.games(ratings.games))
    });
    let dates = games.dates.as_ref().map(|dates| played_between(dates, words));
    let said = one_after_another(ratings.into_iter().chain(dates));
    (!said.0.is_empty()).then_some(said)
}

/// Whose games are the measure, and why.
pub(super) fn level(answer: &StudentAnswer, words: &Language) -> Markup {
    let (ratings, paces) = (words.rated(answer.level.bands), words.paces_of(answer.level.paces));
    match answer.level.basis {
        LevelBasis::Given => words.your_level(&ratings, &paces),
        LevelBasis::Median => words.your_level_by_ratings(&ratings, &paces),
        LevelBasis::NoRatings => words.your_level_unrated(&ratings, &paces),
    }
}

/// What the habits rest on.
pub(super) fn tested(answer: &StudentAnswer, words: &Language) -> Markup {
    let (positions, settings) = (&answer.positions, &answer.settings);
    let number = |n: usize| n as u64;
    let few = number(positions.too_few_games);
    let never_twice = number(positions.no_habit);
    let said = [
        Some(
            words.tested_had(&words.positions(number(positions.had)), &words.games(settings.times)),
        ),
        match (positions.judged, answer.habits.is_empty()) {
            (0, _) => None,
            (judged, true) => {
                Some(words.tested_none(number(judged), &words.games(settings.tested_from)))
            }
            (judged, false) => Some(words.tested_held(
                number(judged),
                &words.games(settings.tested_from),
                &words.tests(number(positions.tests)),
                &words.shows(number(positions.significant)),
                &words.fixed(100.0 * settings.fdr, 0),
            )),
        },
        (few > 0).then(|| words.tested_few(few)),
        (never_twice > 0).then(|| words.tested_never_twice(never_twice)),
    ];
    one_after_another(said.into_iter().flatten())
}

/// Where the traps come from.
pub(super) fn traps_from(answer: &StudentAnswer, words: &Language) -> &'static str {
    match answer.traps_from {
        TrapSource::File => words.traps_of_file,
        TrapSource::Hunt => words.traps_of_hunt,
    }
}

/// What became of the games with the prepared colour.
pub(super) fn prepared(lines: &LeftAnswer, words: &Language) -> Markup {
    let said = words.prepared(
        lines.games,
        lines.side,
        lines.to_the_end,
        lines.within,
        lines.by_student,
        lines.by_opponent,
    );
    let others = lines.by_first_move;
    let others = (others > 0).then(|| words.other_first_move(others));
    one_after_another([said].into_iter().chain(others))
}

/// Who left the lines, in words.
pub(super) fn by(by: By, words: &Language) -> Markup {
    plain(match by {
        By::Student => words.you,
        By::Opponent => words.opponent,
    })
}

/// Sentences with blanks between.
fn one_after_another(said: impl Iterator<Item = Markup>) -> Markup {
    said.reduce(|before, next| html! { (before) " " (next) }).unwrap_or_default()
}
