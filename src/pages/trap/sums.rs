//! The formulas of the figures, written with the sums behind them.

use crate::answers::Figure;
use crate::answers::trap::{
    BandProduct, CellSum, Explanation, Figures, Place, RefutedShare, TrapReport, UsedShare,
};
use crate::pages::words::clean;

/// A value as formulas have it.
pub(super) fn number(figure: &Figure) -> String {
    figure.value.map_or("withheld".into(), |value| format!("{value:.5}"))
}

/// What formulas are written with.
pub(super) struct Sums<'a> {
    pub trap: &'a TrapReport,
    pub explanation: &'a Explanation,
}

impl Sums<'_> {
    /// The figures over the whole filter.
    pub fn figures(&self) -> &Figures {
        &self.trap.figures
    }

    /// Some of them in digits.
    pub fn values<const N: usize>(&self, of: impl Fn(&Figures) -> [&Figure; N]) -> [String; N] {
        of(self.figures()).map(number)
    }

    fn at(&self, place: Place) -> impl Iterator<Item = &CellSum> {
        self.explanation.sums.iter().filter(move |sum| sum.place == place)
    }

    /// `G 60`: a sum's label and games; of several `I 40 + K 20`.
    pub fn games(&self, place: Place) -> String {
        let games = self.at(place).map(|sum| format!("{} {}", sum.label, sum.games));
        games.collect::<Vec<_>>().join(" + ")
    }

    /// `60 / 120`.
    pub fn fraction(rate: &Figure) -> String {
        format!("{} / {}", rate.k.unwrap_or(0), rate.n)
    }

    /// A sum among itself and others.
    pub fn share(&self, own: Place, others: Place, rate: &Figure) -> String {
        let (own, others) = (self.games(own), self.games(others));
        format!("{own} / ({own} + {others}) = {}", Sums::fraction(rate))
    }

    /// The edge with the refutation: of several slips each counts as often as it is played.
    pub fn edge_refuted(&self) -> String {
        let refuted = &self.explanation.refuted;
        if refuted.is_empty() {
            return self.edge(Place::Refutation);
        }
        let slipped: u64 = refuted.iter().map(|part| part.slipped).sum();
        let part = |part: &RefutedShare| {
            let edge = part.edge.map_or("none".into(), |edge| format!("{edge:.5}"));
            let slips: Vec<String> = part.slips.iter().map(|san| clean(san)).collect();
            format!(
                "{}/{slipped} x {edge} ({} refuted games after {})",
                part.slipped,
                part.refuted,
                slips.join(", ")
            )
        };
        refuted.iter().map(part).collect::<Vec<_>>().join(" + ")
    }

    /// The setter's score; the cells may be the victim's.
    pub fn score(&self, place: Place) -> String {
        self.written(place, |sum, victims| {
            let CellSum { label, games, draws, .. } = sum;
            let (won, side) = if victims { (sum.losses, "losses") } else { (sum.wins, "wins") };
            format!("{label}: ({won} {side} + {draws} draws / 2) / {games}")
        })
    }

    /// The setter's edge.
    pub fn edge(&self, place: Place) -> String {
        let score = self.score(place);
        self.written(place, |sum, victims| {
            let CellSum { games, expected_milli, ordinary, .. } = *sum;
            let (expected, ordinary) = match victims {
                // No minus before nothing.
                true => (1000 * games - expected_milli, 0.0 - ordinary),
                false => (expected_milli, ordinary),
            };
            format!(
                "{score} - expected {:.3} / {games} - ordinary {ordinary:.5} / {games}",
                expected as f64 / 1000.0
            )
        })
    }

    fn written(&self, place: Place, how: impl Fn(&CellSum, bool) -> String) -> String {
        match self.at(place).next() {
            None => "there is no bait".into(),
            Some(CellSum { games: 0, .. }) => "no games".into(),
            Some(sum) => how(sum, sum.mover != self.trap.setter),
        }
    }

    /// Seconds from sums of tenths.
    pub fn clock(&self, place: Place) -> String {
        self.written(place, |sum, _| {
            format!("{} {} / {} / 10", sum.label, sum.clock.tenths, sum.clock.games)
        })
    }

    pub fn more_seconds(&self) -> String {
        let time = &self.trap.time;
        format!("{} - {}", number(&time.slip_s), number(&time.others_s))
    }

    pub fn worth(&self) -> String {
        let [s, p, refuted] = self.values(|f| [&f.steered.rate, &f.slip_rate, &f.edge_refuted]);
        let replies = number(&self.explanation.edge_replies);
        format!("1000 x {s} x {p} x (edge_refuted {refuted} - edge of all replies {replies})")
    }

    pub fn net(&self) -> String {
        let [s, p, refuted] = self.values(|f| [&f.steered.rate, &f.slip_rate, &f.edge_refuted]);
        let [held, usual] = self.values(|f| [&f.edge_no_slip, &f.usual.edge]);
        format!("1000 x {s} x ({p} x {refuted} + (1 - {p}) x {held} - {usual})")
    }

    /// `(1500-1599: 8 x 7/8 x 5/7 + 1600-1699: 4 x 4/4 x 3/3) / 12`, a share of several bands
    /// together in brackets.
    pub fn steered(&self) -> String {
        let choices = self.at(Place::Choice).zip(self.at(Place::OtherChoices));
        let labels: Vec<String> =
            choices.map(|(k, n)| format!("{}/({}+{})", k.label, k.label, n.label)).collect();
        if labels.is_empty() {
            return "1: no choice of the victim comes before".into();
        }
        format!("{}; shares {}", products(&self.explanation.steered), labels.join(", "))
    }
}

/// `(1500-1599: 8 x 7/8 + 1600-1699: 4 x 4/4) / 12`, a share of several bands together in brackets.
pub(super) fn products(bands: &[BandProduct]) -> String {
    let share = |share: &UsedShare| match share.pooled {
        true => format!("[{}/{}]", share.k, share.n),
        false => format!("{}/{}", share.k, share.n),
    };
    let band = |band: &BandProduct| {
        let shares: Vec<String> = band.shares.iter().map(share).collect();
        format!("{}-{}: {} x {}", band.from, band.below - 1, band.games, shares.join(" x "))
    };
    let games: u64 = bands.iter().map(|band| band.games).sum();
    format!("({}) / {games}", bands.iter().map(band).collect::<Vec<_>>().join(" + "))
}
