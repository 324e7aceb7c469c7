//! `man`: the manual pages, made of the same definition as the help.

use std::io::Write;
use std::path::PathBuf;

use clap::{Args, CommandFactory};
use clap_mangen::Man;

use super::commands::Arguments;
use super::error::CliError;
use super::files::{InTheWay, OutFiles};
use super::lesson::Folder;
use super::output;
use super::signals::Signals;

/// `man`.
#[derive(Debug, Args)]
#[command(after_help = "\
Writes deadfall.1 and a page for each command, such as deadfall-build.1. To look at one: man DIR/deadfall-build.1. \
To keep them: --out ~/.local/share/man/man1.")]
pub struct ManArgs {
    /// The folder to write into, which is made if it is not there
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
    /// What becomes of files that are there.
    #[command(flatten)]
    pub way: InTheWay,
}

/// Runs the command.
pub fn run(args: &ManArgs, signals: &Signals) -> Result<(), CliError> {
    let pages = pages()?;
    let paths = pages.iter().map(|(name, _)| args.out.join(name)).collect();
    let files = OutFiles::new(paths, args.way, &[])?;
    let folder = Folder::make(&args.out)?;
    files.write_unless_stopped(signals, |outs| {
        pages
            .iter()
            .zip(outs)
            .try_for_each(|((_, page), out)| out.write_all(page).map_err(|error| out.failed(error)))
    })?;
    folder.keep();
    output::note(&format!("{}: {} pages", args.out.display(), pages.len()));
    Ok(())
}

/// Names of files and what is in them: the page of the program, then one a command.
fn pages() -> Result<Vec<(String, Vec<u8>)>, CliError> {
    let mut program = Arguments::command();
    // Gives the commands their whole names and the options that all have.
    program.build();
    let commands = program.get_subcommands().cloned();
    [program.clone()]
        .into_iter()
        .chain(commands)
        .map(|command| {
            let mut page = Vec::new();
            let man = Man::new(command);
            man.render(&mut page)?;
            Ok((man.get_filename(), page))
        })
        .collect()
}
