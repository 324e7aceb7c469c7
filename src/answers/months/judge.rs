//! Judges traps store by store.

use super::evidence::Errors;
use super::report::{Change, TrapMonths, Turn};
use crate::answers::stats::{Dated, GroupErrors, change_a_month};
use crate::answers::trap::{Figures, judge};
use crate::answers::{Figure, Question, Withheld};
use crate::counts::Counts;
use crate::lines::Trap;

/// A store and when its games were played.
#[derive(Debug)]
pub struct Month<'c, C> {
    /// Its counts.
    pub counts: &'c C,
    /// In months from any start.
    pub at: f64,
}

/// A trap over stores.
pub fn judge_months<C: Counts>(
    months: &[Month<'_, C>],
    trap: &Trap,
    question: &Question,
) -> Result<TrapMonths, C::Error> {
    let mut judged: Vec<(f64, Figures, Errors)> = Vec::new();
    let (mut line, mut may_lack) = (trap.line().to_string(), Vec::new());
    for Month { counts, at } in months {
        let report = judge(*counts, trap, question)?;
        let errors = Errors::of(*counts, trap, question.filter)?;
        line = report.line;
        may_lack.push(report.may_lack);
        judged.push((*at, report.figures, errors));
    }
    let over = |figure: fn(&Figures) -> &Figure, errors: fn(&Errors) -> &GroupErrors| {
        change(judged.iter().map(|(at, figures, all)| (*at, figure(figures), *errors(all))))
    };
    Ok(TrapMonths {
        name: trap.name().to_owned(),
        setter: trap.setter(),
        line,
        may_lack,
        occurrence: over(|figures| &figures.occurrence, |errors| &errors.occurrence),
        slip_rate: over(|figures| &figures.slip_rate, |errors| &errors.slip_rate),
        find_rate: over(|figures| &figures.find_rate, |errors| &errors.find_rate),
        slips_per_1000: over(|figures| &figures.slips_per_1000, |errors| &errors.slips_per_1000),
    })
}

fn change<'f>(stores: impl Iterator<Item = (f64, &'f Figure, GroupErrors)>) -> Change {
    let stores: Vec<(f64, &Figure, GroupErrors)> = stores.collect();
    let by_store: Vec<Figure> = stores.iter().map(|(_, figure, _)| (*figure).clone()).collect();
    let thinnest = by_store.iter().min_by(|a, b| a.n_eff.total_cmp(&b.n_eff));
    let (n, n_eff) = thinnest.map_or((0, 0.0), |thinnest| (thinnest.n, thinnest.n_eff));
    let points: Option<Vec<Dated>> = stores
        .iter()
        .map(|&(at, figure, errors)| {
            let (value, interval) = figure.estimate()?;
            Some(Dated { at, value, interval, errors })
        })
        .collect();
    let a_month = match points.and_then(|points| change_a_month(&points)) {
        Some((value, interval)) => Figure { n_eff, ..Figure::known(value, interval, n) },
        None => {
            let few = Withheld::TooFewGames { n, n_eff: n_eff as u64, needed: n + 1 };
            let lacking = by_store.iter().filter(|figure| figure.withheld.is_some());
            let rarest = lacking.min_by(|a, b| a.n_eff.total_cmp(&b.n_eff));
            let why = rarest.and_then(|figure| figure.withheld.clone()).unwrap_or(few);
            Figure { n_eff, ..Figure::withheld(n, plain(why)) }
        }
    };
    let turn = match (a_month.low, a_month.high) {
        (Some(low), _) if low > 0.0 => Turn::Rises,
        (_, Some(high)) if high < 0.0 => Turn::Falls,
        _ => Turn::Unclear,
    };
    Change { by_store, a_month, turn }
}

/// A change has no interval of its own where a share is thin.
fn plain(why: Withheld) -> Withheld {
    match why {
        Withheld::Thin { n, n_eff, needed } => Withheld::TooFewGames { n, n_eff, needed },
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::kit::{ModelCounts, trap};

    /// Victims come to the position in `here` of 1000 games and slip in `slips` of them; half of
    /// the replies refute.
    fn month(here: usize, slips: usize) -> ModelCounts {
        let (even, laid) = ([1500, 1500], "e4 e5 Nf3 f6 Nxe5");
        ModelCounts::new()
            .add(slips / 2, even, "1-0", &format!("{laid} fxe5 Qh5"))
            .add(slips - slips / 2, even, "0-1", &format!("{laid} fxe5 d4"))
            .add(here - slips, even, "1/2", &format!("{laid} Qe7"))
            .add(1000 - here, even, "1/2", "d4 d5")
    }

    fn judged(months: &[(f64, usize, usize)]) -> TrapMonths {
        let counts: Vec<ModelCounts> =
            months.iter().map(|&(_, here, slips)| month(here, slips)).collect();
        let months: Vec<_> =
            counts.iter().zip(months).map(|(counts, &(at, ..))| Month { counts, at }).collect();
        let trap = trap("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5", 5);
        let Ok(judged) = judge_months(&months, &trap, &Question::default());
        judged
    }

    #[test]
    fn each_store_has_the_figures_of_trap_and_the_change_is_a_month() {
        let judged = judged(&[(0.0, 200, 120), (2.0, 400, 120)]);
        let values = |change: &Change| -> Vec<Option<f64>> {
            change.by_store.iter().map(|figure| figure.value).collect()
        };
        assert_eq!(values(&judged.occurrence), [Some(0.2), Some(0.4)]);
        assert_eq!(values(&judged.slip_rate), [Some(0.6), Some(0.3)]);
        let value = judged.slip_rate.a_month.value.expect("known");
        assert!((value + 0.15).abs() < 1e-12);
        let turns =
            [&judged.occurrence, &judged.slip_rate, &judged.find_rate].map(|change| change.turn);
        assert_eq!(turns, [Turn::Rises, Turn::Falls, Turn::Unclear]);
        assert_eq!(judged.slip_rate.a_month.n, 200);
    }

    #[test]
    fn a_figure_that_is_withheld_in_one_store_has_no_change() {
        let judged = judged(&[(0.0, 200, 120), (1.0, 200, 20)]);
        let change = judged.find_rate;
        assert_eq!((change.a_month.value, change.turn), (None, Turn::Unclear));
        assert_eq!(change.a_month.withheld.map(|why| why.code()), Some("too_few_games"));
        assert!(judged.slip_rate.a_month.value.is_some());
    }
}
