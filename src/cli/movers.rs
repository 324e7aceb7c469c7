//! Rating and pace filters as typed.

use clap::Args;

use super::error::CliError;
use crate::terms::{BAND_WIDTH, BandRange, MoverFilter, Pace, PaceSet};

/// Whose choices to look at: the mover of each position.
#[derive(Debug, Args)]
pub struct MoverArgs {
    /// Ask about players rated RATING or more, in steps of 100
    #[arg(long, value_name = "RATING", value_parser = rating)]
    from: Option<u16>,
    /// Ask about players rated below RATING, in steps of 100
    #[arg(long, value_name = "RATING", value_parser = rating)]
    below: Option<u16>,
    /// Ask about games of these paces, such as blitz,rapid: bullet, blitz, rapid, classical,
    /// correspondence, unknown [default: all]
    #[arg(long, value_name = "PACE", value_delimiter = ',')]
    pace: Vec<Pace>,
}

impl MoverArgs {
    /// Whether ratings are asked for.
    pub fn has_level(&self) -> bool {
        self.from.is_some() || self.below.is_some()
    }

    /// The filter, checked.
    pub fn filter(&self) -> Result<MoverFilter, CliError> {
        let from = band_edge("--from", self.from.unwrap_or(BandRange::ALL.from))?;
        let below = band_edge("--below", self.below.unwrap_or(BandRange::ALL.below))?;
        let bands = BandRange::new(from, below).ok_or_else(|| {
            CliError::Usage(match (self.from, self.below) {
                (_, Some(0)) => "--below 0: no rating is below 0; 100 is the least".into(),
                (Some(_), None) => format!("--from {from}: ratings end below {below}"),
                _ => format!("--from {from} must be lower than --below {below}"),
            })
        })?;
        Ok(MoverFilter { bands, paces: paces(&self.pace) })
    }
}

pub fn paces(named: &[Pace]) -> PaceSet {
    if named.is_empty() { PaceSet::ALL } else { named.iter().copied().collect() }
}

fn rating(text: &str) -> Result<u16, String> {
    text.parse().map_err(|_| "give a rating such as 1600".to_owned())
}

fn band_edge(option: &str, rating: u16) -> Result<u16, CliError> {
    let lower = rating / BAND_WIDTH * BAND_WIDTH;
    let highest = BandRange::ALL.below;
    if rating > highest {
        return Err(CliError::Usage(format!("{option} {rating}: ratings end at {highest}")));
    }
    if lower != rating {
        let upper = lower + BAND_WIDTH;
        return Err(CliError::Usage(format!(
            "{option} {rating} is not on a band edge; the nearest are {lower} and {upper}"
        )));
    }
    Ok(rating)
}
