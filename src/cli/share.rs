//! Shares and other numbers as typed.

use crate::lines::fraction;

/// Reads `1/200`, `0.5%` or `0.005`: from 0 to 1, both included.
pub fn share(text: &str) -> Result<f64, String> {
    let share = fraction(text).filter(|share| (0.0..=1.0).contains(share));
    // Never -0, which would be printed as such.
    let share = share.map(|share| share + 0.0);
    share.ok_or_else(|| "give a number from 0 to 1, such as 0.005, 0.5% or 1/200".to_owned())
}

/// Less than this decides nothing, and fills lines with zeros.
const LEAST: f64 = 0.001;

/// Reads a number up to `most`: 0, or what is far enough from it to matter.
pub fn number_to(most: f64) -> impl Fn(&str) -> Result<f64, String> + Clone {
    move |text| {
        let number = text.trim().parse().ok();
        let number = number.filter(|number| *number == 0.0 || (LEAST..=most).contains(number));
        let number = number.map(|number| number + 0.0);
        number.ok_or_else(|| format!("give a number from {LEAST} to {most}, or 0"))
    }
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
        let huge = format!("1/{}", "9".repeat(400));
        assert!(share(&huge).is_err(), "{huge}");
        assert_eq!(share("-0").map(f64::is_sign_negative), Ok(false));
    }

    #[test]
    fn other_numbers_are_0_or_neither_tiny_nor_huge() {
        let number = number_to(1000.0);
        for (text, read) in [("0", 0.0), ("-0", 0.0), ("0.001", 0.001), ("4.5", 4.5), ("1e3", 1e3)]
        {
            assert_eq!(number(text).map(f64::to_bits), Ok(f64::to_bits(read)), "{text}");
        }
        for text in ["1e-320", "1e-300", "-1", "1000.1", "1e308", "1e999", "inf", "NaN", "x", ""] {
            let said = number(text).expect_err(text);
            assert_eq!(said, "give a number from 0.001 to 1000, or 0", "{text}");
        }
    }
}
