//! The pages of `trap`.

mod advice;
mod bands;
mod curve;
mod explain;
mod figures;
mod flat;
mod glossary;
mod sheet;
mod soundness;
mod summary;
mod sums;
mod table;
mod verdict;
mod victim;
mod view;

use std::io::{self, Write};

use super::words;
use crate::answers::trap::TrapAnswer;
use view::paragraph;

pub(super) use advice::erred;
pub(super) use figures::listing;
pub use flat::csv;
pub use glossary::advice_help;
pub(super) use glossary::glossary;
pub(super) use table::TABLE;
pub(super) use table::named;
pub use victim::{victim_csv, victim_text};
pub use view::View;

/// The judged traps for people: a sheet for a single one; for several tables, in the order of the
/// answer, and sheets if asked.
pub fn text<W: Write>(mut out: W, answer: &TrapAnswer, view: View) -> io::Result<()> {
    let traps = &answer.traps;
    let mut page = paragraph(&format!("Ratings and paces: {}.", words::filter(answer.filter)), 0);
    if traps.len() > 1 {
        page += &summary::text(traps);
    }
    let sheets = view.each || traps.len() == 1;
    for (index, trap) in traps.iter().enumerate().filter(|_| sheets) {
        let place = (traps.len() > 1).then_some(index + 1);
        page.push('\n');
        page += &sheet::text(trap, place, answer, view);
    }
    page.push('\n');
    footer(answer).iter().for_each(|note| page += &paragraph(note, 0));
    out.write_all(page.as_bytes())
}

fn footer(answer: &TrapAnswer) -> Vec<String> {
    let cutoffs = answer.cutoffs;
    let (common, occasional) = (cutoffs.common, cutoffs.occasional);
    let mut notes = vec![
        format!(
            "Slips in 1000 games that play for the trap: {common} or more is common, {occasional} to {common} \
             occasional, under {occasional} rare; the interval decides. `deadfall trap --help` says when to teach a trap."
        ),
        "Scores and edges are the setter's. Edge: how much better a side scores than the ratings promise, in percent of a point a game. \
         The ratings are those of the player who moves (`deadfall help figures`)."
            .into(),
        format!("{} Intervals [low, high] are 95 % (`deadfall help margins`).", words::ASSOCIATION),
    ];
    notes.push(words::as_good_as());
    notes.extend(words::limits(&answer.limits));
    notes
}

#[cfg(test)]
mod tests {
    use super::view::title;
    use super::*;
    use crate::answers::trap::TrapReport;
    use crate::pages::BoardStyle;
    use crate::pages::kit::{mean, printed, thin_trap, trap_answer, trap_report};

    const VIEW: View = View { each: true, board: BoardStyle::Ascii };

    #[test]
    fn several_traps_are_summed_up_first_in_the_order_of_the_answer() {
        let mut better = trap_report();
        (better.name, better.figures.net) = ("Better".into(), mean(61.0, 59.0, 63.0, 80));
        let answer = trap_answer(vec![better, trap_report(), thin_trap()]);
        let page = printed(|out| text(out, &answer, VIEW));
        let summary = page.split("\n1. Better (").next().expect("a first part");
        insta::assert_snapshot!(summary);
        let last = page.split("\n3. ").last().expect("a last sheet");
        insta::assert_snapshot!(last.split("\n\nSlips in").next().expect("a sheet"));
    }

    #[test]
    fn a_trap_without_a_name_is_called_by_its_opening_or_its_slip() {
        let mut trap = TrapReport { name: " ".into(), ..trap_report() };
        assert_eq!(title(&trap), "Philidor Defense");
        trap.opening = None;
        assert_eq!(title(&trap), "Bxd1 for White");
    }
}
