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

/// The N of "one in N games", as sentences say what is rare: a whole number of at most three digits
/// that count. None below ten where no whole number comes within a tenth of the share, and for what
/// happens in every second game or more, or never: percent say that better.
pub(super) fn one_in(share: f64) -> Option<u64> {
    let n = (1.0 / share).round();
    if !(3.0..1e15).contains(&n) || n < 10.0 && (share * n - 1.0).abs() > 0.1 {
        return None;
    }
    let unit = 10f64.powf((n.log10().floor() - 2.0).max(0.0));
    Some(((n / unit).round() * unit) as u64)
}

/// A share of games in a sentence: `1 of 37 games`, or `36.0 % of games` where no such
/// number says it.
pub(super) fn of_games(share: f64) -> String {
    match one_in(share) {
        Some(n) => format!("1 of {} games", count(n)),
        None => format!("{} % of games", fixed(100.0 * share, decimals(100.0 * share))),
    }
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
        let shown = [0.1, 0.098, 1.0 / 37.2, 1.0 / 12_345.0].map(one_in);
        assert_eq!(shown, [10, 10, 37, 12_300].map(Some));
        // Below ten only as far as a reader would say so.
        assert_eq!([0.36, 0.31, 0.24].map(one_in), [3, 3, 4].map(Some));
        assert_eq!([0.0, 1.0, 0.5, 0.4, 0.29].map(one_in), [None; 5]);
    }

    #[test]
    fn sizes_are_in_decimal_units() {
        let shown = [1, 999, 4_210_000, 5_000_000_000].map(bytes);
        assert_eq!(shown, ["1 byte", "999 bytes", "4.2 MB", "5.0 GB"]);
    }
}
