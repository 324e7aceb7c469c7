//! The parts of the page for the student.

use maud::{Markup, html};
use shakmaty::{Chess, Color, Move, Position};

use super::phrases::{game, to_look_at};
use super::tables::whole;
use super::you::{by, prepared, tested, traps_from};
use crate::answers::student::{Habit, Kind, Learn, Left, LevelMove, Role, StudentAnswer, TrapRow};
use crate::pages::languages::Language;
use crate::pages::lesson::{Diagram, Unit, counted, markup, name_of};
use crate::pages::numbers;

/// Rows of a table; the text page and the data have all.
const ROWS: usize = 30;

/// What every part needs.
pub(super) struct Words<'a> {
    pub answer: &'a StudentAnswer,
    pub language: &'a Language,
}

/// Three things to learn first, each with a diagram.
pub(super) fn things(words: &Words<'_>) -> Markup {
    let first = &words.answer.first;
    let heading = match first.len() {
        0 => "What to learn first",
        1 => "One thing to learn first",
        2 => "Two things to learn first",
        _ => "Three things to learn first",
    };
    html! {
        section.summary {
            h2 { (heading) }
            @if first.is_empty() {
                p { "Nothing in these games stands out: no habit costs points beyond chance, no trap was sprung and no \
                    prepared line was left twice at the same move." }
            }
            @for (index, learn) in first.iter().enumerate() { (thing(words, index + 1, *learn)) }
            @if !first.is_empty() {
                p.small { "Picked by the lower end of what they cost you in 100 games, and where that is not known by how often \
                    they happened." }
            }
        }
    }
}

fn thing(words: &Words<'_>, number: usize, learn: Learn) -> Markup {
    let answer = words.answer;
    let (heading, shown, colour, said) = match learn.kind {
        Kind::Habit => {
            let habit = &answer.habits[learn.place];
            let heading = format!("Play {} here", habit.better.mv.numbered);
            (heading, &habit.shown, habit.colour, of_habit(words, habit))
        }
        Kind::Fell => {
            let trap = &answer.traps[learn.place];
            (
                format!("Do not play {} here", trap.slip),
                &trap.shown,
                trap.colour,
                of_trap(words, trap),
            )
        }
        Kind::Missed => {
            let trap = &answer.traps[learn.place];
            (
                format!("Find {} here", trap.refutation),
                &trap.shown,
                trap.colour,
                of_trap(words, trap),
            )
        }
        Kind::Forgot => {
            let left = &answer.left[learn.place];
            let heading = format!("Your line goes on with {} here", left.prepared.join(" or "));
            (heading, &left.before, left.before.0.turn(), of_left(words, left))
        }
        Kind::Unanswered => {
            let left = &answer.left[learn.place];
            let heading = format!("Prepare an answer to {}", left.mv.numbered);
            (heading, &left.shown, left.next(), of_left(words, left))
        }
    };
    html! {
        section.part {
            h3 { (number) ". " (heading) }
            div.diagrams {
                (diagram(words, shown, colour))
                div { (said) }
            }
        }
    }
}

fn diagram(words: &Words<'_>, (position, last): &(Chess, Option<Move>), bottom: Color) -> Markup {
    let diagram = Diagram { bottom, ..Diagram::after(position, *last) };
    html! { figure { (diagram.figure(words.language)) } }
}

fn games(number: u64) -> String {
    numbers::counted(number, "game")
}

fn of_habit(words: &Words<'_>, habit: &Habit) -> Markup {
    let language = words.language;
    html! {
        p { "The line: " b { (line(&habit.line)) } "." }
        p {
            "You had this position in " (games(habit.times)) " and played " b { (habit.mv.numbered) } " in "
            (language.count(habit.played)) ". "
            "Players of your level are at " (counted(&habit.edge, Unit::Edge, language)) " with it, and at "
            (counted(&habit.better.edge, Unit::Edge, language)) " with " b { (habit.better.mv.numbered) } ", which "
            (markup(&habit.better.share, Unit::Percent, language)) " of them play."
        }
        p { "It costs you " (markup(&habit.cost_per_100_games, Unit::Number, language)) " points in 100 games." }
    }
}

fn of_trap(words: &Words<'_>, trap: &TrapRow) -> Markup {
    let language = words.language;
    html! {
        p { "The trap: " bdi { (name_of(&trap.name)) } ". " b { (trap.line) } }
        @match trap.role {
            Role::Faced => p {
                "You met it in " (games(trap.times)) " and fell for it in " (language.count(trap.slipped))
                ". Of players of your level " (counted(&trap.level_slip_rate, Unit::Percent, language)) " do."
                @if !trap.instead.is_empty() { " Others play " (moves(words, &trap.instead)) "." }
            },
            Role::Laid => p {
                "Your opponents fell for it in " (games(trap.slipped)) ", and you found the refutation in "
                (language.count(trap.refuted)) ". Of players of your level "
                (counted(&trap.level_find_rate, Unit::Percent, language)) " do."
            },
        }
        (named(words, trap))
    }
}

fn of_left(words: &Words<'_>, left: &Left) -> Markup {
    html! {
        p { "The line: " b { (whole(left)) } "." }
        p {
            "In " (games(left.times)) " " (by(left.by)) " played " b { (left.mv.numbered) } ", where your lines have "
            (left.prepared.join(" or ")) "."
            @if !left.continues.is_empty() { " Players of your level go on with " (moves(words, &left.continues)) "." }
        }
    }
}

/// What players of the level play.
fn moves(words: &Words<'_>, moves: &[LevelMove]) -> Markup {
    html! {
        @for (place, next) in moves.iter().enumerate() {
            @if place > 0 { ", " }
            b { (next.san) } " " (counted(&next.share, Unit::Percent, words.language))
        }
        @if moves.is_empty() { "no games" }
    }
}

fn line(line: &str) -> &str {
    if line.is_empty() { "the first move" } else { line }
}

/// The games to look at again.
fn named(words: &Words<'_>, trap: &TrapRow) -> Markup {
    html! {
        @if let Some(again) = to_look_at(trap) {
            p { (again.what) " in:" }
            ul {
                @for played in again.games { li { bdi { (name_of(&game(played))) } } }
                @if again.more > 0 { li { "and " (words.language.count(again.more)) " more" } }
            }
        }
    }
}

/// A table that scrolls where it is too wide.
fn table(name: &str, heads: &[&str], rows: &[Vec<Markup>]) -> Markup {
    html! {
        div.scroll tabindex="0" role="group" aria-label=(name) {
            table {
                thead { tr { @for head in heads { th scope="col" { (head) } } } }
                tbody { @for row in rows { tr {
                    @if let Some((first, rest)) = row.split_first() {
                        th scope="row" { (first) }
                        @for cell in rest { td { (cell) } }
                    }
                } } }
            }
        }
    }
}

/// All costly habits.
pub(super) fn habits(words: &Words<'_>) -> Markup {
    let (answer, language) = (words.answer, words.language);
    let row = |habit: &Habit| {
        vec![
            html! { (line(&habit.line)) },
            html! { b { (habit.mv.numbered) } " in " (language.count(habit.played)) " of " (language.count(habit.times)) },
            counted(&habit.edge, Unit::Edge, language),
            html! { b { (habit.better.mv.numbered) } " (" (markup(&habit.better.share, Unit::Percent, language)) ")" },
            counted(&habit.better.edge, Unit::Edge, language),
            markup(&habit.cost_per_100_games, Unit::Number, language),
        ]
    };
    let rows: Vec<_> = answer.habits.iter().take(ROWS).map(row).collect();
    let heads = [
        "Position",
        "You play",
        "Edge of the level",
        "Better (how many)",
        "Its edge",
        "Cost in 100 games",
    ];
    html! {
        section.trap {
            h2 { "Costly habits" }
            section.part {
                p { (tested(answer)) }
                @if rows.is_empty() {
                    p { "No habit of yours costs points beyond chance." }
                } @else {
                    (table("Costly habits", &heads, &rows))
                    p.small { "The edge is what a side scores beyond what its ratings promise, in points per 100 games; in brackets \
                        is the margin of error. The cost is the difference of the edges times how often you play the move." }
                }
            }
        }
    }
}

/// Traps from both sides.
pub(super) fn traps(words: &Words<'_>) -> Markup {
    let (answer, language) = (words.answer, words.language);
    let of = |role: Role| -> Vec<&TrapRow> {
        let met = answer.traps.iter().filter(|trap| trap.role == role && trap.times > 0);
        met.take(ROWS).collect()
    };
    let row = |trap: &TrapRow| {
        let mut cells = vec![
            html! { bdi { (name_of(&trap.name)) } },
            html! { (language.side(trap.colour)) },
            html! { (language.count(trap.times)) },
            html! { (language.count(trap.slipped)) },
        ];
        match trap.role {
            Role::Faced => cells.push(html! { (language.count(trap.escaped)) }),
            Role::Laid => cells.extend([
                html! { (language.count(trap.refuted)) },
                html! { (language.count(trap.missed)) },
            ]),
        }
        let level = match trap.role {
            Role::Faced => &trap.level_slip_rate,
            Role::Laid => &trap.level_find_rate,
        };
        cells.push(counted(level, Unit::Percent, language));
        cells
    };
    let tables = [
        (
            of(Role::Faced),
            "Traps you met",
            &["Trap", "As", "Met", "Fell", "Escaped", "The level falls"][..],
        ),
        (
            of(Role::Laid),
            "Traps you laid",
            &["Trap", "As", "Laid", "Worked", "Refuted", "Missed", "The level refutes"],
        ),
    ];
    html! {
        section.trap {
            h2 { "Traps" }
            p { (traps_from(answer)) }
            @for (traps, name, heads) in tables {
                section.part {
                    h3 { (name) }
                    @if traps.is_empty() {
                        p { "None." }
                    } @else {
                        (table(name, heads, &traps.iter().map(|trap| row(trap)).collect::<Vec<_>>()))
                        @for trap in traps.iter().filter(|trap| to_look_at(trap).is_some()) {
                            p { b { bdi { (name_of(&trap.name)) } } ": " (trap.line) }
                            (named(words, trap))
                        }
                    }
                }
            }
        }
    }
}

/// Where games leave the prepared lines.
pub(super) fn lines(words: &Words<'_>) -> Markup {
    let (answer, language) = (words.answer, words.language);
    let Some(lines) = &answer.repertoire else { return html! {} };
    let row = |left: &Left| {
        vec![
            html! { (whole(left)) },
            html! { (by(left.by)) },
            html! { (language.count(left.times)) },
            html! { (left.prepared.join(", ")) },
            counted(&left.share, Unit::Percent, language),
            moves(words, &left.continues),
        ]
    };
    let rows: Vec<_> = answer.left.iter().take(ROWS).map(row).collect();
    let heads =
        ["Left with", "By", "Games", "Prepared", "The level plays it", "The level goes on with"];
    html! {
        section.trap {
            h2 { "Your prepared lines" }
            section.part {
                p { (prepared(lines, language)) }
                @if !rows.is_empty() { (table("Where your games leave your lines", &heads, &rows)) }
            }
        }
    }
}
