//! One trap of the lesson.

use maud::{Markup, html};
use shakmaty::Color;

use super::advice::{advice, no_trap, verdict};
use super::below::below;
use super::chart::chart;
use super::diagram::Diagram;
use super::plan::{BESIDE, letters};
use super::sentences::Sentences;
use super::text::{name_of, plain};
use super::way::way;
use super::{Lesson, numbered, title};
use crate::answers::lesson::Material;
use crate::answers::trap::Code;
use crate::pages::languages::Language;
use crate::pages::numbers::one_in;
use crate::terms::MoverFilter;

/// What every part of a sheet needs.
pub(super) struct Sheet<'a> {
    pub(super) lesson: &'a Lesson,
    pub(super) material: &'a Material,
    pub(super) number: usize,
    pub(super) words: &'a Language,
    pub(super) level: MoverFilter,
    pub(super) sentences: Sentences<'a>,
    pub(super) setter: Color,
    pub(super) victim: Color,
}

/// Diagrams of a trap that is told briefly.
const FEW: usize = 2;

/// The section of the trap with this number; the `first` one begins a page.
pub(super) fn sheet(lesson: &Lesson, number: usize, first: bool, words: &Language) -> Markup {
    let sheet = Sheet::of(lesson, number, words);
    let material = sheet.material;
    let whole = lesson.on_its_page(number);
    let beside = letters(&material.trap) <= BESIDE;
    html! {
        section.trap.whole[whole].flowing[!whole].first[first && whole] aria-labelledby=(format!("trap-{number}")) {
            (sheet.head())
            div.top {
                div {
                    @if material.victim.is_some() { (sheet.catches()) } @else { (sheet.verdict()) }
                    @if beside { (sheet.line(true)) }
                }
                (sheet.diagrams(usize::MAX))
            }
            @if !beside { (sheet.line(true)) }
            @match &material.victim {
                Some(victim) => { (sheet.instead(victim)) }
                None => { (sheet.not_slip()) }
            }
            div.beside {
                div {
                    section.part { h3 { (words.by_rating) } (chart(material, lesson.question.min_sample, words)) (below(material, words)) }
                    @match &material.victim {
                        Some(victim) => { (sheet.avoid(victim)) }
                        None => { (sheet.other_side()) }
                    }
                }
                (sheet.way())
            }
            (sheet.by_pace())
            (sheet.rests_on())
        }
    }
}

/// What is known of a trap of which too few games tell.
pub(super) fn brief(lesson: &Lesson, number: usize, words: &Language) -> Markup {
    let sheet = Sheet::of(lesson, number, words);
    html! {
        section.brief.part aria-labelledby=(format!("trap-{number}")) {
            (sheet.head())
            div.top {
                (sheet.known())
                (sheet.diagrams(FEW))
            }
            (sheet.line(false))
        }
    }
}

impl<'a> Sheet<'a> {
    fn of(lesson: &'a Lesson, number: usize, words: &'a Language) -> Sheet<'a> {
        let material = &lesson.traps[number - 1];
        Sheet {
            lesson,
            material,
            number,
            words,
            level: lesson.question.filter,
            sentences: Sentences { material, filter: lesson.question.filter, words },
            setter: material.trap.setter(),
            victim: material.trap.victim(),
        }
    }
}

impl Sheet<'_> {
    fn head(&self) -> Markup {
        let report = &self.material.report;
        let opening = report.opening.as_deref().map(name_of).filter(|name| !name.is_empty());
        let opening = opening.map(|name| match report.eco.as_deref().map(name_of) {
            Some(eco) => self.words.opening(&name, &eco),
            None => plain(&name),
        });
        html! {
            h2 id=(format!("trap-{}", self.number)) {
                (self.number) ". " bdi { (title(self.material, self.words)) }
            }
            p.kicker {
                @if self.lesson.for_victims {
                    (self.words.trap_against(self.victim))
                } @else {
                    (self.words.trap_for(self.setter))
                }
                @if let Some(opening) = opening { " \u{b7} " bdi { (opening) } }
            }
        }
    }

    /// For whom it works: reach, slips, refutations, gain, the next games, the class.
    fn verdict(&self) -> Markup {
        let (figures, words) = (&self.material.report.figures, self.words);
        let slips = figures.slips_per_1000.value;
        let often = match (figures.verdict.codes.as_slice(), slips) {
            ([Code::TooFewGames], _) | (_, None) => words.so_unknown(self.level),
            (codes, Some(slips)) => {
                let codes = words.verdict_of(codes);
                match one_in(slips / 1000.0) {
                    Some(n) => {
                        let n = html! { data value=(slips) { (words.count(n)) } };
                        words.so(&codes, self.level, n)
                    }
                    None => {
                        let slips = html! { data value=(slips) { (words.fixed(slips, 0)) } };
                        words.so_many(&codes, self.level, slips)
                    }
                }
            }
        };
        let about = self.sentences;
        html! {
            div.verdict {
                h3 { (self.words.trap_intro) }
                p.advice { strong { (advice(self.material, self.lesson.question.filter, self.words)) } }
                @if let Some(said) = no_trap(self.material, self.words) { p { (said) } }
                p {
                    @for sentence in about.all() { (sentence) " " }
                    strong { (often) }
                }
                p.sound { (verdict(self.material, self.words)) }
            }
        }
    }

    /// The advice, and what there are games for.
    fn known(&self) -> Markup {
        let (about, words) = (self.sentences, self.words);
        let no_trap = match self.material.victim {
            Some(_) => None,
            None => no_trap(self.material, words),
        };
        let advice = match self.material.victim {
            Some(_) => about.own_slips(),
            None => advice(self.material, self.lesson.question.filter, words),
        };
        html! {
            div.verdict {
                p.advice { strong { (advice) } }
                @if let Some(said) = no_trap { p { (said) } }
                p { @for said in about.known() { (said) " " } }
                p.sound { (verdict(self.material, words)) }
            }
        }
    }

    /// The first so many diagrams.
    fn diagrams(&self, most: usize) -> Markup {
        let (trap, line, words) = (&self.material.trap, self.material.trap.line(), self.words);
        let slip = trap.slip_ply();
        let played = |plies: usize| {
            words.san(&plies.checked_sub(1).map_or(String::new(), |ply| numbered(line, ply)))
        };
        let mut shown = vec![
            (slip, words.diagram_trap(played(slip), self.victim)),
            (slip + 1, words.diagram_slip(played(slip + 1), self.setter)),
            (slip + 2, words.diagram_refutation(played(slip + 2))),
        ];
        if line.len() > slip + 2 {
            shown.push((line.len(), words.diagram_end(played(line.len()))));
        }
        html! {
            div.diagrams {
                @for (place, (plies, caption)) in shown.into_iter().take(most).enumerate() {
                    @let last = plies.checked_sub(1);
                    figure {
                        (Diagram {
                            bottom: self.lesson.bottom(trap),
                            ..Diagram::after(line.position(plies), last.map(|ply| line.moves()[ply]))
                        }.figure(words))
                        figcaption {
                            b { (words.diagram(&format!("{}.{}", self.number, place + 1))) }
                            ". " (caption)
                        }
                    }
                }
            }
        }
    }

    /// Where the games go.
    fn way(&self) -> Markup {
        let picture = way(self.material, self.number, self.level, self.words);
        html! {
            @if !picture.0.is_empty() { section.part { h3 { (self.words.way) } (picture) } }
        }
    }
}
