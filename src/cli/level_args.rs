//! Whose games, and from when on a trap is common, as typed.

use std::fmt::Display;

use clap::Args;

use super::error::CliError;
use super::movers::MoverArgs;
use super::share::number_to;
use crate::answers::{Cutoffs, Question};

/// What `trap` and `lesson` ask alike.
#[derive(Debug, Args)]
pub struct LevelArgs {
    #[command(flatten)]
    movers: MoverArgs,
    /// How far to look ahead.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u64).range(..=10_000),
        help = usually("Show how many slips to expect in the student's next N games", Question::default().ahead))]
    ahead: Option<u64>,
    /// What is common.
    #[arg(long, value_name = "N", value_parser = number_to(1000.0),
        help = usually("Call a trap common from N slips in 1000 games that play for it (setters only)", Cutoffs::default().common))]
    common_from: Option<f64>,
    /// What is occasional.
    #[arg(long, value_name = "N", value_parser = number_to(1000.0),
        help = usually("Call a trap occasional from N slips in 1000 games that play for it", Cutoffs::default().occasional))]
    occasional_from: Option<f64>,
}

/// A help with its default: the parser would not say whether a default was typed.
pub fn usually(help: &str, default: impl Display) -> String {
    format!("{help} [default: {default}]")
}

impl LevelArgs {
    /// What only those who lay a trap ask, each with whether it is given. From when on slips are
    /// occasional, the others ask too.
    pub fn of_setters(&self) -> [(&'static str, bool); 2] {
        [("--ahead", self.ahead.is_some()), ("--common-from", self.common_from.is_some())]
    }

    /// The question, checked.
    pub fn question(&self, min_sample: u64) -> Result<Question, CliError> {
        let usual = Question::default();
        let occasional = self.occasional_from.unwrap_or(usual.cutoffs.occasional);
        // Those who face a trap move one of the limits alone.
        let common = self.common_from.unwrap_or(usual.cutoffs.common.max(occasional));
        if common < occasional {
            return Err(CliError::Usage(format!(
                "--occasional-from {occasional} and --common-from {common}: the first must not be above the second"
            )));
        }
        Ok(Question {
            filter: self.movers.filter()?,
            min_sample,
            cutoffs: Cutoffs { common, occasional },
            ahead: self.ahead.unwrap_or(usual.ahead),
            ..usual
        })
    }
}
