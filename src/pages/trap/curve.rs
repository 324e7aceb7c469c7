//! A trap over the ratings, thin bands joined, and its paces side by side.

use crate::answers::trap::{Curve, PaceRow, SlipBelow, Stretch};
use crate::pages::figures::{Reasons, Shown, Unit};
use crate::pages::layout::{Side, TextTable, paragraph};
use crate::pages::numbers::{count, counted, fixed};
use crate::pages::whisker::{AXIS, whisker};

/// The curves of a trap whose bands were joined, and the rating at which the slip rate falls below a level.
pub(super) fn text(curve: &Curve) -> String {
    let mut page = String::new();
    let joined =
        joins(&curve.slip_rate) || joins(&curve.find_rate) || joins(&curve.edge_after_slip);
    if joined {
        page += "Neighbouring bands joined by their counts until the sample suffices (+)\n\n";
        page += &rates("slip rate %", &curve.slip_rate);
        if !curve.find_rate.is_empty() {
            page.push('\n');
            page += &rates("find rate %", &curve.find_rate);
        }
        if !curve.edge_after_slip.is_empty() {
            page.push('\n');
            page += &edges(curve);
        }
    }
    if let Some(below) = &curve.slip_below {
        page += if joined { "\n" } else { "" };
        page += &paragraph(&slip_below(below), 0);
    }
    page
}

fn joins<T>(stretches: &[Stretch<T>]) -> bool {
    stretches.iter().any(|stretch| stretch.joined)
}

fn rated<T>(stretch: &Stretch<T>) -> String {
    let mark = if stretch.joined { "+" } else { "" };
    format!("{}-{}{mark}", stretch.from, stretch.below.saturating_sub(1))
}

fn rates(name: &str, stretches: &[Stretch<crate::answers::Rate>]) -> String {
    let mut table = TextTable::new(&[
        ("rated", Side::Left),
        (name, Side::Right),
        ("games", Side::Right),
        (AXIS, Side::Left),
    ]);
    let mut reasons = Reasons::default();
    for stretch in stretches {
        let shown = Shown::from(&stretch.figure);
        reasons.note(shown);
        let drawn = match (shown.value, shown.low, shown.high) {
            (Some(value), Some(low), Some(high)) => whisker(value, low, high),
            _ => String::new(),
        };
        table.row(vec![rated(stretch), shown.line(Unit::Percent), shown.count(), drawn]);
    }
    closed(table, &reasons)
}

fn edges(curve: &Curve) -> String {
    let mut table = TextTable::new(&[
        ("rated", Side::Left),
        ("edge after slip %", Side::Right),
        ("games", Side::Right),
    ]);
    let mut reasons = Reasons::default();
    for stretch in &curve.edge_after_slip {
        let shown = Shown::from(&stretch.figure);
        reasons.note(shown);
        table.row(vec![rated(stretch), shown.line(Unit::Edge), shown.count()]);
    }
    closed(table, &reasons)
}

fn closed(table: TextTable, reasons: &Reasons) -> String {
    let reasons = reasons.sentence().map_or(String::new(), |note| paragraph(&note, 0));
    format!("{}{reasons}", table.render())
}

fn slip_below(below: &SlipBelow) -> String {
    let level = format!("{} %", fixed(100.0 * below.level, 1).trim_end_matches(".0"));
    let games = counted(below.n, "game");
    if let Some(why) = &below.withheld {
        return format!("The rating from which fewer than {level} slip is withheld: {why}.");
    }
    let end = |rating: Option<u16>| rating.map_or("not reached".to_owned(), |r| r.to_string());
    let interval = format!("[{}, {}]", end(below.low), end(below.high));
    let fit = format!("{interval}, {games}; by a fit that never rises with the rating");
    match below.value {
        Some(rating) => format!("Fewer than {level} slip from rating {rating} on ({fit})."),
        None => format!("A slip rate below {level} is not reached at these ratings ({fit})."),
    }
}

/// One column a pace.
pub(super) fn paces(rows: &[PaceRow]) -> String {
    let mut columns = vec![("by pace".to_owned(), Side::Left)];
    columns.extend(rows.iter().map(|row| (row.pace.to_string(), Side::Right)));
    let mut table = TextTable::new(&columns).with_gaps();
    let mut reasons = Reasons::default();
    let mut line = |name: &str, cells: Vec<(Shown<'_>, Unit)>| {
        let mut texts = vec![name.to_owned()];
        for (shown, unit) in cells {
            reasons.note(shown);
            texts.push(shown.stack(unit));
        }
        table.row(texts);
    };
    let each = |of: &dyn for<'a> Fn(&'a PaceRow) -> Shown<'a>, unit: Unit| {
        rows.iter().map(|row| (of(row), unit)).collect::<Vec<_>>()
    };
    line("occurrence", each(&|row| (&row.figures.occurrence).into(), Unit::OneIn));
    line("steered", each(&|row| (&row.figures.steered).into(), Unit::OneIn));
    line("slip rate", each(&|row| (&row.figures.slip_rate).into(), Unit::Percent));
    line("find rate", each(&|row| (&row.figures.find_rate).into(), Unit::Percent));
    line("edge after slip", each(&|row| (&row.figures.edge_after_slip).into(), Unit::Edge));
    line("net", each(&|row| (&row.figures.net).into(), Unit::Points));
    let mut games = vec!["games".to_owned()];
    games.extend(rows.iter().map(|row| count(row.figures.games)));
    table.row(games);
    closed(table, &reasons)
}
