//! Many tests at once: the false discovery rate.

/// Benjamini-Hochberg adjusted p values, in the order of the input.
///
/// Y. Benjamini and Y. Hochberg 1995, J. R. Statist. Soc. B 57:289-300. Rejecting every test with
/// an adjusted value of at most q keeps the expected share of false ones among the rejected at q or
/// less (independent or positively dependent tests). `p` holds probabilities; every test made must
/// be in it, not only the promising ones.
pub fn benjamini_hochberg(p: &[f64]) -> Vec<f64> {
    debug_assert!(p.iter().all(|p| (0.0..=1.0).contains(p)), "p values lie in 0..=1");
    let tests = p.len() as f64;
    let mut order: Vec<usize> = (0..p.len()).collect();
    order.sort_by(|&i, &j| p[i].total_cmp(&p[j]));
    let mut adjusted = vec![1.0; p.len()];
    let mut smallest = 1.0_f64;
    // From the largest down: a value is never adjusted above that of a larger one (step-up).
    for (below, &i) in order.iter().enumerate().rev() {
        smallest = smallest.min(p[i] * (tests / (below + 1) as f64));
        adjusted[i] = smallest;
    }
    adjusted
}

/// The probability with which an interval of a shown finding may miss, so that of all intervals
/// shown at most `rate` are expected to miss: `rate` x `shown` / `tests`, where `shown` of the
/// tested ones were selected; `rate` if all are shown or none was tested.
///
/// Y. Benjamini and D. Yekutieli 2005, Journal of the American Statistical Association 100:71-81
/// (false coverage rate).
pub fn selected_miss(rate: f64, shown: usize, tests: usize) -> f64 {
    if tests == 0 { rate } else { rate * (shown.clamp(1, tests) as f64 / tests as f64) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Benjamini and Hochberg 1995, the worked example: 15 p values of a thrombolysis trial.
    const TRIAL: [f64; 15] = [
        0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262,
        0.5719, 0.6528, 0.7590, 1.0000,
    ];

    fn close(got: &[f64], want: &[f64], tolerance: f64) -> bool {
        got.len() == want.len() && got.iter().zip(want).all(|(g, w)| (g - w).abs() <= tolerance)
    }

    /// statsmodels 0.15.0, `multipletests(p, alpha=0.05, method="fdr_bh")`.
    #[test]
    fn the_worked_example_is_adjusted_as_published() {
        let want = [
            0.0015, 0.003, 0.0095, 0.035625, 0.0603, 0.06385714, 0.06385714, 0.0645, 0.0765, 0.486,
            0.58118182, 0.714875, 0.75323077, 0.81321429, 1.0,
        ];
        assert!(close(&benjamini_hochberg(&TRIAL), &want, 5.1e-9));
    }

    /// The paper rejects four at 0.05; the other levels with statsmodels 0.15.0.
    #[test]
    fn the_worked_example_rejects_four_at_five_per_cent() {
        let adjusted = benjamini_hochberg(&TRIAL);
        for (level, want) in [(0.01, 3), (0.05, 4), (0.10, 9), (0.20, 9)] {
            let rejected = adjusted.iter().filter(|&&p| p <= level).count();
            assert_eq!(rejected, want, "at {level}");
        }
    }

    /// Computed with statsmodels 0.15.0, `multipletests`.
    #[test]
    fn unsorted_values_are_adjusted_in_place() {
        let got = benjamini_hochberg(&[0.0344, 1.0, 0.0001, 0.0095, 0.4262]);
        assert!(close(&got, &[0.057333, 1.0, 0.0005, 0.02375, 0.53275], 5.1e-7));
    }

    /// SciPy 1.17.1, documentation of `false_discovery_control`.
    #[test]
    fn the_documented_example_of_a_library_agrees() {
        let got = benjamini_hochberg(&[0.5, 0.6, 0.1, 0.001]);
        assert!(close(&got, &[0.6, 0.6, 0.2, 0.004], 1e-12));
    }

    /// Computed with statsmodels 0.15.0, `multipletests`: all five are rejected at 0.05.
    #[test]
    fn the_largest_value_pulls_the_others_down() {
        let got = benjamini_hochberg(&[0.04, 0.045, 0.049, 0.0495, 0.05]);
        assert!(close(&got, &[0.05; 5], 1e-12));
        assert!(got.iter().all(|&p| p <= 0.05));
    }

    #[test]
    fn the_fewer_are_shown_the_surer_is_each() {
        assert_eq!(selected_miss(0.05, 200, 200), 0.05);
        assert!((selected_miss(0.05, 10, 1000) - 0.0005).abs() < 1e-15);
        // Without a finding as if there were one, and never surer than all of them need.
        assert!((selected_miss(0.05, 0, 100) - 0.0005).abs() < 1e-15);
        assert_eq!(selected_miss(0.05, 300, 200), 0.05);
        assert_eq!(selected_miss(0.05, 0, 0), 0.05);
    }

    #[test]
    fn one_test_or_none_stays_itself() {
        assert_eq!(benjamini_hochberg(&[0.03]), [0.03]);
        assert!(benjamini_hochberg(&[]).is_empty());
    }

    proptest! {
        #[test]
        fn adjusting_keeps_the_order_and_never_lowers(p in prop::collection::vec(0.0..=1.0f64, 0..40)) {
            let adjusted = benjamini_hochberg(&p);
            for i in 0..p.len() {
                prop_assert!(p[i] <= adjusted[i] && adjusted[i] <= 1.0);
                for j in 0..p.len() {
                    prop_assert!(p[i] > p[j] || adjusted[i] <= adjusted[j]);
                }
            }
        }
    }
}
