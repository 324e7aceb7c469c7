//! The arguments as typed.

use std::path::{Path, PathBuf};

use clap::{Args, Parser, Subcommand};

use crate::counts::Pace;
use crate::games::DateBound;

/// Which opening traps really occur at a playing level, from open monthly dumps of rated games.
#[derive(Debug, Parser)]
#[command(version, max_term_width = 100, after_help = AFTER_HELP)]
pub struct Arguments {
    /// What to do
    #[command(subcommand)]
    pub command: Command,
    /// The store file
    #[arg(long, global = true, value_name = "FILE", env = "DEADFALL_STORE")]
    store: Option<PathBuf>,
}

const AFTER_HELP: &str = "\
Exit status:
  0    answered, also with \"no games here\" or an undecided claim
  1    a claim asked with --expect fails
  2    options and arguments that do not fit together
  3    bad input: a dump, PGN, line or position that is missing, unreadable or illegal
  4    store, temporary or output files: missing, damaged, full, not writable
  130  stopped by Ctrl-C

Answers go to standard output, everything else to standard error.
Using such help during a rated game is against the rules of play.";

impl Arguments {
    /// The store to use: as given, else `deadfall.redb` in the working folder.
    pub fn store(&self) -> &Path {
        self.store.as_deref().unwrap_or(Path::new("deadfall.redb"))
    }
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Import dumps into the store
    Build(BuildArgs),
}

/// `build`.
#[derive(Debug, Args)]
#[command(after_help = "\
Dumps may be plain, zstd, gzip or bzip2; the content tells. A folder stands for the files in it that
have .pgn in their names. A store that exists is added to; what is not said is then taken from it.")]
pub struct BuildArgs {
    /// Dumps: files, folders of them, or - for standard input
    #[arg(required = true, value_name = "SOURCE")]
    pub sources: Vec<String>,
    /// Count the first N half-moves of each game [default: 30]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1000))]
    pub half_moves: Option<u16>,
    /// Drop positions with fewer than N games in all [default: 5]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u64).range(1..))]
    pub keep_from: Option<u64>,
    /// Use about this much memory, such as 512MiB or 2GiB [default: 2GiB]
    #[arg(long, value_name = "SIZE", value_parser = super::memory::parse)]
    pub memory: Option<crate::build::Memory>,
    /// Replay games on N threads [default: one a processor]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub threads: Option<u16>,
    /// Put temporary files there [default: beside the store]
    #[arg(long, value_name = "DIR")]
    pub temp_dir: Option<PathBuf>,
    /// Leave out games before this day or month (2031-05-17, 2031-05)
    #[arg(long, value_name = "DATE")]
    pub since: Option<DateBound>,
    /// Leave out games after this day or month
    #[arg(long, value_name = "DATE")]
    pub until: Option<DateBound>,
    /// Count only games of these paces, such as blitz,rapid
    #[arg(long, value_name = "PACE", value_delimiter = ',')]
    pub pace: Vec<Pace>,
    /// Leave out games whose ratings are more than N points apart
    #[arg(long, value_name = "N")]
    pub max_gap: Option<u16>,
    /// Count what can be read of a dump that breaks off, and remember that it is incomplete
    #[arg(long)]
    pub keep_going: bool,
    /// Show no progress
    #[arg(long, short)]
    pub quiet: bool,
}
