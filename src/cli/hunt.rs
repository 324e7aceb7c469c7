//! `hunt`: traps that no list names.

use std::path::{Path, PathBuf};
use std::time::Duration;

use clap::{Args, ValueEnum};
use indicatif::{HumanCount, ProgressBar, ProgressStyle};
use shakmaty::{Color, Position};

use super::answer_args::{AnswerArgs, Format};
use super::error::CliError;
use super::files::{OutFiles, OverwriteArgs, in_file, input, read_text};
use super::line_args::line_of;
use super::movers::MoverArgs;
use super::output::{self, Output};
use super::share::share;
use super::signals::Signals;
use crate::answers::hunt::{Hunt, HuntAnswer, Progress, Repertoire, hunt};
use crate::counts::{Beyond, Counts, Limits};
use crate::lines::Prepared;
use crate::pages::{hunt as pages, json, not_counted};
use crate::store::Store;

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
Every move that opponents play often enough, in every position that they reach often enough, is tested: does it lose \
more than --null-drop against the other moves there, beyond chance? What passes is shown if the position was in order \
before, the move costs a lot and a reply refutes it. `deadfall help hunt` says what is tested, hidden and promised.

With --repertoire the student's moves are those of the file, its variations included, and the answer says how often \
each trap comes up with them.")]
pub struct HuntArgs {
    /// The student's colour, which lays the traps
    #[arg(long = "as", value_name = "COLOUR", value_enum)]
    pub side: Side,
    /// Look only at positions after these moves
    #[arg(value_name = "LINE")]
    pub line: Vec<String>,
    #[command(flatten)]
    pub movers: MoverArgs,
    /// Show the N best traps
    #[arg(long, value_name = "N", default_value_t = 20)]
    pub top: usize,
    /// Look at positions that opponents reach in at least N games
    #[arg(long, value_name = "N", default_value_t = 200, value_parser = clap::value_parser!(u64).range(1..))]
    pub reached: u64,
    /// Look at moves that at least this share of them play
    #[arg(long, value_name = "SHARE", default_value = "5%", value_parser = share)]
    pub min_share: f64,
    /// A move that loses no more than this is no slip; in points a game, a win being one
    #[arg(long, value_name = "POINTS", default_value = "0.05", value_parser = share)]
    pub null_drop: f64,
    /// Accept about this share of false findings among the moves that pass
    #[arg(long, value_name = "SHARE", default_value = "5%", value_parser = share)]
    pub fdr: f64,
    /// Show slips that lose at least this many points a game
    #[arg(long, value_name = "POINTS", default_value = "0.10", value_parser = share)]
    pub min_drop: f64,
    /// A PGN file of the lines that the student plays
    #[arg(long, value_name = "FILE.pgn")]
    pub repertoire: Option<PathBuf>,
    /// Also write the findings as a file of traps, for trap and lesson; its comments are English,
    /// and lesson --language writes its own
    #[arg(long, value_name = "OUT.pgn")]
    pub pgn: Option<PathBuf>,
    #[command(flatten)]
    pub overwrite: OverwriteArgs,
    /// Draw the board of every trap
    #[arg(long)]
    pub board: bool,
    /// Show no progress
    #[arg(long, short)]
    pub quiet: bool,
    #[command(flatten)]
    pub answer: AnswerArgs,
}

pub fn run(
    args: &HuntArgs,
    store: &Path,
    output: &mut Output,
    signals: &Signals,
) -> Result<(), CliError> {
    let question = args.answer.question(&args.movers)?;
    args.answer.only_in(&[Format::Table], &[("--board", args.board)])?;
    let wanted = wanted(args)?;
    args.overwrite.needs_a_file(args.pgn.is_some())?;
    let file = args.pgn.as_deref().map(|path| out_file(args, path, store)).transpose()?;
    let store = Store::open(store)?;
    reaches(store.limits(), &wanted)?;
    let answer = with_bar(args.quiet, |watch| hunt(&store, &wanted, &question, watch))?;
    if let Some(file) = &file {
        write(file, &answer, signals)?;
    }
    match args.answer.format {
        Format::Table => pages::text(output.answer(), &answer, args.board)?,
        Format::Json => json(output.answer(), &answer)?,
        Format::Csv => pages::csv(output.data(), &answer)?,
    }
    Ok(())
}

/// A slip behind the line and the reply that tells whether it is one must be counted.
fn reaches(limits: &Limits, hunt: &Hunt) -> Result<(), CliError> {
    let victim_waits = hunt.line.end().turn() == hunt.setter;
    let needed = hunt.line.len() + usize::from(victim_waits) + 2;
    let counted = limits.half_moves;
    if needed <= counted.into() {
        return Ok(());
    }
    let needed = needed.try_into().unwrap_or(u16::MAX);
    let why = not_counted(Beyond { needed, counted });
    Err(CliError::Input(format!("nothing can be found behind this line: {why}")))
}

fn wanted(args: &HuntArgs) -> Result<Hunt, CliError> {
    let setter = args.side.into();
    let line = line_of(&args.line)?;
    let repertoire = args.repertoire.as_deref().map(|path| -> Result<_, CliError> {
        let file = Prepared::read_for(setter, &read_text(path)?).map_err(in_file(path))?;
        Ok(Repertoire::of(setter, &file))
    });
    Ok(Hunt {
        reached: args.reached,
        min_share: args.min_share,
        null_drop: args.null_drop,
        fdr: args.fdr,
        min_drop: args.min_drop,
        top: args.top,
        repertoire: repertoire.transpose()?,
        ..Hunt::new(setter, line)
    })
}

fn out_file(args: &HuntArgs, path: &Path, store: &Path) -> Result<OutFiles, CliError> {
    let inputs: Vec<_> = args.repertoire.as_deref().map(input).into_iter().collect();
    OutFiles::new(vec![path.to_owned()], args.overwrite, store, &inputs)
}

/// Writes the findings as a file of traps; without any there is nothing to write.
fn write(file: &OutFiles, answer: &HuntAnswer, signals: &Signals) -> Result<(), CliError> {
    if answer.found.is_empty() {
        output::note(&format!(
            "deadfall: nothing found, {} is not written",
            file.paths()[0].display()
        ));
        return Ok(());
    }
    file.write(signals, |outs| {
        pages::pgn(&mut outs[0], answer).map_err(|error| outs[0].failed(error))
    })
}

/// Shows how far the walk has come, where somebody watches.
fn with_bar<T>(quiet: bool, work: impl FnOnce(&mut dyn FnMut(Progress)) -> T) -> T {
    if quiet || !output::is_watched() {
        return work(&mut |_| {});
    }
    let template = "walking [{bar:32}] half-move {pos} of {len}, {msg} positions";
    let style = ProgressStyle::with_template(template).expect("the template is a constant");
    let bar = ProgressBar::no_length().with_style(style.progress_chars("=> "));
    bar.enable_steady_tick(Duration::from_millis(100));
    let result = work(&mut |progress| {
        bar.set_length(progress.of.into());
        bar.set_position(progress.half_moves.into());
        bar.set_message(HumanCount(progress.positions).to_string());
    });
    bar.finish_and_clear();
    result
}
