//! The counts behind the figures, and how each figure is worked out from them.

use super::sums::{Sums, number};
use super::table::TABLE;
use super::view::{WIDTH, paragraph};
use crate::answers::trap::{CellSum, Explanation, PositionEffect, TrapReport};
use crate::pages::fitted::FittedTable;
use crate::pages::layout::Side;
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
        let said = "Steered in any order, the last choices first: the line's moves in each position as games / all games";
        page += &format!("\n{}\n", paragraph(said, 0));
        for order in &explanation.orders {
            let moves = order.moves.iter().map(|mv| format!("{} {}/{}", mv.uci, mv.k, order.n));
            let moves: Vec<String> = moves.collect();
            page += &paragraph(&format!("{}: {}", order.key, moves.join(", ")), 4);
        }
    }
    page
}

/// By how much the counts are divided for an interval.
pub(super) fn effects(effects: &[PositionEffect]) -> String {
    let right = |head| vec![(head, Side::Right)];
    let mut table = FittedTable::new(vec![
        vec![("key", Side::Left)],
        right("games"),
        right("games a player"),
        right("D of shares"),
        right("D of scores"),
        right("D of seconds"),
    ]);
    for effect in effects {
        let numbers = [effect.games_a_player, effect.shares, effect.scores, effect.seconds];
        let mut row = vec![vec![effect.key.clone()], vec![count(effect.n)]];
        row.extend(numbers.map(|number| vec![format!("{number:.3}")]));
        table.row(row);
    }
    let said = "How much the games tell: an interval is that of the counts divided by D, with Student's quantile 2.0395; D comes from the \
         games of 32 groups of players (`export --groups`). What follows several slips is one sample, with one D of its own.";
    format!("\n{}\n{}", paragraph(said, 0), table.render(WIDTH))
}

fn sums(sums: &[CellSum]) -> String {
    let right = |head| vec![(head, Side::Right)];
    let mut table = FittedTable::new(vec![
        vec![("", Side::Left)],
        vec![("key", Side::Left)],
        vec![("moves", Side::Wrapped(16))],
        vec![("bands", Side::Left)],
        right("games"),
        right("wins"),
        right("draws"),
        right("losses"),
        right("expected"),
        right("ordinary"),
        right("clock"),
    ]);
    let mut places = String::new();
    let mut last = None;
    for sum in sums {
        let bands = sum.from.zip(sum.below);
        let bands = bands.map_or("-".into(), |(from, below)| format!("{from}-{}", below - 1));
        let cells = [
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
        ];
        table.row(cells.map(|cell| vec![cell]).to_vec());
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
    format!("{places}\n{}", table.render(WIDTH))
}
