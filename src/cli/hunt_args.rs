//! The arguments of `hunt` as typed.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use shakmaty::Color;

use super::args::AnswerArgs;
use super::files::InTheWay;
use super::movers::MoverArgs;

/// A colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Side {
    /// The student plays White
    White,
    /// The student plays Black
    Black,
}

impl From<Side> for Color {
    fn from(side: Side) -> Color {
        match side {
            Side::White => Color::White,
            Side::Black => Color::Black,
        }
    }
}

/// `hunt`.
#[derive(Debug, Args)]
#[command(after_help = "\
Every move that opponents play often enough, in every position that they reach often enough, is \
tested: does it lose more than --null-drop against the other moves there, beyond what chance does? So many \
tests would find nonsense by luck; --fdr says how much of that to let in. What passes is shown if the \
position was in order before, the move costs a lot and a reply refutes it; the answer says how many \
moves these rules hid.

With --repertoire the student's moves are those of the file, its variations included, and the answer \
says how often each trap comes up with them.")]
pub struct HuntArgs {
    /// The student's colour, which lays the traps
    #[arg(long = "as", value_name = "COLOUR", value_enum)]
    pub side: Side,
    /// Look only at what comes behind these moves
    #[arg(value_name = "LINE")]
    pub line: Vec<String>,
    /// Of which level.
    #[command(flatten)]
    pub movers: MoverArgs,
    /// Show the N best traps
    #[arg(long, value_name = "N", default_value_t = 20)]
    pub top: usize,
    /// Look at positions that opponents come to in at least N games
    #[arg(long, value_name = "N", default_value_t = 200, value_parser = clap::value_parser!(u64).range(1..))]
    pub reached: u64,
    /// Look at moves that at least this share of them play there
    #[arg(long, value_name = "SHARE", default_value = "5%", value_parser = fraction)]
    pub min_share: f64,
    /// A move that loses no more than this is no slip; in points a game, a win being one
    #[arg(long, value_name = "POINTS", default_value = "0.05", value_parser = fraction)]
    pub null_drop: f64,
    /// Let about this share of the moves that pass the test be there by luck
    #[arg(long, value_name = "SHARE", default_value = "5%", value_parser = fraction)]
    pub fdr: f64,
    /// Show slips that lose at least this many points a game
    #[arg(long, value_name = "POINTS", default_value = "0.10", value_parser = fraction)]
    pub min_drop: f64,
    /// A PGN file of the lines that the student plays
    #[arg(long, value_name = "FILE.pgn")]
    pub repertoire: Option<PathBuf>,
    /// Write what is found as a file of traps too, for the commands trap and lesson
    #[arg(long, value_name = "OUT.pgn")]
    pub pgn: Option<PathBuf>,
    /// What becomes of a file that is there.
    #[command(flatten)]
    pub way: InTheWay,
    /// Draw the board of every trap
    #[arg(long)]
    pub board: bool,
    /// Show no progress
    #[arg(long, short)]
    pub quiet: bool,
    /// How to answer.
    #[command(flatten)]
    pub answer: AnswerArgs,
}

/// Reads `0.05` or `5%`.
fn fraction(text: &str) -> Result<f64, String> {
    let (number, scale) = match text.trim_end().strip_suffix('%') {
        Some(number) => (number.trim_end(), 100.0),
        None => (text, 1.0),
    };
    let value = number.parse::<f64>().map(|number| number / scale);
    let value = value.ok().filter(|value| (0.0..=1.0).contains(value));
    value.ok_or_else(|| "give a number from 0 to 1, such as 0.05 or 5%".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_are_numbers_or_percent() {
        assert_eq!(fraction("0.05"), Ok(0.05));
        assert_eq!(fraction("5 %"), Ok(0.05));
        for text in ["5", "-1%", "NaN", "much", "%"] {
            assert!(fraction(text).is_err(), "{text}");
        }
    }
}
