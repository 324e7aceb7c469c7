//! A trap over the ratings, thin bands joined, and its paces side by side.

use super::bands::drawn;
use super::figures::{below, with_games};
use super::table::named;
use super::view::paragraph;
use crate::answers::trap::{Curve, PaceRow, SlipBelow, Stretch};
use crate::pages::figures::{Reasons, Unit, reason};
use crate::pages::fitted::FittedTable;
use crate::pages::layout::Side;
use crate::pages::numbers::{count, counted, fixed};
use crate::pages::whisker::AXIS;

/// The curves of a trap whose bands were joined, and the rating at which the slip rate falls
/// below a level.
pub(super) fn text(curve: &Curve) -> String {
    let mut page = String::new();
    let joined =
        joins(&curve.slip_rate) || joins(&curve.find_rate) || joins(&curve.edge_after_slip);
    if joined {
        page += "Neighbouring bands joined by their counts until 50 games are together (+)\n\n";
        let tables = [
            ("slip rate %", Unit::Share, &curve.slip_rate),
            ("find rate %", Unit::Share, &curve.find_rate),
            ("edge after slip %", Unit::Edge, &curve.edge_after_slip),
        ];
        let tables = tables.into_iter().enumerate();
        // The slip rate is there in any case.
        let tables = tables.filter(|(place, (.., rows))| *place == 0 || !rows.is_empty());
        let tables = tables.map(|(_, (name, unit, rows))| stretches(name, unit, rows));
        page += &tables.collect::<Vec<_>>().join("\n");
    }
    if let Some(below) = &curve.slip_below {
        page += if joined { "\n" } else { "" };
        page += &paragraph(&slip_below(below), 0);
    }
    page
}

fn joins(stretches: &[Stretch]) -> bool {
    stretches.iter().any(|stretch| stretch.joined)
}

fn stretches(name: &str, unit: Unit, stretches: &[Stretch]) -> String {
    let mut figures = with_games(name, "games");
    figures.extend(unit.is_share().then_some((AXIS, Side::Left)));
    let mut table = FittedTable::new(vec![vec![("rated", Side::Left)], figures]);
    let mut reasons = Reasons::default();
    for stretch in stretches {
        reasons.note(&stretch.figure);
        let view = unit.view(&stretch.figure);
        let mark = if stretch.joined { "+" } else { "" };
        let rated = format!("{}-{}{mark}", stretch.from, stretch.below.saturating_sub(1));
        let mut row = vec![view.line(), view.counts()];
        row.extend(unit.is_share().then(|| drawn(&stretch.figure)));
        table.row(vec![vec![rated], row]);
    }
    below(&reasons, table)
}

fn slip_below(below: &SlipBelow) -> String {
    let level = format!("{} %", fixed(100.0 * below.level, 1).trim_end_matches(".0"));
    let as_good = below.n_eff.round() as u64;
    let as_good = (as_good < below.n).then(|| format!(" (as good as {})", count(as_good)));
    let games = counted(below.n, "game") + &as_good.unwrap_or_default();
    if let Some(why) = &below.withheld {
        return format!(
            "From which rating on fewer than {level} slip can't be said: {}.",
            reason(why)
        );
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
    let mut columns = vec![vec![("by pace", Side::Left)]];
    columns.extend(rows.iter().map(|row| vec![(row.pace.name(), Side::Right)]));
    let mut table = FittedTable::new(columns).with_gaps();
    let mut reasons = Reasons::default();
    let keys =
        ["occurrence", "steered", "slip_rate", "find_rate", "edge_after_slip", "net_per_1000"];
    for figure in keys.map(named) {
        let mut texts = vec![vec![figure.name.to_owned()]];
        for known in rows.iter().filter_map(|row| figure.of(&row.figures)) {
            reasons.note(known);
            texts.push(vec![figure.view(known).stack()]);
        }
        table.row(texts);
    }
    let games = rows.iter().map(|row| vec![count(row.figures.games)]);
    table.row(std::iter::once(vec!["games".to_owned()]).chain(games).collect());
    below(&reasons, table)
}
