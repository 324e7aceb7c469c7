//! Costly habits: the usual move in a position held against every other move with enough games
//! at the level.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use std::collections::BTreeMap;
use std::iter;

use serde::Serialize;
use shakmaty::{Chess, Color, Move, Position};

use super::played::{PlayedMove, fen};
use super::results::Results;
use super::rules::Settings;
use super::unadvised::Unadvised;
use super::visits::{Visited, shown};
use crate::answers::effect::{answers_at, behind, effect_of_groups};
use crate::answers::hunt::{edge_difference, scores_more, shown_miss};
use crate::answers::moves::color_name;
use crate::answers::stats::{Answers, DesignEffect, benjamini_hochberg};
use crate::answers::trap::left_worse;
use crate::answers::{Baseline, Figure, Question, Sample, Sampling};
use crate::counts::{Counts, GroupsOf, Lacking, MoveCounts};
use crate::lines::OwnGame;
use crate::terms::{Key, MoveCode, MoverFilter};

/// A repeated choice of the student that costs points.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Habit {
    /// The way on which most of the student's games came there, numbered; empty for the
    /// initial position.
    pub line: String,
    pub fen: String,
    #[serde(rename = "as", serialize_with = "color_name")]
    pub colour: Color,
    pub times: u64,
    pub played: u64,
    pub results: Results,
    #[serde(rename = "move")]
    pub mv: PlayedMove,
    pub share: Figure,
    pub edge: Figure,
    pub better: Better,
    pub difference: Figure,
    /// Points lost in 100 of the student's games: the difference times how often the usual
    /// move is played.
    pub cost_per_100_games: Figure,
    pub p: f64,
    pub q: f64,
    pub opening: Option<String>,
    pub may_lack: Lacking,
    /// The trap whose slip it is, by its name.
    pub trap: Option<String>,
    /// The position with the move that led to it.
    #[serde(skip)]
    pub shown: (Chess, Option<Move>),
}

/// The move that does better.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Better {
    #[serde(flatten)]
    pub mv: PlayedMove,
    pub edge: Figure,
    pub share: Figure,
}

/// A position that the student had often enough.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Had {
    /// The way on which most of the student's games came there, numbered; empty for the
    /// initial position.
    pub line: String,
    pub fen: String,
    #[serde(rename = "as", serialize_with = "color_name")]
    pub colour: Color,
    pub times: u64,
    #[serde(rename = "move")]
    pub mv: PlayedMove,
    pub played: u64,
    pub results: Results,
    pub judged: Judged,
}

/// What became of a position that the student had.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Judged {
    /// Another move that is advised is better beyond chance.
    Costly,
    /// No other move that is advised is better beyond chance.
    InOrder,
    /// At the level the usual move, or every other one, has too few games.
    TooFewGames,
    /// It lies behind the half-moves that the store counts.
    NotCounted,
    /// The student plays no move twice.
    NoHabit,
}

/// How many positions were looked at.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct PositionTally {
    pub had: usize,
    pub judged: usize,
    /// Pairs of the usual move and another one that were tested.
    pub tests: usize,
    pub significant: usize,
    /// Those of them whose other move is not advised: it leads to a trap that is not known to be
    /// sound, or leaves its player worse where another move does not.
    pub not_advised: usize,
    pub too_few_games: usize,
    /// Those that lie behind the half-moves that the store counts.
    pub not_counted: usize,
    pub no_habit: usize,
}

/// All about the habits.
pub(super) struct Habits {
    pub positions: PositionTally,
    pub habits: Vec<Habit>,
    pub interval_level: Option<f64>,
    pub had: Vec<Had>,
}

/// What the level does in a position.
struct Looked {
    usual: Sample,
    /// Those who answer it.
    answers: Answers,
    /// Games of all moves.
    all: u64,
    effect: DesignEffect,
    /// Moves with enough games, besides the usual one.
    rivals: Vec<Rival>,
}

/// Another move, and whether it is better.
struct Rival {
    code: MoveCode,
    sample: Sample,
    answers: Answers,
    p: f64,
    q: f64,
    /// It is tested like any other, and never named as the better move.
    unadvised: bool,
}

pub(super) fn habits<C: Counts>(
    counts: &C,
    baseline: &Baseline,
    (games, had): (&[OwnGame], &[Visited]),
    (settings, unadvised): (&Settings, &Unadvised),
    question: &Question,
) -> Result<Habits, C::Error> {
    let mut looked = look(counts, baseline, games, had, (settings, unadvised, question))?;
    adjust(&mut looked);
    let judged = looked.len();
    let tests = looked.values().map(|looked| looked.rivals.len()).sum();
    let passes = |rival: &&Rival| rival.q <= settings.fdr;
    let passed = || looked.values().flat_map(|looked| &looked.rivals).filter(passes);
    let significant = passed().count();
    let not_advised = passed().filter(|rival| rival.unadvised).count();
    let costly: Vec<(usize, &Looked, &Rival)> = looked
        .iter()
        .filter_map(|(&place, looked)| Some((place, looked, best(looked, settings, question)?)))
        .collect();
    let miss = shown_miss(settings.fdr, costly.len(), tests);
    let mut habits = Vec::with_capacity(costly.len());
    for &(place, looked, rival) in &costly {
        habits.push(habit(counts, games, &had[place], (looked, rival), miss, question)?);
    }
    habits.sort_by(|a, b| {
        let low = |habit: &Habit| habit.cost_per_100_games.low.unwrap_or(f64::NEG_INFINITY);
        low(b).total_cmp(&low(a)).then_with(|| a.line.cmp(&b.line))
    });
    let place_of: Vec<usize> = costly.iter().map(|&(place, ..)| place).collect();
    let is_beyond = |visited: &Visited| {
        let line = visited.usual_line(games);
        counts.limits().lacking(line.end(), None).beyond().is_some()
    };
    let told = had.iter().enumerate().map(|(place, visited)| {
        let enough = looked.contains_key(&place);
        let judged = match enough {
            _ if place_of.contains(&place) => Judged::Costly,
            _ if !is_habit(visited, settings) => Judged::NoHabit,
            true => Judged::InOrder,
            false if is_beyond(visited) => Judged::NotCounted,
            false => Judged::TooFewGames,
        };
        told(games, visited, judged)
    });
    let mut told: Vec<Had> = told.collect();
    told.sort_by(|a, b| b.times.cmp(&a.times).then_with(|| a.line.cmp(&b.line)));
    let of = |judged: Judged| told.iter().filter(|had| had.judged == judged).count();
    Ok(Habits {
        positions: PositionTally {
            had: had.len(),
            judged,
            tests,
            significant,
            not_advised,
            too_few_games: of(Judged::TooFewGames),
            not_counted: of(Judged::NotCounted),
            no_habit: of(Judged::NoHabit),
        },
        interval_level: (!habits.is_empty()).then_some(1.0 - miss),
        had: told,
        habits,
    })
}

/// What is played once is no habit, unless once was asked for.
fn is_habit(visited: &Visited, settings: &Settings) -> bool {
    visited.usual.1 >= settings.repeated()
}

/// Looks the positions of habits up, all of them together; by place among `had`.
fn look<C: Counts>(
    counts: &C,
    baseline: &Baseline,
    games: &[OwnGame],
    had: &[Visited],
    (settings, unadvised, question): (&Settings, &Unadvised, &Question),
) -> Result<BTreeMap<usize, Looked>, C::Error> {
    let wanted: Vec<usize> = (0..had.len()).filter(|&at| is_habit(&had[at], settings)).collect();
    let keys: Vec<Key> = wanted.iter().map(|&at| had[at].key).collect();
    let filter = question.filter;
    // By counts alone: what is tested must not depend on what is found.
    let make = |index: usize, found: &[MoveCounts], groups: &GroupsOf<'_>| {
        let position = &had[wanted[index]];
        let all: u64 = found.iter().map(|mv| mv.games(filter)).sum();
        let line = position.usual_line(games);
        // A key is no proof that two positions are the same one.
        let playable = |code: MoveCode| code.to_move(line.end()).is_some();
        let picked =
            |mv: &&MoveCounts| mv.games(filter) >= settings.tested_from && playable(mv.code);
        let usual = found.iter().filter(picked).find(|mv| mv.code == position.usual.0)?;
        let mover = games[position.visits[0].0].colour;
        let sample = |mv: &MoveCounts| {
            let cells = mv.cells.iter().filter(|(id, _)| filter.admits(*id));
            Sample::of(cells.map(|(id, cell)| (*id, cell)), mover, baseline)
        };
        let others = || found.iter().filter(picked).filter(|mv| mv.code != usual.code);
        others().next()?;
        let effect = effect_of_groups(&groups(filter));
        let usual = sample(usual);
        let answers = Answers::default();
        let worse = left_worse(found, &[]);
        let barred = |mv: &MoveCounts| {
            let played = mv.code.to_move(line.end());
            let lays = |played| unadvised.lays(position.key, line.end(), played);
            worse.contains(&mv.code) || played.is_some_and(lays)
        };
        let rivals = others().map(|mv| Rival {
            code: mv.code,
            sample: sample(mv),
            answers,
            p: 1.0,
            q: 1.0,
            unadvised: barred(mv),
        });
        Some(Looked { rivals: rivals.collect(), usual, answers, all, effect })
    };
    let mut looked = BTreeMap::new();
    counts.moves_of_many(&keys, make, |index, found| {
        if let Some(found) = found {
            looked.insert(wanted[index], found);
        }
    })?;
    test(counts, games, had, &mut looked, filter)?;
    Ok(looked)
}

/// The p values, with the habits of those who answer.
fn test<C: Counts>(
    counts: &C,
    games: &[OwnGame],
    had: &[Visited],
    looked: &mut BTreeMap<usize, Looked>,
    filter: MoverFilter,
) -> Result<(), C::Error> {
    let mut keys = Vec::new();
    for (&place, looked) in &*looked {
        let visited = &had[place];
        let line = visited.usual_line(games);
        let rivals = looked.rivals.iter().map(|rival| rival.code);
        keys.extend(iter::once(visited.usual.0).chain(rivals).map(|code| {
            let mv = code.to_move(line.end()).expect("only such are looked at");
            behind(visited.key, line.end(), mv)
        }));
    }
    let mut answers = answers_at(counts, &keys, filter)?.into_iter();
    let mut next = || answers.next().expect("one a key");
    for looked in looked.values_mut() {
        looked.answers = next();
        let usual = looked.of_usual();
        for rival in &mut looked.rivals {
            rival.answers = next();
            let better = rival.of_scores(looked.effect);
            rival.p = scores_more((&rival.sample, better), (&looked.usual, usual), 0.0);
        }
    }
    Ok(())
}

impl Looked {
    /// D of the scores with the usual move, as tests take it.
    fn of_usual(&self) -> f64 {
        self.effect.of_tests(self.usual.games(), &[(self.usual.games(), self.answers)])
    }
}

impl Rival {
    /// The same with this one.
    fn of_scores(&self, effect: DesignEffect) -> f64 {
        effect.of_tests(self.sample.games(), &[(self.sample.games(), self.answers)])
    }
}

/// The q values of all pairs together.
fn adjust(looked: &mut BTreeMap<usize, Looked>) {
    let pairs = || looked.values().flat_map(|looked| &looked.rivals);
    let p: Vec<f64> = pairs().map(|rival| rival.p).collect();
    let rivals = looked.values_mut().flat_map(|looked| &mut looked.rivals);
    rivals.zip(benjamini_hochberg(&p)).for_each(|(rival, q)| rival.q = q);
}

/// Of the moves that are better beyond chance and may be advised, the one with the highest lower
/// limit of the difference, if any is known.
fn best<'a>(looked: &'a Looked, settings: &Settings, question: &Question) -> Option<&'a Rival> {
    let passed = looked.rivals.iter().filter(|rival| rival.q <= settings.fdr && !rival.unadvised);
    let known =
        passed.filter_map(|rival| Some((difference(looked, rival, 0.05, question).low?, rival)));
    known.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, rival)| rival)
}

/// Known for every pair that was tested: which ones are was settled by their games, before their
/// scores were seen.
fn difference(looked: &Looked, rival: &Rival, miss: f64, question: &Question) -> Figure {
    let tested = Sampling { min_sample: 1, ..question.sampling() };
    let (better, usual) = (
        ("edge_better", &rival.sample, rival.of_scores(looked.effect)),
        ("edge", &looked.usual, looked.of_usual()),
    );
    edge_difference(better, usual, tested, miss)
}

fn habit<C: Counts>(
    counts: &C,
    games: &[OwnGame],
    visited: &Visited,
    (looked, rival): (&Looked, &Rival),
    miss: f64,
    question: &Question,
) -> Result<Habit, C::Error> {
    let line = visited.usual_line(games);
    let sampling = |effect| question.sampling().with_effect(effect);
    let edge = |sample: &Sample, answers: Answers| {
        sample.edge(sampling(looked.effect.of_score(sample.games(), answers)))
    };
    let share = |games| sampling(looked.effect.share).share(games, looked.all);
    let difference = difference(looked, rival, miss, question);
    let played = visited.usual.1;
    let often = 100.0 * played as f64 / games.len() as f64;
    let cost = Figure::combined([("difference", &difference)], |[d]| (often * d, [often]));
    let found = counts.position(visited.key)?;
    let may_lack = counts.limits().lacking(line.end(), found.as_ref());
    let name = found.as_ref().and_then(|found| found.opening.as_ref()).map(|o| o.tag.name.clone());
    Ok(Habit {
        fen: fen(line.end()),
        colour: line.end().turn(),
        times: visited.times(),
        played,
        results: visited.results(games),
        mv: PlayedMove::of(&line, visited.usual.0),
        share: share(looked.usual.games()),
        edge: edge(&looked.usual, looked.answers),
        better: Better {
            mv: PlayedMove::of(&line, rival.code),
            edge: edge(&rival.sample, rival.answers),
            share: share(rival.sample.games()),
        },
        difference,
        cost_per_100_games: cost,
        p: rival.p,
        q: rival.q,
        opening: name.filter(|name| !name.is_empty()),
        may_lack,
        line: line.to_string(),
        trap: None,
        shown: shown(&line),
    })
}

fn told(games: &[OwnGame], visited: &Visited, judged: Judged) -> Had {
    let line = visited.usual_line(games);
    Had {
        fen: fen(line.end()),
        colour: line.end().turn(),
        times: visited.times(),
        mv: PlayedMove::of(&line, visited.usual.0),
        played: visited.usual.1,
        results: visited.results(games),
        judged,
        line: line.to_string(),
    }
}
