//! How a store is written, as typed.

use clap::Args;

use crate::importer::{Memory, Plan};

/// The most bytes that --memory may say: more is a slip of the pen.
const MOST_MEMORY: f64 = 1024.0 * 1024.0 * 1024.0 * 1024.0;
/// The most that --keep-from may say: what several stores lack is added up.
const MOST_KEPT: u64 = u32::MAX as u64;

/// What `build` and `join` may be given about it.
#[derive(Debug, Args)]
pub struct ImportArgs {
    /// Drop positions that fewer than N games reached [default: 5]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u64).range(1..=MOST_KEPT))]
    keep_from: Option<u64>,
    /// Use about this much memory, such as 512MiB or 2GiB [default: 2GiB]
    #[arg(long, value_name = "SIZE", value_parser = memory)]
    memory: Option<Memory>,
    /// Use N processors [default: all]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    threads: Option<u16>,
}

impl ImportArgs {
    /// A plan with what these options change in it.
    pub fn applied_to(&self, plan: Plan) -> Plan {
        Plan {
            keep_from: self.keep_from.unwrap_or(plan.keep_from),
            memory: self.memory.unwrap_or(plan.memory),
            threads: threads(self.threads),
            ..plan
        }
    }
}

/// As many threads as are asked for, else as there are processors.
pub fn threads(asked: Option<u16>) -> usize {
    let processors = || std::thread::available_parallelism().map_or(1, usize::from);
    asked.map_or_else(processors, usize::from)
}

/// Reads `512MiB`, `2GiB`, `1.5GB`, `3G` (powers of 1024 for `iB` and bare letters).
fn memory(text: &str) -> Result<Memory, String> {
    let number = text.trim_end_matches(|letter: char| letter.is_ascii_alphabetic()).trim();
    let unit = text[text.trim_end_matches(|letter: char| letter.is_ascii_alphabetic()).len()..]
        .to_ascii_lowercase();
    let factor = match unit.as_str() {
        "m" | "mib" => 1024f64.powi(2),
        "g" | "gib" => 1024f64.powi(3),
        "mb" => 1e6,
        "gb" => 1e9,
        _ => return Err("give a number with MiB or GiB".into()),
    };
    let amount: f64 = number.parse().map_err(|_| "give a number with MiB or GiB".to_string())?;
    if amount * factor > MOST_MEMORY {
        return Err("that is more than can be used: give 1024GiB or less".into());
    }
    Memory::new((amount * factor) as u64)
        .ok_or_else(|| format!("at least {} MiB are needed", Memory::LEAST.bytes() >> 20))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_powers_of_1024_or_1000_as_written() {
        let bytes = |text| memory(text).map(Memory::bytes);
        assert_eq!(bytes("512MiB"), Ok(512 << 20));
        assert_eq!(bytes("2g"), Ok(2 << 30));
        assert_eq!(bytes("1.5 GB"), Ok(1_500_000_000));
    }

    #[test]
    fn too_little_and_nonsense_are_refused() {
        for text in
            ["255MiB", "2", "much", "-1GiB", "NaNGiB", "infGiB", "1025GiB", "99999999999GiB"]
        {
            assert!(memory(text).is_err(), "{text}");
        }
    }
}
