//! Findings as a file of traps, as `trap` reads them.

use std::io::{self, Write};

use super::entry::{chance, evaluations, not_to_lay};
use crate::answers::Figure;
use crate::answers::hunt::{Evaluations, Found, HuntAnswer};
use crate::lines::tag_pair;
use crate::pages::layout::wrapped;
use crate::pages::words::{self, clean};

/// Columns of movetext.
const WIDTH: usize = 80;

/// One game a finding, best first: the slip marked `??`, further slips of the position as
/// variations, the figures of each slip in a tag. The movetext has no word of ours, since whatever
/// shows the game in another language shows its comments. PGN standard (1994.03.12), export format
/// of tags and movetext.
pub fn pgn<W: Write>(mut out: W, answer: &HuntAnswer) -> io::Result<()> {
    for (index, found) in answer.found.iter().enumerate() {
        if index > 0 {
            out.write_all(b"\n")?;
        }
        out.write_all(game(found, index + 1).as_bytes())?;
    }
    Ok(())
}

fn game(found: &Found, place: usize) -> String {
    let trap = &found.trap;
    let setter = trap.setter.fold_wb("White", "Black");
    let place = place.to_string();
    let mut tags = vec![
        ("Event", trap.name.as_str()),
        ("Site", "?"),
        ("Date", "????.??.??"),
        ("Round", place.as_str()),
        ("White", "?"),
        ("Black", "?"),
        ("Result", "*"),
        ("Setter", setter),
    ];
    tags.extend(trap.eco.as_deref().map(|eco| ("ECO", eco)));
    tags.extend(trap.opening.as_deref().map(|opening| ("Opening", opening)));
    let evidence = evidence(found);
    let names: Vec<String> = (1..=evidence.len()).map(|n| format!("Evidence{n}")).collect();
    tags.extend(names.iter().map(String::as_str).zip(evidence.iter().map(String::as_str)));
    let mut text = String::new();
    for (name, value) in tags {
        text += &tag_pair(name, &clean(value));
        text.push('\n');
    }
    text + "\n" + &wrapped(&movetext(found), WIDTH, 0) + "\n\n"
}

/// The figures of each slip of the position, the line's own being the first.
fn evidence(found: &Found) -> Vec<String> {
    let trap = &found.trap;
    let victim = words::side(trap.setter.other());
    let said = |slip: &str, figures: String, evals: &Evaluations| {
        said_of(figures, evals, &words::numbered_from(&trap.trap_fen, 0, slip), victim)
    };
    let own = format!("{}, q = {}", told(&trap.figures.slip_rate, &found.drop), chance(found.q));
    let others = found.branches.iter().map(|branch| {
        said(&branch.slip, told(&branch.slip_rate, &branch.drop), &branch.evaluations)
    });
    let not_to_lay = not_to_lay(found).map_or(String::new(), |said| format!(" {said}"));
    let first = said(&trap.slip, own, &found.evaluations) + &not_to_lay;
    [first].into_iter().chain(others).collect()
}

fn movetext(found: &Found) -> String {
    let trap = &found.trap;
    let (before, after) = trap.line.split_once("??").unwrap_or((&trap.line, ""));
    // The number of the slip, for its variations.
    let number = trap.trap_fen.rsplit(' ').next().unwrap_or("1");
    let dots = trap.setter.fold_wb("...", ".");
    let variations: Vec<String> = found
        .branches
        .iter()
        .map(|branch| format!(" ({number}{dots} {}?? {})", branch.slip, branch.refutation))
        .collect();
    let reply = after.trim();
    let resumed = match (trap.setter.is_black() && !variations.is_empty(), reply.is_empty()) {
        // Behind a variation Black's move is told with its number.
        (true, false) => format!("{number}... {reply}"),
        _ => reply.to_owned(),
    };
    format!("{before}??{} {resumed} *", variations.concat())
}

/// What is said of a slip. The mark `??` says which move is meant, not that it is a blunder: what
/// evaluations say of it comes last.
fn said_of(figures: String, found: &Evaluations, slip: &str, victim: &str) -> String {
    format!("{slip} is a costly move: {figures}. {}", evaluations(found, slip, victim))
}

/// How often a slip is played and what it costs, as far as that is known.
fn told(slip_rate: &Figure, drop: &Figure) -> String {
    let (k, n) = (slip_rate.k.unwrap_or(0), slip_rate.n);
    let share = match slip_rate.value {
        Some(share) => format!("played in {:.1} % of {n} games", 100.0 * share),
        None => format!("played in {k} of {n} games"),
    };
    let drop = drop.value.map(|drop| format!(", drop {:.1} % of a point", 100.0 * drop));
    share + &drop.unwrap_or_default()
}
