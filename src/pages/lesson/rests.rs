//! What the figures of a trap rest on.

use maud::{Markup, html};

use super::figure::{Unit, counted};
use super::sheet::Sheet;
use super::text::{fill, fill_markup, plain};
use crate::answers::trap::{PaceRow, SoundnessSource};

impl Sheet<'_> {
    /// The same by pace, which has no room on paper.
    pub(super) fn by_pace(&self) -> Markup {
        let words = self.words;
        let played = |part: &&PaceRow| part.figures.games > 0;
        let paces: Vec<&PaceRow> = self.material.report.by_pace.iter().filter(played).collect();
        html! {
            @if !paces.is_empty() {
                section.part.screen {
                    h3 { (words.by_pace) }
                    div.scroll tabindex="0" role="group" aria-label=(words.by_pace) {
                        table {
                            thead { tr {
                                th scope="col" { (words.pace) }
                                th scope="col" { (words.games_here) }
                                th scope="col" { (words.slips) }
                                th scope="col" { (words.found) }
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
        let dumps = match basis.dumps {
            1 => words.one_dump.to_owned(),
            n => fill(words.several_dumps, &[("n", words.count(n as u64))]),
        };
        let games = [
            ("here", words.count(report.figures.games)),
            ("level", self.level.clone()),
            ("all", words.count(basis.games)),
            ("months", words.months(basis.first.as_deref(), basis.last.as_deref())),
            ("dumps", dumps),
        ];
        let pace = |part: &crate::answers::moves::PaceGames| {
            format!("{} {}", words.count(part.games), words.pace(part.pace))
        };
        let paces: Vec<String> = report.paces.iter().map(pace).collect();
        html! {
            section.part {
                h3 { (words.rests_on) }
                p {
                    (fill(words.rests_games, &games)) " "
                    @if !paces.is_empty() { (self.say(words.rests_paces, "paces", &words.list(&paces))) " " }
                    @for said in self.sources() { (said) " " }
                    @if report.may_lack > 0 {
                        (self.say(words.rests_lack, "n", &words.count(report.may_lack))) " "
                    }
                    @if report.figures.steered.mixed { (words.rests_mixed) }
                }
            }
        }
    }

    /// What each source of evidence says.
    fn sources(&self) -> Vec<Markup> {
        let (words, soundness) = (self.words, &self.material.report.soundness);
        let pawns = |cp: f64| html! { data value=(cp) { (words.signed(cp / 100.0, 1)) } };
        let setter = || ("side", plain(self.setter));
        let mut said = Vec::new();
        let mut engine = false;
        for source in &soundness.sources {
            said.push(match source {
                SoundnessSource::Evals(evals) => {
                    let known = evals.after_slip_cp.zip(evals.without_slip_cp);
                    let Some((after, without)) = known else {
                        said.push(plain(words.rests_no_evals));
                        continue;
                    };
                    let values = [
                        setter(),
                        ("n", plain(&words.count(evals.n_slip))),
                        ("m", plain(&words.count(evals.n_best))),
                        ("after", pawns(after)),
                        ("without", pawns(without)),
                    ];
                    fill_markup(words.rests_evals, &values)
                }
                SoundnessSource::Mate(mate) => match mate.mate_in {
                    Some(moves) => {
                        plain(&self.say(words.rests_mate, "moves", &words.count(moves.into())))
                    }
                    None => plain(words.rests_no_mate),
                },
                SoundnessSource::Engine(evidence) => {
                    engine = true;
                    let values = [
                        setter(),
                        ("after", pawns(evidence.after_slip_cp)),
                        ("without", pawns(evidence.without_slip_cp)),
                    ];
                    fill_markup(words.rests_engine, &values)
                }
            });
        }
        if !engine {
            said.push(plain(words.rests_no_engine));
        }
        said
    }
}
