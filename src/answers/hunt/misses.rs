//! The moves that come nearest to a finding, where there is none.

use shakmaty::fen::Fen;

use super::Hunt;
use super::answered::look_behind;
use super::chains::{in_order, refute};
use super::family::{Family, is_tested, lacks_games};
use super::flow::Flow;
use super::path::Paths;
use super::rank::drop_of;
use super::reach::visits;
use super::report::{Covered, Lack, Miss};
use super::rules::IN_ORDER;
use super::slip::Slip;
use super::walk::{PositionId, Walk};
use crate::answers::Question;
use crate::answers::trap::Cache;
use crate::counts::Counts;
use crate::lines::{Line, san_text};
use crate::terms::{EN_PASSANT, MoveCode};

/// Misses that are told.
const TOLD: usize = 5;
/// Untested moves whose results are looked at, the most played first.
const LOOKED_AT: usize = 60;
/// A move of fewer games is no near miss.
const LEAST: u32 = 10;
/// Nor is a tested move with a greater p.
const NEAR: f64 = 0.05;

/// What a hunt has seen.
pub(super) struct Seen<'a> {
    pub hunt: &'a Hunt,
    pub question: &'a Question,
    pub walk: &'a Walk,
    pub flow: &'a Flow,
    /// All moves tested, with their q values.
    pub tested: &'a [Slip],
}

impl Seen<'_> {
    /// First the tested moves that lost beyond what chance often shows, the least likely by chance
    /// first, then untested ones that lost as much as a finding must, the most played first.
    pub fn misses<C: Counts>(&self, cache: &Cache<'_, C>) -> Result<Vec<Miss>, C::Error> {
        let paths = Paths::of(self.flow, self.walk.positions.len());
        let near = |slip: &&Slip| slip.loss() > 0.0 && slip.p <= NEAR;
        let mut tested: Vec<&Slip> = self.tested.iter().filter(near).collect();
        tested.sort_by(|a, b| a.p.total_cmp(&b.p).then((a.at, a.code).cmp(&(b.at, b.code))));
        let mut misses = Vec::new();
        for slip in tested.into_iter().take(TOLD) {
            let mut lacks = self.lacks(slip);
            if lacks.is_empty()
                && refute(cache, (self.hunt, self.question), self.walk, slip)?.is_none()
            {
                lacks.push(Lack::Refutation);
            }
            misses.push(self.miss(&paths, slip, lacks, true));
        }
        for slip in self.untested(cache, TOLD - misses.len())? {
            let lacks = lacks_games(self.hunt, slip.sample.games(), slip.games());
            misses.push(self.miss(&paths, &slip, lacks, false));
        }
        Ok(misses)
    }

    /// What the tests and the rules of results ask of a tested move that it does not have.
    fn lacks(&self, slip: &Slip) -> Vec<Lack> {
        let passed = self.tested.iter().filter(|slip| slip.q <= self.hunt.fdr);
        let lost: Vec<(PositionId, MoveCode)> = passed.map(|slip| (slip.at, slip.code)).collect();
        let (edge, value) = (in_order(slip, &lost), slip.loss());
        let rules = [
            (slip.q > self.hunt.fdr, Lack::Certain { q: slip.q, needed: self.hunt.fdr }),
            (edge < IN_ORDER, Lack::InOrder { edge, needed: IN_ORDER }),
            (value < self.hunt.min_drop, Lack::Drop { value, needed: self.hunt.min_drop }),
        ];
        rules.into_iter().filter(|(lacking, _)| *lacking).map(|(_, lack)| lack).collect()
    }

    fn untested<C: Counts>(
        &self,
        cache: &Cache<'_, C>,
        most: usize,
    ) -> Result<Vec<Slip>, C::Error> {
        let mut candidates: Vec<(u32, PositionId, MoveCode)> = Vec::new();
        let victims = |id: &PositionId| {
            let white = self.walk.at(*id).ply.is_multiple_of(2);
            white == self.hunt.victim().is_white()
        };
        for id in self.walk.ids().filter(victims) {
            let moves = self.walk.moves(id);
            let all: u32 = moves.iter().map(|mv| mv.games).sum();
            let few = moves.iter().map(|mv| (mv.games.min(all - mv.games), mv));
            let untested = few.filter(|(few, mv)| {
                *few >= LEAST && !is_tested(self.hunt, mv.games.into(), all.into())
            });
            candidates.extend(untested.map(|(few, mv)| (few, id, mv.code)));
        }
        candidates.sort_by_key(|&(few, id, code)| (std::cmp::Reverse(few), id, code));
        let family =
            Family { baseline: cache.baseline(), hunt: self.hunt, question: self.question };
        let mut misses = Vec::new();
        for (_, at, code) in candidates.into_iter().take(LOOKED_AT) {
            if misses.len() == most {
                break;
            }
            let Some(found) = cache.uncached(self.walk.at(at).key)? else { continue };
            let picked =
                family.picked(&found.moves, &|filter| found.groups_by_move(filter), |_| true);
            let slips = picked.into_iter().filter(|slip| slip.code == code);
            let costly = slips.filter(|slip| slip.loss() >= self.hunt.min_drop);
            misses.extend(costly.map(|slip| Slip { at, ..slip }));
        }
        let wanted = (self.hunt, self.question);
        look_behind(cache.counts(), wanted, self.walk, misses.iter_mut())?;
        Ok(misses)
    }

    fn miss(&self, paths: &Paths, slip: &Slip, mut lacks: Vec<Lack>, tested: bool) -> Miss {
        let path = paths.to(self.walk, slip.at);
        if path.is_none() {
            lacks.push(Lack::Way);
        }
        if lacks.is_empty() {
            lacks.push(Lack::Place);
        }
        let position = self.walk.board(slip.at);
        let mv = slip.code.to_move(&position).expect("it was played here");
        let mut line: Line = self.hunt.line.clone();
        for code in path.unwrap_or_else(|| self.walk.first_moves(slip.at)) {
            line.play(code.to_move(line.end()).expect("the walk has played it"));
        }
        line.play(mv);
        Miss {
            line: line.to_string(),
            fen: Fen::from_position(&position, EN_PASSANT).to_string(),
            slip: san_text(&position, mv),
            games: slip.sample.games(),
            n: slip.games(),
            drop: drop_of(slip, self.question, 0.05),
            p: tested.then_some(slip.p),
            q: tested.then_some(slip.q),
            lacks,
        }
    }

    /// What the hunt's repertoire covers.
    pub fn covered(&self) -> Option<Covered> {
        let repertoire = self.hunt.repertoire.as_ref()?;
        let visits = visits(self.flow, self.walk.positions.len());
        let met = |id: &PositionId| repertoire.at(self.walk.at(*id).key).is_some();
        let reached = |slip: &&Slip| visits[slip.at.index()] > 0.0;
        Some(Covered {
            positions: repertoire.positions(),
            met: self.walk.ids().filter(met).count(),
            tests: self.tested.len(),
            tests_reached: self.tested.iter().filter(reached).count(),
        })
    }
}
