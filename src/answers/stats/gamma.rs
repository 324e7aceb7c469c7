//! Quantiles of the gamma distribution with scale 1.

use special::Gamma;

/// From this shape on the cube root of a gamma variable is normal to eight digits.
const NEARLY_NORMAL: f64 = 1000.0;

/// The `p` quantile, 0 < `p` < 1, of the gamma distribution of this shape, more than 0; `z` is the normal quantile of `p`.
///
/// Bisection on the logarithm; from shape 1000 the closed form of E. B. Wilson and M. M. Hilferty 1931, Proc. Natl. Acad. Sci. 17:684-688.
pub(super) fn quantile(shape: f64, p: f64, z: f64) -> f64 {
    let ninth = 1.0 / (9.0 * shape);
    let closed = shape * (1.0 - ninth + z * ninth.sqrt()).max(0.0).powi(3);
    if shape >= NEARLY_NORMAL {
        return closed;
    }
    // The distribution function is at most x^shape / Gamma(shape + 1).
    let mut low = (p.ln() + Gamma::ln_gamma(shape + 1.0).0) / shape;
    let mut high = (2.0 * closed + 10.0).ln();
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if middle.exp().inc_gamma(shape) < p { low = middle } else { high = middle }
    }
    (0.5 * (low + high)).exp()
}

#[cfg(test)]
mod tests {
    use super::super::normal::Z_95;
    use super::*;

    /// The distribution of shape 1 is exponential: -ln(1 - p).
    #[test]
    fn shape_one_is_the_exponential_distribution() {
        assert!((quantile(1.0, 0.025, -Z_95) + 0.975f64.ln()).abs() < 1e-12);
        assert!((quantile(1.0, 0.975, Z_95) + 0.025f64.ln()).abs() < 1e-11);
    }

    #[test]
    fn the_closed_form_takes_over_without_a_step() {
        for (p, z) in [(0.025, -Z_95), (0.975, Z_95)] {
            let (below, above) = (quantile(999.999, p, z), quantile(1000.0, p, z));
            assert!((below / above - 1.0).abs() < 2e-6, "{below} {above}");
        }
    }
}
