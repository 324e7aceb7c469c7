//! How answers are asked for and printed.

use clap::{Args, ValueEnum};

use super::error::CliError;
use super::movers::MoverArgs;
use crate::answers::Question;

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

/// Options of all answers with statistics.
#[derive(Debug, Args)]
pub struct AnswerArgs {
    /// Withhold figures that rest on fewer than N games of different players
    #[arg(long, value_name = "N", default_value_t = Question::default().min_sample)]
    pub min_sample: u64,
    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Table)]
    pub format: Format,
}

impl AnswerArgs {
    /// The question about these movers, checked.
    pub fn question(&self, movers: &MoverArgs) -> Result<Question, CliError> {
        let (filter, min_sample) = (movers.filter()?, self.min_sample);
        Ok(Question { filter, min_sample, ..Question::default() })
    }

    /// Refuses options, each with whether it is given, that say something in these forms only.
    pub fn only_in(&self, forms: &[Format], options: &[(&str, bool)]) -> Result<(), CliError> {
        let given = options.iter().find(|(_, given)| *given);
        let Some((option, _)) = given.filter(|_| !forms.contains(&self.format)) else {
            return Ok(());
        };
        let form = match self.format {
            Format::Table => "table",
            Format::Json => "json",
            Format::Csv => "csv",
        };
        Err(CliError::Usage(format!(
            "{option} has no effect with --format {form}: leave one of them out"
        )))
    }
}
