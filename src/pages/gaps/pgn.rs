//! The file with its gaps put in.

use super::phrases::met;
use crate::answers::Figure;
use crate::answers::gaps::{Gap, GapsAnswer};
use crate::lines::{Insertion, Prepared};
use crate::pages::numbers::{count, fixed};
use crate::pages::words;

/// `text`, from which `file` was read, with every gap that is told as a variation: the move with its figures as a comment, and
/// the usual reply with its own. Whatever else stands in the text stays. Read again, it is a file of prepared lines.
pub fn pgn(text: &str, file: &Prepared, answer: &GapsAnswer) -> String {
    let insertions: Vec<Insertion> = answer
        .gaps
        .iter()
        .map(|gap| Insertion { place: gap.place, movetext: movetext(gap, answer) })
        .collect();
    file.with_variations(text, &insertions)
}

fn movetext(gap: &Gap, answer: &GapsAnswer) -> String {
    let other = words::side(answer.side.other());
    let played = format!("{} of {} play it", count(gap.games), count(gap.share.n));
    let comment = format!("gap, {}; {played}; {other} {}", met(&gap.met), scores(&gap.score));
    let Some(usual) = gap.usual() else {
        return format!("{} {{{comment}}}", gap.mv.numbered);
    };
    let number = gap.ply.div_ceil(2);
    let number = match answer.side.is_white() {
        true => format!("{}.", number + 1),
        false => format!("{number}..."),
    };
    let row = &usual.row;
    let mut reply = format!(
        "the usual reply, {} of {}, {}",
        count(row.games),
        count(row.share.n),
        scores(&row.score)
    );
    if let Some(best) = gap.best() {
        let best = &best.row;
        let games = format!("{} of {}", count(best.games), count(best.share.n));
        reply += &format!(
            "; best is {}, {games}, {}",
            words::numbered_from(&gap.fen, 1, &best.san),
            scores(&best.score)
        );
    }
    format!("{} {{{comment}}} {number} {} {{{reply}}}", gap.mv.numbered, row.san)
}

/// `scores 48.2 % (45.4 to 51.0)`. A square bracket at the start of a line would look like a tag.
fn scores(score: &Figure) -> String {
    match (score.value, score.low, score.high) {
        (Some(value), Some(low), Some(high)) => {
            let [value, low, high] = [value, low, high].map(|end| fixed(100.0 * end, 1));
            format!("scores {value} % ({low} to {high})")
        }
        _ => "has too few games for a score".to_owned(),
    }
}
