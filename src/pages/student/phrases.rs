//! Sentences of the text page, and phrases that the page for the student shares.

use maud::Markup;

use crate::answers::Figure;
use crate::answers::student::{
    Dates, GamesSummary, LevelBasis, NamedGame, Results, Role, StudentAnswer, Students, TrapRow,
    TrapSource,
};
use crate::pages::figures::Reasons;
use crate::pages::languages::{ENGLISH, Language, text_of};
use crate::pages::lesson::plain;
use crate::pages::numbers::{count, counted, fixed};
use crate::pages::words::{self, bands, clean};

/// What was read, taken and left out; whose games are the measure.
pub(super) fn head(answer: &StudentAnswer) -> Vec<String> {
    let also: Vec<String> = answer.also.iter().map(|name| clean(name)).collect();
    let also = if also.is_empty() { String::new() } else { format!(" (also {})", also.join(", ")) };
    let mut notes = vec![format!(
        "{}{also}: {}",
        clean(&answer.name),
        text_of(&taken(&answer.games, &ENGLISH))
    )];
    notes.extend(left_out(&answer.games, &ENGLISH).iter().map(text_of));
    notes.extend(spans(&answer.games));
    notes.push(level(answer));
    notes
}

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
            Some(format!("{} {}", words.count(games), words.not_taken[why(reason)?]))
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

/// Ratings and dates.
fn spans(games: &GamesSummary) -> Option<String> {
    let ratings = games.ratings.map(|ratings| {
        format!(
            "Own ratings from {} to {}, median {} ({}).",
            ratings.low,
            ratings.high,
            points(ratings.median, &ENGLISH),
            counted(ratings.games, "game")
        )
    });
    let dates = games.dates.as_ref().map(|dates| text_of(&played_between(dates, &ENGLISH)));
    let said: Vec<String> = ratings.into_iter().chain(dates).collect();
    (!said.is_empty()).then(|| said.join(" "))
}

/// A median of ratings.
pub(super) fn points(median: f64, words: &Language) -> String {
    words.fixed(median, usize::from(median.fract() != 0.0)).replace(words.thousands, "")
}

/// `Played from 2031-05-01 to 2031-05-17.`
pub(super) fn played_between(dates: &Dates, words: &Language) -> Markup {
    match [&dates.first, &dates.last].map(|date| words.day(date)) {
        [first, last] if first == last => words.played_on(&first),
        [first, last] => words.played_from_to(&first, &last),
    }
}

/// Whose games are the measure, and why.
fn level(answer: &StudentAnswer) -> String {
    let why = match answer.level.basis {
        LevelBasis::Given => "as asked",
        LevelBasis::Median => {
            "the 200 points around the median of the student's own ratings; --from and --below choose others"
        }
        LevelBasis::NoRatings => {
            "the student's games have no ratings; --from and --below choose some"
        }
    };
    format!("The level: players {}, {} ({why}).", bands(answer.level.bands), answer.level.paces)
}

/// What the habits rest on.
pub(super) fn tested(answer: &StudentAnswer) -> String {
    let (positions, settings) = (&answer.positions, &answer.settings);
    let number = |n: usize| count(n as u64);
    let mut said = format!(
        "{} stood before the student in {} or more.",
        counted(positions.had as u64, "position"),
        counted(settings.times, "game"),
    );
    if positions.judged > 0 {
        said += &format!(
            " In {} of them the usual move was held against others, each with {} or more at the level: ",
            number(positions.judged),
            counted(settings.tested_from, "game"),
        );
        said += &match answer.habits.is_empty() {
            true => "in these no habit costs points beyond chance.".to_owned(),
            false => format!(
                "of {} {} a better move beyond chance (at most {} % of them expected to be false).",
                counted(positions.tests as u64, "test"),
                match positions.significant {
                    1 => "1 shows".to_owned(),
                    n => format!("{} show", number(n)),
                },
                fixed(100.0 * settings.fdr, 0),
            ),
        };
    }
    if positions.too_few_games > 0 {
        said += &format!(
            " In {} the level has too few games to judge: more months, or wider ratings, tell more.",
            number(positions.too_few_games)
        );
    }
    if positions.no_habit > 0 {
        said += &format!(" In {} no move was played twice.", number(positions.no_habit));
    }
    said
}

/// That a student's own results choose nothing.
const JUDGED_BY: &str = "The student's own results choose nothing, since they are few: what is costly is judged by the \
games of the level alone.";

/// `Spring Open, 2031-05-17, against White`.
pub(super) fn game(game: &NamedGame, words: &Language) -> String {
    let event = match clean(&game.event) {
        event if event.is_empty() => words.no_event.to_owned(),
        event => event,
    };
    let date = game.date.as_deref().map_or(words.undated.to_owned(), |date| words.day(date));
    text_of(&words.named_game(&event, &date, game.opponent))
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

/// The games to look at again, if any: those in which the student slipped, or missed the refutation.
pub(super) fn to_look_at(trap: &TrapRow) -> Option<Again<'_>> {
    let (what, wanted): (_, fn(&&NamedGame) -> bool) = match trap.role {
        Role::Faced => ("Fell for it", |game| game.slipped),
        Role::Laid => ("Did not refute it", |game| game.slipped && !game.refuted),
    };
    let mut games: Vec<&NamedGame> = trap.games.iter().filter(wanted).collect();
    let more = games.len().saturating_sub(NAMED) as u64;
    games.truncate(NAMED);
    (!games.is_empty()).then_some(Again { what, games, more })
}

/// Where the traps come from.
pub(super) fn traps_from(answer: &StudentAnswer) -> &'static str {
    match answer.traps_from {
        TrapSource::File => "the traps of the file",
        TrapSource::Hunt => "the best findings of a hunt over all ratings",
    }
}

/// What the tables rest on.
pub(super) fn foot(answer: &StudentAnswer) -> Vec<String> {
    let mut notes = Vec::new();
    if !answer.habits.is_empty() {
        notes.push(
            "Cost: points lost in 100 of the student's games, which is how often the usual move is played times the \
             difference of the edges. Edge: score minus what the ratings predict and minus what that colour scores above it in \
             all games, in percent of a point a game, from the games of the level. The order is that of the lower limit of the cost."
                .to_owned(),
        );
        notes.extend(answer.interval_level.map(|level| {
            format!(
                "The better move is the best of many, so the intervals of costs allow for the selection: each is one of {} %. \
                 All other intervals [low, high] are 95 %.",
                one_of(level)
            )
        }));
        let reaches = |cost: &Figure| cost.low.is_some_and(|low| low <= 0.0);
        if answer.habits.iter().any(|habit| reaches(&habit.cost_per_100_games)) {
            notes.push(
                "An interval that reaches below zero is no contradiction: the test asks in one direction, the interval in two."
                    .to_owned(),
            );
        }
    } else {
        notes.push("The intervals [low, high] are 95 %.".to_owned());
    }
    notes.push(words::as_good_as());
    notes.push(JUDGED_BY.to_owned());
    notes.push(
        "Differences in score are associations, not effects: who knows the better move may be stronger than the rating says."
            .to_owned(),
    );
    let mut reasons = Reasons::default();
    for trap in answer.traps.iter().filter(|trap| trap.times > 0) {
        reasons.note(&trap.level_slip_rate);
        reasons.note(&trap.level_find_rate);
    }
    notes.extend(reasons.sentence());
    let may_lack = answer.habits.iter().map(|habit| habit.may_lack).max().unwrap_or(0);
    notes.extend(words::may_lack(may_lack, "in the position of a habit"));
    notes.extend(words::limits(&answer.limits));
    notes
}

fn one_of(level: f64) -> String {
    let miss = 100.0 * (1.0 - level);
    let decimals = (1.0 - miss.log10().floor()).clamp(0.0, 8.0) as usize;
    let text = format!("{:.decimals$}", 100.0 - miss);
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    }
}

/// What stands below several students.
pub(super) fn of_several(answers: &Students) -> Vec<String> {
    let Some(first) = answers.students.first() else { return Vec::new() };
    let mut said = "Costly: habits that cost points beyond chance. Fell: traps that the student slipped in, of those met. \
                    Found: refutations of those called for."
        .to_owned();
    if answers.students.iter().any(|answer| answer.repertoire.is_some()) {
        said += " Left: in how many games with the prepared colour the student and the opponent left the lines.";
    }
    let mut notes = vec![
        format!("The levels: players of the ratings in each row, {}.", first.level.paces),
        said + " A --name alone tells more.",
    ];
    let habits = || answers.students.iter().flat_map(|answer| &answer.habits);
    if habits().next().is_some() {
        notes.push(
            "Worst: what the costliest of these habits loses, in points of 100 games of the student: the difference between the \
             usual move and the better one at the level, times how often the usual one is played. The better move is the best of \
             many, so the intervals [low, high] allow for the selection and are wider than those of 95 %."
                .to_owned(),
        );
        notes.push(words::as_good_as());
    }
    notes.push(JUDGED_BY.to_owned());
    let may_lack = habits().map(|habit| habit.may_lack).max().unwrap_or(0);
    notes.extend(words::may_lack(may_lack, "in the position of a habit"));
    notes.extend(words::limits(&first.limits));
    notes
}
