//! `diagram`: a position as SVG.

use std::io::Write;

use clap::Args;
use shakmaty::Color;

use super::error::CliError;
use super::line_args::LineArgs;
use super::output::Output;
use crate::pages::lesson::{Diagram, ENGLISH};

/// `diagram`.
#[derive(Debug, Args)]
#[command(after_help = "\
The last move of the line is framed: broken where the piece came from, whole where it stands. No store \
is needed.")]
pub struct DiagramArgs {
    /// Which position.
    #[command(flatten)]
    pub line: LineArgs,
    /// Show the board from Black's side
    #[arg(long)]
    pub black_below: bool,
}

/// Runs the command.
pub fn run(args: &DiagramArgs, output: &mut Output) -> Result<(), CliError> {
    let line = args.line.line()?;
    let bottom = if args.black_below { Color::Black } else { Color::White };
    let last = line.moves().last().copied();
    let diagram = Diagram { bottom, ..Diagram::after(line.end(), last) };
    output.answer().write_all(diagram.document(&ENGLISH).as_bytes())?;
    Ok(())
}
