//! The answer as a flat table.

use std::io::{self, Write};

use super::table::{HABIT, TRAP};
use crate::answers::Figure;
use crate::answers::student::{
    Habit, Had, Left, LevelMove, NamedGame, StudentAnswer, Students, TrapRow,
};
use crate::pages::figures::Unit;
use crate::pages::output::{Columns, code};
use crate::pages::words::side;

/// For each student one row of scope `games`, then one for each costly habit (`habit`), each position that was had often enough
/// (`position`), each trap from each side (`trap`), each game that met it (`game`, with the trap's place), each move with which
/// games leave the prepared lines (`left`) and each move of the level behind it (`level`). Full precision, empty where withheld.
pub fn csv<W: Write>(out: W, answers: &Students) -> io::Result<()> {
    columns().write(out, answers.students.iter().flat_map(rows))
}

/// Whatever is told.
#[derive(Clone, Copy)]
enum What<'a> {
    Games,
    Habit(&'a Habit),
    Position(&'a Had),
    Trap(&'a TrapRow),
    Game(&'a TrapRow, &'a NamedGame),
    Left(&'a Left),
    Level(&'a LevelMove),
}

#[derive(Clone, Copy)]
struct Row<'a> {
    answer: &'a StudentAnswer,
    /// Place in its list, from 1.
    place: usize,
    what: What<'a>,
}

fn rows(answer: &StudentAnswer) -> Vec<Row<'_>> {
    let row = |place: usize, what| Row { answer, place: place + 1, what };
    let mut rows = vec![row(0, What::Games)];
    rows.extend(answer.habits.iter().enumerate().map(|(at, habit)| row(at, What::Habit(habit))));
    rows.extend(answer.had.iter().enumerate().map(|(at, had)| row(at, What::Position(had))));
    for (at, trap) in answer.traps.iter().enumerate() {
        rows.push(row(at, What::Trap(trap)));
        rows.extend(trap.games.iter().map(|game| row(at, What::Game(trap, game))));
    }
    for (at, left) in answer.left.iter().enumerate() {
        rows.push(row(at, What::Left(left)));
        rows.extend(left.continues.iter().map(|next| row(at, What::Level(next))));
    }
    rows
}

impl<'a> Row<'a> {
    fn habit(&self) -> Option<&'a Habit> {
        if let What::Habit(habit) = self.what { Some(habit) } else { None }
    }

    fn trap(&self) -> Option<&'a TrapRow> {
        match self.what {
            What::Trap(trap) | What::Game(trap, _) => Some(trap),
            _ => None,
        }
    }

    /// The trap in its own row, not in those of its games.
    fn trap_itself(&self) -> Option<&'a TrapRow> {
        if let What::Trap(trap) = self.what { Some(trap) } else { None }
    }

    fn counted(&self, number: fn(&TrapRow) -> u64, game: fn(&NamedGame) -> bool) -> String {
        match self.what {
            What::Trap(trap) => number(trap).to_string(),
            What::Game(_, played) => u8::from(game(played)).to_string(),
            _ => String::new(),
        }
    }

    fn text(&self, of: impl Fn(What<'a>) -> Option<&'a str>) -> String {
        of(self.what).unwrap_or_default().to_owned()
    }
}

fn columns<'a>() -> Columns<'static, Row<'a>> {
    let number = |n: Option<u64>| n.map_or(String::new(), |n| n.to_string());
    let columns =
        Columns::new()
            .text("student", |row: &Row<'a>| row.answer.name.clone())
            .text("scope", |row| {
                match row.what {
                    What::Games => "games",
                    What::Habit(_) => "habit",
                    What::Position(_) => "position",
                    What::Trap(_) => "trap",
                    What::Game(..) => "game",
                    What::Left(_) => "left",
                    What::Level(_) => "level",
                }
                .to_owned()
            })
            .text("place", |row| row.place.to_string())
            .text("from", |row| row.answer.level.bands.from.to_string())
            .text("below", |row| row.answer.level.bands.below.to_string())
            .text("name", |row| row.trap().map_or(String::new(), |trap| trap.name.clone()))
            .text("role", |row| row.trap().map_or(String::new(), |trap| code(&trap.role)))
            .text("by", |row| {
                if let What::Left(left) = row.what { code(&left.by) } else { String::new() }
            })
            .text("as", |row| {
                let colour = match row.what {
                    What::Habit(habit) => Some(habit.colour),
                    What::Position(had) => Some(had.colour),
                    What::Trap(trap) | What::Game(trap, _) => Some(trap.colour),
                    What::Left(_) => row.answer.repertoire.as_ref().map(|lines| lines.side),
                    _ => None,
                };
                colour.map_or(String::new(), |colour| side(colour).to_lowercase())
            })
            .text("line", |row| {
                row.text(|what| match what {
                    What::Habit(habit) => Some(&habit.line),
                    What::Position(had) => Some(&had.line),
                    What::Trap(trap) => Some(&trap.line),
                    What::Left(left) => Some(&left.line),
                    _ => None,
                })
            })
            .text("fen", |row| {
                row.text(|what| match what {
                    What::Habit(habit) => Some(&habit.fen),
                    What::Position(had) => Some(&had.fen),
                    What::Trap(trap) => Some(&trap.trap_fen),
                    What::Left(left) => Some(&left.fen),
                    _ => None,
                })
            })
            .text("san", |row| {
                row.text(|what| match what {
                    What::Habit(habit) => Some(&habit.mv.san),
                    What::Position(had) => Some(&had.mv.san),
                    What::Trap(trap) => Some(&trap.slip),
                    What::Left(left) => Some(&left.mv.san),
                    What::Level(next) => Some(&next.san),
                    _ => None,
                })
            })
            .text("uci", |row| {
                row.text(|what| match what {
                    What::Habit(habit) => Some(&habit.mv.uci),
                    What::Position(had) => Some(&had.mv.uci),
                    What::Left(left) => Some(&left.mv.uci),
                    What::Level(next) => Some(&next.uci),
                    _ => None,
                })
            })
            .text("better", |row| {
                row.habit().map_or(String::new(), |habit| habit.better.mv.san.clone())
            })
            .text("times", move |row| {
                number(match row.what {
                    What::Games => Some(row.answer.games.taken()),
                    What::Habit(habit) => Some(habit.times),
                    What::Position(had) => Some(had.times),
                    What::Trap(trap) => Some(trap.times),
                    What::Left(left) => Some(left.times),
                    What::Level(next) => Some(next.games),
                    What::Game(..) => Some(1),
                })
            })
            .text("played", move |row| {
                number(match row.what {
                    What::Habit(habit) => Some(habit.played),
                    What::Position(had) => Some(had.played),
                    _ => None,
                })
            });
    let results = |row: &Row<'a>| match row.what {
        What::Habit(habit) => Some(habit.results),
        What::Position(had) => Some(had.results),
        What::Games => Some(row.answer.games.results.all()),
        _ => None,
    };
    let columns = columns
        .text("wins", move |row| number(results(row).map(|results| results.wins)))
        .text("draws", move |row| number(results(row).map(|results| results.draws)))
        .text("losses", move |row| number(results(row).map(|results| results.losses)))
        .text("judged", |row| {
            if let What::Position(had) = row.what { code(&had.judged) } else { String::new() }
        })
        .text("slipped", |row| row.counted(|trap| trap.slipped, |game| game.slipped))
        .text("escaped", move |row| number(row.trap_itself().map(|trap| trap.escaped)))
        .text("refuted", |row| row.counted(|trap| trap.refuted, |game| game.refuted))
        .text("missed", move |row| number(row.trap_itself().map(|trap| trap.missed)))
        .text("event", |row| {
            row.text(|what| if let What::Game(_, game) = what { Some(&game.event) } else { None })
        })
        .text("date", |row| {
            row.text(
                |what| if let What::Game(_, game) = what { game.date.as_deref() } else { None },
            )
        })
        .text("opponent", |row| match row.what {
            What::Game(_, game) => side(game.opponent).to_lowercase(),
            _ => String::new(),
        })
        .text("p", |row| row.habit().map_or(String::new(), |habit| habit.p.to_string()))
        .text("q", |row| row.habit().map_or(String::new(), |habit| habit.q.to_string()));
    let columns = HABIT.iter().fold(columns, |columns, figure| {
        columns.figure(figure.key, figure.unit, move |row: &Row<'a>| {
            let of_left = || -> Option<&'a Figure> {
                match (figure.key, row.what) {
                    ("share", What::Left(left)) => Some(&left.share),
                    ("share", What::Level(next)) => Some(&next.share),
                    _ => None,
                }
            };
            row.habit().map(figure.of).or_else(of_left)
        })
    });
    let columns = columns.figure("score", Unit::Percent, |row| {
        if let What::Level(next) = row.what { Some(&next.score) } else { None }
    });
    TRAP.iter().fold(columns, |columns, figure| {
        columns
            .figure(figure.key, figure.unit, move |row: &Row<'a>| row.trap_itself().map(figure.of))
    })
}
