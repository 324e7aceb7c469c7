//! What the page for the student and the text page for the teacher both say, each in its own
//! [`Language`].

use maud::{Markup, html};

use crate::answers::student::{
    Dates, GamesSummary, KnownSlip, LeftAnswer, LevelBasis, NamedGame, Results, Role,
    StudentAnswer, TrapRow, TrapSource,
};
use crate::pages::languages::{Language, text_of};
use crate::pages::lesson::{plain, trap_name};
use crate::pages::words::clean;

/// `60 of 62 games read are taken, 31 as White (won 12, drew 4, lost 15), 29 as Black (...).`
pub(super) fn taken(games: &GamesSummary, words: &Language) -> Markup {
    let of = |results: Results| words.results(results.wins, results.draws, results.losses);
    let [white, black] = [games.results.white, games.results.black].map(of);
    let read = words.games(games.read);
    words.taken(games.taken(), &read, games.as_white, white, games.as_black, black)
}

/// Why games are not taken, in the order in which languages say it.
const NOT_TAKEN: [&str; 7] =
    ["other_players", "both_sides", "variant", "no_result", "broken", "no_moves", "illegal_move"];

/// How many games are not taken, and why.
pub(super) fn left_out(games: &GamesSummary, words: &Language) -> Vec<Markup> {
    let why = |reason| NOT_TAKEN.iter().position(|known| *known == reason);
    let reasons: Vec<String> = games
        .left_out
        .rows()
        .into_iter()
        .filter(|(_, games)| *games > 0)
        .filter_map(|(reason, games)| {
            Some(format!("{} {}", words.count(games), words.student.not_taken[why(reason)?]))
        })
        .collect();
    let mut notes = Vec::new();
    if !reasons.is_empty() {
        notes.push(words.left_out(&reasons.join(", ")));
    }
    if games.repeated > 0 {
        notes.push(plain(&words.repeated(games.repeated)));
    }
    notes
}

/// A median of ratings.
fn points(median: f64, words: &Language) -> String {
    words.fixed(median, usize::from(median.fract() != 0.0)).replace(words.thousands, "")
}

/// `Played from 2031-05-01 to 2031-05-17.`
fn played_between(dates: &Dates, words: &Language) -> Markup {
    match [&dates.first, &dates.last].map(|date| words.day(date)) {
        [first, last] if first == last => words.played_on(&first),
        [first, last] => words.played_from_to(&first, &last),
    }
}

/// `Spring Open, 2031-05-17, as Black`.
pub(super) fn game(game: &NamedGame, words: &Language) -> String {
    let event = match clean(&game.event) {
        event if event.is_empty() => words.student.no_event.to_owned(),
        event => event,
    };
    let date = game.date.as_deref().map_or(words.undated.to_owned(), |date| words.day(date));
    text_of(&words.named_game(game.number, &event, &date, game.opponent.other()))
}

/// Games that are named for one trap.
const NAMED: usize = 5;

/// Games to look at again.
pub(super) struct Again<'a> {
    /// What happened in them.
    pub what: &'static str,
    /// The first of them.
    pub games: Vec<&'a NamedGame>,
    /// How many more there are.
    pub more: u64,
}

/// The games to look at again, if any: those in which the student slipped, or missed
/// the refutation.
pub(super) fn to_look_at<'a>(trap: &'a TrapRow, words: &Language) -> Option<Again<'a>> {
    let (what, wanted): (_, fn(&&NamedGame) -> bool) = match trap.role {
        Role::Faced => (words.student.fell_in, |game| game.slipped),
        Role::Laid => (words.student.missed_in, |game| game.slipped && !game.refuted),
    };
    let mut games: Vec<&NamedGame> = trap.games.iter().filter(wanted).collect();
    let more = games.len().saturating_sub(NAMED) as u64;
    games.truncate(NAMED);
    (!games.is_empty()).then_some(Again { what, games, more })
}

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
    let not_counted = number(positions.not_counted);
    let unadvised = number(positions.not_advised);
    let never_twice = number(positions.no_habit);
    let said = [
        Some(
            words.tested_had(&words.positions(number(positions.had)), &words.games(settings.times)),
        ),
        match (positions.judged, answer.habits.is_empty()) {
            (0, _) => None,
            // Better moves that are not advised are told apart.
            (judged, true) if positions.significant == 0 => {
                Some(words.tested_none(number(judged), &words.games(settings.tested_from)))
            }
            (judged, _) => Some(words.tested_held(
                number(judged),
                &words.games(settings.tested_from),
                &words.tests(number(positions.tests)),
                &words.shows(number(positions.significant)),
                &words.fixed(100.0 * settings.fdr, 0),
            )),
        },
        (unadvised > 0).then(|| plain(&words.tested_not_advised(unadvised))),
        (few > 0).then(|| words.tested_few(few)),
        (not_counted > 0).then(|| words.tested_not_counted(not_counted)),
        (never_twice > 0).then(|| words.tested_never_twice(never_twice)),
    ];
    one_after_another(said.into_iter().flatten())
}

/// What a repeated slip allows, and of which trap it is the slip.
pub(super) fn known(slip: &KnownSlip, words: &Language) -> Markup {
    let mate = slip.mate.as_ref();
    let mate = mate.map(|mv| words.allows_mate(html! { b { (words.san(&mv.numbered)) } }));
    let trap = slip.trap.as_ref().map(|name| {
        let name = trap_name(name, &slip.mv.numbered, words);
        words.slip_of(html! { bdi { (name) } })
    });
    one_after_another(mate.into_iter().chain(trap))
}

/// Where the traps come from.
pub(super) fn traps_from(answer: &StudentAnswer, words: &Language) -> &'static str {
    match answer.traps_from {
        TrapSource::File => words.student.traps_of_file,
        TrapSource::Hunt => words.student.traps_of_hunt,
    }
}

/// What became of the games with the prepared colour.
pub(super) fn prepared(lines: &LeftAnswer, words: &Language) -> Markup {
    let said = words.prepared(
        &words.games(lines.games),
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

/// Sentences with blanks between.
fn one_after_another(said: impl Iterator<Item = Markup>) -> Markup {
    said.reduce(|before, next| html! { (before) " " (next) }).unwrap_or_default()
}
