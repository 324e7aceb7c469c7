//! `gaps`: what a file of prepared lines leaves unanswered.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use shakmaty::Color;

use super::answer_args::{AnswerArgs, Format};
use super::error::CliError;
use super::files::{InTheWay, OutFiles, input, needs_folder, read_text};
use super::hunt::Side;
use super::movers::MoverArgs;
use super::output::Output;
use super::signals::Signals;
use crate::answers::Question;
use crate::answers::gaps::{Own, Settings, gaps};
use crate::lines::{Prepared, fraction};
use crate::pages::{gaps as pages, json};
use crate::store::Store;

/// `gaps`.
#[derive(Debug, Args)]
#[command(after_help = "\
The file holds games with variations, as a teacher writes them; positions that several lines come to are one. \
A student is followed who always plays the file, against opponents who play as those of the level do. \
A gap is a move of theirs that the file does not answer, in a position in which it goes on. Lines that end \
have done their work. Games that begin in other positions (FEN tags) are refused.")]
pub struct GapsArgs {
    /// A PGN file of prepared lines
    #[arg(value_name = "FILE.pgn")]
    pub file: PathBuf,
    /// The student's colour, for which the lines are prepared
    #[arg(long = "as", value_name = "COLOUR", value_enum)]
    pub side: Side,
    /// Of which level.
    #[command(flatten)]
    pub movers: MoverArgs,
    /// Take every line to end after N half-moves; a move of each side makes two
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1000))]
    pub half_moves: Option<u16>,
    /// Show the N gaps that are met most often
    #[arg(long, value_name = "N", default_value_t = 20)]
    pub top: usize,
    /// Show gaps that are met in this share of the games or more
    #[arg(long, value_name = "SHARE", default_value = "1/200", value_parser = share)]
    pub met: f64,
    /// Show prepared lines that come up in a smaller share of the games
    #[arg(long, value_name = "SHARE", default_value = "1/1000", value_parser = share)]
    pub unused: f64,
    /// Which of several moves the student plays in one position
    #[arg(long, value_name = "WHICH", value_enum, default_value_t = OwnArg::First)]
    pub own: OwnArg,
    /// Write the file with the gaps put in as variations too
    #[arg(long, value_name = "OUT.pgn")]
    pub pgn: Option<PathBuf>,
    /// Draw the file too: where the games go, and what is not answered
    #[arg(long, value_name = "OUT.svg")]
    pub map: Option<PathBuf>,
    /// What becomes of files that are there.
    #[command(flatten)]
    pub way: InTheWay,
    /// How to answer.
    #[command(flatten)]
    pub answer: AnswerArgs,
}

/// Which of several moves the student plays.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum OwnArg {
    /// The first one in the file
    First,
    /// Each as often as players of the level do
    Level,
    /// All equally
    Equal,
}

impl From<OwnArg> for Own {
    fn from(own: OwnArg) -> Own {
        match own {
            OwnArg::First => Own::First,
            OwnArg::Level => Own::Level,
            OwnArg::Equal => Own::Equal,
        }
    }
}

/// Runs the command.
pub fn run(
    args: &GapsArgs,
    store: &Path,
    output: &mut Output,
    signals: &Signals,
) -> Result<(), CliError> {
    let question = Question {
        filter: args.movers.filter()?,
        min_sample: args.answer.min_sample,
        ..Question::default()
    };
    let side: Color = args.side.into();
    let settings = Settings {
        side,
        own: args.own.into(),
        half_moves: args.half_moves,
        met: args.met,
        top: args.top,
        unused: args.unused,
    };
    let text = read_text(&args.file)?;
    let file = read_prepared(&args.file, &text, side)?;
    let files = Files::of(args, store)?;
    let store = Store::open(store)?;
    let answer = gaps(&store, &file, &settings, &question)?;
    files.write(|| pages::pgn(&text, &file, &answer), || pages::svg(&answer), signals)?;
    match args.answer.format {
        Format::Table => pages::text(output.answer(), &answer)?,
        Format::Json => json(output.answer(), &answer)?,
        Format::Csv => pages::csv(output.data(), &answer)?,
    }
    Ok(())
}

/// The files that are asked for besides.
enum Files {
    None,
    Pgn(OutFiles<1>),
    Map(OutFiles<1>),
    Both(OutFiles<2>),
}

impl Files {
    fn of(args: &GapsArgs, store: &Path) -> Result<Files, CliError> {
        let mut named = [&args.pgn, &args.map].into_iter().flatten();
        named.try_for_each(|path| needs_folder(path))?;
        let inputs = [store, &args.file].map(input);
        let one = |path: &PathBuf| OutFiles::new([path.clone()], args.way, &inputs);
        Ok(match (&args.pgn, &args.map) {
            (None, None) => Files::None,
            (Some(pgn), None) => Files::Pgn(one(pgn)?),
            (None, Some(map)) => Files::Map(one(map)?),
            (Some(pgn), Some(map)) => {
                Files::Both(OutFiles::new([pgn.clone(), map.clone()], args.way, &inputs)?)
            }
        })
    }

    fn write(
        &self,
        pgn: impl FnOnce() -> String,
        map: impl FnOnce() -> String,
        signals: &Signals,
    ) -> Result<(), CliError> {
        match self {
            Files::None => Ok(()),
            Files::Pgn(file) => put(file, [pgn()], signals),
            Files::Map(file) => put(file, [map()], signals),
            Files::Both(files) => put(files, [pgn(), map()], signals),
        }
    }
}

fn put<const N: usize>(
    files: &OutFiles<N>,
    texts: [String; N],
    signals: &Signals,
) -> Result<(), CliError> {
    signals.ask_first();
    files.write(|outs| {
        outs.iter_mut().zip(&texts).try_for_each(|(out, text)| {
            out.write_all(text.as_bytes()).map_err(|error| out.failed(error))
        })?;
        signals.check()
    })?;
    signals.end_at_once();
    Ok(())
}

/// The prepared lines of a file, which must hold moves by their owner.
pub(super) fn read_prepared(path: &Path, text: &str, side: Color) -> Result<Prepared, CliError> {
    let at = |what: String| CliError::Input(format!("{}: {what}", path.display()));
    let file = Prepared::read(text).map_err(|error| at(error.to_string()))?;
    if file.moves_by(side).0 == 0 {
        return Err(at(format!("it holds no move by {side}")));
    }
    Ok(file)
}

/// Reads `1/200`, `0.5%` or `0.005`.
pub(super) fn share(text: &str) -> Result<f64, String> {
    let share = match text.split_once('/') {
        None => fraction(text),
        Some((number, of)) => {
            let parts = fraction(number).zip(fraction(of));
            parts.map(|(number, of)| number / of)
        }
    };
    let share = share.filter(|share| (0.0..=1.0).contains(share));
    share.ok_or_else(|| "give a share such as 1/200, 0.5% or 0.005".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_fractions_percent_or_numbers() {
        for text in ["1/200", "0.5%", "0.5 %", "0.005", " 1 / 200"] {
            assert_eq!(share(text), Ok(0.005), "{text}");
        }
        assert_eq!(share("0"), Ok(0.0));
        for text in ["200", "1/0", "-1/5", "NaN", "much", "%", "/", "1/2/3", "2/1", "0/0"] {
            assert!(share(text).is_err(), "{text}");
        }
    }
}
