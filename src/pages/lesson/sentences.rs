//! Sentences about a trap, once as markup for the page and once as text for the PGN file.

use maud::Markup;

use super::figure::{Unit, counted, counted_text, markup, one_in, one_in_text, text, why};
use super::marked;
use super::text::{fill, fill_markup, plain};
use super::words::Language;
use crate::answers::Figure;
use crate::answers::lesson::Material;
use crate::answers::trap::{AdviceCode, Steered};
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
        let free = report.choices.is_empty();
        self.comes_up(&report.figures.steered, self.setter(), free, words.reached_never)
    }

    /// How often a player whose own moves follow the line meets it.
    pub(super) fn met(&self) -> Option<Sentence<'a>> {
        let victim = self.material.victim.as_ref()?;
        let side = Value::Text(self.words.side(victim.victim).to_owned());
        let free = victim.setter_choices.is_empty();
        Some(self.comes_up(&victim.comes_up, side, free, self.words.met_never))
    }

    fn comes_up(
        &self,
        steered: &'a Steered,
        side: Value<'a>,
        free: bool,
        never: &'static str,
    ) -> Sentence<'a> {
        let words = self.words;
        let setters = never == words.reached_never;
        let side = ("side", side);
        if let Some(mv) = &steered.never {
            let values = vec![side, self.level(), ("move", Value::Text(mv.clone()))];
            return Sentence { template: never, values };
        }
        let template = |of_setters, of_victims| if setters { of_setters } else { of_victims };
        let share = ("share", Value::Figure(&steered.rate, Unit::Percent));
        let (template, values) = match steered.rate.value {
            _ if free => (template(words.reached_always, words.met_always), vec![side]),
            None => {
                let unknown = template(words.reached_unknown, words.met_unknown);
                (unknown, vec![side, self.why(&steered.rate)])
            }
            Some(value) if value > 0.5 => {
                (template(words.reached_share, words.met_share), vec![side, share])
            }
            Some(value) => {
                let one_in = template(words.reached_one_in, words.met_one_in);
                (one_in, vec![side, share, ("n", Value::OneIn(value))])
            }
        };
        Sentence { template, values }
    }

    /// How many of the players themselves slip.
    pub(super) fn fallen(&self) -> Sentence<'a> {
        let (words, report) = (self.words, &self.material.report);
        let known = if report.slips.is_some() { words.fallen_several } else { words.fallen };
        let moves = marked(&self.material.trap, false, words);
        self.share(&report.figures.slip_rate, moves, known, words.fallen_unknown)
    }

    /// How many opponents refute.
    pub(super) fn punished(&self) -> Sentence<'a> {
        let (words, report) = (self.words, &self.material.report);
        let moves = marked(&self.material.trap, true, words);
        self.share(&report.figures.find_rate, moves, words.punished, words.punished_unknown)
    }

    /// What the slip costs the one who plays it.
    pub(super) fn costs(&self) -> Sentence<'a> {
        let edge = &self.material.report.figures.edge_after_slip;
        let template =
            if edge.value.is_some() { self.words.costs } else { self.words.costs_unknown };
        let values = vec![("points", Value::Figure(edge, Unit::EdgeTurned)), self.why(edge)];
        Sentence { template, values }
    }

    /// How often players fall for it in all their games of that colour.
    pub(super) fn own_slips(&self, often: f64) -> Sentence<'a> {
        let own = &self.material.report.figures.own_slips;
        let warned = self.material.report.advice.codes.contains(&AdviceCode::Warn);
        let template = match (warned, own.value) {
            (true, _) => self.words.learn,
            (false, Some(_)) if own.high >= Some(often) => self.words.learn_open,
            (false, Some(_)) => self.words.learn_less,
            (false, None) => self.words.learn_unknown,
        };
        let side = self.words.side(self.material.trap.victim()).to_owned();
        let values = vec![
            ("own", Value::Figure(own, Unit::Number)),
            self.level(),
            ("side", Value::Text(side)),
            self.why(own),
        ];
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
