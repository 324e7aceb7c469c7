//! What to do with a trap, and whether it is sound, with the numbers.

use maud::{Markup, html};

use super::figure::{Unit, markup, text};
use super::text::{fill, fill_markup, plain};
use super::words::Language;
use crate::answers::Figure;
use crate::answers::lesson::Material;
use crate::answers::trap::{AdviceCode, Grounds, Reason, ReasonCode, SoundnessSource, Witness};
use crate::terms::MoverFilter;

/// The advice in a sentence: a template, what goes into its slots, and the students' own slips.
struct Said<'a> {
    template: &'static str,
    values: [(&'static str, String); 3],
    own: Option<&'a Figure>,
}

/// The advice for the page.
pub(super) fn advice(material: &Material, filter: MoverFilter, words: &Language) -> Markup {
    let Said { template, values, own } = said(material, filter, words);
    let own = own.map_or_else(Markup::default, |own| markup(own, Unit::Number, words));
    let values = values.iter().map(|(slot, value)| (*slot, plain(value)));
    fill_markup(template, &values.chain([("own", own)]).collect::<Vec<_>>())
}

/// The same in a word or two, for a table.
pub(super) fn in_short(material: &Material, often: f64, words: &Language) -> String {
    let codes = &material.report.advice.codes;
    if material.victim.is_none() {
        return words.advice(codes);
    }
    // Without games it may be any.
    let open = material.report.figures.own_slips.high.is_none_or(|high| high >= often);
    let short = match (codes.contains(&AdviceCode::Warn), open) {
        (true, _) => words.short_learn,
        (false, true) => words.short_open,
        (false, false) => words.short_skip,
    };
    short.to_owned()
}

/// The same for the PGN file.
pub(super) fn advice_text(material: &Material, filter: MoverFilter, words: &Language) -> String {
    let Said { template, values, own } = said(material, filter, words);
    let own = own.map_or_else(String::new, |own| text(own, Unit::Number, words));
    fill(template, &values.into_iter().chain([("own", own)]).collect::<Vec<_>>())
}

fn said<'a>(material: &'a Material, filter: MoverFilter, words: &Language) -> Said<'a> {
    let (trap, advice) = (&material.report, &material.report.advice);
    let has = |code| advice.codes.contains(&code);
    let level = words.level(filter);
    let victim = words.side(trap.setter.other()).to_owned();
    let shown = |reason: &Reason| reason.known.as_ref().is_none_or(|known| known.value.is_some());
    let shown = advice.reasons.iter().all(shown);
    let told = Told { level: &level, victim: &victim, shown, words };
    let listed = |of: &dyn Fn(&Reason) -> Option<String>| -> Vec<String> {
        advice.reasons.iter().filter_map(of).collect()
    };
    let mut why = listed(&|reason| told.against(reason)).join(words.and);
    let is = |code| advice.reasons.iter().any(|reason| reason.code == code);
    if why.is_empty() && is(ReasonCode::GainOpen) {
        why = words.open_not_laid.to_owned();
    }
    let template = match (has(AdviceCode::Teach), has(AdviceCode::Warn)) {
        (true, true) => words.advise_both,
        (true, false) => words.advise_teach,
        (false, true) if why.is_empty() => words.advise_warn,
        (false, true) => words.advise_warn_but,
        (false, false) if has(AdviceCode::Skip) => words.advise_skip,
        (false, false) => {
            let open = match (is(ReasonCode::HowOftenOpen), is(ReasonCode::GainOpen)) {
                (true, true) => Some(words.open_both),
                (true, false) => Some(words.open_often),
                (false, true) => Some(words.open_gain),
                (false, false) => None,
            };
            let mut parts: Vec<String> = open.map(str::to_owned).into_iter().collect();
            parts.extend(listed(&|reason| told.decides(reason)));
            parts.extend(is(ReasonCode::AskEngine).then(|| words.open_engine.to_owned()));
            why = parts.join("; ");
            words.advise_undecided
        }
    };
    let own = advice.reasons.iter().find(|reason| reason.code == ReasonCode::OwnSlips);
    let own = own.and_then(|reason| reason.known.as_ref());
    Said { template, values: [("level", level), ("victim", victim), ("why", why)], own }
}

/// Reasons in words.
struct Told<'a> {
    level: &'a str,
    victim: &'a str,
    /// Whether every figure has a value.
    shown: bool,
    words: &'a Language,
}

impl Told<'_> {
    /// What speaks against laying it.
    fn against(&self, reason: &Reason) -> Option<String> {
        let words = self.words;
        let pawns = |template, cp: Option<f64>, written: fn(&Language, f64, usize) -> String| {
            fill(template, &[("pawns", written(words, cp.unwrap_or_default() / 100.0, 1))])
        };
        Some(match reason.code {
            ReasonCode::Rare => words.against_rare.to_owned(),
            ReasonCode::DoesNotPay => words.against_gain.to_owned(),
            ReasonCode::NoSlip => pawns(words.against_slip, reason.slip_loses_cp, Language::fixed),
            ReasonCode::Gamble => {
                pawns(words.against_gamble, reason.without_slip_cp, Language::signed)
            }
            _ => return None,
        })
    }

    /// What would decide.
    fn decides(&self, reason: &Reason) -> Option<String> {
        let words = self.words;
        let count = |games: Option<u64>| words.count(games.unwrap_or_default());
        let template = match reason.code {
            ReasonCode::MoreGames if self.shown => words.open_games,
            // A figure that is not known yet may turn out to lie near its limit.
            ReasonCode::MoreGames => words.open_games_at_least,
            ReasonCode::TooNear => words.open_near,
            ReasonCode::NoGames => words.open_none,
            ReasonCode::WiderFilter => words.open_wider,
            _ => return None,
        };
        let level = reason.filter.map_or_else(|| self.level.to_owned(), |wider| words.level(wider));
        let values = [
            ("games", count(reason.games_to_decide)),
            ("known", count(reason.games)),
            ("level", level),
            ("victim", self.victim.to_owned()),
        ];
        Some(fill(template, &values))
    }
}

/// `sound: the slip loses 3.5 pawns, without it White is at +1.3 (12 and 8 evaluations in the games)`.
pub(super) fn soundness(material: &Material, words: &Language) -> Markup {
    let soundness = &material.report.soundness;
    let pawns = |cp: f64, digits: String| html! { data value=(cp) { (digits) } };
    let mate = soundness.sources.iter().find_map(|source| match source {
        SoundnessSource::Mate(mate) => mate.mate_in,
        _ => None,
    });
    let mut parts: Vec<Markup> = Vec::new();
    parts.extend(soundness.slip_loses.map(|Grounds { cp, by }| match (by, mate) {
        (Witness::Mate, Some(moves)) => {
            plain(&fill(words.sound_mate, &[("moves", words.count(moves.into()))]))
        }
        _ => {
            let loses = pawns(cp, words.fixed(cp / 100.0, 1));
            fill_markup(words.sound_loses, &[("pawns", loses)])
        }
    }));
    parts.extend(soundness.without_slip.map(|Grounds { cp, .. }| {
        let side = plain(words.side(material.report.setter));
        let stands = pawns(cp, words.signed(cp / 100.0, 1));
        fill_markup(words.sound_without, &[("side", side), ("pawns", stands)])
    }));
    let by = [soundness.slip_loses, soundness.without_slip];
    let by = |witness| by.iter().flatten().any(|grounds| grounds.by == witness);
    let evaluations = soundness.sources.iter().find_map(|source| match source {
        SoundnessSource::Evals(evals) if by(Witness::Evals) => {
            let counts = [("n", words.count(evals.n_slip)), ("m", words.count(evals.n_best))];
            Some(fill(words.sound_evals, &counts))
        }
        _ => None,
    });
    let engine = by(Witness::Engine).then(|| words.sound_engine.to_owned());
    let sources: Vec<String> = evaluations.into_iter().chain(engine).collect();
    html! {
        (words.soundness(soundness.verdict))
        @for (place, part) in parts.iter().enumerate() { (if place == 0 { ": " } else { ", " }) (part) }
        @if !sources.is_empty() { " (" (words.list(&sources)) ")" }
    }
}
