//! Quantiles of the gamma distribution with scale 1.

use special::Gamma;

/// From this shape on the cube root of a gamma variable is normal to eight digits.
const NEARLY_NORMAL: f64 = 1000.0;

/// The `p` quantile, 0 < `p` < 1, of the gamma distribution of this shape, more than 0; `z` is the
/// normal quantile of `p`.
///
/// Bisection on the logarithm, between two points near each other that Newton's steps have led
/// to; from shape 1000 the closed form of E. B. Wilson and M. M. Hilferty 1931, Proc. Natl. Acad.
/// Sci. 17:684-688.
pub(super) fn quantile(shape: f64, p: f64, z: f64) -> f64 {
    let ninth = 1.0 / (9.0 * shape);
    let closed = shape * (1.0 - ninth + z * ninth.sqrt()).max(0.0).powi(3);
    if shape >= NEARLY_NORMAL {
        return closed;
    }
    // The distribution function is at most x^shape / Gamma(shape + 1).
    let mut low = (p.ln() + Gamma::ln_gamma(shape + 1.0).0) / shape;
    let mut high = (2.0 * closed + 10.0).ln();
    let below = |log: f64| log.exp().inc_gamma(shape) < p;
    let [sure_below, sure_above] = bracket(shape, p, closed.ln().max(low));
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if middle == low || middle == high {
            break;
        }
        // The function rises: nothing need be worked out outside the bracket, where most
        // halvings fall.
        let is_below = middle <= sure_below || middle < sure_above && below(middle);
        if is_below { low = middle } else { high = middle }
    }
    (0.5 * (low + high)).exp()
}

/// How far the ends of a bracket lie from its middle: far more than errors of rounding, and 30
/// halvings less than all.
const NEAR: f64 = 1e-10;

/// Two logarithms between which that of the quantile lies; anything where Newton's steps from
/// `start` have not come near it.
fn bracket(shape: f64, p: f64, start: f64) -> [f64; 2] {
    let ln_gamma = Gamma::ln_gamma(shape).0;
    let value = |log: f64| log.exp().inc_gamma(shape);
    let mut log = start;
    for _ in 0..4 {
        let density = (shape * log - log.exp() - ln_gamma).exp();
        let step = (value(log) - p) / density;
        log -= step.clamp(-1.0, 1.0);
        // The next step would be about the square of this one.
        if step.abs() < 1e-6 {
            break;
        }
    }
    let ends = [log - NEAR, log + NEAR];
    if value(ends[0]) < p && value(ends[1]) >= p { ends } else { [f64::MIN, f64::MAX] }
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

    /// The bracket saves work and changes nothing, not the last bit.
    #[test]
    fn the_bracket_leaves_every_bit_of_the_quantile() {
        let plainly = |shape: f64, p: f64, z: f64| {
            let ninth = 1.0 / (9.0 * shape);
            let closed = shape * (1.0 - ninth + z * ninth.sqrt()).max(0.0).powi(3);
            let mut low = (p.ln() + Gamma::ln_gamma(shape + 1.0).0) / shape;
            let mut high = (2.0 * closed + 10.0).ln();
            for _ in 0..80 {
                let middle = 0.5 * (low + high);
                if middle.exp().inc_gamma(shape) < p { low = middle } else { high = middle }
            }
            (0.5 * (low + high)).exp()
        };
        for step in 0..400 {
            let shape = 0.05 * 1.025f64.powi(step);
            for (p, z) in [(0.025, -Z_95), (0.975, Z_95), (0.0207, -2.0395134463964077)] {
                assert_eq!(quantile(shape, p, z), plainly(shape, p, z), "{shape} {p}");
            }
        }
    }

    #[test]
    fn the_closed_form_takes_over_without_a_step() {
        for (p, z) in [(0.025, -Z_95), (0.975, Z_95)] {
            let (below, above) = (quantile(999.999, p, z), quantile(1000.0, p, z));
            assert!((below / above - 1.0).abs() < 2e-6, "{below} {above}");
        }
    }

    /// SciPy 1.17.1, `scipy.stats.gamma.ppf`.
    #[test]
    fn small_shapes_have_most_of_their_weight_near_nothing() {
        let (low, high) = (quantile(0.01, 0.025, -Z_95), quantile(0.01, 0.975, Z_95));
        assert!((low / 3.5226859973137185e-161 - 1.0).abs() < 1e-9, "{low}");
        assert!((high / 0.047137958431590306 - 1.0).abs() < 1e-9, "{high}");
    }

    /// E. B. Wilson and M. M. Hilferty's formula, at once from the shape that is named.
    #[test]
    fn the_closed_form_serves_from_shape_1000() {
        let closed = 1000.0 * (1.0f64 - 1.0 / 9000.0 + Z_95 * (1.0f64 / 9000.0).sqrt()).powi(3);
        let found = quantile(1000.0, 0.975, Z_95);
        assert!((found / closed - 1.0).abs() < 1e-14, "{found} {closed}");
    }
}
