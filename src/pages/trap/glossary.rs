//! What the figures of a trap mean, as the help has it.

use super::advice::{FACING, RULES};
use super::table::TABLE;
use crate::pages::layout::{PAGE_WIDTH as WIDTH, wrapped};

/// Columns before a meaning.
const INDENT: usize = 14;

/// What the figures are made of, before them.
const BEFORE: [(&str, &str); 2] = [
    (
        "games",
        "games in which a victim of these ratings moved in the trap position; beside another figure the \
         games that it rests on, for one made of several those of the rarest of them. As good as: players come \
         again and repeat their moves, so margins and the minimum sample go by so many games of different players",
    ),
    (
        "edge",
        "how much better than the ratings promise a side scores: score minus what the ratings predict, minus what that colour \
         scores above it in all games; in percent of a point a game, 0 is ordinary",
    ),
];

/// What follows from them, behind them.
const BEHIND: [(&str, &str); 2] = [
    (
        "verdict",
        "common, occasional or rare: the class of slips per 1000. It tells how often the slip happens if one always plays for \
         it, not whether the trap is sound, nor whether it pays",
    ),
    (
        "soundness",
        "sound: the slip loses 1.5 pawns or more, and without it the setter has -0.5 or better; gamble: the slip loses, but without it \
         the setter stands worse than that; no slip: the marked move does not lose so much; unknown: no source tells both. Of several \
         slips the one that loses least counts. In tables the numbers stand below: what the slip loses, else how the setter stands, \
         evals: evaluations of the dumps after the slip and after the best other move",
    ),
];

/// One entry a figure, in the order of the sheet; what they are made of before them, what follows
/// from them behind them.
pub(in crate::pages) fn glossary() -> Vec<(String, &'static str)> {
    let figures = TABLE.iter().map(|figure| (figure.general_name(), figure.meaning));
    let named = |&(name, meaning): &(&str, &'static str)| (name.trim().to_owned(), meaning);
    BEFORE
        .iter()
        .map(named)
        .chain(figures)
        .chain(BEHIND.iter().chain(&RULES).chain(&FACING).map(named))
        .collect()
}

/// When a trap is to be taught, for the help of `trap`.
pub fn advice_help() -> String {
    let entry = |(name, meaning): &(&str, &str)| {
        let meaning =
            wrapped(meaning, WIDTH - INDENT, 0).replace('\n', &format!("\n{:INDENT$}", ""));
        format!("  {name:11} {meaning}\n")
    };
    RULES.iter().map(entry).collect()
}
