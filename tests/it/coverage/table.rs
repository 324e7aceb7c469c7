//! The table of coverage: which leagues are drawn, and what is written.

use std::collections::BTreeMap;
use std::fmt::Write;

use rayon::prelude::*;

use super::earlier;
use super::league::{BandTruth, League};
use super::players::{EFFECTS, design_effect};
use super::printed;
use super::sampling::Chance;
use super::tally::{Tallies, Tally};

/// Months of a block, each from a league of its own.
const MONTHS: u32 = 250;
/// Blocks of each design effect.
const BLOCKS: u64 = 10;
/// Months of each fixed league.
const MONTHS_OF_A_POINT: u32 = 1000;
/// So many months of each design effect's first block are drawn again by the ordinary tests.
const FIRST: u32 = 15;
/// Figures with fewer intervals of a design effect or of a point say nothing about it.
pub const FEWEST: u32 = 500;

/// No position has a greater design effect, and no league more games: on real dumps that of the
/// first moves was 3.5 to 14.
const GREATEST_EFFECT: f64 = 16.0;
const MOST_GAMES: u64 = 250_000;

/// Leagues of which every share is known up to a random factor of 1.5.
fn averaged(effect: f64, block: u64, months: u32) -> Tallies {
    let seed = 100 * block + (10.0 * effect) as u64;
    let (mut chance, mut tallies) = (Chance::seeded(20_310_501 + seed), Tallies::default());
    for _ in 0..months {
        let league = likely(&mut chance, effect);
        printed::note(&league, &mut chance, &mut tallies);
    }
    let mut chance = Chance::seeded(20_311_501 + seed);
    for _ in 0..months {
        let league = likely(&mut chance, effect);
        let edges = [chance.between(-0.05, 0.05), chance.between(-0.05, 0.05)];
        if league.keeps.len() > 1 {
            earlier::note(&league, edges, &mut chance, &mut tallies);
        }
    }
    tallies
}

fn likely(chance: &mut Chance, effect: f64) -> League {
    loop {
        let league = random(chance, effect);
        let of_first = design_effect(league.games_a_white());
        if of_first <= GREATEST_EFFECT && league.games() <= MOST_GAMES {
            return league;
        }
    }
}

/// One to four choices, one to six bands that differ in all their shares.
fn random(chance: &mut Chance, effect: f64) -> League {
    let choices = chance.whole(1, 4);
    let first = chance.spread(0.15, 0.6);
    let later: Vec<f64> = (1..choices)
        .map(|_| {
            let share = chance.spread(0.2, 0.8);
            chance.perturbed(share)
        })
        .collect();
    let (slip, find) = (chance.spread(0.04, 0.6), chance.between(0.3, 0.9));
    let keeps: Vec<f64> = (0..choices).map(|_| chance.between(0.3, 0.9)).collect();
    // 60 to 3000 effective games in the trap position, over all bands.
    let way = first * later.iter().product::<f64>() * keeps.iter().product::<f64>();
    let all = effect * chance.spread(60.0, 3000.0) / way;
    let bands = chance.whole(1, 6);
    let band = |chance: &mut Chance| BandTruth {
        games: (all / bands as f64 * chance.perturbed(0.6) / 0.6) as u64,
        choices: [first].iter().chain(&later).map(|&share| chance.perturbed(share)).collect(),
        slip: chance.perturbed(slip),
        find: chance.perturbed(find),
    };
    League {
        bands: (0..bands).map(|_| band(chance)).collect(),
        keeps,
        ordinary: chance.between(-0.03, 0.05),
        slope: chance.between(0.74, 0.94),
        edges: [
            chance.between(0.1, 0.25),
            chance.between(-0.2, 0.05),
            chance.between(-0.15, 0.1),
            chance.between(-0.05, 0.05),
        ],
        draws: chance.between(0.02, 0.2),
        clocks: chance.between(0.2, 1.0),
        hurry: [chance.between(0.4, 0.8), chance.between(1.0, 1.6)],
        effect,
    }
}

/// Of shares in the trap position of the fixed leagues.
const EFFECT_OF_POINTS: f64 = 1.7;

/// Fixed leagues in which every count that a figure rests on is expected to be 10 or more.
fn points() -> Vec<League> {
    let shares = [
        // Choices, slip, find, games in the trap position and bands.
        (vec![0.5], 0.5, 0.5, 250.0, 1),
        (vec![0.5], 0.25, 0.75, 600.0, 1),
        (vec![0.1], 0.4, 0.6, 300.0, 2),
        (vec![0.3, 0.6], 0.3, 0.8, 700.0, 1),
        (vec![0.2, 0.4], 0.6, 0.4, 400.0, 1),
        (vec![0.25, 0.8], 0.1, 0.6, 2000.0, 3),
        (vec![0.4, 0.5, 0.7], 0.45, 0.7, 500.0, 1),
        (vec![0.15, 0.3, 0.9], 0.2, 0.5, 1500.0, 4),
        (vec![0.3, 0.6, 0.6, 0.5], 0.35, 0.65, 900.0, 2),
        (vec![0.5, 0.9, 0.4, 0.8], 0.05, 0.6, 6000.0, 5),
        // Bands of 40 and of 55 games: most stretches of the curves are joined.
        (vec![0.4], 0.5, 0.5, 160.0, 4),
        (vec![0.3, 0.5], 0.4, 0.5, 330.0, 6),
    ];
    shares
        .into_iter()
        .map(|(choices, slip, find, here, bands)| point(choices, slip, find, here, bands))
        .collect()
}

fn point(choices: Vec<f64>, slip: f64, find: f64, here: f64, bands: usize) -> League {
    let keeps = vec![0.6; choices.len()];
    let way = choices.iter().product::<f64>() * keeps.iter().product::<f64>();
    let games = (here / way / bands as f64) as u64;
    let band = BandTruth { games, choices, slip, find };
    League {
        bands: vec![band; bands],
        keeps,
        ordinary: 0.03,
        slope: 0.84,
        edges: [0.15, -0.1, -0.05, 0.02],
        draws: 0.2,
        clocks: 0.9,
        hurry: [0.6, 1.5],
        effect: EFFECT_OF_POINTS,
    }
}

/// One fixed league, drawn again and again.
fn pointwise(index: usize, league: &League) -> Tallies {
    let (mut chance, mut tallies) = (Chance::seeded(20_310_600 + index as u64), Tallies::default());
    (0..MONTHS_OF_A_POINT).for_each(|_| printed::note(league, &mut chance, &mut tallies));
    tallies
}

/// What the ordinary tests draw again.
pub fn first() -> Tallies {
    let each = EFFECTS.par_iter().map(|&effect| averaged(effect, 0, FIRST));
    each.reduce(Tallies::default, Tallies::merge)
}

/// The page up to the formulas.
pub fn section() -> String {
    let blocks: Vec<(usize, u64)> = (0..EFFECTS.len())
        .flat_map(|effect| (0..BLOCKS).map(move |block| (effect, block)))
        .collect();
    let run = |&(effect, block): &(usize, u64)| averaged(EFFECTS[effect], block, MONTHS);
    let results: Vec<Tallies> = blocks.par_iter().map(run).collect();
    let points: Vec<Tallies> =
        points().par_iter().enumerate().map(|(index, league)| pointwise(index, league)).collect();
    let mut figures: BTreeMap<&str, [Tally; EFFECTS.len()]> = BTreeMap::new();
    for ((effect, _), result) in blocks.iter().zip(&results) {
        for (figure, tally) in &result.0 {
            figures.entry(figure).or_default()[*effect].merge(*tally);
        }
    }
    let first = first();
    let mut page = HEAD.to_owned();
    for (figure, tallies) in figures {
        let mut all = Tally::default();
        tallies.iter().for_each(|tally| all.merge(*tally));
        let each = tallies
            .map(|tally| if tally.drawn() < FEWEST { "-".into() } else { percent(tally.held()) });
        let at = |point: &Tallies| point.0.get(figure).copied().unwrap_or_default();
        let held =
            points.iter().map(at).filter(|tally| tally.drawn() >= MONTHS_OF_A_POINT * 9 / 10);
        let held: Vec<f64> = held.map(|tally| tally.held()).collect();
        let ends = [held.iter().copied().reduce(f64::min), held.iter().copied().reduce(f64::max)];
        let [low, high] = ends.map(|end| end.map_or("-".into(), percent));
        let start = first.0.get(figure).copied().unwrap_or_default();
        writeln!(
            page,
            "| {figure} | {} | {} | {} | {} | {} | {low} | {high} | {} | {} of {} |",
            percent(all.held()),
            each.join(" | "),
            all.drawn(),
            all.below,
            all.above,
            held.len(),
            start.inside,
            start.drawn()
        )
        .expect("text can be written");
    }
    page
}

fn percent(share: f64) -> String {
    format!("{:.2}", 100.0 * share)
}

const HEAD: &str = "\
# How often the intervals hold the truth

Written by `cargo run --release --example coverage > tests/golden/coverage.md`; nominal 95 %. `tests/it/coverage` draws leagues whose every chance
is known, plays a month of each game by game and judges a trap in it as `trap` does (`moves` the trap position), with the usual minimum sample of 50
effective games. Figures without a value are left out; `thin shares` are the intervals of shares that show no value.

Players come again: they have a long-tailed number of games, choices in a position that correlate by 0.7, scores by 0.02, seconds by 0.2, and belong
to one of 32 groups by chance. Truth is the share of the population of players.

* **all**, and **1** to **9**: 2,500 leagues for each design effect of shares in the trap position; before it the effect is greater, up to 16 at the
  first move. Each band has its own shares, a random factor of up to 1.5 either way apart at every choice. 93 to 97 % is asked. A dash
  stands for fewer than 500 intervals.
* **lowest** and **highest point**: of twelve fixed leagues (design effect 1.7, seeds 20310600 to 20310611) in which every count that a figure rests on is
  expected to be 10 or more, 1,000 months each; points that give a figure in fewer than 9 of 10 months are left out. Chance alone is 0.7 %, so 92 to 98 % is asked.
* **first**: the first 15 leagues of each design effect, which the ordinary tests draw again.

`one band` is the row of the lowest band of a league with several. `claim:` is what `moves --expect` says of the slip: that its share, score or edge is at least what
it is, which ought to stay undecided, and that it is played first or a third move more than a second, which is true or false, and where an answer counts that is not
wrong. `earlier choice` is the setter's last one before the bait's, in leagues of its own. What lies outside 93 to 97 % at some design effect, and why:

* by up to nine tenths of a percent above, at 1: margins are a little wide there, since no design effect is estimated below 1;
* edges, by up to half a percent above: what is ordinary is taken as known, but is made of all games, these among them. Where a large part of all games
  come to a position (at 9 a sixth and more), its edge varies less than its score;
* seconds, above at 9: margins allow for all games of a player in the position, but a mean rests on those with one move and a clock, and in a difference
  a slow player's games are on both sides;
* earlier choices, above: as edges, of a position that up to half of all games come to;
* claims that are true or false, and the rating from which fewer slip than a level between two bands: most are far from open, so at least 93 % is asked;
* `number in 50 games`: whole numbers hold no range of just 95 %.

| figure | all % | 1 | 1.7 | 3 | 9 | intervals | truth below | truth above | lowest point % | highest point % | points | first |
| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |
";
