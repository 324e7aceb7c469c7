//! The counts behind the figures.

use crate::answers::trap::{CellSum, Explanation};
use crate::pages::layout::{PAGE_WIDTH, Side, TextTable, paragraph};
use crate::pages::numbers::count;
use crate::pages::words::{clean, side};

/// The sums with their labels, then each figure's fraction.
pub(super) fn text(explanation: &Explanation) -> String {
    let mut page = String::from(
        "Counts behind the figures (results and expected points of the side to move)\n\n",
    );
    page += &sums(&explanation.sums);
    page += &paragraph(
        "Each line is what `moves` shows for that position, and the sum of what `export` lists for that key; the totals are those \
         of `export --totals`. Ordinary: what that colour scores above expectation over all games of the same bands and paces.",
        0,
    );
    page += "\nFigures\n\n";
    for step in &explanation.steps {
        let value = step.value.map_or("withheld".into(), |value| format!("{value:.5}"));
        page +=
            &broken(&format!("{} = {} = {value} ({})", step.figure, step.formula, step.interval));
    }
    if !explanation.orders.is_empty() {
        page += "\nSteered in any order, the last choices first: the line's moves in each position as games / all games\n\n";
        explanation.orders.iter().for_each(|order| page += &paragraph(order, 4));
    }
    page
}

fn broken(text: &str) -> String {
    debug_assert!(PAGE_WIDTH > 40);
    paragraph(text, 4)
}

fn sums(sums: &[CellSum]) -> String {
    let mut table = TextTable::new(&[
        ("", Side::Left),
        ("key", Side::Left),
        ("moves", Side::Wrapped(16)),
        ("bands", Side::Left),
        ("games", Side::Right),
        ("wins", Side::Right),
        ("draws", Side::Right),
        ("losses", Side::Right),
        ("expected", Side::Right),
        ("ordinary", Side::Right),
        ("clock", Side::Right),
    ]);
    let mut places = String::new();
    let mut last = None;
    for sum in sums {
        let bands = sum.from.zip(sum.below);
        let bands = bands.map_or("-".into(), |(from, below)| format!("{from}-{}", below - 1));
        table.row(vec![
            sum.label.clone(),
            sum.key.clone().unwrap_or_else(|| format!("totals of {}", side(sum.mover))),
            clean(&sum.moves),
            bands,
            count(sum.games),
            count(sum.wins),
            count(sum.draws),
            count(sum.losses),
            format!("{:.3}", sum.expected_milli as f64 / 1000.0),
            format!("{:.3}", sum.ordinary),
            count(sum.clock[0]),
        ]);
        if let Some(key) = sum.key.as_ref().filter(|key| last != Some(*key)) {
            let after = match sum.position.is_empty() {
                true => "the initial position".to_owned(),
                false => format!("after {}", clean(&sum.position)),
            };
            let paces: Vec<&str> = sum.paces.iter().map(|pace| pace.name()).collect();
            let paces = if paces.is_empty() { "no games".into() } else { paces.join(", ") };
            places +=
                &paragraph(&format!("{key}: {after}, {} to move ({paces})", side(sum.mover)), 4);
            last = Some(key);
        }
    }
    format!("{places}\n{}", table.render())
}
