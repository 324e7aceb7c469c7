//! `diagram`: a position as SVG.

use std::io::Write;

use shakmaty::Color;

use super::args::DiagramArgs;
use super::error::CliError;
use super::output::Output;
use crate::lines::Line;
use crate::pages::lesson::{Diagram, ENGLISH};

/// Runs the command.
pub fn run(args: &DiagramArgs, output: &mut Output) -> Result<(), CliError> {
    let moves = args.line.join(" ");
    let line = match &args.fen {
        Some(fen) => Line::from_fen(fen, &moves),
        None => moves.parse(),
    };
    let line = line.map_err(CliError::input)?;
    let bottom = if args.black_below { Color::Black } else { Color::White };
    let last = line.moves().last().copied();
    let diagram = Diagram { bottom, ..Diagram::after(line.end(), last) };
    output.answer().write_all(diagram.document(&ENGLISH).as_bytes())?;
    Ok(())
}
