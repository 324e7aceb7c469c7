//! The commands: what is typed, and what runs.

use std::path::{Path, PathBuf};

use clap::{Args, Parser, Subcommand};

use super::error::CliError;
use super::output::Output;
use super::signals::Signals;
use super::{
    about, build, completions, diagram, export, games, gaps, hunt, join, lesson, man, map, moves,
    student, trap,
};

/// Which opening traps really occur at a playing level, from open monthly dumps of rated games.
#[derive(Debug, Parser)]
#[command(version, max_term_width = 100, after_help = AFTER_HELP, disable_help_subcommand = true)]
pub struct Arguments {
    /// What to do
    #[command(subcommand)]
    command: Command,
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
  130  stopped by a signal, such as Ctrl-C

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

    /// Runs the command on the store that is given, else on `deadfall.redb` in the working folder.
    pub fn run(&self, output: &mut Output, signals: &Signals) -> Result<(), CliError> {
        let store = self.store.as_deref().unwrap_or(Path::new("deadfall.redb"));
        match &self.command {
            Command::Build(args) => build::run(args, store, signals),
            Command::Join(args) => join::run(args, store, signals),
            Command::Moves(args) => moves::run(args, store, output),
            Command::Trap(args) => trap::run(args, store, output, signals),
            Command::Hunt(args) => hunt::run(args, store, output, signals),
            Command::Gaps(args) => gaps::run(args, store, output, signals),
            Command::Map(args) => map::run(args, store, output, signals),
            Command::Student(args) => student::run(args, store, output, signals),
            Command::Games(args) => games::run(args, store, output, signals),
            Command::Lesson(args) => lesson::run(args, store, signals),
            Command::Diagram(args) => diagram::run(args, output, signals),
            Command::About(args) => about::run(args, store, output),
            Command::Export(args) => export::run(args, store, output),
            Command::Completions(args) => completions::run(args, output),
            Command::Man(args) => man::run(args, signals),
            // Answered where the arguments are read.
            Command::Help(_) => Ok(()),
        }
    }
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Count a month of games (a dump) into the store
    Build(build::BuildArgs),
    /// Add several stores together into one
    Join(join::JoinArgs),
    /// Show what is played in a position, how often and with what success
    Moves(moves::MovesArgs),
    /// Judge traps: how often they come up, how many fall for them, what they score
    Trap(trap::TrapArgs),
    /// Find traps that nobody talks about: losing moves that many play
    Hunt(hunt::HuntArgs),
    /// Find what a file of prepared lines leaves unanswered
    Gaps(gaps::GapsArgs),
    /// Draw where games of a level go behind a line (SVG)
    Map(map::MapArgs),
    /// Hold a student's own games against the level: costly habits, traps, prepared lines
    Student(student::StudentArgs),
    /// Pick whole games with a position or a trap out of a dump
    Games(games::GamesArgs),
    /// Make a lesson on traps: a page to print and annotated games (PGN)
    Lesson(lesson::LessonArgs),
    /// Draw a position as a picture (SVG)
    Diagram(diagram::DiagramArgs),
    /// Show what the store holds: dumps, games, ratings, paces
    About(about::AboutArgs),
    /// Write all counts as a table for other programs (CSV)
    Export(export::ExportArgs),
    /// Write a script that lets a shell complete commands and options
    Completions(completions::CompletionsArgs),
    /// Write the manual pages
    Man(man::ManArgs),
    /// Explain a command and its options
    Help(HelpArgs),
}

/// `help`.
#[derive(Debug, Args)]
pub struct HelpArgs {
    /// The command to explain [default: all of them in short]
    pub command: Option<String>,
}
