//! The parts of the page for the student.

use maud::{Markup, html};
use shakmaty::{Chess, Color, Move, Position};

use super::phrases::{game, known, prepared, tested, to_look_at, traps_from};
use super::tables::whole;
use crate::answers::student::{
    By, Habit, Kind, KnownSlip, Learn, Left, LevelMove, Role, StudentAnswer, TrapRow,
};
use crate::pages::languages::{Language, San};
use crate::pages::lesson::{Diagram, Unit, bare, counted, markup, name_of, plain, trap_name};
use crate::pages::words;

/// Rows of a table; the text page and the data have all.
const ROWS: usize = 30;

/// What every part needs.
pub(super) struct Page<'a> {
    pub answer: &'a StudentAnswer,
    pub language: &'a Language,
}

/// Three things to learn first, each with a diagram.
pub(super) fn things(page: &Page<'_>) -> Markup {
    let (first, language) = (&page.answer.first, page.language);
    let heading = language.student.things[first.len().min(3)];
    html! {
        section.summary {
            h2 { (heading) }
            @if first.is_empty() {
                p { (language.student.things_none) }
            }
            @if !first.is_empty() { p.small { (language.board_signs) } }
            @for (index, learn) in first.iter().enumerate() { (thing(page, index + 1, *learn)) }
            @if !first.is_empty() {
                p.small { (language.student.things_order) }
            }
        }
    }
}

fn thing(page: &Page<'_>, number: usize, learn: Learn) -> Markup {
    let (answer, language) = (page.answer, page.language);
    let (heading, shown, colour, said) = match learn.kind {
        Kind::Habit => {
            let habit = &answer.habits[learn.place];
            let heading = language.play_here(language.san(&habit.better.mv.numbered));
            (heading, &habit.shown, habit.colour, of_habit(page, habit))
        }
        Kind::Slip => {
            let slip = &answer.slips[learn.place];
            let heading = language.play_not(language.san(&slip.mv.numbered));
            (heading, &slip.shown, slip.colour, of_slip(page, slip))
        }
        Kind::Fell => {
            let trap = &answer.traps[learn.place];
            let slip = language.san(&numbered(&trap.shown.0, &trap.slip));
            (
                match &trap.better {
                    Some(better) => {
                        let better = language.san(&numbered(&trap.shown.0, better));
                        language.play_instead(better, slip)
                    }
                    None => language.play_not(slip),
                },
                &trap.shown,
                trap.colour,
                of_trap(page, trap),
            )
        }
        Kind::Missed => {
            let trap = &answer.traps[learn.place];
            (
                language.find_here(language.san(&numbered(&trap.shown.0, &trap.refutation))),
                &trap.shown,
                trap.colour,
                of_trap(page, trap),
            )
        }
        Kind::Forgot => {
            let left = &answer.left[learn.place];
            let heading = language.goes_on_with(prepared_moves(left, language));
            (heading, &left.before, left.before.0.turn(), of_left(page, left))
        }
        Kind::Unanswered => {
            let left = &answer.left[learn.place];
            let heading = language.prepare_answer(language.san(&left.mv.numbered));
            (heading, &left.shown, left.next(), of_left(page, left))
        }
    };
    html! {
        section.part {
            h3 { (number) ". " (heading) }
            div.diagrams {
                (diagram(page, shown, colour))
                div { (said) }
            }
        }
    }
}

fn diagram(page: &Page<'_>, (position, last): &(Chess, Option<Move>), bottom: Color) -> Markup {
    let diagram = Diagram { bottom, ..Diagram::after(position, *last) };
    html! { figure { (diagram.figure(page.language)) } }
}

fn of_habit(page: &Page<'_>, habit: &Habit) -> Markup {
    let language = page.language;
    html! {
        p { (language.line_is(html! { b { (line(&habit.line, language)) } })) }
        p {
            (language.habit_had(&language.games(habit.times), bold(&habit.mv.numbered, language), habit.played)) " "
            (language.habit_better(
                bold(&habit.better.mv.numbered, language),
                bare(&habit.difference, Unit::Edge, language),
            ))
        }
        p { (language.habit_costs(bare(&habit.cost_per_100_games, Unit::Number, language))) }
        @if let Some(slip) = page.answer.known_slip(habit) { p { (known(slip, language)) } }
    }
}

fn of_slip(page: &Page<'_>, slip: &KnownSlip) -> Markup {
    let language = page.language;
    html! {
        p { (language.line_is(html! { b { (line(&slip.line, language)) } })) }
        p {
            (language.habit_had(&language.games(slip.times), bold(&slip.mv.numbered, language), slip.played)) " "
            (known(slip, language))
        }
    }
}

fn of_trap(page: &Page<'_>, trap: &TrapRow) -> Markup {
    let language = page.language;
    html! {
        p { (language.trap_is(html! { bdi { (named_trap(trap, language)) } }, bold(&trap.line, language))) }
        @match trap.role {
            Role::Faced => p {
                (language.met_and_fell(&language.games(trap.times), trap.slipped)) " "
                (language.level_falls(bare(&trap.level_slip_rate, Unit::Percent, language)))
                @if !trap.instead.is_empty() { " " (language.others_play(moves(page, &trap.shown.0, &trap.instead))) }
            },
            Role::Laid => p {
                (language.laid_and_found(&language.games(trap.slipped), trap.refuted)) " "
                (language.level_finds(bare(&trap.level_find_rate, Unit::Percent, language)))
            },
        }
        (named(page, trap))
    }
}

fn of_left(page: &Page<'_>, left: &Left) -> Markup {
    let language = page.language;
    let said = match left.by {
        By::Student => Language::left_by_you,
        By::Opponent => Language::left_by_opponent,
    };
    let (games, mv) = (language.games(left.times), bold(&left.mv.numbered, language));
    html! {
        p { (language.line_is(bold(&whole(left), language))) }
        p {
            (said(language, &games, mv, prepared_moves(left, language)))
            @if !left.continues.is_empty() { " " (language.level_goes_on(moves(page, &left.shown.0, &left.continues))) }
        }
    }
}

/// What players of the level play.
fn moves(page: &Page<'_>, position: &Chess, moves: &[LevelMove]) -> Markup {
    html! {
        @for (place, next) in moves.iter().enumerate() {
            @if place > 0 { ", " }
            (bold(&numbered(position, &next.san), page.language)) " (" (bare(&next.share, Unit::Percent, page.language)) ")"
        }
        @if moves.is_empty() { (page.language.no_games) }
    }
}

/// What the prepared lines have in its place.
fn prepared_moves(left: &Left, language: &Language) -> San {
    let moves: Vec<String> =
        left.prepared.iter().map(|san| numbered(&left.before.0, san)).collect();
    language.either_san(&moves)
}

/// A move in a position with its number.
fn numbered(position: &Chess, san: &str) -> String {
    words::numbered(position.fullmoves().get() as usize, position.turn(), san)
}

fn bold(moves: &str, language: &Language) -> Markup {
    html! { b { (language.san(moves)) } }
}

fn line(line: &str, language: &Language) -> Markup {
    match line.is_empty() {
        true => plain(language.student.first_move),
        false => html! { (language.san(line)) },
    }
}

/// The name of a trap; one that a hunt made ends with the slip.
fn named_trap(trap: &TrapRow, language: &Language) -> String {
    trap_name(&trap.name, &trap.numbered_slip, language)
}

/// The games to look at again.
fn named(page: &Page<'_>, trap: &TrapRow) -> Markup {
    let language = page.language;
    html! {
        @if let Some(again) = to_look_at(trap, language) {
            p { (again.what) }
            ul {
                @for played in again.games { li {
                    bdi { (name_of(&game(played, language))) }
                    @if let Some(address) = &played.address { ", " bdi { (name_of(address)) } }
                } }
                @if again.more > 0 { li { (language.and_more(again.more)) } }
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
pub(super) fn habits(page: &Page<'_>) -> Markup {
    let (answer, language) = (page.answer, page.language);
    let row = |habit: &Habit| {
        vec![
            line(&habit.line, language),
            language.in_of(bold(&habit.mv.numbered, language), habit.played, habit.times),
            counted(&habit.edge, Unit::Edge, language),
            html! { (bold(&habit.better.mv.numbered, language)) " (" (markup(&habit.better.share, Unit::Percent, language)) ")" },
            counted(&habit.better.edge, Unit::Edge, language),
            markup(&habit.cost_per_100_games, Unit::Number, language),
        ]
    };
    let rows: Vec<_> = answer.habits.iter().take(ROWS).map(row).collect();
    html! {
        section.trap {
            h2 { (language.student.habits_heading) }
            section.part {
                p { (tested(answer, language)) }
                @if !answer.slips.is_empty() {
                    p { (language.student.slips_intro) }
                    ul { @for slip in answer.slips.iter().take(ROWS) { li { (slip_row(page, slip)) } } }
                }
                @if !rows.is_empty() {
                    (table(language.student.habits_heading, &language.student.habit_heads, &rows))
                    p.small { (language.student.habits_note) }
                }
            }
        }
    }
}

/// `1.e4 e5 2.Qh5: 2...g6 in 7 of 8. It allows mate in one: ...`
fn slip_row(page: &Page<'_>, slip: &KnownSlip) -> Markup {
    let language = page.language;
    html! {
        (line(&slip.line, language)) (language.colon)
        (language.in_of(bold(&slip.mv.numbered, language), slip.played, slip.times)) ". "
        (known(slip, language))
    }
}

/// Traps from both sides.
pub(super) fn traps(page: &Page<'_>) -> Markup {
    let (answer, language) = (page.answer, page.language);
    let of = |role: Role| -> Vec<&TrapRow> {
        let met = answer.traps.iter().filter(|trap| trap.role == role && trap.times > 0);
        met.take(ROWS).collect()
    };
    let row = |trap: &TrapRow| {
        let mut cells = vec![
            html! { bdi { (named_trap(trap, language)) } },
            html! { (language.side_alone(trap.colour)) },
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
        (of(Role::Faced), language.student.traps_met, &language.student.met_heads[..]),
        (of(Role::Laid), language.student.traps_laid, &language.student.laid_heads),
    ];
    html! {
        section.trap {
            h2 { (language.student.traps_heading) }
            p { (traps_from(answer, language)) }
            @for (traps, name, heads) in tables {
                section.part {
                    h3 { (name) }
                    @if traps.is_empty() {
                        p { (language.student.none) }
                    } @else {
                        (table(name, heads, &traps.iter().map(|trap| row(trap)).collect::<Vec<_>>()))
                        @for trap in traps.iter().filter(|trap| to_look_at(trap, language).is_some()) {
                            p { b { bdi { (named_trap(trap, language)) } } (language.colon) (language.san(&trap.line)) }
                            (named(page, trap))
                        }
                    }
                }
            }
        }
    }
}

/// Where games leave the prepared lines.
pub(super) fn lines(page: &Page<'_>) -> Markup {
    let (answer, language) = (page.answer, page.language);
    let Some(lines) = &answer.repertoire else { return html! {} };
    let row = |left: &Left| {
        vec![
            html! { (language.san(&whole(left))) },
            plain(match left.by {
                By::Student => language.student.you,
                By::Opponent => language.student.opponent,
            }),
            html! { (language.count(left.times)) },
            html! { (language.san(&left.prepared.join(", "))) },
            counted(&left.share, Unit::Percent, language),
            moves(page, &left.shown.0, &left.continues),
        ]
    };
    let rows: Vec<_> = answer.left.iter().take(ROWS).map(row).collect();
    html! {
        section.trap {
            h2 { (language.student.lines_heading) }
            section.part {
                p { (prepared(lines, language)) }
                @if !rows.is_empty() { (table(language.student.lines_left, &language.student.left_heads, &rows)) }
            }
        }
    }
}
