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

    /// Choices on the way whose whole margin lies above the edge of the line's; where that is not known, above what the ratings promise.
    pub(super) fn avoid(&self, victim: &VictimReport) -> Markup {
        let words = self.words;
        let better = |earlier: &Earlier| -> Vec<MoveRow> {
            let of_line = |row: &&MoveRow| earlier.san.ends_with(&format!(".{}", row.san));
            let line = earlier.moves.iter().find(of_line).and_then(|row| row.edge.value);
            let better = |row: &&MoveRow| {
                let advised = !of_line(row) && !earlier.left_worse.contains(&row.uci);
                let known = row.edge.value.and(row.edge.low);
                advised && known.is_some_and(|low| low > line.unwrap_or(0.0))
            };
            earlier.moves.iter().filter(better).take(BEFORE).cloned().collect()
        };
        let choices: Vec<(&Earlier, Vec<MoveRow>)> =
            victim.earlier.iter().map(|earlier| (earlier, better(earlier))).collect();
        let told = choices.iter().filter(|(_, moves)| !moves.is_empty());
        let item = |earlier: &Earlier, moves: &[MoveRow]| {
            let number = earlier.san.trim_end_matches(|c: char| c != '.');
            let moves = html! {
                @for (place, row) in moves.iter().enumerate() {
                    @if place > 0 { "; " }
                    @let mv = html! { b { (words.san(&format!("{number}{}", row.san))) } };
                    (words.other_side_move(mv, markup(&row.edge, Unit::Edge, words), &words.games(row.edge.n)))
                }
            };
            words.avoid_before(words.san(&earlier.san), moves)
        };
        html! {
            section.part {
                h3 { (words.avoid) }
                @if choices.iter().any(|(_, moves)| !moves.is_empty()) {
                    ul { @for (earlier, moves) in told { li { (item(earlier, moves)) } } }
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
