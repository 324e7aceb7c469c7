//! The tables of the text page, each no wider than 80 columns.

use super::phrases::{game, known, prepared, tested, to_look_at, traps_from};
use super::table::{HABIT, TRAP};
use super::teacher::TO_TEACHER;
use crate::answers::student::{Habit, KnownSlip, Left, Role, StudentAnswer, Students, TrapRow};
use crate::pages::figures::Unit;
use crate::pages::languages::text_of;
use crate::pages::layout::{Side, TextTable, paragraph};
use crate::pages::numbers::{count, counted, fixed};
use crate::pages::output::code;
use crate::pages::words::{self, clean, side};

/// Costly habits.
pub(super) fn habits(answer: &StudentAnswer, top: usize) -> String {
    let mut page = format!("\n{}", paragraph(&text_of(&tested(answer, &TO_TEACHER)), 0));
    if !answer.slips.is_empty() {
        page += &format!("\n{}", paragraph(TO_TEACHER.student.slips_intro, 0));
        for slip in answer.slips.iter().take(top) {
            page += &paragraph(
                &format!("{}: {}", slip_played(slip), text_of(&known(slip, &TO_TEACHER))),
                2,
            );
        }
        page += &more(answer.slips.len(), top, "slip");
    }
    if answer.habits.is_empty() {
        return page;
    }
    let shown = || HABIT.iter().filter_map(|figure| Some((figure.head?, figure)));
    let mut columns = vec![("", Side::Right), ("costly habit", Side::Wrapped(22))];
    columns.extend(shown().map(|(head, _)| (head, Side::Right)));
    let mut table = TextTable::new(&columns).with_gaps();
    for (index, habit) in answer.habits.iter().take(top).enumerate() {
        let mut cells = vec![(index + 1).to_string(), told(habit)];
        cells.extend(shown().map(|(_, figure)| {
            folded(&figure.unit.view((figure.of)(habit)).stack().replace(" %", ""))
        }));
        table.row(cells);
    }
    page += &format!("\n{}", table.render());
    page + &more(answer.habits.len(), top, "habit")
}

/// `1. e4 e5 2. Qh5 Nf6 in 7 of 8`.
fn slip_played(slip: &KnownSlip) -> String {
    let way = match slip.line.is_empty() {
        true => slip.mv.numbered.clone(),
        // Black's move follows White's without its number.
        false if slip.colour.is_black() => format!("{} {}", slip.line, slip.mv.san),
        false => format!("{} {}", slip.line, slip.mv.numbered),
    };
    format!("{way} in {} of {}", count(slip.played), count(slip.times))
}

/// The way, the usual move and the better one.
fn told(habit: &Habit) -> String {
    let mut cell = if habit.line.is_empty() { String::new() } else { habit.line.clone() + "\n" };
    cell += &format!(
        "{} in {} of {}\nbetter {}, played by {}, {}",
        habit.mv.numbered,
        count(habit.played),
        count(habit.times),
        habit.better.mv.san,
        Unit::Share.view(&habit.better.share).line() + " %",
        Unit::Share.view(&habit.better.share).count(),
    );
    if let Some(trap) = &habit.trap {
        cell += &format!("\nslip of {}", clean(trap));
    }
    if let Some(opening) = &habit.opening {
        cell += &format!("\n{}", clean(opening));
    }
    cell
}

/// A count in a narrow column: how much its games tell stands below it.
fn folded(count: &str) -> String {
    count.replace(" (as good", "\n(as good")
}

/// Traps met and laid, with the games to look at again.
pub(super) fn traps(answer: &StudentAnswer, top: usize) -> String {
    let met = |role: Role| -> Vec<&TrapRow> {
        answer.traps.iter().filter(|trap| trap.role == role && trap.times > 0).collect()
    };
    let (faced, laid) = (met(Role::Faced), met(Role::Laid));
    let sides = answer.traps.len() / 2;
    let mut page = String::new();
    if sides == 0 {
        return format!("\n{}", paragraph("No traps to look for: a hunt finds none.", 0));
    }
    let never = sides - names(&faced, &laid);
    let came_up = match (never, sides - never) {
        (0, _) => "all came up in the student's games".to_owned(),
        (_, 0) => "none came up in the student's games".to_owned(),
        (never, _) => format!("{} never came up in the student's games", count(never as u64)),
    };
    let (from, sides) = (traps_from(answer, &TO_TEACHER), counted(sides as u64, "trap"));
    let head = format!("Of {from} ({sides}) {came_up}.");
    page += &format!("\n{}", paragraph(&head, 0));
    page += &of_role(&faced, ["faced", "met", "fell", "escaped"], top, |trap| {
        [trap.times, trap.slipped, trap.escaped]
    });
    page += &of_role(&laid, ["laid", "worked", "found", "missed"], top, |trap| {
        [trap.slipped, trap.refuted, trap.missed]
    });
    page
}

/// How many different traps these are.
fn names(faced: &[&TrapRow], laid: &[&TrapRow]) -> usize {
    let known = |trap: &&&TrapRow| {
        faced.iter().all(|other| (&other.line, &other.name) != (&trap.line, &trap.name))
    };
    faced.len() + laid.iter().filter(known).count()
}

fn of_role(
    traps: &[&TrapRow],
    [role, heads @ ..]: [&'static str; 4],
    top: usize,
    counts: fn(&TrapRow) -> [u64; 3],
) -> String {
    if traps.is_empty() {
        return format!("\n{}", paragraph(&format!("No trap was {role}."), 0));
    }
    let is_laid = role == "laid";
    let figure = &TRAP[usize::from(is_laid)];
    let title = if is_laid { "trap laid" } else { "trap faced" };
    let mut columns = vec![(title, Side::Wrapped(26)), ("as", Side::Left)];
    if is_laid {
        columns.push(("laid", Side::Right));
    }
    columns.extend(heads.map(|head| (head, Side::Right)));
    columns.push((figure.head.unwrap_or_default(), Side::Right));
    let mut table = TextTable::new(&columns).with_gaps();
    for trap in traps.iter().take(top) {
        let mut cells = vec![clean(&trap.name), side(trap.colour).to_owned()];
        if is_laid {
            cells.push(count(trap.times));
        }
        cells.extend(counts(trap).map(count));
        cells.push(folded(&figure.unit.view((figure.of)(trap)).stack().replace(" %", "")));
        table.row(cells);
    }
    let mut page = format!("\n{}", table.render()) + &more(traps.len(), top, "trap");
    for trap in traps.iter().take(top) {
        let Some(again) = to_look_at(trap, &TO_TEACHER) else { continue };
        let mut named: Vec<String> =
            again.games.into_iter().map(|played| game(played, &TO_TEACHER)).collect();
        if again.more > 0 {
            named.push(TO_TEACHER.and_more(again.more));
        }
        let (what, name) = (again.what, clean(&trap.name));
        page += &paragraph(&format!("{what}, {name}: {}.", named.join("; ")), 2);
    }
    page
}

/// Where the games leave the prepared lines.
pub(super) fn left(answer: &StudentAnswer, top: usize) -> String {
    let Some(repertoire) = &answer.repertoire else { return String::new() };
    let mut head = text_of(&prepared(repertoire, &TO_TEACHER));
    let several =
        words::several_moves(repertoire.side, repertoire.several, "each counts as prepared");
    several.iter().for_each(|said| head += &format!(" {said}"));
    let mut page = format!("\n{}", paragraph(&head, 0));
    if answer.left.is_empty() {
        return page;
    }
    let mut table = TextTable::new(&[
        ("left with", Side::Wrapped(18)),
        ("by", Side::Left),
        ("games", Side::Right),
        ("prepared", Side::Wrapped(8)),
        ("the level plays it", Side::Right),
        ("and goes on", Side::Wrapped(13)),
    ])
    .with_gaps();
    for left in answer.left.iter().take(top) {
        let view = Unit::Share.view(&left.share);
        table.row(vec![
            whole(left),
            code(&left.by),
            count(left.times),
            left.prepared.join(", "),
            folded(&view.stack()),
            goes_on(left),
        ]);
    }
    page += &format!("\n{}", table.render());
    page + &more(answer.left.len(), top, "place")
}

/// The line with the move.
pub(super) fn whole(left: &Left) -> String {
    match left.line.is_empty() {
        true => left.mv.numbered.clone(),
        // Black's move follows White's without its number.
        false if left.mv.numbered.contains("...") => format!("{} {}", left.line, left.mv.san),
        false => format!("{} {}", left.line, left.mv.numbered),
    }
}

/// `exd5 62, Nc3 12 of 90 games`.
fn goes_on(left: &Left) -> String {
    let told = left.continues.iter().map(|next| format!("{} {}", next.san, count(next.games)));
    match left.continues.first() {
        None => "no games".to_owned(),
        Some(first) => {
            let told: Vec<String> = told.collect();
            format!("{} of {}", told.join(", "), counted(first.share.n, "game"))
        }
    }
}

fn more(all: usize, top: usize, noun: &str) -> String {
    match all.saturating_sub(top) {
        0 => String::new(),
        more => paragraph(
            &format!("{} not shown (--top).", counted(more as u64, &format!("more {noun}"))),
            0,
        ),
    }
}

/// A row a student.
pub(super) fn several(answers: &Students) -> String {
    let has_lines = answers.students.iter().any(|answer| answer.repertoire.is_some());
    let mut columns = vec![
        ("student", Side::Wrapped(20)),
        ("games", Side::Right),
        ("points", Side::Right),
        ("level", Side::Left),
        ("costly", Side::Right),
        ("worst", Side::Right),
        ("fell", Side::Right),
        ("found", Side::Right),
    ];
    if has_lines {
        columns.push(("left", Side::Right));
    }
    let mut table = TextTable::new(&columns);
    for answer in &answers.students {
        let points = answer.games.results.all().points();
        let of = |role: Role, number: fn(&TrapRow) -> u64| -> u64 {
            answer.traps.iter().filter(|trap| trap.role == role).map(number).sum()
        };
        let parts = |some: u64, all: u64| format!("{} of {}", count(some), count(all));
        let bands = answer.level.bands;
        let mut cells = vec![
            clean(&answer.name),
            count(answer.games.taken()),
            fixed(points, usize::from(points.fract() != 0.0)),
            format!("{}-{}", bands.from, bands.below - 1),
            count(answer.habits.len() as u64),
            match answer.habits.first() {
                Some(habit) => {
                    let view = Unit::Number.view(&habit.cost_per_100_games);
                    format!("{}\n{}\n{}", view.value(), view.interval(), view.counts())
                }
                None => "-".to_owned(),
            },
            parts(of(Role::Faced, |trap| trap.slipped), of(Role::Faced, |trap| trap.times)),
            parts(of(Role::Laid, |trap| trap.refuted), of(Role::Laid, |trap| trap.slipped)),
        ];
        if has_lines {
            let left = answer.repertoire.as_ref();
            cells.push(left.map_or("-".to_owned(), |left| {
                format!("{} + {}", count(left.by_student), count(left.by_opponent))
            }));
        }
        table.row(cells);
    }
    table.render()
}
