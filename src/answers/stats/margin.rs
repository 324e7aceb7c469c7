//! How much a sample's games are worth, and at which quantile an interval of it is drawn.

use super::normal::Z_95;
use super::student::{T_95, t_multiplier, t_multiplier_of};

/// What an interval formula is told besides the counts.
///
/// Dividing all counts by D and keeping the quantile gives the same interval as whole counts and
/// the quantile times sqrt(D), for every formula that weighs a squared distance against a variance:
/// Wilson's, Tango's, a rank test's. Those take [`Margin::z`]; formulas with a prior (Jeffreys) or
/// a degree of freedom divide the counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margin {
    /// D, at least 1: so many games are worth one game of a player of their own.
    pub design_effect: f64,
    /// The multiplier of a standard error.
    pub quantile: f64,
}

impl Margin {
    /// 95 % for games of different players.
    pub const INDEPENDENT: Margin = Margin { design_effect: 1.0, quantile: Z_95 };

    /// 95 % for games of which `design_effect` are worth one; below 1 it counts as 1.
    pub fn of(design_effect: f64) -> Margin {
        Margin { design_effect: design_effect.max(1.0), quantile: T_95 }
    }

    /// 95 % for the same games where D has been estimated with so many degrees of freedom.
    pub fn with_freedom(self, freedom: f64) -> Margin {
        Margin { quantile: t_multiplier_of(0.05, freedom), ..self }
    }

    /// The same games at another level: intervals that miss with probability `miss`, 0
    /// < `miss` < 1.
    pub fn missing(self, miss: f64) -> Margin {
        Margin { quantile: t_multiplier(miss), ..self }
    }

    /// The multiplier for formulas that take whole counts.
    pub fn z(self) -> f64 {
        self.quantile * self.design_effect.sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn games_are_worth_no_more_than_games() {
        assert_eq!(Margin::of(0.5), Margin::of(1.0));
        assert_eq!(Margin::of(4.0).z(), 2.0 * T_95);
    }
}
