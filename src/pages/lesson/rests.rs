//! What the figures of a trap rest on.

use maud::{Markup, html};

use super::figure::{Unit, counted};
use super::sheet::Sheet;
use super::text::plain;
use crate::answers::mate::Proof;
use crate::answers::trap::{PaceRow, SoundnessSource};
use crate::counts::Lacking;
use crate::pages::languages::text_of;

impl Sheet<'_> {
    /// The same by pace, which has room on paper only where it is asked.
    pub(super) fn by_pace(&self) -> Markup {
        let words = self.words;
        let played = |part: &&PaceRow| part.figures.games > 0;
        let whose = usize::from(self.lesson.for_victims);
        let paces: Vec<&PaceRow> = self.material.report.by_pace.iter().filter(played).collect();
        html! {
            @if !paces.is_empty() {
                section.part.screen[!self.lesson.question.by_pace] {
                    h3 { (words.by_pace) }
                    div.scroll tabindex="0" role="group" aria-label=(words.by_pace) {
                        table {
                            thead { tr {
                                th scope="col" { (words.pace) }
                                th scope="col" { (words.games_here) }
                                th scope="col" { (words.slips[whose]) }
                                th scope="col" { (words.found[whose]) }
                            } }
                            tbody { @for part in paces { tr {
                                th scope="row" { (words.pace(part.pace)) }
                                td { (words.count(part.figures.games)) }
                                td { (counted(&part.figures.slip_rate, Unit::Percent, words)) }
                                td { (counted(&part.figures.find_rate, Unit::Percent, words)) }
                            } } }
                        }
                    }
                }
            }
        }
    }

    pub(super) fn rests_on(&self) -> Markup {
        let (report, words, basis) = (&self.material.report, self.words, &self.lesson.basis);
        let months = basis.months(words);
        let dumps = words.dumps(basis.dumps as u64);
        let (here, all) = (report.figures.games, report.figures.occurrence.n);
        let games = words.rests_games(here, self.level, all, self.victim, &months, &dumps);
        let pace = |part: &crate::answers::moves::PaceGames| {
            text_of(&words.in_pace(&words.count(part.games), words.pace(part.pace)))
        };
        let paces: Vec<String> = report.paces.iter().map(pace).collect();
        html! {
            section.part {
                h3 { (words.rests_on) }
                p {
                    (games) " "
                    @if !paces.is_empty() { (words.rests_paces(&words.list(&paces))) " " }
                    @for said in self.sources() { (said) " " }
                    @if let Lacking::UpTo(games @ 1..) = report.may_lack {
                        (words.lacking(games)) " "
                    }
                }
            }
        }
    }

    /// What each source of evidence says.
    fn sources(&self) -> Vec<Markup> {
        let (words, soundness) = (self.words, &self.material.report.soundness);
        let pawns = |cp: f64| html! { data value=(cp) { (words.signed(cp / 100.0, 1)) } };
        // Who is mated has no pawns to count.
        let mated = soundness.mate_in().is_some();
        let mut said = Vec::new();
        for source in &soundness.sources {
            said.push(match source {
                SoundnessSource::Evals(evals) => {
                    let (n, m, side) = (evals.n_slip, evals.n_best, self.setter);
                    match (evals.after_slip_cp.map(pawns), evals.without_slip_cp.map(pawns)) {
                        (_, Some(without)) if mated => words.rests_evals_best(side, without, m),
                        (Some(_), None) if mated => continue,
                        (Some(after), Some(without)) => {
                            words.rests_evals(side, after, n, without, m)
                        }
                        (Some(after), None) => words.rests_evals_after(side, after, n),
                        (None, Some(without)) => words.rests_evals_without(side, without, m),
                        (None, None) => plain(words.rests_no_evals),
                    }
                }
                SoundnessSource::Mate(mate) => match mate.proof {
                    Proof::Proved { moves } => words.rests_mate(moves.into()),
                    Proof::NotForced => words.rests_no_mate(mate.moves.into()),
                    Proof::GivenUp => words.rests_mate_open(mate.moves.into()),
                },
                SoundnessSource::Engine(evidence) => {
                    let ends = [evidence.after_slip_cp, evidence.without_slip_cp];
                    let [after, without] = ends.map(pawns);
                    match mated {
                        true => words.rests_engine_best(self.setter, without),
                        false => words.rests_engine(self.setter, after, without),
                    }
                }
            });
        }
        said
    }
}
