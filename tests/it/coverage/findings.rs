//! The tests of a hunt where players come again: how many of the findings are false?

use deadfall::answers::stats::{
    Answers, ByGroup, DesignEffect, GROUPS, Results, benjamini_hochberg, exceeds_by,
};

use super::sampling::Chance;

/// Drops of at most this are none.
const NULL: f64 = 0.05;

/// The promised share of false findings.
pub const RATE: f64 = 0.05;

/// How players come again in the positions of a hunt.
#[derive(Clone, Copy, Debug)]
pub struct Setup {
    /// Games of each player in a position.
    pub games: u64,
    /// Correlation of a player's scores there.
    pub correlation: f64,
    /// Share of the tests with a true drop of 0.2 to 0.4; the others' is 0.05.
    pub real: f64,
    /// What the tests know.
    pub known: Known,
    /// Points between two answers to a slip, each given in half of the games by players who have as
    /// many and whose choices correlate by 0.7.
    pub apart: f64,
}

/// What tests know of players who come again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Known {
    /// That they do not.
    Nothing,
    /// How often those who choose do.
    Choosers,
    /// How often those who answer do as well.
    All,
}

/// One sample: results and games by group.
#[derive(Default)]
struct Sample {
    results: Results,
    games: ByGroup,
}

impl Sample {
    fn add(&mut self, chance: &mut Chance, group: usize, score: f64) {
        let (at, draw) = (chance.unit(), 0.08);
        let win = (score - draw / 2.0).max(0.0);
        match () {
            () if at < win => self.results.wins += 1.0,
            () if at < win + draw => self.results.draws += 1.0,
            () => self.results.losses += 1.0,
        }
        self.games[group] += 1;
    }
}

fn sum(a: Results, b: Results) -> Results {
    let (wins, draws, losses) = (a.wins + b.wins, a.draws + b.draws, a.losses + b.losses);
    Results { wins, draws, losses }
}

/// Polya's urn with correlation 0.7: whether the player with so many choices, `first` of which were
/// the one with this share, chooses it again.
fn again(chance: &mut Chance, share: f64, (all, first): (f64, f64)) -> bool {
    let fresh = 3.0 / 7.0;
    chance.unit() * (fresh + all) < share * fresh + first
}

/// The p value of one move; players who slip do so again and again, and so do those who answer.
fn test(chance: &mut Chance, setup: Setup, drop: f64) -> f64 {
    let (players, slip) = (chance.games(40.0, 400.0), chance.between(0.1, 0.6));
    let mean = chance.between(0.4, 0.6);
    let better = (setup.correlation * 0.23).sqrt();
    let (mut held, mut slips) = (Sample::default(), ByGroup::default());
    // By answer, and by group of those who answer.
    let mut lost = [Sample::default(), Sample::default()];
    let answerers = ((players as f64 * slip) as usize).max(1);
    let mut answerers: Vec<(usize, (f64, f64))> =
        (0..answerers).map(|_| (chance.whole(0, GROUPS - 1), (0.0, 0.0))).collect();
    let last = answerers.len() - 1;
    for _ in 0..players {
        let group = chance.whole(0, GROUPS - 1);
        let strength = if chance.unit() < 0.5 { better } else { -better };
        let mut slipped = 0.0;
        for game in 0..setup.games {
            if again(chance, slip, (game as f64, slipped)) {
                slipped += 1.0;
                slips[group] += 1;
                let (group, answered) = &mut answerers[chance.whole(0, last)];
                let first = again(chance, 0.5, *answered);
                *answered = (answered.0 + 1.0, answered.1 + f64::from(u8::from(first)));
                let answer = if first { 0.5 } else { -0.5 } * setup.apart;
                let sample = &mut lost[usize::from(first)];
                sample.add(chance, *group, mean - drop + strength + answer);
            } else {
                held.add(chance, group, mean + strength);
            }
        }
    }
    let all = sum(lost[0].results, lost[1].results);
    let effects = match setup.known {
        Known::Nothing => [1.0; 2],
        known => {
            let choosers = DesignEffect::of(&[held.games, slips]);
            let by_answer = lost.each_ref().map(|sample| sample.results);
            let groups = || DesignEffect::of(&lost.each_ref().map(|sample| sample.games));
            let games = slips.iter().sum();
            let answered = (known == Known::All).then(|| (games, Answers::of(&by_answer, groups)));
            [choosers.of_tests(0, &[]), choosers.of_tests(games, answered.as_slice())]
        }
    };
    exceeds_by(held.results.effective(effects[0]), all.effective(effects[1]), NULL)
}

/// The mean share of false ones among the findings of so many hunts of so many tests.
pub fn false_findings(seed: u64, setup: Setup, hunts: u32, tests: usize) -> f64 {
    let mut chance = Chance::seeded(seed);
    let mut sum = 0.0;
    for _ in 0..hunts {
        let real: Vec<bool> = (0..tests).map(|_| chance.unit() < setup.real).collect();
        let p: Vec<f64> = real
            .iter()
            .map(|&real| {
                let drop = if real { chance.between(0.2, 0.4) } else { NULL };
                test(&mut chance, setup, drop)
            })
            .collect();
        let q = benjamini_hochberg(&p);
        let found = q.iter().zip(&real).filter(|(q, _)| **q <= RATE);
        let (all, false_ones) = found.fold((0.0, 0.0), |(all, wrong), (_, &real)| {
            (all + 1.0, wrong + if real { 0.0 } else { 1.0 })
        });
        sum += if all > 0.0 { false_ones / all } else { 0.0 };
    }
    sum / f64::from(hunts)
}
