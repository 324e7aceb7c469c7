//! The line of a trap as its author wrote it, with comments and variations.

use maud::{Markup, html};
use shakmaty::Position;

use super::figure::{Unit, of_many};
use super::marks::glyph;
use super::sheet::Sheet;
use super::text::words_of;
use super::{numbered, refuting};
use crate::answers::Figure;
use crate::lines::{Script, Trap, WrittenMove};
use crate::pages::languages::Language;

/// The moves of the line in bold, its author's words behind them.
fn moves(trap: &Trap, words: &Language) -> Markup {
    trap.script().map_or_else(|| bare(trap, words), |script| scripted(script, words))
}

/// The moves and their marks alone.
pub(super) fn bare(trap: &Trap, words: &Language) -> Markup {
    match trap.script() {
        Some(script) => html! {
            @for mv in &script.moves { b { (move_text(mv, false, words)) } " " }
        },
        None => html! {
            @for ply in 0..trap.line().len() {
                b {
                    @if ply.is_multiple_of(2) { (words.san(&numbered(trap.line(), ply))) }
                    @else { (words.san(&trap.line().san(ply))) }
                    @if ply == trap.slip_ply() { "??" }
                }
                " "
            }
        },
    }
}

fn scripted(script: &Script, words: &Language) -> Markup {
    html! {
        @for comment in &script.before { (said(comment)) " " }
        (one_after_another(&script.moves, true, words))
        @if script.cut { "\u{2026}" }
    }
}

fn one_after_another(moves: &[WrittenMove], bold: bool, words: &Language) -> Markup {
    let behind = |place: usize| {
        let before: Option<&WrittenMove> = place.checked_sub(1).map(|before| &moves[before]);
        before.is_none_or(|before| !before.comments.is_empty() || !before.variations.is_empty())
    };
    html! {
        @for (place, mv) in moves.iter().enumerate() {
            @if place > 0 { " " }
            @for comment in &mv.before { (said(comment)) " " }
            @let text = move_text(mv, behind(place), words);
            @if bold { b { (text) } } @else { span.mv { (text) } }
            @for comment in &mv.comments { " " (said(comment)) }
            @for variation in &mv.variations {
                " " span.variation { "(" (one_after_another(variation, false, words)) ")" }
            }
        }
    }
}

/// `5.Nxf7??`; Black's with its number where something stood before it.
fn move_text(mv: &WrittenMove, interrupted: bool, words: &Language) -> String {
    let number = mv.ply / 2 + 1;
    let number = match (mv.ply.is_multiple_of(2), interrupted) {
        (true, _) => format!("{number}."),
        (false, true) => format!("{number}..."),
        (false, false) => String::new(),
    };
    let marks: Vec<String> = mv.marks.iter().map(|mark| words_of(&glyph(mark))).collect();
    let glued = |mark: &String| mark.starts_with(['!', '?']);
    let (close, apart): (Vec<&String>, Vec<&String>) = marks.iter().partition(|mark| glued(mark));
    let close: String = close.into_iter().map(String::as_str).collect();
    let apart: String = apart.into_iter().map(|mark| format!(" {mark}")).collect();
    format!("{number}{}{close}{apart}", words.san(&mv.san))
}

/// Words of the author.
fn said(comment: &str) -> Markup {
    html! { em.note { bdi { (words_of(comment)) } } }
}

impl Sheet<'_> {
    /// The line, and what belongs to it, under a heading or not.
    pub(super) fn line(&self, headed: bool) -> Markup {
        let (trap, words) = (&self.material.trap, self.words);
        let others = self.others();
        html! {
            section.part {
                @if headed { h3 { (words.the_line) } }
                p.line {
                    (moves(trap, words))
                    @if trap.line().end().is_checkmate() {
                        " " (words.mates)
                        @if self.material.report.soundness.mate_is_avoidable() { " " (words.mate_not_forced) }
                    }
                }
                @for script in trap.other_scripts().filter(|script| script.says_anything()) {
                    p.line { (scripted(script, words)) }
                }
                @if !others.is_empty() { ul.others { @for other in others { li { (other) } } } }
            }
        }
    }

    /// Further refutations of the line's slip, further slips with theirs, and other ways to
    /// the position.
    fn others(&self) -> Vec<Markup> {
        let (trap, report, words) = (&self.material.trap, &self.material.report, self.words);
        let share = |figure| of_many(figure, Unit::Percent, words);
        let known = report.refutations.iter().flat_map(|moves| &moves.moves);
        // The answers have the refutations of each slip in their order here.
        let mut known = known.map(|mv| &mv.share);
        let mut said = Vec::new();
        for (place, slip) in trap.slips().iter().enumerate() {
            let found: Vec<(String, Option<&Figure>)> =
                refuting(slip).into_iter().map(|mv| (mv, known.next())).collect();
            if place == 0 {
                for (mv, figure) in found.iter().skip(1) {
                    let Some(figure) = figure else { continue };
                    let mv = html! { b { (words.san(mv)) } };
                    said.push(words.other_refutation(mv, share(figure)));
                }
                continue;
            }
            let Some(own) = report.slips.as_ref().and_then(|slips| slips.moves.get(place)) else {
                continue;
            };
            let refutations = html! {
                @for (index, (mv, figure)) in found.iter().enumerate() {
                    @if index > 0 { ", " }
                    b { (words.san(mv)) } @if let Some(figure) = figure { " " (of_many(figure, Unit::Percent, words)) }
                }
            };
            let mv = html! { b { (words.san(&numbered(slip.line(), trap.slip_ply()))) "??" } };
            said.push(words.other_slip(mv, share(&own.share), refutations));
        }
        let ways = report.other_ways.iter();
        said.extend(ways.map(|way| words.other_ways(words.san(way))));
        said
    }
}
