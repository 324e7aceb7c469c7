//! Fractions as a person writes them.

/// Reads `0.05`, `5%` or `1/20`; `None` for what is no number in digits.
pub fn fraction(text: &str) -> Option<f64> {
    let Some((number, of)) = text.split_once('/') else { return decimal(text) };
    let quotient = decimal(number)? / decimal(of)?;
    quotient.is_finite().then_some(quotient)
}

fn decimal(text: &str) -> Option<f64> {
    let text = text.trim();
    let digits = text.strip_suffix('%').map_or(text, str::trim_end);
    let plain = |byte: u8| byte.is_ascii_digit() || matches!(byte, b'.' | b'+' | b'-');
    let number: f64 = digits.bytes().all(plain).then(|| digits.parse().ok())??;
    if !number.is_finite() {
        return None;
    }
    Some(if digits.len() < text.len() { number / 100.0 } else { number })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_are_numbers_or_percent() {
        let read = ["0.05", "5 %", " 20%", "2.5%"].map(fraction);
        assert_eq!(read, [0.05, 0.05, 0.2, 0.025].map(Some));
        assert_eq!(["1/20", " 1 / 20"].map(fraction), [0.05, 0.05].map(Some));
        assert_eq!(["much", "%", "", "nan", "1e-2", "1/0", "/", "1/2/3"].map(fraction), [None; 8]);
    }
}
