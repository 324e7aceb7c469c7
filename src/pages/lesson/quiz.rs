//! The quiz and its solutions. For those who lay traps: what to play after a slip. For those who
//! face them: a move in the trap position, which may be a slip or not.

use maud::{Markup, html};

use super::diagram::Diagram;
use super::figure::{Unit, markup, of_many};
use super::victim::written;
use super::{Lesson, better, numbered, refuting, title};
use crate::answers::lesson::Material;
use crate::answers::moves::MoveRow;
use crate::answers::trap::SoundnessCode;
use crate::lines::MarkedSlip;
use crate::pages::languages::{Language, San};
use crate::terms::Key;

pub(super) struct Question<'a> {
    /// The trap's place in the lesson.
    number: usize,
    material: &'a Material,
    /// Which of the trap's slips.
    place: usize,
    slip: &'a MarkedSlip,
    /// A safe move that is asked about instead of the slip.
    safe: Option<&'a MoveRow>,
}

impl<'a> Question<'a> {
    /// The slips in another order than they were taught, always the same.
    pub(super) fn all(lesson: &'a Lesson) -> Vec<Question<'a>> {
        let mut questions: Vec<Question<'_>> = Vec::new();
        for (index, material) in lesson.traps.iter().enumerate() {
            let slips = material.trap.slips().iter().enumerate();
            let slips = slips.take(if lesson.for_victims { 1 } else { usize::MAX });
            let of = |(place, slip): (usize, &'a MarkedSlip)| Question {
                number: index + 1,
                material,
                place,
                slip,
                safe: None,
            };
            questions.extend(slips.map(of));
        }
        questions.sort_by_key(|one| (Key::of(one.slip.position_after()), one.number));
        if lesson.for_victims {
            ask_about_safe_moves(&mut questions);
        }
        questions
    }

    /// Which questions are about the trap with this number, from 1.
    pub(super) fn about(lesson: &Lesson, number: usize) -> Vec<String> {
        let all = Question::all(lesson).into_iter().enumerate();
        let own = all.filter(|(_, one)| one.number == number);
        own.map(|(place, _)| (place + 1).to_string()).collect()
    }

    /// The move that is asked about, with its number.
    fn proposed(&self, words: &Language) -> San {
        let (trap, line) = (&self.material.trap, self.slip.line());
        words.san(&match self.safe {
            Some(row) => written(&trap.line().first(trap.slip_ply()), row),
            None => numbered(line, trap.slip_ply()),
        })
    }
}

/// Makes half of the questions about safe moves, as far as such are known.
fn ask_about_safe_moves(questions: &mut [Question<'_>]) {
    let half = questions.len() / 2;
    let mut known: Vec<&mut Question<'_>> =
        questions.iter_mut().filter(|one| better(one.material).is_some()).collect();
    known.sort_by_key(|one| Key::of(one.material.trap.position()));
    for one in known.into_iter().take(half) {
        one.safe = better(one.material);
    }
}

/// The positions, on a page of their own or not. A handout has its columns, and says what the signs
/// on boards mean.
pub(super) fn quiz(
    lesson: &Lesson,
    apart: bool,
    handout: Option<&str>,
    words: &Language,
) -> Markup {
    let lost = |material: &Material| material.report.soundness.slip_is_lost();
    let (heading, intro) = match lesson.for_victims {
        true => (words.safe_quiz, words.safe_intro),
        false if lesson.traps.iter().all(lost) => (words.quiz, words.quiz_intro),
        false => (words.quiz, words.quiz_intro_open),
    };
    html! {
        section.quiz.apart[apart] aria-labelledby="quiz" {
            h2 id="quiz" { (heading) }
            p { (intro) }
            @if handout.is_some() { p.small { (words.board_signs) } }
            ol class=(format!("questions {}", handout.unwrap_or("")).trim_end()) {
                @for one in Question::all(lesson) {
                    li {
                        figure {
                            (board(lesson, &one).figure(words))
                            figcaption { (task(lesson, &one, words)) }
                        }
                        p.write {
                            (if lesson.for_victims { words.safe_answer } else { words.your_move }) " " span.rule {}
                        }
                    }
                }
            }
        }
    }
}

fn board(lesson: &Lesson, one: &Question<'_>) -> Diagram {
    let trap = &one.material.trap;
    let bottom = lesson.bottom(trap);
    if lesson.for_victims {
        let last = trap.bait_ply().map(|ply| trap.line().moves()[ply]);
        return Diagram { bottom, ..Diagram::after(trap.position(), last) };
    }
    Diagram { bottom, ..Diagram::after(one.slip.position_after(), Some(one.slip.slip())) }
}

fn task(lesson: &Lesson, one: &Question<'_>, words: &Language) -> Markup {
    let (trap, slip) = (&one.material.trap, one.slip);
    if lesson.for_victims {
        return html! { b { (words.safe_ask(trap.victim(), one.proposed(words))) } "." };
    }
    let played = words.san(&numbered(slip.line(), trap.slip_ply()));
    html! { b { (words.quiz_ask(trap.setter())) } ". " (words.last_moved(trap.victim(), played)) }
}

/// The front of a card: the board, whole, and what is asked.
pub(super) fn ask(lesson: &Lesson, one: &Question<'_>, words: &Language) -> Markup {
    html! {
        (board(lesson, one).embedded(words))
        p { (task(lesson, one, words)) @if lesson.for_victims { " " (words.card_safe) } }
    }
}

pub(super) fn solutions(lesson: &Lesson, words: &Language) -> Markup {
    let questions = Question::all(lesson);
    // A last page of the quiz that is half empty takes in the solutions, and so does a quiz that
    // began anywhere on a page.
    let (row, page) = (2, 6);
    let last = questions.len() % page;
    html! {
        section.solutions.apart[lesson.quiz_apart() && (last == 0 || last > row)] aria-labelledby="solutions" {
            h2 id="solutions" { (words.solutions) }
            ol {
                @for one in &questions {
                    li {
                        (answer(lesson, one, words)) " "
                        a href=(format!("#trap-{}", one.number)) { (words.see_trap(one.number as u64)) } (words.colon)
                        bdi { (title(one.material, words)) } "."
                    }
                }
            }
        }
    }
}

/// The answer with its figure.
pub(super) fn answer(lesson: &Lesson, one: &Question<'_>, words: &Language) -> Markup {
    match (lesson.for_victims, one.safe) {
        (true, Some(row)) => safe(one, row, words),
        (true, None) => fallen(one, words),
        (false, _) => refuted(lesson, one, words),
    }
}

/// `5...Qxg2 6.Rf1 ... Of players below 2000, 62 % find it.`
fn refuted(lesson: &Lesson, one: &Question<'_>, words: &Language) -> Markup {
    let report = &one.material.report;
    let (line, from) = (one.slip.line(), one.slip.ply_after());
    // Of several slips each has its own.
    let own = report.slips.as_ref().and_then(|slips| slips.moves.get(one.place));
    let rate = own.map_or(&report.figures.find_rate, |slip| &slip.find_rate);
    let moves = refuting(one.slip);
    let found = rate.low.map(|_| {
        let share = of_many(rate, Unit::Percent, words);
        words.solution_find(lesson.question.filter, share, words.either_san(&moves))
    });
    let lost = report.soundness.slip_is_lost();
    let also = (moves.len() > 1).then(|| words.either_san(&moves[1..]));
    html! {
        b { (words.san(&line.text(from..line.len()))) }
        @match also {
            Some(also) if lost => { ". " (words.solution_also(also)) }
            Some(also) => { " (" (words.or.trim()) " " (also) ")." }
            None => { "." }
        }
        @if !lost { " " (doubt(one, words)) }
        @if let Some(found) = found { " " (found) }
    }
}

/// Whether its player does not stand worse even with the best move that is no slip, by what
/// evaluations, an engine or results say.
fn holds(material: &Material, best: &MoveRow) -> bool {
    let soundness = &material.report.soundness;
    // The setter's view: what leaves the setter worse is turned.
    let lost = |cp: f64| -cp < soundness.cutoffs.sound_from_cp;
    let lost = soundness.without_slip.is_some_and(|without| lost(without.cp));
    !lost && best.edge.high.is_none_or(|high| high >= 0.0)
}

/// That the slip does not lose, or that this is not known.
fn doubt<'a>(one: &Question<'_>, words: &'a Language) -> &'a str {
    match one.material.report.soundness.verdict {
        SoundnessCode::NoSlip => words.not_lost,
        _ => words.not_known,
    }
}

fn safe(one: &Question<'_>, row: &MoveRow, words: &Language) -> Markup {
    let slip = words.san(&(numbered(one.slip.line(), one.material.trap.slip_ply()) + "??"));
    let edge = markup(&row.edge, Unit::Edge, words);
    let said = if holds(one.material, row) { Language::is_safe } else { Language::is_best_left };
    html! {
        b { (said(words, one.proposed(words), slip)) }
        " " (words.is_safe_edge(edge, &words.games(row.edge.n)))
    }
}

fn fallen(one: &Question<'_>, words: &Language) -> Markup {
    let (trap, line) = (&one.material.trap, one.slip.line());
    let reply = words.san(&line.text(one.slip.ply_after()..line.len()));
    let better = better(one.material).map(|row| {
        let before = trap.line().first(trap.slip_ply());
        let mv = html! { b { (words.san(&written(&before, row))) } };
        words.better(mv, markup(&row.edge, Unit::Edge, words), &words.games(row.edge.n))
    });
    let soundness = &one.material.report.soundness;
    let said = match soundness.slip_is_lost() {
        true => words.is_slip(one.proposed(words), reply),
        false => words.is_marked(one.proposed(words), reply, doubt(one, words)),
    };
    html! { b { (said) } @if let Some(better) = better { " " (better) } }
}
