//! Numbers as people read them.

/// An integer with a comma every three digits: `12,345`.
pub(super) fn count(n: u64) -> String {
    let digits = n.to_string();
    let mut text = String::with_capacity(digits.len() + digits.len() / 3);
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// `as good as 160`, none where no player came again.
pub(super) fn as_good(n: u64, n_eff: f64) -> Option<String> {
    let effective = n_eff.round() as u64;
    (effective < n).then(|| format!("as good as {}", count(effective)))
}

/// A count with its noun: `1 game`, `12,345 games`.
pub(super) fn counted(n: u64, noun: &str) -> String {
    format!("{} {noun}{}", count(n), if n == 1 { "" } else { "s" })
}

/// How many decimals a number of this size needs: one, or for small ones two significant digits.
pub(super) fn decimals(scale: f64) -> usize {
    if !(scale > 0.0 && scale < 1.0) {
        return 1;
    }
    (1.0 - scale.log10().floor()).min(6.0) as usize
}

/// A number with a comma every three digits and a fixed number of decimals; never `-0.0`.
pub(super) fn fixed(x: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", x.abs());
    let (whole, rest) = text.split_at(text.find('.').unwrap_or(text.len()));
    let whole = whole.parse().map_or_else(|_| whole.to_owned(), count);
    let is_zero = text.bytes().all(|byte| matches!(byte, b'0' | b'.'));
    format!("{}{whole}{rest}", if x < 0.0 && !is_zero { "-" } else { "" })
}

/// The same with a plus sign where positive.
pub(super) fn signed(x: f64, decimals: usize) -> String {
    let text = fixed(x, decimals);
    let is_zero = text.bytes().all(|byte| matches!(byte, b'0' | b'.'));
    if x > 0.0 && !is_zero { format!("+{text}") } else { text }
}

/// A share as its reciprocal to three significant digits, two below ten: `1 in 37`; `never` for 0.
pub(super) fn one_in(share: f64) -> String {
    if share <= 0.0 {
        return "never".into();
    }
    let n = 1.0 / share;
    if n < 9.95 {
        let text = format!("{n:.1}");
        return format!("1 in {}", text.trim_end_matches(".0"));
    }
    let unit = 10f64.powf((n.log10().floor() - 2.0).max(0.0));
    format!("1 in {}", fixed((n / unit).round() * unit, 0))
}

/// Bytes in decimal units: `812 bytes`, `4.2 MB`.
pub(super) fn bytes(n: u64) -> String {
    let units = [(1e12, "TB"), (1e9, "GB"), (1e6, "MB"), (1e3, "kB")];
    match units.into_iter().find(|(unit, _)| n as f64 >= *unit) {
        Some((unit, name)) => format!("{} {name}", fixed(n as f64 / unit, 1)),
        None => counted(n, "byte"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_are_parted_by_commas() {
        let shown = [0, 999, 1000, 12_345, 1_234_567].map(count);
        assert_eq!(shown, ["0", "999", "1,000", "12,345", "1,234,567"]);
        assert_eq!((fixed(12_345.67, 1), fixed(-1234.0, 0)), ("12,345.7".into(), "-1,234".into()));
    }

    #[test]
    fn small_numbers_get_two_significant_digits() {
        let shown = [45.25, 1.0, 0.31, 0.031, 0.0].map(|x| fixed(x, decimals(x)));
        assert_eq!(shown, ["45.2", "1.0", "0.31", "0.031", "0.0"]);
    }

    #[test]
    fn what_rounds_to_zero_has_no_sign() {
        assert_eq!(
            [0.04, -0.04, 0.0, 1.25, -1.25].map(|x| signed(x, 1)),
            ["0.0", "0.0", "0.0", "+1.2", "-1.2"]
        );
    }

    #[test]
    fn rare_things_are_one_in_so_many() {
        let shown = [0.0, 1.0, 0.4, 0.1, 1.0 / 37.2, 1.0 / 12_345.0].map(one_in);
        assert_eq!(shown, ["never", "1 in 1", "1 in 2.5", "1 in 10", "1 in 37", "1 in 12,300"]);
    }

    #[test]
    fn sizes_are_in_decimal_units() {
        let shown = [1, 999, 4_210_000, 5_000_000_000].map(bytes);
        assert_eq!(shown, ["1 byte", "999 bytes", "4.2 MB", "5.0 GB"]);
    }
}
