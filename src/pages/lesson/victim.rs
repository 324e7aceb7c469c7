//! The sheet of a trap for those who face it.

use maud::{Markup, html};

use super::advice::verdict;
use super::figure::{Unit, counted, markup};
use super::numbered;
use super::sheet::Sheet;
use crate::answers::moves::MoveRow;
use crate::answers::trap::{Earlier, VictimReport};
use crate::lines::{Line, MarkedSlip};

/// How many moves are told of the trap position, and of a choice before it.
const INSTEAD: usize = 5;
const BEFORE: usize = 2;

impl Sheet<'_> {
    /// Whether it catches players of the level.
    pub(super) fn catches(&self) -> Markup {
        let about = self.sentences;
        html! {
            div.verdict {
                h3 { (self.words.victim_intro) }
                p.advice { strong { (about.own_slips()) } }
                p { @for sentence in about.all() { (sentence) " " } }
                p.sound { (verdict(self.material, self.words)) }
            }
        }
    }

    /// The moves in the trap position, best first.
    pub(super) fn instead(&self, victim: &VictimReport) -> Markup {
        let (words, trap) = (self.words, &self.material.trap);
        let slips: Vec<String> = trap.slips().iter().map(MarkedSlip::san).collect();
        let before = trap.line().first(trap.slip_ply());
        // Every slip is told, however bad its place.
        let (bad, good): (Vec<&MoveRow>, Vec<&MoveRow>) =
            victim.instead.iter().partition(|row| slips.contains(&row.san));
        let good = good.into_iter().filter(|row| !self.material.left_worse.contains(&row.uci));
        let rows = good.take(INSTEAD - 1).chain(bad);
        html! {
            section.part {
                h3 { (words.instead) }
                @if victim.instead.is_empty() {
                    p { (words.instead_none(self.level)) }
                } @else {
                    p { (words.instead_intro(self.level, self.victim)) }
                    div.scroll tabindex="0" role="group" aria-label=(words.instead) {
                        table {
                            thead { tr {
                                th scope="col" { (words.instead_move(self.victim)) }
                                th scope="col" { (words.played) }
                                th scope="col" { (words.your_edge) }
                            } }
                            tbody { @for row in rows { tr {
                                th scope="row" {
                                    (words.san(&written(&before, row)))
                                    @if slips.contains(&row.san) { " (" (words.instead_slip) ")" }
                                }
                                td { (counted(&row.share, Unit::Percent, words)) }
                                td { (markup(&row.edge, Unit::Edge, words)) }
                            } } }
                        }
                    }
                }
            }
        }
    }

    /// The last choice on the way at which moves are better than the line's beyond chance: their
    /// margins lie above its own.
    pub(super) fn avoid(&self, victim: &VictimReport) -> Markup {
        let words = self.words;
        // None where there are too few games to compare.
        let better = |earlier: &Earlier| -> Option<Vec<MoveRow>> {
            let of_line = |row: &&MoveRow| earlier.san.ends_with(&format!(".{}", row.san));
            let line = earlier.moves.iter().find(of_line)?;
            let line = line.edge.value.and(line.edge.high)?;
            let advised = |row: &&MoveRow| !of_line(row) && !earlier.left_worse.contains(&row.uci);
            let others = earlier.moves.iter().filter(advised);
            let known: Vec<_> =
                others.filter_map(|row| Some((row, row.edge.value.and(row.edge.low)?))).collect();
            let better = known.iter().filter(|(_, low)| *low > line).take(BEFORE);
            (!known.is_empty()).then(|| better.map(|(row, _)| (*row).clone()).collect())
        };
        let choices: Vec<(&Earlier, Option<Vec<MoveRow>>)> =
            victim.earlier.iter().map(|earlier| (earlier, better(earlier))).collect();
        let told = choices.iter().find_map(|(earlier, moves)| {
            Some((earlier, moves.as_ref().filter(|moves| !moves.is_empty())?))
        });
        let item = |earlier: &Earlier, moves: &[MoveRow]| {
            let number = earlier.san.trim_end_matches(|c: char| c != '.');
            let moves = html! {
                @for (place, row) in moves.iter().enumerate() {
                    @if place > 0 { (words.semicolon) }
                    @let mv = html! { b { (words.san(&format!("{number}{}", row.san))) } };
                    (words.other_side_move(mv, markup(&row.edge, Unit::Edge, words), &words.games(row.edge.n)))
                }
            };
            words.avoid_before(words.san(&earlier.san), moves)
        };
        html! {
            section.part {
                h3 { (words.avoid) }
                @if let Some((earlier, moves)) = told {
                    ul { li { (item(earlier, moves)) } }
                } @else if choices.iter().any(|(_, moves)| moves.is_none()) {
                    p { (words.avoid_few) }
                } @else {
                    p { (words.avoid_none) }
                }
            }
        }
    }
}

/// The move of a row with its number.
pub(super) fn written(before: &Line, row: &MoveRow) -> String {
    let mut line = before.clone();
    line.play_written(&row.uci).expect("a row of the table is a legal move");
    numbered(&line, before.len())
}
