//! The arguments as typed.

use std::path::{Path, PathBuf};

use clap::{Args, Parser, Subcommand, ValueEnum};

use super::files::InTheWay;
use super::games::GamesArgs;
use super::hunt_args::HuntArgs;
use super::judge_args::{JudgeArgs, TRAP_HELP};
use super::movers::MoverArgs;
use super::soundness::EngineArgs;

use crate::games::DateBound;
use crate::terms::Pace;

/// Which opening traps really occur at a playing level, from open monthly dumps of rated games.
#[derive(Debug, Parser)]
#[command(version, max_term_width = 100, after_help = AFTER_HELP, disable_help_subcommand = true)]
pub struct Arguments {
    /// What to do
    #[command(subcommand)]
    pub command: Command,
    /// The store file [default: deadfall.redb]
    #[arg(long, global = true, value_name = "FILE", env = "DEADFALL_STORE", display_order = 100)]
    store: Option<PathBuf>,
}

const AFTER_HELP: &str = "\
First steps:
  deadfall build month.pgn.zst                     count a month of games, once
  deadfall moves \"1. e4 e5 2. Nf3\" --below 2000    what do players below 2000 play here?
  deadfall trap traps.pgn --below 2000             which of these traps are worth a lesson?
  deadfall help trap                               every option and column of a command

A dump is a file with all rated games of a month, as PGN. The store is the file in which build keeps
what it has counted; all answers come from there. The file need not be named if it is
deadfall.redb in the folder where you are.

Exit status, for scripts:
  0    answered, also with \"no games here\" or an undecided claim
  1    a claim asked with --expect or --claims fails, or with --strict is undecided
  2    options and arguments that do not fit together
  3    bad input: a dump, PGN, line or position that is missing, unreadable or illegal, or a dump
       that is already in
  4    store, temporary or output files: missing, damaged, full, not writable
  130  stopped by Ctrl-C

Answers go to standard output, everything else to standard error.
Using such help during a rated game is against the rules of play.";

impl Arguments {
    /// The arguments of the process. Help is an error here, as it is to the parser.
    pub fn read() -> Result<Arguments, clap::Error> {
        let arguments = Arguments::try_parse()?;
        let Command::Help(HelpArgs { command }) = &arguments.command else { return Ok(arguments) };
        let asked = ["deadfall"].into_iter().chain(command.as_deref()).chain(["--help"]);
        Arguments::try_parse_from(asked)
    }

    /// The store to use: as given, else `deadfall.redb` in the working folder.
    pub fn store(&self) -> &Path {
        self.store.as_deref().unwrap_or(Path::new("deadfall.redb"))
    }
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Count a month of games (a dump) into the store
    Build(BuildArgs),
    /// Add several stores together into one
    Join(JoinArgs),
    /// Show what is played in a position, how often and with what success
    Moves(MovesArgs),
    /// Judge traps: how often they come up, how many fall for them, what they score
    Trap(TrapArgs),
    /// Find traps that nobody talks about: losing moves that many play
    Hunt(HuntArgs),
    /// Pick whole games with a position or a trap out of a dump
    Games(GamesArgs),
    /// Make a lesson on traps: a page to print and annotated games (PGN)
    Lesson(LessonArgs),
    /// Draw a position as a picture (SVG)
    Diagram(DiagramArgs),
    /// Show what the store holds: dumps, games, ratings, paces
    About(AboutArgs),
    /// Write all counts as a table for other programs (CSV)
    Export(ExportArgs),
    /// Explain a command and its options
    Help(HelpArgs),
}

/// `help`.
#[derive(Debug, Args)]
pub struct HelpArgs {
    /// The command to explain [default: all of them in short]
    pub command: Option<String>,
}

/// The form of an answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// Tables to read
    Table,
    /// One JSON object, for programs
    Json,
    /// Comma-separated values, for spreadsheets
    Csv,
}

/// `build`.
#[derive(Debug, Args)]
#[command(after_help = "\
Dumps may be plain PGN or compressed with zstd, gzip or bzip2; the content tells. A folder stands for \
the files in it that have .pgn in their names. Games without ratings, such as those of a file of traps, \
are left out; what was left out, and why, is told at the end.

A store that exists is added to; options that are not given are then taken from it. A dump that is \
already in is refused.")]
pub struct BuildArgs {
    /// Dumps: files, folders of them, or - for standard input
    #[arg(required = true, value_name = "SOURCE")]
    pub sources: Vec<String>,
    /// Count the first N half-moves of each game; a move of each side makes two [default: 30]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1000))]
    pub half_moves: Option<u16>,
    /// Forget positions that fewer than N games came to [default: 5]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u64).range(1..))]
    pub keep_from: Option<u64>,
    /// Use about this much memory, such as 512MiB or 2GiB [default: 2GiB]
    #[arg(long, value_name = "SIZE", value_parser = super::memory::parse)]
    pub memory: Option<crate::importer::Memory>,
    /// Use N processors [default: all]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub threads: Option<u16>,
    /// Put unfinished work into this folder [default: beside the store]
    #[arg(long, value_name = "DIR")]
    pub temp_dir: Option<PathBuf>,
    /// Leave out games before this day or month, such as 2031-05-17 or 2031-05
    #[arg(long, value_name = "DATE")]
    pub since: Option<DateBound>,
    /// Leave out games after this day or month
    #[arg(long, value_name = "DATE")]
    pub until: Option<DateBound>,
    /// Count only games of these paces, such as blitz,rapid; there are bullet, blitz, rapid,
    /// classical, correspondence, unknown
    #[arg(long, value_name = "PACE", value_delimiter = ',')]
    pub pace: Vec<Pace>,
    /// Leave out games between players more than N rating points apart
    #[arg(long, value_name = "N")]
    pub max_gap: Option<u16>,
    /// Count a dump that breaks off as far as it can be read, and remember that it is incomplete
    #[arg(long)]
    pub keep_going: bool,
    /// What to show meanwhile.
    #[command(flatten)]
    pub watch: WatchArgs,
}

/// What is shown while a long command works.
#[derive(Debug, Args)]
pub struct WatchArgs {
    /// How to show progress [default: bar on a terminal, else none]
    #[arg(long, value_enum, value_name = "HOW")]
    pub progress: Option<ShowProgress>,
    /// Show no progress
    #[arg(long, short, conflicts_with = "progress")]
    pub quiet: bool,
}

/// How progress is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ShowProgress {
    /// A line that keeps changing
    Bar,
    /// A new line every ten seconds
    Plain,
    /// Not at all
    None,
}

/// `join`.
#[derive(Debug, Args)]
#[command(after_help = "\
Counts are added first, then positions with too few games are dropped. A store at --store that exists \
is one of the stores added up; if there is none it is made. The others are not changed.

A position that was dropped from a store may lack games, and answers say how many. Stores built with \
--keep-from 1 lack nothing: joined, they are what one build of all their dumps would be.")]
pub struct JoinArgs {
    /// Stores to add together into the one at --store
    #[arg(required = true, value_name = "STORE")]
    pub stores: Vec<PathBuf>,
    /// Forget positions that fewer than N games came to [default: 5]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u64).range(1..))]
    pub keep_from: Option<u64>,
    /// Use about this much memory, such as 512MiB or 2GiB [default: 2GiB]
    #[arg(long, value_name = "SIZE", value_parser = super::memory::parse)]
    pub memory: Option<crate::importer::Memory>,
    /// Use N processors [default: all]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub threads: Option<u16>,
    /// What to show meanwhile.
    #[command(flatten)]
    pub watch: WatchArgs,
}

/// `moves`.
#[derive(Debug, Args)]
#[command(after_help = "\
A line is written as \"1. e4 e5 2. Nf3\", \"e4 e5 Nf3\" or \"e2e4 e7e5 g1f3\"; without one, the start \
position is shown.

Claims: \"Nf6 first\", \"d6 second\", \"Nf6 top 3\", \"Nf6 >= 40%\", \"Nf6 <= 40%\", \"Nf6 about 40%\", \
\"Nf6 > Be7\", \"Nf6 score >= 55%\", \"Nf6 edge > 0.05\". A claim holds if the whole 95 % interval \
agrees with it, fails if none of it does, and is undecided otherwise; then the answer says how many \
games would decide it.

A file of claims has one line for each position: the moves, a colon, and claims parted by semicolons, \
as in \"1. e4 c5: Nf3 first; Nc3 second\". \"start\" is the start position; lines that begin with # \
are remarks.")]
pub struct MovesArgs {
    /// The moves that lead to the position, such as "1. e4 e5 2. Nf3"
    #[arg(value_name = "LINE")]
    pub line: Vec<String>,
    /// Begin in this position, a FEN in quotes, instead of the start position
    #[arg(long, value_name = "FEN")]
    pub fen: Option<String>,
    /// Check what everybody says, such as "Nf6 first"; may be given several times
    #[arg(long, value_name = "CLAIM")]
    pub expect: Vec<String>,
    /// Check a file of such claims instead of showing a position; - reads them from a pipe
    #[arg(long, value_name = "FILE", conflicts_with_all = ["line", "fen", "expect"])]
    pub claims: Option<PathBuf>,
    /// How near "about 40%" is in a claim: within N percentage points
    #[arg(long, value_name = "N", default_value_t = 5.0)]
    pub about: f64,
    /// Let a claim that is undecided count as one that fails, in the exit status
    #[arg(long)]
    pub strict: bool,
    /// Whose moves
    #[command(flatten)]
    pub movers: MoverArgs,
    /// How to answer.
    #[command(flatten)]
    pub answer: AnswerArgs,
}

/// Options of all answers with statistics.
#[derive(Debug, Args)]
pub struct AnswerArgs {
    /// Show no figure that rests on fewer than N games
    #[arg(long, value_name = "N", default_value_t = 50)]
    pub min_sample: u64,
    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Table)]
    pub format: Format,
}

/// `trap`.
#[derive(Debug, Args)]
#[command(after_long_help = TRAP_HELP, after_help = "--help explains every column.")]
pub struct TrapArgs {
    /// A PGN file of traps, or one line with the losing move marked ??, in quotes
    #[arg(required = true, value_name = "FILE or LINE")]
    pub trap: Vec<String>,
    /// Of which level.
    #[command(flatten)]
    pub movers: MoverArgs,
    /// Tell how many slips to expect in the student's next N games
    #[arg(long, value_name = "N", default_value_t = 50)]
    pub ahead: u64,
    /// Call a trap common from N slips in 1000 games that play for it
    #[arg(long, value_name = "N", default_value_t = 5.0)]
    pub common_from: f64,
    /// Call a trap occasional from N slips in 1000 games that play for it
    #[arg(long, value_name = "N", default_value_t = 1.0)]
    pub occasional_from: f64,
    /// Who judges soundness.
    #[command(flatten)]
    pub engine: EngineArgs,
    /// What to judge besides.
    #[command(flatten)]
    pub judge: JudgeArgs,
    /// How to answer.
    #[command(flatten)]
    pub answer: AnswerArgs,
}

/// `lesson`.
#[derive(Debug, Args)]
#[command(after_help = "\
Writes lesson.html and lesson.pgn into the folder, which is made if it is not there. The page needs no \
network and no other file: open it in any browser, print it, or take it along. The traps are read as by \
the command trap, and the figures are the same.")]
pub struct LessonArgs {
    /// A PGN file of traps
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// The folder to write into
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
    /// What becomes of files that are there.
    #[command(flatten)]
    pub way: InTheWay,
    /// The title of the page
    #[arg(long, value_name = "TEXT")]
    pub title: Option<String>,
    /// Who made the lesson
    #[arg(long, value_name = "TEXT")]
    pub author: Option<String>,
    /// Whom the lesson is for, in your words; whose games are counted, --from and --below say
    #[arg(long, value_name = "TEXT")]
    pub level: Option<String>,
    /// Of which level.
    #[command(flatten)]
    pub movers: MoverArgs,
    /// Tell how many slips to expect in the student's next N games
    #[arg(long, value_name = "N", default_value_t = 50)]
    pub ahead: u64,
    /// Call a trap common from N slips in 1000 games that play for it
    #[arg(long, value_name = "N", default_value_t = 5.0)]
    pub common_from: f64,
    /// Call a trap occasional from N slips in 1000 games that play for it
    #[arg(long, value_name = "N", default_value_t = 1.0)]
    pub occasional_from: f64,
    /// Who judges soundness.
    #[command(flatten)]
    pub engine: EngineArgs,
    /// Show no figure that rests on fewer than N games
    #[arg(long, value_name = "N", default_value_t = 50)]
    pub min_sample: u64,
}

/// `diagram`.
#[derive(Debug, Args)]
#[command(after_help = "\
The last move of the line is framed: broken where the piece came from, whole where it stands. No store \
is needed.")]
pub struct DiagramArgs {
    /// The moves that lead to the position, such as "1. e4 e5 2. Nf3"
    #[arg(value_name = "LINE")]
    pub line: Vec<String>,
    /// Begin in this position, a FEN in quotes, instead of the start position
    #[arg(long, value_name = "FEN")]
    pub fen: Option<String>,
    /// Show the board from Black's side
    #[arg(long)]
    pub black_below: bool,
}

/// `about`.
#[derive(Debug, Args)]
pub struct AboutArgs {
    /// Read the whole store and check that nothing in it is damaged
    #[arg(long)]
    pub verify: bool,
    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Table)]
    pub format: Format,
}

/// `export`.
#[derive(Debug, Args)]
#[command(after_help = "\
One line for each position, move, rating (in steps of 100) of the player who moves, and pace, sorted. The same games give the \
same bytes, whatever the threads, the memory or the order of the files.

Every player belongs to one of 32 groups, 0 to 31, by a hash of the name, the same in every game and dump: games of one \
player hang together, and groups show how much without keeping any name. 'export --groups' writes the games of each position, \
move, rating and pace by group, 'export --totals --groups' those of each colour, rating and pace.")]
pub struct ExportArgs {
    /// Write how many games there are by colour, rating and pace instead
    #[arg(long, conflicts_with = "names")]
    pub totals: bool,
    /// Write the opening names that were learned from the games instead
    #[arg(long, conflicts_with = "groups")]
    pub names: bool,
    /// Write the games by group of players instead: those of the lines above, or with --totals of its lines
    #[arg(long)]
    pub groups: bool,
}
