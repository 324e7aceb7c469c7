//! Which pairs of position and move are tested: decided by counts, never by results.

use crate::answers::Baseline;
use shakmaty::{Chess, Position};

use super::Hunt;
use super::report::Lack;
use super::rules::TESTED_FROM;
use super::significance::p_value;
use super::slip::Slip;
use super::walk::PositionId;
use crate::answers::effect::effect_of_groups;
use crate::answers::{Question, Sample};
use crate::counts::{GroupsOf, MoveCounts};
use crate::terms::MoveCode;

/// Picks the family, position by position.
pub(super) struct Family<'a> {
    pub baseline: &'a Baseline,
    pub hunt: &'a Hunt,
    pub question: &'a Question,
}

impl Family<'_> {
    /// The moves of a position that pass the rules of counts; where they are and their q values are
    /// not known yet. The games by group are asked for only where there is such a move.
    pub fn slips(
        &self,
        position: &Chess,
        found: &[MoveCounts],
        groups: &GroupsOf<'_>,
    ) -> Vec<Slip> {
        let filter = self.question.filter;
        if position.turn() != self.hunt.victim() {
            return Vec::new();
        }
        let games: Vec<u64> = found.iter().map(|mv| mv.games(filter)).collect();
        let all: u64 = games.iter().sum();
        let picked = |games: u64| is_tested(self.hunt, games, all);
        if !games.iter().any(|&games| picked(games)) {
            return Vec::new();
        }
        self.picked(found, groups, picked)
    }

    /// The moves of a position that are `picked`, with their results.
    pub fn picked(
        &self,
        found: &[MoveCounts],
        groups: &GroupsOf<'_>,
        picked: impl Fn(u64) -> bool,
    ) -> Vec<Slip> {
        let victim = self.hunt.victim();
        let filter = self.question.filter;
        let effect = effect_of_groups(&groups(filter));
        let of_scores = [effect.of_tests(0, &[]); 2];
        let sample = |mv: &MoveCounts| {
            let cells = mv.cells.iter().filter(|(id, _)| filter.admits(*id));
            Sample::of(cells.map(|(id, cell)| (*id, cell)), victim, self.baseline)
        };
        let each: Vec<(MoveCode, Sample)> = found
            .iter()
            .map(|mv| (mv.code, sample(mv)))
            .filter(|(_, sample)| sample.games() > 0)
            .collect();
        let slip = |(code, sample): &(MoveCode, Sample)| {
            let rest = || each.iter().filter(|(other, _)| other != code);
            let others = rest().fold(Sample::default(), |sum, (_, sample)| sum.plus(*sample));
            let slip = Slip {
                at: PositionId::START,
                code: *code,
                sample: *sample,
                others,
                effect,
                of_scores,
                rivals: rest().copied().collect(),
                p: 1.0,
                q: 1.0,
            };
            Slip { p: p_value(&slip, self.hunt.null_drop), ..slip }
        };
        each.iter().filter(|(_, sample)| picked(sample.games())).map(slip).collect()
    }
}

/// What keeps a move with so many games, among `all` of its position, from being tested.
pub(super) fn lacks_games(hunt: &Hunt, games: u64, all: u64) -> Vec<Lack> {
    lacking(hunt, games, all).collect()
}

/// Whether nothing does.
pub(super) fn is_tested(hunt: &Hunt, games: u64, all: u64) -> bool {
    lacking(hunt, games, all).next().is_none()
}

fn lacking(hunt: &Hunt, games: u64, all: u64) -> impl Iterator<Item = Lack> {
    let (others, reached) = (all - games, hunt.reached.max(1));
    let share = games as f64 / all.max(1) as f64;
    let rules = [
        (all < reached, Lack::Reached { n: all, needed: reached }),
        (games < TESTED_FROM, Lack::Games { n: games, needed: TESTED_FROM }),
        (others < TESTED_FROM, Lack::OtherGames { n: others, needed: TESTED_FROM }),
        (share < hunt.min_share, Lack::Share { value: share, needed: hunt.min_share }),
    ];
    rules.into_iter().filter(|(lacking, _)| *lacking).map(|(_, lack)| lack)
}
