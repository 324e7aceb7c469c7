//! Prepared lines, as typed.

use std::path::PathBuf;

use clap::Args;
use shakmaty::Color;

use super::error::CliError;
use super::files::{in_file, read_text};
use super::hunt::Side;
use crate::lines::Prepared;

/// What `map` and `student` may be given about them.
#[derive(Debug, Args)]
pub struct RepertoireArgs {
    /// Hold the games against the prepared lines of a PGN file; needs --as
    #[arg(long, value_name = "FILE.pgn", requires = "side")]
    pub repertoire: Option<PathBuf>,
    /// The student's colour, for which the lines of --repertoire are prepared
    #[arg(long = "as", value_name = "COLOUR", value_enum, requires = "repertoire")]
    pub side: Option<Side>,
}

impl RepertoireArgs {
    /// The lines, and for which colour they are.
    pub fn prepared(&self) -> Result<Option<(Prepared, Color)>, CliError> {
        let Some((path, side)) = self.repertoire.as_deref().zip(self.side) else { return Ok(None) };
        let side = Color::from(side);
        let file = Prepared::read_for(side, &read_text(path)?).map_err(in_file(path))?;
        Ok(Some((file, side)))
    }
}
