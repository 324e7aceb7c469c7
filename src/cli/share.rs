//! Shares as typed.

use crate::lines::fraction;

/// Reads `1/200`, `0.5%` or `0.005`: from 0 to 1, both included.
pub fn share(text: &str) -> Result<f64, String> {
    let share = match text.split_once('/') {
        None => fraction(text),
        Some((number, of)) => {
            let parts = fraction(number).zip(fraction(of));
            parts.map(|(number, of)| number / of)
        }
    };
    let share = share.filter(|share| (0.0..=1.0).contains(share));
    share.ok_or_else(|| "give a number from 0 to 1, such as 0.005, 0.5% or 1/200".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_fractions_percent_or_numbers() {
        for text in ["1/200", "0.5%", "0.5 %", "0.005", " 1 / 200"] {
            assert_eq!(share(text), Ok(0.005), "{text}");
        }
        assert_eq!((share("0"), share("100%")), (Ok(0.0), Ok(1.0)));
        for text in ["200", "1/0", "-1/5", "NaN", "much", "%", "/", "1/2/3", "2/1", "0/0"] {
            assert!(share(text).is_err(), "{text}");
        }
    }
}
