//! One trap of the lesson.

use maud::{Markup, html};
use shakmaty::Position;

use super::advice::{advice, soundness};
use super::chart::chart;
use super::diagram::Diagram;
use super::figure::{Unit, counted, markup, why};
use super::sentences::Sentences;
use super::text::{fill, fill_markup, name_of, plain};
use super::words::Language;
use super::{Lesson, numbered, refuting, title};
use crate::answers::Figure;
use crate::answers::lesson::{Material, OtherAnswer};
use crate::answers::moves::{MoveRow, MoveTable};
use crate::answers::trap::{Code, PaceRow, SoundnessSource};
use crate::lines::MarkedSlip;

/// How many moves are named to the other side.
const ADVICE: usize = 3;

/// What every part of a sheet needs.
struct Sheet<'a> {
    lesson: &'a Lesson,
    material: &'a Material,
    number: usize,
    words: &'a Language,
    level: String,
    sentences: Sentences<'a>,
    setter: &'static str,
    victim: &'static str,
}

/// The section of the trap with this number.
pub(super) fn sheet(lesson: &Lesson, number: usize, words: &Language) -> Markup {
    let material = &lesson.traps[number - 1];
    let sheet = Sheet {
        lesson,
        material,
        number,
        words,
        level: words.level(lesson.question.filter),
        sentences: Sentences { material, filter: lesson.question.filter, words },
        setter: words.side(material.trap.setter()),
        victim: words.side(material.trap.victim()),
    };
    html! {
        section.trap aria-labelledby=(format!("trap-{number}")) {
            (sheet.head())
            (sheet.verdict())
            (sheet.line())
            (sheet.diagrams())
            section.part { h3 { (words.by_rating) }
                (chart(material, number, lesson.question.min_sample, words)) }
            (sheet.by_pace())
            (sheet.not_slip())
            (sheet.other_side())
            (sheet.rests_on())
        }
    }
}

impl Sheet<'_> {
    fn head(&self) -> Markup {
        let report = &self.material.report;
        let opening = report.opening.as_deref().map(name_of).filter(|name| !name.is_empty());
        let opening = opening.map(|name| match report.eco.as_deref().map(name_of) {
            Some(eco) => fill(self.words.opening, &[("name", name), ("eco", eco)]),
            None => name,
        });
        html! {
            h2 id=(format!("trap-{}", self.number)) {
                (self.number) ". " bdi { (title(self.material)) }
            }
            p.kicker {
                (self.say(self.words.trap_for, "side", self.setter))
                @if let Some(opening) = opening { " \u{b7} " bdi { (opening) } }
            }
        }
    }

    /// For whom it works: reach, slips, refutations, gain, the next games, the class.
    fn verdict(&self) -> Markup {
        let codes = &self.material.report.figures.verdict.codes;
        let often = match codes.as_slice() {
            [Code::TooFewGames] => self.words.so_unknown,
            _ => self.words.so,
        };
        let codes = self.words.verdict(codes);
        let about = self.sentences;
        let sentences =
            [about.reached(), about.slipped(), about.found(), about.gained(), about.ahead()];
        let so = [("level", self.level.clone()), ("codes", codes)];
        html! {
            div.verdict {
                h3 { (self.words.trap_intro) }
                p.advice { strong { (advice(self.material, self.lesson.question.filter, self.words)) } }
                p {
                    @for sentence in sentences { (sentence.markup(self.words)) " " }
                    strong { (fill(often, &so)) }
                }
                p.sound { (fill_markup(self.words.rests_verdict, &[("verdict", soundness(self.material, self.words))])) }
            }
        }
    }

    /// The moves in bold, remarks behind the victim's choices and the refutation.
    fn line(&self) -> Markup {
        let (trap, words) = (&self.material.trap, self.words);
        html! {
            section.part {
                h3 { (words.the_line) }
                p.line {
                    @for ply in 0..trap.line().len() {
                        b { (self.written(ply)) } " "
                        @if let Some(remark) = self.sentences.remark(ply) { span.remark { "(" (remark.markup(words)) ")" } " " }
                    }
                    @if trap.line().end().is_checkmate() { (words.mates) }
                }
                @let others = self.others();
                @if !others.is_empty() { ul.others { @for other in others { li { (other) } } } }
            }
        }
    }

    /// Further refutations of the line's slip, further slips with theirs, and other ways to the position.
    fn others(&self) -> Vec<Markup> {
        let (trap, report, words) = (&self.material.trap, &self.material.report, self.words);
        let share = |figure| ("share", counted(figure, Unit::Percent, words));
        let known = report.refutations.iter().flat_map(|moves| &moves.moves);
        // The answers have the refutations of each slip in their order here.
        let mut known = known.map(|mv| &mv.share);
        let mut said = Vec::new();
        for (place, slip) in trap.slips().iter().enumerate() {
            let found: Vec<(String, Option<&Figure>)> =
                refuting(slip).into_iter().map(|mv| (mv, known.next())).collect();
            if place == 0 {
                for (mv, figure) in found.iter().skip(1) {
                    let Some(figure) = figure else { continue };
                    let values = [("move", html! { b { (mv) } }), share(figure)];
                    said.push(fill_markup(words.other_refutation, &values));
                }
                continue;
            }
            let Some(own) = report.slips.as_ref().and_then(|slips| slips.moves.get(place)) else {
                continue;
            };
            let refutations = html! {
                @for (index, (mv, figure)) in found.iter().enumerate() {
                    @if index > 0 { ", " }
                    b { (mv) } @if let Some(figure) = figure { " " (counted(figure, Unit::Percent, words)) }
                }
            };
            let mv = html! { b { (numbered(slip.line(), trap.slip_ply())) "??" } };
            let values = [("move", mv), share(&own.share), ("refutations", refutations)];
            said.push(fill_markup(words.other_slip, &values));
        }
        let ways = report.other_ways.iter();
        said.extend(ways.map(|way| plain(&self.say(words.other_ways, "line", way))));
        said
    }

    /// With its number where White moves or a remark stood before.
    fn written(&self, ply: usize) -> String {
        let (trap, line) = (&self.material.trap, self.material.trap.line());
        let broken = ply > 0 && self.sentences.remark(ply - 1).is_some();
        let text =
            if ply.is_multiple_of(2) || broken { numbered(line, ply) } else { line.san(ply) };
        if ply == trap.slip_ply() { text + "??" } else { text }
    }

    fn diagrams(&self) -> Markup {
        let (trap, line, words) = (&self.material.trap, self.material.trap.line(), self.words);
        let slip = trap.slip_ply();
        let mut shown = vec![
            (slip, words.diagram_trap, self.victim),
            (slip + 1, words.diagram_slip, self.setter),
            (slip + 2, words.diagram_refutation, self.victim),
        ];
        if line.len() > slip + 2 {
            shown.push((line.len(), words.diagram_end, self.victim));
        }
        html! {
            div.diagrams {
                @for (place, (plies, caption, side)) in shown.into_iter().enumerate() {
                    @let last = plies.checked_sub(1);
                    @let played = last.map_or(String::new(), |ply| numbered(line, ply));
                    figure {
                        (Diagram::after(line.position(plies), last.map(|ply| line.moves()[ply])).figure(words))
                        figcaption {
                            b { (self.say(words.diagram, "number", &format!("{}.{}", self.number, place + 1))) }
                            ". " (fill(caption, &[("move", played), ("side", side.to_owned())]))
                        }
                    }
                }
            }
        }
    }

    fn by_pace(&self) -> Markup {
        let words = self.words;
        let played = |part: &&PaceRow| part.figures.games > 0;
        let paces: Vec<&PaceRow> = self.material.report.by_pace.iter().filter(played).collect();
        html! {
            @if !paces.is_empty() {
                section.part {
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

    fn not_slip(&self) -> Markup {
        let (answers, words) = (&self.material.answers, self.words);
        let price = &self.material.report.figures.price;
        let (template, price) = match price.value {
            Some(_) => (words.price, ("points", markup(price, Unit::Edge, words))),
            None => (words.price_unknown, ("why", plain(&why(price, words)))),
        };
        html! {
            section.part {
                h3 { (words.not_slip) }
                @if answers.is_empty() {
                    p { (words.not_slip_none) }
                } @else {
                    p { (self.say(words.not_slip_intro, "side", self.victim)) }
                    div.scroll tabindex="0" role="group" aria-label=(words.not_slip) {
                        table {
                            thead { tr {
                                th scope="col" { (self.say(words.answer, "side", self.victim)) }
                                th scope="col" { (words.played) }
                                th scope="col" { (words.your_edge) }
                                th scope="col" { (words.usual_reply) }
                                th scope="col" { (words.best_reply) }
                            } }
                            tbody { @for answer in answers { (self.answer(answer)) } }
                        }
                    }
                }
                p { (fill_markup(template, &[price])) }
            }
        }
    }

    fn answer(&self, answer: &OtherAnswer) -> Markup {
        let words = self.words;
        let row = &self.material.victims.moves[answer.row];
        let (usual, best) = (answer.replies.moves.first(), best_of(&answer.replies));
        let reply_ply = answer.line.len();
        let written = |reply: &MoveRow| {
            let mut line = answer.line.clone();
            line.play_written(&reply.uci).expect("a row of the table is a legal move");
            numbered(&line, reply_ply)
        };
        html! {
            tr {
                th scope="row" { (numbered(&answer.line, reply_ply - 1)) }
                td { (counted(&row.share, Unit::Percent, words)) }
                td { (markup(&row.edge, Unit::EdgeTurned, words)) }
                td { @match usual {
                    Some(reply) => { b { (written(reply)) } " " (counted(&reply.share, Unit::Percent, words)) }
                    None => { (words.game_over) }
                } }
                td { @match best {
                    Some(reply) if reply.rank == 1 => { (words.same_reply) ", " (markup(&reply.edge, Unit::Edge, words)) }
                    Some(reply) => { b { (written(reply)) } " " (markup(&reply.edge, Unit::Edge, words)) }
                    None => { (words.too_few_to_tell) }
                } }
            }
        }
    }

    /// What the victim should have played.
    fn other_side(&self) -> Markup {
        let (trap, words) = (&self.material.trap, self.words);
        let slips: Vec<String> = trap.slips().iter().map(MarkedSlip::san).collect();
        let before = trap.line().first(trap.slip_ply());
        let item = |row: &MoveRow, template| {
            let mut line = before.clone();
            line.play_written(&row.uci).expect("a row of the table is a legal move");
            let values = [
                ("move", html! { b { (numbered(&line, before.len())) } }),
                ("edge", markup(&row.edge, Unit::Edge, words)),
                ("n", plain(&words.count(row.edge.n))),
            ];
            fill_markup(template, &values)
        };
        let mut others: Vec<&MoveRow> = self.material.victims.moves.iter().collect();
        others.retain(|row| !slips.contains(&row.san) && row.edge.low.is_some());
        others.sort_by(|a, b| b.edge.low.unwrap_or(0.0).total_cmp(&a.edge.low.unwrap_or(0.0)));
        let slipped = self.material.victims.moves.iter();
        let slipped = slipped.filter(|row| slips.contains(&row.san) && row.edge.value.is_some());
        html! {
            section.part {
                h3 { (words.other_side) }
                @if others.is_empty() {
                    p { (self.say(words.other_side_unknown, "side", self.victim)) }
                } @else {
                    p { (self.say(words.other_side_intro, "side", self.victim)) }
                    ul {
                        @for row in others.into_iter().take(ADVICE) {
                            li { (item(row, words.other_side_move)) }
                        }
                        @for row in slipped {
                            li { (item(row, words.other_side_slip)) }
                        }
                    }
                }
            }
        }
    }

    fn rests_on(&self) -> Markup {
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

    /// A template with one slot.
    fn say(&self, template: &str, slot: &str, value: &str) -> String {
        fill(template, &[(slot, value.to_owned())])
    }
}

/// The move whose edge is best at the lower end, among those with a figure.
fn best_of(table: &MoveTable) -> Option<&MoveRow> {
    let known = table.moves.iter().filter(|row| row.edge.low.is_some());
    known.max_by(|a, b| a.edge.low.unwrap_or(0.0).total_cmp(&b.edge.low.unwrap_or(0.0)))
}
