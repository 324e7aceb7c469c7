//! The file with its gaps put in.

use super::phrases::{met, whole_line};
use crate::answers::Figure;
use crate::answers::gaps::{Gap, GapsAnswer};
use crate::lines::{Insertion, Prepared};
use crate::pages::numbers::{count, fixed};
use crate::pages::words;

/// `text`, from which `file` was read, with every gap that is told as a variation, the move and the
/// usual reply, and its figures in a tag of the game. Whatever else stands in the text stays. Read
/// again, it is a file of prepared lines.
pub fn pgn(text: &str, file: &Prepared, answer: &GapsAnswer) -> String {
    let insertions: Vec<Insertion> = answer
        .gaps
        .iter()
        .map(|gap| {
            let (movetext, said) = variation(gap, answer);
            Insertion { place: gap.place, movetext, said }
        })
        .collect();
    file.with_variations(text, &insertions)
}

/// The moves, and what is said of them.
fn variation(gap: &Gap, answer: &GapsAnswer) -> (String, String) {
    let other = words::side(answer.side.other());
    let played = format!("{} of {} play it", count(gap.games), count(gap.share.n));
    let comment =
        format!("{}: {}; {played}; {other} {}", whole_line(gap), met(&gap.met), scores(&gap.score));
    let Some(usual) = gap.usual() else {
        return (gap.mv.numbered.clone(), comment);
    };
    let number = gap.ply.div_ceil(2);
    let number = match answer.side.is_white() {
        true => format!("{}.", number + 1),
        false => format!("{number}..."),
    };
    let row = &usual.row;
    let mut reply = format!(
        "the usual reply is {}, {} of {}, {}",
        words::numbered_from(&gap.fen, 1, &row.san),
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
    (format!("{} {number} {}", gap.mv.numbered, row.san), format!("{comment}; {reply}"))
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
