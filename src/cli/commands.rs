//! The commands: what is typed, and what runs.

use std::ffi::OsString;
use std::path::PathBuf;

use clap::{Arg, CommandFactory, FromArgMatches, Parser, Subcommand};

use super::error::CliError;
use super::files::{input, not_printed_into};
use super::output::Output;
use super::signals::Signals;
use super::{
    about, build, completions, diagram, export, games, gaps, help, hunt, join, lesson, man, map,
    moves, student, trap,
};
use crate::pages::help::{exit_status, list};

/// Which opening traps really occur at a playing level, from open monthly dumps of rated games.
#[derive(Debug, Parser)]
#[command(version, max_term_width = 80, after_help = after_help(), disable_help_subcommand = true)]
pub struct Arguments {
    /// What to do
    #[command(subcommand)]
    command: Command,
    /// The store file [default: what DEADFALL_STORE names, else deadfall.redb]
    #[arg(long, global = true, value_name = "FILE", display_order = 100)]
    store: Option<PathBuf>,
}

/// The variable that names the store.
const STORE: &str = "DEADFALL_STORE";

/// What options call their numbers.
const NUMBERS: [&str; 6] = ["N", "RATING", "SHARE", "POINTS", "S", "SIZE"];

/// What comes after the options.
fn after_help() -> String {
    format!(
        "{FIRST_STEPS}\nTopics, as in deadfall help month:\n{}\nExit status, for scripts:\n{}\n{NOTES}",
        list(),
        exit_status()
    )
}

const FIRST_STEPS: &str = "\
First steps:
  deadfall build month.pgn.zst         count a month of games, once
  deadfall trap traps.pgn --below 2000 which of these traps are worth a lesson?
  deadfall lesson traps.pgn --out out  make the lesson, to print and hand out
  deadfall help trap                   explain a command with all its options

A dump is a file with all rated games of a month, as PGN. The store is the file
in which build keeps what it has counted; all answers come from there. It need
not be named if it is deadfall.redb in the folder where you are.
";

const NOTES: &str = "\
Answers go to standard output, everything else to standard error.
Using such help during a rated game is against the rules of play.";

impl Arguments {
    /// The arguments of the process. Help is an error here, as it is to the parser.
    pub fn read() -> Result<Arguments, clap::Error> {
        let arguments = Arguments::parse_from_words(std::env::args_os())?;
        let Command::Help(help) = &arguments.command else { return Ok(arguments) };
        match help.parsed(&Arguments::command()) {
            Some(asked) => Arguments::parse_from_words(asked),
            None => Ok(arguments),
        }
    }

    fn parse_from_words<W: Into<OsString> + Clone>(
        words: impl IntoIterator<Item = W>,
    ) -> Result<Arguments, clap::Error> {
        // -1 in the place of a number is a wrong number, no option.
        let numeric = |arg: Arg| {
            let names = arg.get_value_names().unwrap_or_default();
            let is_number = names.iter().any(|name| NUMBERS.contains(&name.as_str()));
            if is_number { arg.allow_hyphen_values(true) } else { arg }
        };
        let command = Arguments::command();
        let mut command = command.mut_subcommands(|command| command.mut_args(numeric));
        let matches = command.try_get_matches_from_mut(words)?;
        Arguments::from_arg_matches(&matches).map_err(|error| {
            let name = matches.subcommand_name().unwrap_or_default();
            match command.find_subcommand_mut(name) {
                Some(command) => error.format(command),
                None => error.format(&mut command),
            }
        })
    }

    /// The store that is given, else that of the environment, else `deadfall.redb` in the
    /// working folder.
    fn store(&self) -> PathBuf {
        let usual = || std::env::var_os(STORE).filter(|store| !store.is_empty());
        let usual = || usual().map_or_else(|| "deadfall.redb".into(), PathBuf::from);
        self.store.clone().unwrap_or_else(usual)
    }

    /// Runs the command.
    pub fn run(&self, output: &mut Output, signals: &Signals) -> Result<(), CliError> {
        let store = &self.store();
        not_printed_into(&input(store))?;
        match &self.command {
            Command::Build(args) => build::run(args, store, signals),
            Command::Join(args) => join::run(args, store, signals),
            Command::Moves(args) => moves::run(args, store, output),
            Command::Trap(args) => {
                args.over.check(self.store.is_some())?;
                trap::run(args, store, output, signals)
            }
            Command::Hunt(args) => hunt::run(args, store, output, signals),
            Command::Gaps(args) => gaps::run(args, store, output, signals),
            Command::Map(args) => map::run(args, store, output, signals),
            Command::Student(args) => student::run(args, store, output, signals),
            Command::Games(args) => games::run(args, store, output, signals),
            Command::Lesson(args) => lesson::run(args, store, signals),
            Command::Diagram(args) => diagram::run(args, store, output, signals),
            Command::About(args) => about::run(args, store, output),
            Command::Export(args) => export::run(args, store, output),
            Command::Completions(args) => completions::run(args, Arguments::command(), output),
            Command::Man(args) => man::run(args, store, Arguments::command(), signals),
            Command::Help(args) => help::run(args, Arguments::command(), output),
        }
    }
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Count a month of games (a dump) into the store
    Build(build::BuildArgs),
    /// Add stores together into one
    Join(join::JoinArgs),
    /// Show what is played in a position, how often and with what success
    Moves(moves::MovesArgs),
    /// Judge traps: how often they come up, how many fall for them, what they score
    Trap(trap::TrapArgs),
    /// Find traps that nobody talks about: losing moves that many play
    Hunt(hunt::HuntArgs),
    /// Find what a file of prepared lines leaves unanswered
    Gaps(gaps::GapsArgs),
    /// Draw where the games of a level go after a line (SVG)
    Map(map::MapArgs),
    /// Compare a student's games with the level: costly habits, traps, prepared lines
    Student(student::StudentArgs),
    /// Pick whole games with a position or a trap from a dump
    Games(games::GamesArgs),
    /// Make a lesson on traps: pages to print, annotated games (PGN), flash cards
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
    /// Explain a command or a topic
    Help(help::HelpArgs),
}
