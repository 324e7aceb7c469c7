//! The table of [`super::habits`]: which leagues are drawn, and what is written.

use std::collections::BTreeMap;
use std::fmt::Write;

use rayon::prelude::*;

use super::habits::tallies;
use super::players::EFFECTS;
use super::tally::{Tallies, Tally};

/// Leagues of a block, and blocks a design effect.
const LEAGUES: u32 = 500;
const BLOCKS: u64 = 12;

/// So many leagues of the first blocks are drawn again by the ordinary tests.
const FIRST: u32 = 8;

const HEAD: &str = "
## The formulas one by one

Positions of players with a long-tailed number of games whose choices correlate by 0.7 (scores by 0.02, seconds by 0.2), by the true design effect of a share; the
margins know the games by 32 random groups of players (design effect, Student's t with 31 degrees of freedom). Twelve blocks of 500 leagues a design effect, of 60 to
1500 effective games; figures that rest on fewer than 50 by the estimated design effect are left out. 93 to 97 % is asked everywhere. At design effect 1 margins are a little
wide, since a design effect is never estimated below 1. `number in 50 games` is a range of whole numbers, which cannot hold just 95 %, and the place where a curve
falls below a level is a band: on a scale of few steps no method meets 95 %, so at least 93 % is asked.

| figure | averaged % | 1 | 1.7 | 3 | 9 | intervals | truth below | truth above | first |
| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |
";

/// The section of the page.
pub fn section() -> String {
    let blocks: Vec<(usize, u64)> = (0..EFFECTS.len())
        .flat_map(|effect| (0..BLOCKS).map(move |block| (effect, block)))
        .collect();
    let run = |&(effect, block): &(usize, u64)| (effect, tallies(EFFECTS[effect], block, LEAGUES));
    let results: Vec<(usize, Tallies)> = blocks.par_iter().map(run).collect();
    let mut figures: BTreeMap<String, [Tally; EFFECTS.len()]> = BTreeMap::new();
    for (effect, result) in results {
        for (figure, tally) in result.0 {
            figures.entry(figure).or_default()[effect].merge(tally);
        }
    }
    let first = first();
    let mut page = HEAD.to_owned();
    for (figure, tallies) in figures {
        let held = tallies.map(|tally| 100.0 * tally.held());
        let mean = held.iter().sum::<f64>() / held.len() as f64;
        let mut all = Tally::default();
        tallies.iter().for_each(|tally| all.merge(*tally));
        let cells = held.map(|held| format!("{held:.2}")).join(" | ");
        let first = first.0.get(&figure).copied().unwrap_or_default();
        writeln!(
            page,
            "| {figure} | {mean:.2} | {cells} | {} | {} | {} | {} of {} |",
            all.drawn(),
            all.below,
            all.above,
            first.inside,
            first.drawn()
        )
        .expect("a string takes it");
    }
    page
}

/// What the ordinary tests draw again.
pub fn first() -> Tallies {
    let each = EFFECTS.map(|effect| tallies(effect, 0, FIRST));
    each.into_iter().fold(Tallies::default(), Tallies::merge)
}
