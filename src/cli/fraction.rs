//! Fractions as typed.

/// Reads `0.05` or `5%`; `None` for what is no number.
pub fn parse(text: &str) -> Option<f64> {
    let text = text.trim();
    let (number, unit) = match text.strip_suffix('%') {
        Some(percent) => (percent.trim_end(), 100.0),
        None => (text, 1.0),
    };
    number.parse::<f64>().ok().map(|number| number / unit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_are_numbers_or_percent() {
        let read = ["0.05", "5 %", " 20%", "2.5%"].map(parse);
        assert_eq!(read, [0.05, 0.05, 0.2, 0.025].map(Some));
        assert_eq!(["much", "%", ""].map(parse), [None; 3]);
    }
}
