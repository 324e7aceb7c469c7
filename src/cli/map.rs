//! `map`: where games of a level go behind a line, as a picture.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use super::error::CliError;
use super::files::{OutFiles, OverwriteArgs, input};
use super::line_args::LineArgs;
use super::movers::MoverArgs;
use super::output::Output;
use super::repertoire_args::RepertoireArgs;
use super::share::share;
use super::signals::Signals;
use super::trap::read_file;
use crate::answers::Question;
use crate::answers::map::{MapSettings, behind, map};
use crate::answers::trap::in_teaching_order;
use crate::lines::{Line, Trap};
use crate::pages::map as pages;
use crate::store::Store;

/// Half-moves that a picture can show.
const MOST_PLIES: u16 = 40;

/// `map`.
#[derive(Debug, Args)]
#[command(after_help = "\
The picture is an icicle chart: below each move are the moves that follow it, as wide as their share of the games. It \
is drawn in black and white and goes to standard output: deadfall map \"1. e4 e5\" > map.svg. A browser shows the \
numbers of each block under the mouse, and a screen reader reads them. With --repertoire, moves of the opponent that the lines do not \
answer are marked.")]
pub struct MapArgs {
    #[command(flatten)]
    pub line: LineArgs,
    #[command(flatten)]
    pub movers: MoverArgs,
    /// Show N half-moves; a move of each side makes two [default: 6, or as far as to the last
    /// slip of --traps]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=i64::from(MOST_PLIES)))]
    pub plies: Option<u16>,
    /// Group moves that fewer than this share of the games play
    #[arg(long, value_name = "SHARE", default_value = "1%", value_parser = share)]
    pub min_share: f64,
    /// Mark the traps of a PGN file, numbered as in the usual lesson for those who lay them
    #[arg(long, value_name = "FILE")]
    pub traps: Option<PathBuf>,
    #[command(flatten)]
    pub lines: RepertoireArgs,
    /// Show nothing after a position with fewer than N games of different players
    #[arg(long, value_name = "N", default_value_t = Question::default().min_sample)]
    pub min_sample: u64,
    /// Write the picture into this file
    #[arg(long, value_name = "FILE.svg")]
    pub out: Option<PathBuf>,
    #[command(flatten)]
    pub overwrite: OverwriteArgs,
}

/// As far as to the last slip behind the line, within what can be asked.
fn usual_plies(traps: &[Trap], line: &Line) -> usize {
    const USUAL: usize = 6;
    let slips = traps.iter().filter_map(|trap| behind(trap, line));
    slips.fold(USUAL, usize::max).min(MOST_PLIES.into())
}

pub fn run(
    args: &MapArgs,
    store: &Path,
    output: &mut Output,
    signals: &Signals,
) -> Result<(), CliError> {
    let (filter, min_sample) = (args.movers.filter()?, args.min_sample);
    let question = Question { filter, min_sample, ..Question::default() };
    let line = args.line.line()?;
    let traps = args.traps.as_deref().map_or(Ok(Vec::new()), read_file)?;
    let prepared = args.lines.prepared()?;
    let read = [args.traps.as_deref(), args.lines.repertoire.as_deref()];
    let inputs: Vec<_> = read.into_iter().flatten().map(input).collect();
    let out = args.out.as_deref().filter(|path| path.as_os_str() != "-");
    let paths = out.map(Path::to_owned).into_iter().collect();
    let file = OutFiles::new(paths, args.overwrite, store, &inputs)?;
    let store = Store::open(store)?;
    let traps = in_teaching_order(&store, traps, &question)?;
    let settings = MapSettings {
        plies: args.plies.map_or_else(|| usual_plies(&traps, &line), usize::from),
        min_share: args.min_share,
        traps: &traps,
        prepared: prepared.as_ref().map(|(file, side)| (file, *side)),
    };
    let picture = pages::svg(&map(&store, &line, &settings, &question)?);
    if out.is_none() {
        output.answer().write_all(picture.as_bytes())?;
    }
    file.write_texts(signals, [picture])
}
