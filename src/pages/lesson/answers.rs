//! What to do when the victim does not slip, and what the victim should have played.

use maud::{Markup, html};

use super::figure::{Unit, counted, markup, why};
use super::numbered;
use super::sheet::Sheet;
use crate::answers::lesson::OtherAnswer;
use crate::answers::moves::{MoveRow, best_reply};
use crate::lines::MarkedSlip;

/// How many moves are named to the other side.
const ADVICE: usize = 3;

impl Sheet<'_> {
    pub(super) fn not_slip(&self) -> Markup {
        let (answers, words) = (&self.material.answers, self.words);
        let price = &self.material.report.figures.price;
        let price = match price.value {
            Some(_) if price.may_be_zero() => {
                words.price_open(markup(price, Unit::EdgeTurned, words))
            }
            // A trap that is no worse than the other moves costs nothing.
            Some(points) if points < 0.0 => {
                words.price_gain(markup(price, Unit::EdgeTurned, words))
            }
            Some(_) => words.price(markup(price, Unit::EdgeTurned, words)),
            None => words.price_unknown(&why(price, words)),
        };
        html! {
            section.part {
                h3 { (words.not_slip) }
                @if answers.is_empty() {
                    p { (words.not_slip_none) }
                } @else {
                    p { (words.not_slip_intro(self.victim)) }
                    div.scroll tabindex="0" role="group" aria-label=(words.not_slip) {
                        table {
                            thead { tr {
                                th scope="col" { (words.answer(self.victim)) }
                                th scope="col" { (words.played) }
                                th scope="col" { (words.your_edge) }
                                th scope="col" { (words.usual_reply) }
                                th scope="col" { (words.best_reply) }
                            } }
                            tbody { @for answer in answers { (self.answer(answer)) } }
                        }
                    }
                }
                p { (price) }
            }
        }
    }

    fn answer(&self, answer: &OtherAnswer) -> Markup {
        let words = self.words;
        let row = &self.material.victims.moves[answer.row];
        let worse = |reply: &MoveRow| answer.left_worse.contains(&reply.uci);
        let usual = answer.replies.moves.first();
        let best = best_reply(&answer.replies.moves, |row| &row.edge).filter(|reply| !worse(reply));
        let reply_ply = answer.line.len();
        let written = |reply: &MoveRow| {
            let mut line = answer.line.clone();
            line.play_written(&reply.uci).expect("a row of the table is a legal move");
            words.san(&numbered(&line, reply_ply))
        };
        html! {
            tr {
                th scope="row" { (words.san(&numbered(&answer.line, reply_ply - 1))) }
                td { (counted(&row.share, Unit::Percent, words)) }
                td { (markup(&row.edge, Unit::EdgeTurned, words)) }
                td { @match usual {
                    Some(reply) => {
                        (written(reply)) " " (counted(&reply.share, Unit::Percent, words))
                        @if worse(reply) { (words.semicolon) (words.reply_worse) }
                    }
                    None => { (words.game_over) }
                } }
                td { @match best {
                    Some(reply) => { b { (written(reply)) } " " (markup(&reply.edge, Unit::Edge, words)) }
                    None => @match usual.filter(|reply| reply.edge.value.is_some()) {
                        Some(reply) => { (words.no_better_reply(markup(&reply.edge, Unit::Edge, words))) }
                        None => { (words.too_few_to_tell) }
                    }
                } }
            }
        }
    }

    /// What the victim should have played.
    pub(super) fn other_side(&self) -> Markup {
        let (trap, words) = (&self.material.trap, self.words);
        let slips: Vec<String> = trap.slips().iter().map(MarkedSlip::san).collect();
        let before = trap.line().first(trap.slip_ply());
        let item = |row: &MoveRow| {
            let mut line = before.clone();
            line.play_written(&row.uci).expect("a row of the table is a legal move");
            let mv = html! { b { (words.san(&numbered(&line, before.len()))) } };
            (mv, markup(&row.edge, Unit::Edge, words), words.games(row.edge.n))
        };
        let mut others: Vec<&MoveRow> = self.material.victims.moves.iter().collect();
        let advised = |row: &MoveRow| {
            !slips.contains(&row.san) && !self.material.left_worse.contains(&row.uci)
        };
        others.retain(|row| advised(row) && row.edge.low.is_some());
        others.sort_by(|a, b| b.edge.low.unwrap_or(0.0).total_cmp(&a.edge.low.unwrap_or(0.0)));
        let slipped = self.material.victims.moves.iter();
        let slipped = slipped.filter(|row| slips.contains(&row.san) && row.edge.value.is_some());
        html! {
            section.part {
                h3 { (words.other_side) }
                @if others.is_empty() {
                    p { (words.other_side_unknown(self.victim)) }
                } @else {
                    p { (words.other_side_intro(self.victim)) }
                    ul {
                        @for row in others.into_iter().take(ADVICE) {
                            @let (mv, edge, games) = item(row);
                            li { (words.other_side_move(mv, edge, &games)) }
                        }
                        @for row in slipped {
                            @let (mv, edge, games) = item(row);
                            li { (words.other_side_slip(mv, edge, &games)) }
                        }
                    }
                }
            }
        }
    }
}
