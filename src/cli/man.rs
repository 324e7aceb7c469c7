//! `man`: the manual pages, made of the same definition as the help.

use std::io;
use std::path::{Path, PathBuf};

use clap::{Args, Command};
use clap_mangen::Man;
use clap_mangen::roff::{Roff, roman};

use super::error::CliError;
use super::files::{OutFiles, OverwriteArgs};
use super::output;
use super::signals::Signals;
use crate::pages::help::{TOPICS, Topic};

/// `man`.
#[derive(Debug, Args)]
#[command(after_help = "\
Writes deadfall.1, a page for each command, such as deadfall-build.1, and one for each topic of the help, such as \
deadfall-figures.7. To look at one: man DIR/deadfall-build.1.")]
pub struct ManArgs {
    /// The folder to write into, which is made if it is not there
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
    #[command(flatten)]
    pub overwrite: OverwriteArgs,
}

const SOURCE: &str = concat!("deadfall ", env!("CARGO_PKG_VERSION"));

pub fn run(
    args: &ManArgs,
    store: &Path,
    program: Command,
    signals: &Signals,
) -> Result<(), CliError> {
    let pages = pages(program)?;
    let names = pages.iter().map(|(name, _)| name);
    let files = OutFiles::in_folder(&args.out, names, args.overwrite, store, &[])?;
    files.write_texts(signals, pages.iter().map(|(_, page)| page))?;
    output::note(&format!("{}: {} pages", args.out.display(), pages.len()));
    Ok(())
}

/// Names of files and what is in them: the page of the program, one a command, one a topic.
fn pages(mut program: Command) -> io::Result<Vec<(String, Vec<u8>)>> {
    // Gives the commands their whole names and the options that all have.
    program.build();
    let commands = program.get_subcommands().cloned();
    let all = [program.clone()].into_iter().chain(commands);
    let of_commands = all.map(|command| Ok((format!("{}.1", name(&command)), page(command)?)));
    let of_topics =
        TOPICS.iter().map(|topic| Ok((format!("deadfall-{}.7", topic.name), of(topic)?)));
    of_commands.chain(of_topics).collect()
}

/// A topic as `help` prints it, its lines as they are.
fn of(topic: &Topic) -> io::Result<Vec<u8>> {
    let (name, mut page) = (format!("deadfall-{}", topic.name), Vec::new());
    let mut manual = Roff::new();
    manual.control("TH", [name.as_str(), "7", "", SOURCE, "deadfall"]);
    manual.control("SH", ["NAME"]).text([roman(format!("{name} - {}", topic.about))]);
    manual.control("SH", ["DESCRIPTION"]).control("nf", []);
    for line in topic.plain().lines() {
        manual.text([roman(line)]);
    }
    manual.control("fi", []).to_writer(&mut page)?;
    Ok(page)
}

fn name(command: &Command) -> &str {
    command.get_display_name().unwrap_or_else(|| command.get_name())
}

fn page(command: Command) -> io::Result<Vec<u8>> {
    let more = command.get_after_help().map(ToString::to_string);
    let has_commands = command.has_subcommands();
    let man = Man::new(command).source(SOURCE).manual("deadfall");
    let mut page = Vec::new();
    man.render_title(&mut page)?;
    // Words that are typed are not parted.
    page.extend_from_slice(b".nh\n.ad l\n");
    man.render_name_section(&mut page)?;
    man.render_synopsis_section(&mut page)?;
    man.render_description_section(&mut page)?;
    man.render_options_section(&mut page)?;
    if has_commands {
        man.render_subcommands_section(&mut page)?;
    }
    if let Some(more) = more {
        notes(&more).to_writer(&mut page)?;
    }
    Ok(page)
}

/// What comes below the options of a help. Lines that are set in stay lines.
fn notes(text: &str) -> Roff {
    let mut notes = Roff::new();
    notes.control("SH", ["NOTES"]);
    for paragraph in text.split("\n\n") {
        notes.control("PP", []);
        for line in paragraph.lines() {
            if line.starts_with(' ') {
                notes.control("br", []);
            }
            notes.text([roman(line)]);
        }
    }
    notes
}
