//! Sizes of memory as typed.

use crate::importer::Memory;

/// Reads `512MiB`, `2GiB`, `1.5GB`, `3G` (powers of 1024 for `iB` and bare letters).
pub fn parse(text: &str) -> Result<Memory, String> {
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
    Memory::new((amount * factor) as u64)
        .ok_or_else(|| format!("at least {} MiB are needed", Memory::LEAST.bytes() >> 20))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_powers_of_1024_or_1000_as_written() {
        let bytes = |text| parse(text).map(Memory::bytes);
        assert_eq!(bytes("512MiB"), Ok(512 << 20));
        assert_eq!(bytes("2g"), Ok(2 << 30));
        assert_eq!(bytes("1.5 GB"), Ok(1_500_000_000));
    }

    #[test]
    fn too_little_and_nonsense_are_refused() {
        for text in ["255MiB", "2", "much", "-1GiB", "NaNGiB"] {
            assert!(parse(text).is_err(), "{text}");
        }
    }
}
