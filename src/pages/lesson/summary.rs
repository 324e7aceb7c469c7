//! The head of the lesson: all traps beside each other, and how many fit an hour.

use maud::{Markup, html};

use super::advice::{advice, in_short, sound, verdict};
use super::figure::{Unit, counted, markup, not_counted};
use super::sentences::Sentences;
use super::{Lesson, title};
use crate::answers::lesson::Material;
use crate::answers::trap::AdviceCode;
use crate::counts::Beyond;
use crate::pages::languages::{Language, capital, text_of};

/// A trap with its diagrams, questions and a try at the board, by common practice.
const MINUTES_A_TRAP: usize = 11;
/// An hour less the quiz, by common practice.
const MINUTES_A_LESSON: usize = 45;

/// Of more traps the table has no sentences, which stand with each trap, and what is said about its
/// figures comes last.
pub(super) const MANY: usize = 8;
/// Columns of the table behind number and name.
const COLUMNS: usize = 8;
const FEWER_COLUMNS: usize = 7;

/// The section with the table.
pub(super) fn summary(lesson: &Lesson, words: &Language) -> Markup {
    let victims = lesson.for_victims;
    html! {
        section.summary aria-labelledby="summary" {
            h2 id="summary" { (if victims { words.victim_summary } else { words.summary }) }
            div.scroll tabindex="0" role="group" aria-labelledby="summary" {
                table {
                    thead { tr {
                        th scope="col" { (words.number) }
                        th scope="col" { (words.trap) }
                        th scope="col" { (words.advice) }
                        @if victims {
                            th scope="col" { (words.comes_up) }
                            th scope="col" { (words.slips[1]) }
                            th scope="col" { (words.found[1]) }
                            th scope="col" { (words.own_column) }
                            th scope="col" { (words.cost) }
                        } @else {
                            th scope="col" { (words.reach) }
                            th scope="col" { (words.slips[0]) }
                            th scope="col" { (words.found[0]) }
                            th scope="col" { (words.net) }
                            th scope="col" { (words.ahead_head(lesson.question.ahead)) }
                            th scope="col" { (words.verdict) }
                        }
                        th scope="col" { (words.sound_column) }
                    } }
                    tbody {
                        @for (index, trap) in lesson.traps.iter().enumerate() {
                            (row(index + 1, trap, lesson, words))
                        }
                    }
                }
            }
            p.small { (if victims { words.victim_rank_note } else { words.rank_note }) }
            p { (suggestion(lesson, words)) }
            p.small { (words.board_signs) }
            @if lesson.traps.len() <= MANY { (reading(lesson, words)) }
        }
    }
}

fn row(number: usize, material: &Material, lesson: &Lesson, words: &Language) -> Markup {
    let figures = &material.report.figures;
    let victims = material.victim.is_some();
    let rows = (lesson.traps.len() <= MANY).then_some("2");
    let sentences = Sentences { material, filter: lesson.question.filter, words };
    let side = material.victim.as_ref().map_or(material.report.setter, |victim| victim.victim);
    html! {
        tr {
            td rowspan=[rows] { (number) }
            th scope="row" rowspan=[rows] {
                a href=(format!("#trap-{number}")) { bdi { (title(material, words)) } }
                " " span.small { (words.side_alone(side)) }
            }
            td { b { (in_short(material, words)) } }
            @if let Some(victim) = &material.victim {
                td { (markup(&victim.comes_up.rate, Unit::Percent, words)) }
                td { (counted(&figures.slip_rate, Unit::Percent, words)) }
                td { (counted(&figures.find_rate, Unit::Percent, words)) }
                td { (markup(&figures.own_slips, Unit::Number, words)) }
                td { @match material.report.soundness.mate_in() {
                    Some(moves) => { (words.mate_in(moves.into())) }
                    None => { (markup(&figures.edge_after_slip, Unit::EdgeTurned, words)) }
                } }
            } @else {
            td { (markup(&figures.steered.rate, Unit::Percent, words)) }
            td { (counted(&figures.slip_rate, Unit::Percent, words)) }
            td { (counted(&figures.find_rate, Unit::Percent, words)) }
            td { (markup(&figures.net, Unit::Points, words)) }
            td {
                (markup(&figures.ahead.expected, Unit::Number, words))
                @if let Some(range) = figures.ahead.range { (words.semicolon) span.small { (words.slips_to_expect(range)) } }
            }
            td { (words.verdict_of(&figures.verdict.codes)) }
            }
            td { (sound(material, rows.is_some(), words)) }
        }
        @if rows.is_some() { tr.said {
            td colspan=(if victims { FEWER_COLUMNS } else { COLUMNS }) {
                @if victims {
                    (sentences.own_slips())
                } @else {
                    (advice(material, lesson.question.filter, words))
                }
                " " span.small { (verdict(material, words)) }
            }
        } }
    }
}

/// How many traps fit an hour, and which ones are worth it.
fn suggestion(lesson: &Lesson, words: &Language) -> String {
    let room = MINUTES_A_LESSON / MINUTES_A_TRAP;
    let has = |trap: &Material, code| trap.report.advice.codes.contains(&code);
    let worth = if lesson.for_victims { AdviceCode::Warn } else { AdviceCode::Teach };
    let undecided = lesson.traps.iter().any(|trap| has(trap, AdviceCode::Undecided));
    let numbers = |wanted: &dyn Fn(&Material) -> bool| -> Vec<String> {
        let traps = lesson.traps.iter().enumerate().filter(|(_, trap)| wanted(trap));
        traps.map(|(index, _)| (index + 1).to_string()).collect()
    };
    // What is to be taught to the other side takes no time of this lesson.
    let besides = numbers(&|trap| has(trap, AdviceCode::Warn) && !has(trap, worth));
    let numbers = numbers(&|trap| has(trap, worth));
    let lessons = words.lessons(numbers.len().div_ceil(room) as u64);
    let begin = match numbers.as_slice() {
        [] if lesson.for_victims => words.begin_learn_none.to_owned(),
        [] if !besides.is_empty() => words.begin_other.to_owned(),
        [] if undecided && all_beyond(lesson).is_some() => {
            let said = all_beyond(lesson).map(|beyond| text_of(&not_counted(beyond, words)));
            capital(&said.unwrap_or_default()) + "."
        }
        [] if undecided => words.begin_undecided.to_owned(),
        [] => words.begin_none.to_owned(),
        [number] => text_of(&words.begin_one(number)),
        _ => text_of(&words.begin_several(&words.list(&numbers), &lessons)),
    };
    let mut said = vec![text_of(&words.room(room as u64, MINUTES_A_TRAP as u64)), begin];
    if !numbers.is_empty() && !besides.is_empty() {
        said.push(text_of(&words.begin_besides(&words.list(&besides))));
    }
    said.join(" ")
}

/// How far all of the traps are from being counted, if not one is.
pub(super) fn all_beyond(lesson: &Lesson) -> Option<Beyond> {
    let beyond: Option<Vec<Beyond>> =
        lesson.traps.iter().map(|trap| trap.report.advice.beyond()).collect();
    beyond?.into_iter().max()
}

/// How to read the figures.
pub(super) fn reading(lesson: &Lesson, words: &Language) -> Markup {
    let cutoffs = lesson.question.cutoffs;
    let number = |x: f64| words.fixed(x, usize::from(x.fract() != 0.0));
    let [common, occasional] = [cutoffs.common, cutoffs.occasional].map(number);
    html! {
        h3 { (words.read_heading) }
        ul.reading {
            li { (words.read_interval) }
            li { (words.read_as_good_as) }
            li { (words.read_edge) }
            @if !lesson.for_victims { li { (words.read_net) } }
            li { (words.read_level(&common, &occasional, lesson.question.min_sample)) }
        }
    }
}
