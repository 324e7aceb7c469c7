//! The answer as a flat table.

use std::io::{self, Write};

use serde_json::{Value, json};

use super::table::{HABIT, TRAP};
use crate::answers::student::{Habit, Left, LevelMove, StudentAnswer, Students, TrapRow};
use crate::pages::figures::Unit;
use crate::pages::output::{Columns, merged};

/// For each student one row of scope `games`, then one for each costly habit (`habit`), each
/// repeated slip (`slip`), each position that was had often enough (`position`), each trap from
/// each side (`trap`), each game that met it (`game`, with the trap's place), each move with which
/// games leave the prepared lines (`left`) and each move of the level behind it (`level`). Full
/// precision, empty where withheld.
pub fn csv<W: Write>(out: W, answers: &Students) -> io::Result<()> {
    columns().write(out, answers.students.iter().flat_map(rows))
}

/// What has figures.
#[derive(Clone, Copy)]
enum What<'a> {
    Habit(&'a Habit),
    Trap(&'a TrapRow),
    Left(&'a Left),
    Level(&'a LevelMove),
    Other,
}

fn rows(answer: &StudentAnswer) -> Vec<(Value, What<'_>)> {
    let mut rows = Vec::new();
    let bands = answer.level.bands;
    let mut add = |scope: &str, place: usize, entry: Value, what| {
        let (from, below) = (bands.from, bands.below);
        let head = json!({
            "student": answer.name, "scope": scope, "place": place + 1, "from": from, "below": below,
        });
        rows.push((merged(entry, head), what));
    };
    let (taken, results) = (answer.games.taken(), answer.games.results.all());
    add("games", 0, json!({"times": taken, "results": results}), What::Other);
    for (at, habit) in answer.habits.iter().enumerate() {
        add("habit", at, json!(habit), What::Habit(habit));
    }
    for (at, slip) in answer.slips.iter().enumerate() {
        add("slip", at, json!(slip), What::Other);
    }
    for (at, had) in answer.had.iter().enumerate() {
        add("position", at, json!(had), What::Other);
    }
    for (at, trap) in answer.traps.iter().enumerate() {
        let told = json!(trap);
        let [name, role, colour] = ["name", "role", "as"].map(|field| told[field].clone());
        add("trap", at, told, What::Trap(trap));
        for game in &trap.games {
            // Counted, as in the row of the trap.
            let [slipped, refuted] = [game.slipped, game.refuted].map(u8::from);
            let of_trap = json!({
                "name": name, "role": role, "as": colour, "times": 1, "slipped": slipped, "refuted": refuted,
            });
            add("game", at, merged(game, of_trap), What::Other);
        }
    }
    let side = json!(answer.repertoire)["as"].clone();
    for (at, left) in answer.left.iter().enumerate() {
        add("left", at, merged(left, json!({"as": side})), What::Left(left));
        for next in &left.continues {
            let times = json!({"times": next.games});
            add("level", at, merged(next, times), What::Level(next));
        }
    }
    rows
}

fn columns<'a>() -> Columns<'a, What<'a>> {
    let columns = Columns::new()
        .said(&["student", "scope", "place", "from", "below"])
        .said_at("name", &["/name", "/trap"])
        .said(&["role", "by", "as", "line"])
        .said_at("fen", &["/fen", "/trap_fen"])
        .said_at("san", &["/move/san", "/slip", "/san"])
        .said_at("uci", &["/move/uci", "/uci"])
        .said_at("better", &["/better/san"])
        .said(&["times", "played"])
        .said_at("wins", &["/results/wins"])
        .said_at("draws", &["/results/draws"])
        .said_at("losses", &["/results/losses"])
        .said(&["judged", "slipped", "escaped", "refuted", "missed"])
        .said(&["event", "date", "opponent", "p", "q"])
        .said_at("mate", &["/mate/san"]);
    let columns = HABIT.iter().fold(columns, |columns, figure| {
        columns.figure(figure.key, figure.unit, move |what: &What<'a>| match what {
            What::Habit(habit) => Some((figure.of)(habit)),
            What::Left(left) if figure.key == "share" => Some(&left.share),
            What::Level(next) if figure.key == "share" => Some(&next.share),
            _ => None,
        })
    });
    let columns = columns.figure("score", Unit::Percent, |what| {
        if let What::Level(next) = what { Some(&next.score) } else { None }
    });
    TRAP.iter().fold(columns, |columns, figure| {
        columns.figure(figure.key, figure.unit, move |what: &What<'a>| {
            if let What::Trap(trap) = what { Some((figure.of)(trap)) } else { None }
        })
    })
}
