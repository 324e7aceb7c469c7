//! The counts behind the figures, and how each figure is worked out from them.

use super::sums::{Sums, number};
use super::table::TABLE;
use crate::answers::trap::{CellSum, Explanation, PositionEffect, TrapReport};
use crate::pages::layout::{Side, TextTable, paragraph};
use crate::pages::numbers::count;
use crate::pages::words::{clean, side};

/// The sums with their labels, then each figure's fraction.
pub(super) fn text(trap: &TrapReport, explanation: &Explanation) -> String {
    let mut page = String::from(
        "Counts behind the figures (results and expected points of the side to move)\n\n",
    );
    page += &sums(&explanation.sums);
    page += &paragraph(
        "Each line is what `moves` shows for that position, and the sum of what `export` lists for that key; the totals are those \
         of `export --totals`. Ordinary: what that colour scores above expectation over all games of the same bands and paces.",
        0,
    );
    page += &effects(&explanation.effects);
    page += "\nFigures\n\n";
    let sums = Sums { trap, explanation };
    for figure in &TABLE {
        let (formula, value) = ((figure.formula)(&sums), number(figure.of_trap(trap)));
        let line = format!("{} = {formula} = {value} ({})", figure.path, figure.interval);
        page += &paragraph(&line, 4);
    }
    if !explanation.orders.is_empty() {
        page += "\nSteered in any order, the last choices first: the line's moves in each position as games / all games\n\n";
        for order in &explanation.orders {
            let moves = order.moves.iter().map(|mv| format!("{} {}/{}", mv.uci, mv.k, order.n));
            let moves: Vec<String> = moves.collect();
            page += &paragraph(&format!("{}: {}", order.key, moves.join(", ")), 4);
        }
    }
    page
}

/// By how much the counts are divided for an interval.
fn effects(effects: &[PositionEffect]) -> String {
    let mut table = TextTable::new(&[
        ("key", Side::Left),
        ("games", Side::Right),
        ("games a player", Side::Right),
        ("D of shares", Side::Right),
        ("D of scores", Side::Right),
        ("D of seconds", Side::Right),
    ]);
    for effect in effects {
        let numbers = [effect.games_a_player, effect.shares, effect.scores, effect.seconds];
        let numbers = numbers.map(|number| format!("{number:.3}"));
        table.row([vec![effect.key.clone(), count(effect.n)], numbers.to_vec()].concat());
    }
    let said = "How much the games tell: an interval is that of the counts divided by D, with Student's quantile 2.0395; D comes from the \
         games of 32 groups of players (`export --groups`).";
    format!("\n{}\n{}", paragraph(said, 0), table.render())
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
            count(sum.clock.games),
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
