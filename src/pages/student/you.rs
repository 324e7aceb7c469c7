//! Sentences of the page, which speaks to the student; those of the text page speak to the teacher.

use super::phrases::{played_between, points};
use crate::answers::student::{
    By, GamesSummary, LeftAnswer, LevelBasis, StudentAnswer, TrapSource,
};
use crate::pages::languages::Language;
use crate::pages::numbers::{count, counted, fixed};
use crate::pages::words::bands;

/// Ratings and dates.
pub(super) fn spans(games: &GamesSummary) -> Option<String> {
    let ratings = games.ratings.map(|ratings| {
        format!(
            "Your ratings in them lie between {} and {}, with the middle at {} ({}).",
            ratings.low,
            ratings.high,
            points(ratings.median),
            counted(ratings.games, "game")
        )
    });
    let dates = games.dates.as_ref().map(played_between);
    let said: Vec<String> = ratings.into_iter().chain(dates).collect();
    (!said.is_empty()).then(|| said.join(" "))
}

/// Whose games are the measure, and why.
pub(super) fn level(answer: &StudentAnswer) -> String {
    let why = match answer.level.basis {
        LevelBasis::Given => "",
        LevelBasis::Median => ": the 200 points around the middle of your own ratings",
        LevelBasis::NoRatings => ", since your games have no ratings",
    };
    format!("Your level: players {}, {}{why}.", bands(answer.level.bands), answer.level.paces)
}

/// What the habits rest on.
pub(super) fn tested(answer: &StudentAnswer) -> String {
    let (positions, settings) = (&answer.positions, &answer.settings);
    let number = |n: usize| count(n as u64);
    let mut said = format!(
        "You had {} in {} or more. In {} of them your usual move could be held against others, each with {} or more at your \
         level: of {} {} a better move beyond chance (at most {} % of them expected to be false).",
        counted(positions.had as u64, "position"),
        counted(settings.times, "game"),
        number(positions.judged),
        counted(settings.tested_from, "game"),
        counted(positions.tests as u64, "test"),
        match positions.significant {
            1 => "1 shows".to_owned(),
            n => format!("{} show", number(n)),
        },
        fixed(100.0 * settings.fdr, 0),
    );
    if positions.too_few_games > 0 {
        said += &format!(
            " In {} your level has too few games to say.",
            number(positions.too_few_games)
        );
    }
    if positions.no_habit > 0 {
        said += &format!(" In {} you played no move twice.", number(positions.no_habit));
    }
    said
}

/// That own results choose nothing.
pub(super) const JUDGED_BY: &str = "Your own results choose nothing, since they are few: what is costly is judged by the games \
of your level alone.";

/// Where the traps come from.
pub(super) fn traps_from(answer: &StudentAnswer) -> &'static str {
    match answer.traps_from {
        TrapSource::File => "Looked for are the traps that were prepared for you.",
        TrapSource::Hunt => "Looked for are the traps that pay best in the games of all ratings.",
    }
}

/// What became of the games with the prepared colour.
pub(super) fn prepared(lines: &LeftAnswer, language: &Language) -> String {
    let number = |games| language.count(games);
    let mut said = format!(
        "Of your {} games as {} {} came to the end of a line, {} ended within one, you left them in {} and your opponents in {}.",
        number(lines.games),
        language.side(lines.side),
        number(lines.to_the_end),
        number(lines.within),
        number(lines.by_student),
        number(lines.by_opponent),
    );
    if lines.by_first_move > 0 {
        said += &format!(
            " In {} your first move was another: the lines are for other openings than you played there.",
            number(lines.by_first_move)
        );
    }
    said
}

/// Who left the lines, in words.
pub(super) fn by(by: By) -> &'static str {
    match by {
        By::Student => "you",
        By::Opponent => "your opponent",
    }
}
