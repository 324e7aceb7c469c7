//! The figures of a trap, each said once: names, unit, meaning, and how it is worked out.
//!
//! The sheet, the tables of several traps, bands and paces, CSV, the explanation and the help are
//! made from [`TABLE`]; JSON has the figures under their `path`, which a test compares. A new
//! figure is a row here, beside its computation.

use super::sums::Sums;
use super::view::{bait, refutations, slips, usual};
use crate::answers::Figure;
use crate::answers::trap::{Figures, Place, TrapReport};
use crate::pages::figures::{FigureView, Unit};
use crate::pages::numbers::{count, counted};
use crate::pages::template::fill;
use crate::pages::words::{clean, side};

pub(in crate::pages) struct TrapFigure {
    /// Its column in CSV.
    pub key: &'static str,
    /// Where JSON has it.
    pub path: &'static str,
    /// Its name in tables; slots as in `here`.
    pub name: &'static str,
    pub unit: Unit,
    of: Of,
    /// What a sheet says of it, with slots for the trap's moves and sides.
    here: &'static str,
    /// What the help says of it.
    pub meaning: &'static str,
    /// How it is worked out from the sums.
    pub(super) formula: fn(&Sums<'_>) -> String,
    /// Where its interval comes from.
    pub interval: &'static str,
}

/// Where a figure stands in a report.
enum Of {
    /// Of each filter: the whole, a band, a pace.
    Filter(fn(&Figures) -> &Figure),
    /// Of the whole alone.
    Trap(fn(&TrapReport) -> &Figure),
}

impl TrapFigure {
    /// The figure under one filter, if it is known there.
    pub fn of<'a>(&self, figures: &'a Figures) -> Option<&'a Figure> {
        match self.of {
            Of::Filter(get) => Some(get(figures)),
            Of::Trap(_) => None,
        }
    }

    /// Whether bands and paces have it as well.
    pub fn is_of_filter(&self) -> bool {
        matches!(self.of, Of::Filter(_))
    }

    /// The figure over the whole filter.
    pub fn of_trap<'a>(&self, trap: &'a TrapReport) -> &'a Figure {
        match self.of {
            Of::Filter(get) => get(&trap.figures),
            Of::Trap(get) => get(trap),
        }
    }

    /// One of these figures as it is written.
    pub fn view<'a>(&self, figure: &'a Figure) -> FigureView<'a> {
        let view = self.unit.view(figure);
        if self.is_product() { view.product() } else { view }
    }

    /// Its name for whichever trap and question.
    pub fn general_name(&self) -> String {
        fill(self.name, &[("next", "N games".to_owned())])
    }

    /// Whether it is a product of shares along the line.
    pub fn is_product(&self) -> bool {
        matches!(self.key, "steered" | "steered_any_order")
    }

    /// The rarest step of a product, on a line of its own.
    fn rarest(&self, trap: &TrapReport) -> String {
        let figure = self.of_trap(trap);
        let Some(k) = figure.k.filter(|_| self.is_product() && !trap.choices.is_empty()) else {
            return String::new();
        };
        let step = trap.figures.steered.rarest.as_deref().filter(|_| self.key == "steered");
        let step = step.map_or(String::new(), |step| format!(" ({})", clean(step)));
        format!("\nrarest step on the way: {} of {}{step}", count(k), count(figure.n))
    }

    /// Its name, view and meaning on the sheet of a trap.
    pub fn row<'a>(&self, trap: &'a TrapReport) -> (String, FigureView<'a>, String) {
        let most = usual(trap);
        let slots = [
            ("victim", side(trap.setter.other()).to_owned()),
            ("slip", slips(trap)),
            ("refutation", refutations(trap)),
            ("bait", bait(trap)),
            ("mostly", most.map_or(String::new(), |mv| format!(", mostly {mv}"))),
            ("next", counted(trap.figures.ahead.games, "game")),
        ];
        let [name, here] = [self.name, self.here].map(|text| fill(text, &slots));
        (name, self.view(self.of_trap(trap)), here + &self.rarest(trap))
    }
}

/// The figure with this column.
///
/// # Panics
///
/// If there is none.
pub(in crate::pages) fn named(key: &str) -> &'static TrapFigure {
    TABLE.iter().find(|figure| figure.key == key).expect("pages name figures of the table")
}

/// All figures in the order of the sheet.
pub(in crate::pages) static TABLE: [TrapFigure; 20] = [
    TrapFigure {
        key: "occurrence",
        path: "occurrence",
        name: "occurrence",
        unit: Unit::Share,
        of: Of::Filter(|f| &f.occurrence),
        here: "games as {victim} that get here",
        meaning: "games in the trap position among all games that such players play as that colour",
        formula: |sums| {
            let [slip, held, all] = [Place::Slip, Place::OtherMoves, Place::AllGames];
            let rate = &sums.figures().occurrence;
            format!(
                "({} + {}) / {} = {}",
                sums.games(slip),
                sums.games(held),
                sums.games(all),
                Sums::fraction(rate)
            )
        },
        interval: "Wilson",
    },
    TrapFigure {
        key: "steered",
        path: "steered",
        name: "steered",
        unit: Unit::Share,
        of: Of::Filter(|f| &f.steered.rate),
        here: "if the setter always plays this line",
        meaning: "how often the position arises if the setter always plays the line: the product of the \
            shares of the victim's moves, band by band, averaged by games; it rests on the games of its rarest \
            step, the choice that fewest different players had to make. Bands with fewer than 50 games at a \
            choice are taken together there (mixed) as if the setter's moves were equally frequent in all of \
            them: at the most this is wrong by the part of the games that these bands play times the \
            difference of their shares",
        formula: |sums| sums.steered(),
        interval: "log-normal, Jeffreys",
    },
    TrapFigure {
        key: "steered_any_order",
        path: "steered_any_order",
        name: "in any order",
        unit: Unit::Share,
        of: Of::Trap(|trap| &trap.steered_any_order),
        here: "the same if the victim may play the line's moves in any order",
        meaning: "the same if the victim may play the line's moves in any legal order and the setter keeps to \
            the line (steered_any_order); shares of all bands together",
        formula: |_| "the sum over the orders, position by position".into(),
        interval: "log-normal, delta method over the positions",
    },
    TrapFigure {
        key: "slip_rate",
        path: "slip_rate",
        name: "slip rate",
        unit: Unit::Share,
        of: Of::Filter(|f| &f.slip_rate),
        here: "victims who play {slip} here",
        meaning: "share of the slip among all moves in the trap position; of several marked slips all together",
        formula: |sums| sums.share(Place::Slip, Place::OtherMoves, &sums.figures().slip_rate),
        interval: "Wilson",
    },
    TrapFigure {
        key: "find_rate",
        path: "find_rate",
        name: "find rate",
        unit: Unit::Share,
        of: Of::Filter(|f| &f.find_rate),
        here: "setters who reply {refutation}",
        meaning: "share of the refutation among all replies to the slip, by setters of these ratings; several slips \
            and refutations are counted together",
        formula: |sums| {
            sums.share(Place::Refutation, Place::OtherReplies, &sums.figures().find_rate)
        },
        interval: "Wilson",
    },
    TrapFigure {
        key: "score_after_slip",
        path: "score_after_slip",
        name: "score after slip",
        unit: Unit::Percent,
        of: Of::Filter(|f| &f.score_after_slip),
        here: "setter's score, whatever the reply",
        meaning: "the setter's mean score after the slip, in percent",
        formula: |sums| sums.score(Place::Slip),
        interval: "Tango",
    },
    TrapFigure {
        key: "edge_after_slip",
        path: "edge_after_slip",
        name: "edge after slip",
        unit: Unit::Edge,
        of: Of::Filter(|f| &f.edge_after_slip),
        here: "so much better than the ratings promise",
        meaning: "the setter's edge once the victim has slipped, whatever the reply",
        formula: |sums| sums.edge(Place::Slip),
        interval: "Tango, shifted",
    },
    TrapFigure {
        key: "edge_refuted",
        path: "edge_refuted",
        name: "edge refuted",
        unit: Unit::Edge,
        of: Of::Filter(|f| &f.edge_refuted),
        here: "with {refutation}",
        meaning: "with the refutation; of several slips each counts as often as it is played, those with fewer than 50 \
            refuted games as one",
        formula: |sums| sums.edge_refuted(),
        interval: "Tango, shifted",
    },
    TrapFigure {
        key: "edge_no_slip",
        path: "edge_no_slip",
        name: "edge without slip",
        unit: Unit::Edge,
        of: Of::Filter(|f| &f.edge_no_slip),
        here: "when the victim plays something else",
        meaning: "after other moves of the victim, no marked one among them",
        formula: |sums| sums.edge(Place::OtherMoves),
        interval: "Tango, shifted",
    },
    TrapFigure {
        key: "edge_usual",
        path: "usual.edge",
        name: "edge of others",
        unit: Unit::Edge,
        of: Of::Filter(|f| &f.usual.edge),
        here: "other moves instead of {bait}{mostly}",
        meaning: "with all other moves of the setter together instead of the bait, the move before the slip",
        formula: |sums| sums.edge(Place::InsteadOfBait),
        interval: "Tango, shifted",
    },
    TrapFigure {
        key: "worth_per_1000",
        path: "worth_per_1000",
        name: "worth",
        unit: Unit::Points,
        of: Of::Filter(|f| &f.worth),
        here: "points per 1000 games that go with knowing the refutation",
        meaning: "points per 1000 games that go with knowing the refutation: 1000 x steered x slip rate x \
            (edge refuted - mean edge of all replies)",
        formula: |sums| sums.worth(),
        interval: "square and add",
    },
    TrapFigure {
        key: "price",
        path: "price",
        name: "price",
        unit: Unit::Edge,
        of: Of::Filter(|f| &f.price),
        here: "what laying it costs when the victim does not slip",
        meaning: "edge of the others - edge without slip: what the trap costs when it fails",
        formula: |sums| {
            let [usual, held] = sums.values(|f| [&f.usual.edge, &f.edge_no_slip]);
            format!("usual {usual} - edge_no_slip {held}")
        },
        interval: "square and add",
    },
    TrapFigure {
        key: "net_per_1000",
        path: "net_per_1000",
        name: "net",
        unit: Unit::Points,
        of: Of::Filter(|f| &f.net),
        here: "points per 1000 games of laying it instead of the others; choices before the bait are not priced",
        meaning: "points per 1000 games of laying the trap instead of the other moves (net per 1000): 1000 x \
            steered x (slip rate x edge refuted + (1 - slip rate) x edge without slip - edge of the others); \
            tables are ordered by its lower limit behind the advice. It prices the bait alone: what the setter's earlier choices \
            cost stands under earlier choice",
        formula: |sums| sums.net(),
        interval: "square and add",
    },
    TrapFigure {
        key: "slips_per_1000",
        path: "slips_per_1000",
        name: "slips per 1000",
        unit: Unit::Number,
        of: Of::Filter(|f| &f.slips_per_1000),
        here: "slips in 1000 games that play for it",
        meaning: "slips in 1000 games that play for the trap: 1000 x steered x slip rate",
        formula: |sums| {
            let [s, p] = sums.values(|f| [&f.steered.rate, &f.slip_rate]);
            format!("1000 x steered {s} x slip_rate {p}")
        },
        interval: "log-normal, Jeffreys",
    },
    TrapFigure {
        key: "own_slips_per_1000",
        path: "own_slips_per_1000",
        name: "own slips",
        unit: Unit::Number,
        of: Of::Filter(|f| &f.own_slips),
        here: "times that these players fall for it in 1000 of all their games as {victim}",
        meaning: "times that players of these ratings fall for it in 1000 of all their games as the colour that slips, \
            whoever lays it: 1000 x occurrence x slip rate",
        formula: |sums| {
            let [o, p] = sums.values(|f| [&f.occurrence, &f.slip_rate]);
            format!("1000 x occurrence {o} x slip_rate {p}")
        },
        interval: "square and add",
    },
    TrapFigure {
        key: "ahead_expected",
        path: "ahead.expected",
        name: "in {next}",
        unit: Unit::Number,
        of: Of::Filter(|f| &f.ahead.expected),
        here: "slips to expect if the setter always plays this line",
        meaning: "slips to expect in the next N games as that colour when steering (--ahead); the range that 19 of \
            20 such students will see takes chance and margin together",
        formula: |sums| {
            let [slips] = sums.values(|f| [&f.slips_per_1000]);
            format!("{} x {slips} / 1000", sums.figures().ahead.games)
        },
        interval: "that of slips_per_1000",
    },
    TrapFigure {
        key: "at_least_one",
        path: "ahead.at_least_one",
        name: "at least one",
        unit: Unit::Percent,
        of: Of::Filter(|f| &f.ahead.at_least_one),
        here: "chance of a slip in {next}",
        meaning: "chance of a slip in them",
        formula: |sums| {
            let [slips] = sums.values(|f| [&f.slips_per_1000]);
            format!("1 - (1 - {slips} / 1000)^{}", sums.figures().ahead.games)
        },
        interval: "that of slips_per_1000",
    },
    TrapFigure {
        key: "slip_s",
        path: "time.slip_s",
        name: "seconds, slip",
        unit: Unit::Number,
        of: Of::Trap(|trap| &trap.time.slip_s),
        here: "mean time spent on the slip",
        meaning: "mean time spent on the slip; the intervals take the mix of paces as it is",
        formula: |sums| sums.clock(Place::Slip),
        interval: "gamma, at this mix of paces",
    },
    TrapFigure {
        key: "others_s",
        path: "time.others_s",
        name: "seconds, others",
        unit: Unit::Number,
        of: Of::Trap(|trap| &trap.time.others_s),
        here: "on the other moves here",
        meaning: "on the other moves there",
        formula: |sums| sums.clock(Place::OtherMoves),
        interval: "gamma, at this mix of paces",
    },
    TrapFigure {
        key: "difference_s",
        path: "time.difference_s",
        name: "difference",
        unit: Unit::Points,
        of: Of::Trap(|trap| &trap.time.difference_s),
        here: "slip less other moves",
        meaning: "slip less other moves",
        formula: |sums| sums.more_seconds(),
        interval: "squares added",
    },
];

#[cfg(test)]
#[path = "table_tests.rs"]
mod tests;
