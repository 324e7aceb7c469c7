//! The pages of `gaps`.

mod flat;
mod map;
mod pgn;
mod phrases;
mod tables;

use std::io::{self, Write};

use phrases::half_move;

use super::layout::paragraph;
use super::numbers::{count, counted};
use super::words;
use crate::answers::gaps::{GapsAnswer, Own};
use crate::counts::Lacking;

pub use flat::csv;
pub use map::svg;
pub use pgn::pgn;

/// The answer for people: how much is answered, by half-move, the gaps with what the level replies,
/// what could go.
pub fn text<W: Write>(mut out: W, answer: &GapsAnswer) -> io::Result<()> {
    let mut page = String::new();
    head(answer).iter().for_each(|note| page += &paragraph(note, 0));
    page.push('\n');
    page += &tables::shares(answer);
    page += &left_by(answer).map_or(String::new(), |said| paragraph(&said, 0));
    page += &tables::by_ply(answer);
    page += &tables::gaps(answer);
    page += &tables::unused(answer);
    page.push('\n');
    foot(answer).iter().for_each(|note| page += &paragraph(note, 0));
    out.write_all(page.as_bytes())
}

fn head(answer: &GapsAnswer) -> Vec<String> {
    let (file, side) = (&answer.file, words::side(answer.side));
    let number = |n: usize, noun: &str| counted(n as u64, noun);
    let mut notes = vec![
        format!(
            "Prepared for {side}: {}, {}, {}, {} of {side}.",
            number(file.games, "game"),
            number(file.lines, "line"),
            number(file.positions, "position"),
            number(file.moves, "move"),
        ),
        format!("Ratings and paces: {}.", words::filter(answer.filter)),
    ];
    notes.extend(answer.settings.half_moves.map(|half_moves| {
        format!("Lines are taken to end after {}.", counted(half_moves.into(), "half-move"))
    }));
    let which = match answer.settings.own {
        Own::First => "the first one in the file is played (--own first)",
        Own::Level => "each is played as often as players of the level do (--own level)",
        Own::Equal => "all are played equally often (--own equal)",
    };
    notes.extend(words::several_moves(answer.side, file.own_choices, which));
    if file.looks_turned() {
        let other = answer.side.other();
        notes.push(format!(
            "The file never has several moves for {}: if it was prepared for {0}, say --as {}.",
            words::side(other),
            other.fold_wb("white", "black"),
        ));
    }
    notes
}

/// By when half of the games have left the file, as far as that is known.
fn left_by(answer: &GapsAnswer) -> Option<String> {
    if let Some(ply) = answer.half_left_by {
        return Some(format!("Half of the games have left the file by {}.", half_move(ply)));
    }
    let (left, unknown) = (answer.left.value?, answer.unknown.value?);
    Some(match left + unknown < 0.5 {
        true => "Fewer than half of the games ever leave the file.".into(),
        false => "Too many games come to positions of which nothing is known to say whether half of the games ever leave the file.".into(),
    })
}

fn foot(answer: &GapsAnswer) -> Vec<String> {
    let (side, other) = (words::side(answer.side), words::side(answer.side.other()));
    let spare = &answer.spare;
    let mut notes = Vec::new();
    if let Some(carry_95 @ 1..) = spare.carry_95 {
        notes.push(format!(
            "With the {} most used of {side}'s {} alone, no more than 5 in 100 games come to a position of the file whose \
             move is missing.",
            count(carry_95 as u64),
            counted(spare.prepared_moves as u64, "prepared move"),
        ));
    }
    if spare.never_chosen > 0 {
        notes.push(format!(
            "{} in the file {} behind moves that are never chosen so; --own equal follows them too.",
            counted(spare.never_chosen as u64, "move"),
            if spare.never_chosen == 1 { "stands" } else { "stand" },
        ));
    }
    if answer.file.without_reply > 0 {
        notes.push(format!(
            "{} with a move of {other}'s to which the file has no reply; games that come there count as answered.",
            match answer.file.without_reply {
                1 => "1 line ends".to_owned(),
                lines => format!("{} lines end", count(lines as u64)),
            }
        ));
    }
    notes.push(format!(
        "A gap is a move of {other}'s that the file does not answer, in a position in which the file goes on; a move \
         that leads back into the file is none. Met: of all games of a student who always plays the file, with \
         {other}'s moves as players of the level choose them. A game that leaves the file is counted once, where it \
         leaves it."
    ));
    if answer.gaps.iter().any(|gap| gap.best().is_some()) {
        notes.push(
            "Usual: the reply played most. Best: of the replies whose whole margin lies above the score of the usual one the one that \
             scores most; it probably looks better than it is. A better score goes with a move; it need not come from it."
                .into(),
        );
    }
    if answer.unknown.value != Some(0.0) {
        let beyond = answer.unknown_beyond.map_or(String::new(), |beyond| {
            format!(" In some of them {}.", words::not_counted(beyond))
        });
        notes.push(format!(
            "Unknown: games that come to a position of the file of which the store has no game of such players.{beyond}"
        ));
    }
    if answer.gaps.iter().any(|gap| gap.eval_cp.value.is_some()) {
        notes.push(format!(
            "Evaluations are means in pawns from {other}'s view, clamped to +-10, and have no interval."
        ));
    }
    notes.push(
        "Intervals [low, high] are 95 %. Counts beside a share of games are those of the rarest step on the \
         likeliest way there."
            .into(),
    );
    let untold = answer.gaps.iter().filter(|gap| gap.usual().is_none()).count();
    if untold > 0 {
        notes.push(format!(
            "Behind {} the games are too few to tell what players usually reply.",
            counted(untold as u64, "gap")
        ));
    }
    notes.push(words::as_good_as());
    notes.extend(tables::reasons(answer).sentence());
    let may_lack = answer.gaps.iter().map(|gap| gap.may_lack).max().unwrap_or(Lacking::NOTHING);
    if answer.unknown_beyond.is_none() || may_lack.beyond().is_none() {
        notes.extend(words::may_lack(may_lack, "at a gap"));
    }
    notes.extend(words::limits(&answer.limits));
    notes
}

#[cfg(test)]
mod tests;
