//! `gaps`: what a file of prepared lines leaves unanswered.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use shakmaty::Color;

use super::answer_args::{AnswerArgs, Format};
use super::error::CliError;
use super::files::{OutFiles, OverwriteArgs, in_file, input, read_text};
use super::hunt::Side;
use super::movers::MoverArgs;
use super::output::Output;
use super::share::share;
use super::signals::Signals;
use crate::answers::gaps::{Own, Settings, gaps};
use crate::lines::Prepared;
use crate::pages::{gaps as pages, json};
use crate::store::Store;

/// `gaps`.
#[derive(Debug, Args)]
#[command(after_help = "\
The file holds games with variations, as a teacher writes them; positions that several lines reach are one. Games with \
the tag [Student \"Black\"] are passed over with --as white, those with [Student \"White\"] with --as black. A student \
who always plays the file is followed, against opponents who play as those of the level do. A gap is a move of theirs \
that the file does not answer, in a position in which it goes on. A line that ends has done its work. Games that begin \
in other positions (FEN tags) are refused.")]
pub struct GapsArgs {
    /// A PGN file of prepared lines
    #[arg(value_name = "FILE.pgn")]
    pub file: PathBuf,
    /// The student's colour, for which the lines are prepared
    #[arg(long = "as", value_name = "COLOUR", value_enum)]
    pub side: Side,
    #[command(flatten)]
    pub movers: MoverArgs,
    /// Treat every line as ended after N half-moves; a move of each side makes two
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
    /// Also write the file with the gaps added as variations, and their figures in tags
    /// of the games
    #[arg(long, value_name = "OUT.pgn")]
    pub pgn: Option<PathBuf>,
    /// Also draw the file: where the games go, and what is not answered
    #[arg(long, value_name = "OUT.svg")]
    pub map: Option<PathBuf>,
    #[command(flatten)]
    pub overwrite: OverwriteArgs,
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

pub fn run(
    args: &GapsArgs,
    store: &Path,
    output: &mut Output,
    signals: &Signals,
) -> Result<(), CliError> {
    let question = args.answer.question(&args.movers)?;
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
    let file = Prepared::read_for(side, &text).map_err(in_file(&args.file))?;
    let files = out_files(args, store)?;
    let store = Store::open(store)?;
    let answer = gaps(&store, &file, &settings, &question)?;
    let pgn = args.pgn.is_some().then(|| pages::pgn(&text, &file, &answer));
    let map = args.map.is_some().then(|| pages::svg(&answer));
    files.write_texts(signals, [pgn, map].into_iter().flatten())?;
    match args.answer.format {
        Format::Table => pages::text(output.answer(), &answer)?,
        Format::Json => json(output.answer(), &answer)?,
        Format::Csv => pages::csv(output.data(), &answer)?,
    }
    Ok(())
}

/// The files that are asked for besides: prepared lines first, the map last.
fn out_files(args: &GapsArgs, store: &Path) -> Result<OutFiles, CliError> {
    let paths = [&args.pgn, &args.map].into_iter().flatten().cloned().collect();
    OutFiles::new(paths, args.overwrite, store, &[input(&args.file)])
}
