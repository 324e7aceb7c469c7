//! Whose games, and from when on a trap is common, as typed.

use clap::Args;

use super::error::CliError;
use super::movers::MoverArgs;
use crate::answers::{Cutoffs, Question};

/// What `trap` and `lesson` ask alike.
#[derive(Debug, Args)]
pub struct LevelArgs {
    /// Of which level.
    #[command(flatten)]
    movers: MoverArgs,
    /// Show how many slips to expect in the student's next N games
    #[arg(long, value_name = "N", default_value_t = Question::default().ahead, value_parser = clap::value_parser!(u64).range(..=10_000))]
    ahead: u64,
    /// Call a trap common from N slips in 1000 games that play for it
    #[arg(long, value_name = "N", default_value_t = Cutoffs::default().common)]
    common_from: f64,
    /// Call a trap occasional from N slips in 1000 games that play for it
    #[arg(long, value_name = "N", default_value_t = Cutoffs::default().occasional)]
    occasional_from: f64,
}

impl LevelArgs {
    /// The question, checked.
    pub fn question(&self, min_sample: u64) -> Result<Question, CliError> {
        let (common, occasional) = (self.common_from, self.occasional_from);
        if !(occasional >= 0.0 && common >= occasional && common <= 1000.0) {
            return Err(CliError::Usage(format!(
                "--occasional-from {occasional} and --common-from {common}: the first must not be above the second, both within 0 and 1000"
            )));
        }
        Ok(Question {
            filter: self.movers.filter()?,
            min_sample,
            cutoffs: Cutoffs { common, occasional },
            ahead: self.ahead,
            ..Question::default()
        })
    }
}
