//! The text page, which speaks to the teacher.

use super::phrases::{left_out, level, spans, taken};
use crate::answers::Figure;
use crate::answers::student::{StudentAnswer, Students};
use crate::counts::Lacking;
use crate::pages::figures::Reasons;
use crate::pages::languages::{ENGLISH, Language, StudentPhrases, text_of};
use crate::pages::words::{self, clean};

/// English that speaks to the teacher about the student; the page speaks to the student.
pub(super) const TO_TEACHER: Language = Language { student: PHRASES, ..ENGLISH };

const PHRASES: StudentPhrases = StudentPhrases {
    own_ratings: "Own ratings from {low} to {high}, median {median} ({games}).",
    your_level: "The level: players {ratings}, {paces} (as asked).",
    your_level_by_ratings: "The level: players {ratings}, {paces} (the 200 points around the median of the student's own \
        ratings; --from and --below choose others).",
    your_level_unrated: "The level: players {ratings}, {paces} (the student's games have no ratings; --from and --below \
        choose some).",
    tested_had: "{positions} stood before the student in {times} or more.",
    tested_none: "In {judged} of them the usual move was held against others, each with {from} or more at the level: in these \
        no habit costs points beyond chance.",
    tested_held: "In {judged} of them the usual move was held against others, each with {from} or more at the level. Of {tests}, one \
        for each other move, {shows} a better move beyond chance (at most {fdr} % of them expected to be false); a position has one row, \
        with its best move.",
    slips_intro: "Repeated moves that are slips, however few games the level has there:",
    tested_few: "In {n} the level has too few games to judge: more months, or wider ratings, tell more.",
    tested_never_twice: "In {n} no move was played twice.",
    own_results: "The student's own results choose nothing, since they are few: what is costly is judged by the games of the \
        level alone.",
    traps_of_file: "the traps of the file",
    traps_of_hunt: "the best findings of a hunt over all ratings",
    fell_in: "Fell for it",
    missed_in: "Did not refute it",
    prepared: "Prepared for {side}, {games}: {ends} to the end of a line, {within} within one, {by_student} left by the student, \
        {by_opponent} by the opponent.",
    other_first_move: "In {n} of them the student's first move was another: the lines are for other openings than these.",
    ..ENGLISH.student
};

const _: () = PHRASES.check();

/// What was read, taken and left out; whose games are the measure.
pub(super) fn head(answer: &StudentAnswer) -> Vec<String> {
    let also: Vec<String> = answer.also.iter().map(|name| clean(name)).collect();
    let also = if also.is_empty() { String::new() } else { format!(" (also {})", also.join(", ")) };
    let mut notes = vec![format!(
        "{}{also}: {}",
        clean(&answer.name),
        text_of(&taken(&answer.games, &TO_TEACHER))
    )];
    notes.extend(left_out(&answer.games, &TO_TEACHER).iter().map(text_of));
    notes.extend(spans(&answer.games, &TO_TEACHER).iter().map(text_of));
    notes.push(text_of(&level(answer, &TO_TEACHER)));
    notes
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
    notes.push(TO_TEACHER.student.own_results.to_owned());
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
    let may_lack =
        answer.habits.iter().map(|habit| habit.may_lack).max().unwrap_or(Lacking::NOTHING);
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
    notes.push(TO_TEACHER.student.own_results.to_owned());
    let may_lack = habits().map(|habit| habit.may_lack).max().unwrap_or(Lacking::NOTHING);
    notes.extend(words::may_lack(may_lack, "in the position of a habit"));
    notes.extend(words::limits(&first.limits));
    notes
}
