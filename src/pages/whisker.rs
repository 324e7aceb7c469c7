//! A share and its interval drawn with characters.

/// Characters from 0 to 100 percent.
const WIDTH: usize = 25;

/// The ends and the middle of the axis, [`WIDTH`] characters.
pub(super) const AXIS: &str = "0          50 %     100 %";

/// A whisker on an axis from 0 to 1 with a dot where there is a value:
/// `    |----o---|            `. Ends within one character of the dot give way to it.
pub(super) fn whisker(value: Option<f64>, low: f64, high: f64) -> String {
    let place = |x: f64| (x.clamp(0.0, 1.0) * (WIDTH - 1) as f64).round() as usize;
    let mut line = [b' '; WIDTH];
    line[place(low)..=place(high)].fill(b'-');
    line[place(low)] = b'|';
    line[place(high)] = b'|';
    if let Some(value) = value {
        line[place(value)] = b'o';
    }
    line.iter().map(|&byte| char::from(byte)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_dot_lies_within_its_whisker() {
        assert_eq!(whisker(Some(0.5), 0.25, 0.7), "      |-----o----|       ");
        assert_eq!(whisker(Some(0.0), 0.0, 0.16), "o---|                    ");
        assert_eq!(whisker(None, 0.0, 0.16), "|---|                    ");
        assert_eq!(whisker(Some(1.0), 1.0, 1.0), "                        o");
        assert_eq!(AXIS.len(), WIDTH);
    }
}
