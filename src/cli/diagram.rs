//! `diagram`: a position as SVG, or those of a file of traps.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::Args;
use shakmaty::Color;

use super::error::CliError;
use super::files::{OutFiles, OverwriteArgs, input, names_file};
use super::language::{self, language};
use super::line_args::LineArgs;
use super::output::{self, Output};
use super::signals::Signals;
use super::trap::read_file;
use crate::lines::Trap;
use crate::pages::languages::Language;
use crate::pages::lesson::Diagram;

/// `diagram`.
#[derive(Debug, Args)]
#[command(after_help = "\
The last move of the line is framed: broken where the piece came from, solid where it went. No store is needed.

LINE may be a file of traps: then --out names a folder, and each trap's position before the slip is drawn there.")]
pub struct DiagramArgs {
    #[command(flatten)]
    pub line: LineArgs,
    /// Show the board from Black's side
    #[arg(long)]
    pub black_below: bool,
    /// For a file of traps, show each board from the setter's side
    #[arg(long, conflicts_with = "black_below")]
    pub setter_below: bool,
    /// The language of what is read aloud where the picture is not seen.
    #[arg(long, value_name = "LANGUAGE", default_value = "en", help = language::help("what is read aloud where the picture is not seen"))]
    pub language: String,
    /// Write the picture to FILE; for a file of traps, the pictures into this folder [default:
    /// standard output]
    #[arg(long, value_name = "FILE or DIR")]
    pub out: Option<PathBuf>,
    #[command(flatten)]
    pub overwrite: OverwriteArgs,
}

pub fn run(
    args: &DiagramArgs,
    store: &Path,
    output: &mut Output,
    signals: &Signals,
) -> Result<(), CliError> {
    let words = language(&args.language)?;
    if let Some(file) = args.line.only_word().filter(|word| names_file(word))
        && args.line.line().is_err()
    {
        return of_file(args, Path::new(file), words, store, signals);
    }
    if args.setter_below {
        return Err(CliError::Usage(
            "--setter-below is for a file of traps; say --black-below".into(),
        ));
    }
    let line = args.line.line()?;
    let bottom = if args.black_below { Color::Black } else { Color::White };
    let last = line.moves().last().copied();
    let diagram = Diagram { bottom, ..Diagram::after(line.end(), last) };
    let document = diagram.document(words);
    let out = args.out.as_deref().filter(|path| path.as_os_str() != "-");
    args.overwrite.needs_a_file(out.is_some())?;
    match out {
        None => output.answer().write_all(document.as_bytes())?,
        Some(path) => {
            let files = OutFiles::new(vec![path.to_owned()], args.overwrite, store, &[])?;
            files.write_texts(signals, [document])?;
        }
    }
    Ok(())
}

fn of_file(
    args: &DiagramArgs,
    file: &Path,
    words: &Language,
    store: &Path,
    signals: &Signals,
) -> Result<(), CliError> {
    let Some(out) = &args.out else {
        let why = "name the folder for the pictures of a file of traps with --out";
        return Err(CliError::Usage(why.into()));
    };
    let traps = read_file(file)?;
    let names = traps.iter().enumerate().map(|(place, trap)| name(place + 1, trap));
    let files = OutFiles::in_folder(out, names, args.overwrite, store, &[input(file)])?;
    files.write_texts(signals, traps.iter().map(|trap| drawn(args, trap).document(words)))?;
    let pictures = if traps.len() == 1 { "picture" } else { "pictures" };
    output::note(&format!("{}: {} {pictures}", out.display(), traps.len()));
    Ok(())
}

/// The trap position, the bait framed.
fn drawn(args: &DiagramArgs, trap: &Trap) -> Diagram {
    let bottom = match (args.black_below, args.setter_below) {
        (true, _) => Color::Black,
        (_, true) => trap.setter(),
        _ => Color::White,
    };
    let bait = trap.bait_ply().map(|ply| trap.line().moves()[ply]);
    Diagram { bottom, ..Diagram::after(trap.position(), bait) }
}

/// `02-legals-mate.svg`: what is no letter or digit becomes a dash.
fn name(place: usize, trap: &Trap) -> String {
    const MOST: usize = 40;
    let words = trap.name().to_lowercase();
    let words = words.replace(['\'', '\u{2019}'], "");
    let parts = words.split(|letter: char| !letter.is_ascii_alphanumeric());
    let parts: Vec<&str> = parts.filter(|part| !part.is_empty()).collect();
    let mut slug: String = parts.join("-").chars().take(MOST).collect();
    if slug.is_empty() {
        slug = "trap".to_owned();
    }
    format!("{place:02}-{}.svg", slug.trim_end_matches('-'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_bears_the_name_of_its_trap() {
        let named = |event: &str| {
            let text = format!("[Event \"{event}\"]\n\n1. f3 e5 2. g4?? Qh4# *");
            name(2, &Trap::read_all(&text).swap_remove(0).expect("a trap"))
        };
        assert_eq!(named("Legal's Mate (short)"), "02-legals-mate-short.svg");
        assert_eq!(named("\u{202e}../.."), "02-trap.svg");
    }
}
