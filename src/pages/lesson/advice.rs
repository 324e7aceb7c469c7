//! What to do with a trap, and whether it is sound, with the numbers.

use maud::{Markup, PreEscaped, html};

use super::figure::{Unit, markup, not_counted};
use super::text::plain;
use super::{marked, numbered};
use crate::answers::lesson::Material;
use crate::answers::trap::{
    AdviceCode, Code, Grounds, Reason, ReasonCode, SoundnessCode, SoundnessSource, VictimAdvice,
    Witness,
};
use crate::pages::languages::{Language, capital, text_of};
use crate::terms::MoverFilter;

/// The advice in a sentence.
pub(super) fn advice(material: &Material, filter: MoverFilter, words: &Language) -> Markup {
    let (trap, advice) = (&material.report, &material.report.advice);
    let has = |code| advice.codes.contains(&code);
    let victim = trap.setter.other();
    let shown = |reason: &Reason| reason.known.as_ref().is_none_or(|known| known.value.is_some());
    let shown = advice.reasons.iter().all(shown);
    let told = Told { level: filter, material, shown, words };
    let listed = |of: &dyn Fn(&Reason) -> Option<Markup>| -> Vec<String> {
        advice.reasons.iter().filter_map(of).map(|said| text_of(&said)).collect()
    };
    let mut why = listed(&|reason| told.against(reason)).join(words.semicolon);
    let of = |code| advice.reasons.iter().find(|reason| reason.code == code);
    let is = |code| of(code).is_some();
    if why.is_empty() && is(ReasonCode::GainOpen) && !has(AdviceCode::Undecided) {
        why = words.open_not_laid.to_owned();
    }
    let own = of(ReasonCode::OwnSlips).and_then(|reason| reason.known.as_ref());
    let own = own.map_or_else(Markup::default, |own| markup(own, Unit::Number, words));
    match (has(AdviceCode::Teach), has(AdviceCode::Warn)) {
        (true, true) => words.advise_both(filter, own, victim),
        (true, false) => plain(words.advise_teach),
        (false, true) if why.is_empty() => words.advise_warn(filter, own, victim),
        (false, true) => words.advise_warn_but(filter, own, victim, &why),
        (false, false) if has(AdviceCode::Skip) => words.advise_skip(&why),
        (false, false) => {
            let few = |code| of(code).is_some_and(|reason| !reason.never_known());
            let beyond = advice.beyond();
            let never =
                of(ReasonCode::GainOpen).is_some_and(Reason::never_known) && beyond.is_none();
            let open = match (few(ReasonCode::HowOftenOpen), few(ReasonCode::GainOpen)) {
                _ if !why.is_empty() => None,
                (true, true) => Some(words.open_both),
                (true, false) => Some(words.open_often),
                (false, true) => Some(words.open_gain),
                (false, false) => None,
            };
            let not_laid = !why.is_empty();
            let mut parts = vec![why];
            parts.extend(open.map(str::to_owned));
            parts.extend(beyond.map(|beyond| text_of(&not_counted(beyond, words))));
            parts.extend((never && !not_laid).then(|| words.open_never.to_owned()));
            parts.extend(
                is(ReasonCode::OwnSlips).then(|| text_of(&words.own_slips(filter, own, victim))),
            );
            parts.extend(is(ReasonCode::CostOpen).then(|| words.open_cost.to_owned()));
            parts.extend(listed(&|reason| told.decides(reason)));
            let mate = trap.soundness.mate_in().filter(|_| is(ReasonCode::AskEngine) && !not_laid);
            parts.extend(mate.map(|moves| text_of(&words.sound_mate(moves.into()))));
            parts.extend(of(ReasonCode::AskEngine).and_then(|reason| match reason.slip_loses_cp {
                None => Some(words.open_engine.to_owned()),
                Some(_) if not_laid => None,
                Some(_) => Some(text_of(&words.open_without(trap.setter))),
            }));
            parts.retain(|part| !part.is_empty());
            words.advise_undecided(&parts.join(words.semicolon))
        }
    }
}

/// The same in a word or two, for a table.
pub(super) fn in_short(material: &Material, words: &Language) -> String {
    if material.victim.is_none() {
        return words.advice_of(&material.report.advice.codes);
    }
    if material.report.figures.own_slips.withheld.as_ref().is_some_and(|why| why.beyond().is_some())
    {
        return words.verdict_of(&[Code::NotCounted]);
    }
    let short = match material.victim_advice() {
        VictimAdvice::Learn => words.short_learn,
        VictimAdvice::HowOftenOpen | VictimAdvice::CostOpen => words.short_few,
        VictimAdvice::AskEngine => words.short_open,
        VictimAdvice::NoLoss | VictimAdvice::NoCost | VictimAdvice::Skip => words.short_skip,
    };
    short.to_owned()
}

/// Whether the advice itself says that the setter stands worse without the slip.
fn says_worse(material: &Material) -> bool {
    let worse =
        |reason: &Reason| matches!(reason.code, ReasonCode::Gamble | ReasonCode::StandsWorse);
    material.report.advice.reasons.iter().any(worse)
}

/// What the advice leaves to be said of a trap that is none to lay since its setter stands worse
/// without the slip.
pub(super) fn no_trap(material: &Material, words: &Language) -> Option<Markup> {
    worse(material, says_worse(material), words)
}

/// That the setter stands worse without the slip, unless it is `said` already, and that the bait is
/// an error itself.
pub(super) fn worse(material: &Material, said: bool, words: &Language) -> Option<Markup> {
    let (report, trap) = (&material.report, &material.trap);
    let no_trap = (report.soundness.stands_worse() && !said).then(|| words.no_trap.to_owned());
    let loses = report.soundness.bait_loses_cp.filter(|_| report.soundness.bait_errs());
    let errs = loses.zip(trap.bait_ply()).map(|(cp, bait)| {
        let bait = words.san(&numbered(trap.line(), bait));
        let evals = report.soundness.bait_evals.unwrap_or_default();
        text_of(&words.bait_errs(bait, &words.fixed(cp / 100.0, 1), evals))
    });
    let parts: Vec<String> = no_trap.into_iter().chain(errs).collect();
    (!parts.is_empty()).then(|| plain(&parts.join(" ")))
}

/// That the marked move does not lose.
pub(super) fn not_lost(slip_loses_cp: Option<f64>, words: &Language) -> Markup {
    words.against_slip(&words.fixed(slip_loses_cp.unwrap_or_default() / 100.0, 1))
}

/// Reasons in words.
struct Told<'a> {
    level: MoverFilter,
    material: &'a Material,
    /// Whether every figure has a value.
    shown: bool,
    words: &'a Language,
}

impl Told<'_> {
    /// What speaks against laying it.
    fn against(&self, reason: &Reason) -> Option<Markup> {
        let words = self.words;
        let pawns = |cp: Option<f64>| cp.unwrap_or_default() / 100.0;
        Some(match reason.code {
            ReasonCode::Rare => plain(words.against_rare),
            ReasonCode::DoesNotPay => plain(words.against_gain),
            ReasonCode::NoSlip => not_lost(reason.slip_loses_cp, words),
            ReasonCode::Gamble => {
                words.against_gamble(&words.signed(pawns(reason.without_slip_cp), 1))
            }
            ReasonCode::StandsWorse => {
                words.against_worse(&words.signed(pawns(reason.without_slip_cp), 1))
            }
            _ => return None,
        })
    }

    /// What no game has, so that a figure is missing.
    fn missing(&self, figure: Option<&str>) -> Markup {
        let Told { level, material, words, .. } = *self;
        let (setter, victim) = (material.trap.setter(), material.trap.victim());
        let [slips, refutations] = [false, true].map(|after| marked(&material.trap, after, words));
        match (figure, material.trap.slip_ply().checked_sub(1)) {
            (Some("usual"), Some(bait)) => {
                let bait = numbered(material.trap.line(), bait);
                words.open_only(level, setter, words.san(&bait))
            }
            (Some("edge_no_slip"), _) => words.open_only(level, victim, slips),
            (Some("edge_after_slip"), _) => words.open_no(level, victim, slips),
            (Some("edge_refuted"), _) => words.open_no(level, setter, refutations),
            _ => words.open_none(level, victim),
        }
    }

    /// What would decide.
    fn decides(&self, reason: &Reason) -> Option<Markup> {
        let Told { level, material, shown, words } = *self;
        let victim = material.trap.victim();
        let needed = reason.games_to_decide.unwrap_or_default();
        let known = reason.games.unwrap_or_default();
        Some(match (reason.code, reason.times()) {
            (ReasonCode::MoreGames, _) if reason.far_too_few().is_some() => {
                let few = reason.far_too_few()?;
                let effective = few.n_eff.round() as u64;
                words.open_few(&match effective < few.n {
                    true => text_of(&words.as_good_as(few.n, effective)),
                    false => words.games(few.n),
                })
            }
            (ReasonCode::MoreGames, Some(times)) if shown => words.open_times(times),
            (ReasonCode::MoreGames, Some(times)) => words.open_times_at_least(times),
            (ReasonCode::MoreGames, None) if shown => {
                words.open_games(needed, level, victim, known)
            }
            // A figure that is not known yet may turn out to lie near its limit.
            (ReasonCode::MoreGames, None) => {
                words.open_games_at_least(needed, level, victim, known)
            }
            (ReasonCode::TooNear, _) => plain(words.open_near),
            (ReasonCode::NoGames, _) => self.missing(reason.figure),
            (ReasonCode::WiderFilter, _) => words.open_wider(reason.filter?),
            _ => return None,
        })
    }
}

/// `Sound: the slip loses 3.5 pawns, without it White is at +1.3.` What is not known at all names
/// the question.
pub(super) fn verdict(material: &Material, words: &Language) -> Markup {
    let said = soundness(material, words);
    match (material.report.soundness.verdict, half_known(material, words)) {
        // Half a verdict is a sentence of its own.
        (SoundnessCode::Unknown, None) => words.rests_verdict(said),
        _ => html! { (PreEscaped(capital(&said.0))) "." },
    }
}

/// The same for a column: the verdict alone, but of half a one what is known, unless the
/// sentence `follows`.
pub(super) fn sound(material: &Material, follows: bool, words: &Language) -> Markup {
    let verdict = material.report.soundness.verdict;
    match half_known(material, words) {
        Some(half) if verdict == SoundnessCode::Unknown && !follows => half,
        _ => plain(words.soundness_of(verdict)),
    }
}

/// What the slip loses.
fn loses(material: &Material, words: &Language) -> Option<Markup> {
    let soundness = &material.report.soundness;
    soundness.slip_loses.map(|Grounds { cp, .. }| match soundness.mate_in() {
        Some(moves) => words.sound_mate(moves.into()),
        None => words.sound_loses(pawns(cp, words.fixed(cp / 100.0, 1))),
    })
}

fn pawns(cp: f64, digits: String) -> Markup {
    html! { data value=(cp) { (digits) } }
}

/// That the slip loses, where nothing tells how the setter stands without it.
fn half_known(material: &Material, words: &Language) -> Option<Markup> {
    let unknown = material.report.soundness.without_slip.is_none();
    let lost = loses(material, words).filter(|_| unknown)?;
    Some(words.sound_half(lost, material.report.setter))
}

/// `sound: the slip loses 3.5 pawns, without it White is at +1.3
/// (12 and 8 evaluations in the games)`.
fn soundness(material: &Material, words: &Language) -> Markup {
    let soundness = &material.report.soundness;
    let half = half_known(material, words).filter(|_| soundness.verdict == SoundnessCode::Unknown);
    let mut parts: Vec<Markup> = Vec::new();
    parts.extend(loses(material, words).filter(|_| half.is_none()));
    parts.extend(soundness.without_slip.map(|Grounds { cp, .. }| {
        let stands = pawns(cp, words.signed(cp / 100.0, 1));
        words.sound_without(material.report.setter, stands)
    }));
    let by = [soundness.slip_loses, soundness.without_slip];
    let by = |witness| by.iter().flatten().any(|grounds| grounds.by == witness);
    let evaluations = soundness.sources.iter().find_map(|source| match source {
        SoundnessSource::Evals(evals) if by(Witness::Evals) => {
            // Only those that tell.
            let by = |grounds: Option<Grounds>| grounds.is_some_and(|it| it.by == Witness::Evals);
            let said = match (by(soundness.slip_loses), by(soundness.without_slip)) {
                (false, true) if evals.after_slip_cp.is_none() => {
                    words.sound_evals_of_one(evals.n_best)
                }
                _ => words.sound_evals(evals.n_slip, evals.n_best),
            };
            Some(text_of(&said))
        }
        _ => None,
    });
    let engine = by(Witness::Engine).then(|| words.sound_engine.to_owned());
    let sources: Vec<String> = evaluations.into_iter().chain(engine).collect();
    // What is not known names the question first, with a colon.
    let first = match soundness.verdict {
        SoundnessCode::Unknown => words.semicolon,
        _ => words.colon,
    };
    html! {
        @if let Some(half) = half { (half) } @else { (words.soundness_of(soundness.verdict)) }
        @for (place, part) in parts.iter().enumerate() { (if place == 0 { first } else { ", " }) (part) }
        @if !sources.is_empty() { " (" (words.list(&sources)) ")" }
    }
}
