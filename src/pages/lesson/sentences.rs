//! Sentences about a trap, once as markup for the page and once as text for the PGN file.

use maud::Markup;

use super::figure::{Unit, counted, counted_text, markup, one_in, one_in_text, text, why};
use super::marked;
use super::text::{fill, fill_markup, plain};
use super::words::Language;
use crate::answers::Figure;
use crate::answers::lesson::Material;
use crate::terms::MoverFilter;

/// A template with what goes into its slots.
pub(super) struct Sentence<'a> {
    template: &'static str,
    values: Vec<(&'static str, Value<'a>)>,
}

/// What goes into a slot.
enum Value<'a> {
    Text(String),
    Figure(&'a Figure, Unit),
    /// With its games.
    Counted(&'a Figure),
    OneIn(f64),
}

impl Sentence<'_> {
    /// For the page.
    pub(super) fn markup(&self, words: &Language) -> Markup {
        let filled = |value: &Value<'_>| match value {
            Value::Text(text) => plain(text),
            Value::Figure(figure, unit) => markup(figure, *unit, words),
            Value::Counted(share) => counted(share, Unit::Percent, words),
            Value::OneIn(share) => one_in(*share, words),
        };
        let values: Vec<_> =
            self.values.iter().map(|(slot, value)| (*slot, filled(value))).collect();
        fill_markup(self.template, &values)
    }

    /// For the PGN file.
    pub(super) fn text(&self, words: &Language) -> String {
        let filled = |value: &Value<'_>| match value {
            Value::Text(text) => text.clone(),
            Value::Figure(figure, unit) => text(figure, *unit, words),
            Value::Counted(share) => counted_text(share, Unit::Percent, words),
            Value::OneIn(share) => one_in_text(*share, words),
        };
        let values: Vec<_> =
            self.values.iter().map(|(slot, value)| (*slot, filled(value))).collect();
        fill(self.template, &values)
    }
}

/// The sentences about one trap.
#[derive(Clone, Copy)]
pub(super) struct Sentences<'a> {
    pub material: &'a Material,
    pub filter: MoverFilter,
    pub words: &'a Language,
}

impl<'a> Sentences<'a> {
    /// How often the position is reached.
    pub(super) fn reached(&self) -> Sentence<'a> {
        let (words, report) = (self.words, &self.material.report);
        let steered = &report.figures.steered;
        let side = ("side", self.setter());
        if let Some(never) = &steered.never {
            let values = vec![side, self.level(), ("move", Value::Text(never.clone()))];
            return Sentence { template: words.reached_never, values };
        }
        let share = ("share", Value::Figure(&steered.rate, Unit::Percent));
        let (template, values) = match steered.rate.value {
            None => (words.reached_unknown, vec![side, self.why(&steered.rate)]),
            Some(_) if report.choices.is_empty() => (words.reached_always, vec![side]),
            Some(value) if value > 0.5 => (words.reached_share, vec![side, share]),
            Some(value) => (words.reached_one_in, vec![side, share, ("n", Value::OneIn(value))]),
        };
        Sentence { template, values }
    }

    /// How many slip.
    pub(super) fn slipped(&self) -> Sentence<'a> {
        let (words, report) = (self.words, &self.material.report);
        let known = if report.slips.is_some() { words.slipped_several } else { words.slipped };
        let moves = marked(&self.material.trap, false, words);
        self.share(&report.figures.slip_rate, moves, known, words.slipped_unknown)
    }

    /// How many refute.
    pub(super) fn found(&self) -> Sentence<'a> {
        let (words, report) = (self.words, &self.material.report);
        let known =
            if report.refutations.is_some() { words.refuted_several } else { words.refuted };
        let moves = marked(&self.material.trap, true, words);
        self.share(&report.figures.find_rate, moves, known, words.refuted_unknown)
    }

    /// What it gains.
    pub(super) fn gained(&self) -> Sentence<'a> {
        let (words, figures) = (self.words, &self.material.report.figures);
        let points = ("points", Value::Figure(&figures.net, Unit::Points));
        let (template, values) = match (figures.net.value, &figures.usual.san) {
            (None, _) => (words.netted_unknown, vec![self.why(&figures.net)]),
            (Some(_), None) => (words.netted, vec![points]),
            (Some(_), Some(san)) => {
                (words.netted_usual, vec![points, ("usual", Value::Text(san.clone()))])
            }
        };
        Sentence { template, values }
    }

    /// What to expect of the next games.
    pub(super) fn ahead(&self) -> Sentence<'a> {
        let (words, ahead) = (self.words, &self.material.report.figures.ahead);
        let known = ahead.range.filter(|_| ahead.expected.value.is_some());
        let template = if known.is_some() { words.ahead } else { words.ahead_unknown };
        let range = known.map_or(String::new(), |range| words.next_slips(range));
        let values = vec![
            ("games", Value::Text(words.count(ahead.games))),
            ("side", self.setter()),
            ("expected", Value::Figure(&ahead.expected, Unit::Number)),
            ("range", Value::Text(range)),
            ("chance", Value::Figure(&ahead.at_least_one, Unit::Percent)),
            self.why(&ahead.expected),
        ];
        Sentence { template, values }
    }

    /// What the half-move at `ply` is worth remarking: the victim's choices and the refutation.
    pub(super) fn remark(&self, ply: usize) -> Option<Sentence<'a>> {
        let (report, words) = (&self.material.report, self.words);
        let slip = self.material.trap.slip_ply();
        let (rate, template) = match ply {
            // Of several the line's own comes first.
            _ if ply == slip => {
                let own = report.slips.as_ref().and_then(|slips| slips.moves.first());
                (own.map_or(&report.figures.slip_rate, |slip| &slip.share), words.remark_slip)
            }
            _ if ply == slip + 1 => {
                let own = report.refutations.as_ref().and_then(|moves| moves.moves.first());
                let rate = own.map_or(&report.figures.find_rate, |mv| &mv.share);
                (rate, words.remark_refutation)
            }
            // Choices are the victim's moves before the slip, every second one.
            _ if ply < slip && ply % 2 == slip % 2 => {
                let template = if ply < 2 { words.remark_first } else { words.remark_next };
                (&report.choices.get(ply / 2)?.share, template)
            }
            _ => return None,
        };
        Some(self.share(rate, String::new(), template, words.remark_few))
    }

    /// A share of opponents or players who play one of `moves`.
    fn share(
        &self,
        rate: &'a Figure,
        moves: String,
        known: &'static str,
        unknown: &'static str,
    ) -> Sentence<'a> {
        let values = vec![
            ("share", Value::Counted(rate)),
            ("n", Value::Text(self.words.count(rate.n))),
            self.level(),
            ("move", Value::Text(moves)),
            self.why(rate),
        ];
        Sentence { template: if rate.low.is_some() { known } else { unknown }, values }
    }

    fn setter(&self) -> Value<'a> {
        Value::Text(self.words.side(self.material.trap.setter()).to_owned())
    }

    fn level(&self) -> (&'static str, Value<'a>) {
        ("level", Value::Text(self.words.level(self.filter)))
    }

    fn why(&self, figure: &Figure) -> (&'static str, Value<'a>) {
        ("why", Value::Text(why(figure, self.words)))
    }
}
