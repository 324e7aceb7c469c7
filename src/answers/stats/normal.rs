//! The standard normal distribution: one quantile and the tails.

use special::Error;
use std::f64::consts::FRAC_1_SQRT_2;

/// The 0.975 quantile: the two-sided 95 % multiplier.
pub const Z_95: f64 = 1.959963984540054;

/// Probability that a standard normal variable exceeds `z`; accurate far out in the tail.
pub fn upper_tail(z: f64) -> f64 {
    0.5 * (z * FRAC_1_SQRT_2).compl_error()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(got: f64, want: f64, tolerance: f64) {
        assert!((got - want).abs() <= tolerance, "got {got}, want {want}");
    }

    /// Quantiles computed with SciPy 1.17.1, `scipy.stats.norm.ppf` of 0.975, 0.95 and 0.995.
    #[test]
    fn the_tails_invert_the_known_quantiles() {
        near(upper_tail(1.6448536269514722), 0.05, 1e-15);
        near(upper_tail(2.5758293035489004), 0.005, 1e-15);
        near(upper_tail(Z_95), 0.025, 1e-15);
        near(upper_tail(-Z_95), 0.975, 1e-15);
    }

    /// The tail's leading asymptotic series, exp(-z^2/2) / (z sqrt(2 pi)) (1 - 1/z^2 +
    /// 3/z^4 - 15/z^6).
    #[test]
    fn the_far_tail_keeps_its_relative_accuracy() {
        let z: f64 = 30.0;
        let density = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
        let series = density / z * (1.0 - z.powi(-2) + 3.0 * z.powi(-4) - 15.0 * z.powi(-6));
        near(upper_tail(z) / series, 1.0, 1e-9);
    }
}
