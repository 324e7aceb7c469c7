//! The moves of a position by rating or by pace.

use shakmaty::{Chess, Position};

use super::effect::{answers, behind, design_effect};
use super::joined::join;
use super::moves::{Across, Column, MoveTable, table};
use super::stats::{Answers, DesignEffect, OWN_SHARE_FROM};
use super::{Baseline, Question, Sample};
use crate::counts::{Counts, PositionCounts};
use crate::terms::{BandRange, Key, MoveCode, MoverFilter, PaceSet};

/// By what the movers are told apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// Their rating.
    Rating,
    /// The pace of the game.
    Pace,
}

/// The move table of a position, each of its moves also by rating or by pace.
///
/// Neighbouring bands are joined until their games are as good as those of a share of its own,
/// whatever the minimum sample; only columns with games are told. A part of the ratings takes
/// the design effect of all of them, since a band has too few games to tell its own; a pace
/// has its own.
pub fn table_across<C: Counts>(
    counts: &C,
    position: &Chess,
    question: &Question,
    by: By,
) -> Result<MoveTable, C::Error> {
    let mut table = table(counts, position, question)?;
    let Some(found) = counts.position(Key::of(position))? else { return Ok(table) };
    let baseline = Baseline::of(counts.totals());
    let columns: Vec<Part> = match by {
        By::Rating => by_rating(&found, question.filter, table.effect),
        By::Pace => by_pace(&found, question.filter),
    };
    let sampling = table.sampling();
    for row in &mut table.moves {
        let Some(mv) = found.moves.iter().find(|mv| mv.code.to_string() == row.uci) else {
            continue;
        };
        let key = mv.code.to_move(position).map(|played| behind(found.key, position, played));
        let behind = match (by, key) {
            (By::Pace, Some(key)) => counts.position(key)?,
            _ => None,
        };
        let score_effect = |part: &Part, games| match by {
            By::Rating => row.score_effect,
            By::Pace => part.effect.of_score(games, part.answers(behind.as_ref())),
        };
        row.across = columns
            .iter()
            .map(|part| {
                let of = |effect| sampling.with_effect(effect);
                let wanted = |code: MoveCode| code == mv.code;
                let sample =
                    Sample::of_moves(Some(&found), wanted, part.filter, position.turn(), &baseline);
                Across {
                    column: part.column,
                    n: part.games,
                    share: of(part.effect.share).share(sample.games(), part.games),
                    score: sample.score(of(score_effect(part, sample.games()))),
                }
            })
            .collect();
    }
    Ok(table)
}

/// Some of the movers and their games in the position.
struct Part {
    column: Column,
    filter: MoverFilter,
    effect: DesignEffect,
    games: u64,
}

impl Part {
    /// What those of them who answer in the position behind a move add.
    fn answers(&self, behind: Option<&PositionCounts>) -> Answers {
        behind.map_or_else(Answers::default, |behind| {
            answers(&behind.moves, || design_effect(Some(behind), self.filter), self.filter)
        })
    }
}

fn by_rating(found: &PositionCounts, filter: MoverFilter, effect: DesignEffect) -> Vec<Part> {
    let of = |bands| MoverFilter { bands, ..filter };
    let games = |bands| games(found, of(bands));
    let bands = filter.bands.bands().map(|band| (band, games(BandRange::only(band))));
    let part = |bands| Part {
        column: Column::Rated(bands),
        filter: of(bands),
        effect,
        games: games(bands),
    };
    // As many games as tell as much as those of so many players: else nearly every column of a
    // popular position would be thin.
    let least = (OWN_SHARE_FROM as f64 * effect.share).ceil() as u64;
    join(bands, least).into_iter().map(part).collect()
}

fn by_pace(found: &PositionCounts, filter: MoverFilter) -> Vec<Part> {
    let parts = filter.paces.paces().map(|pace| {
        let filter = MoverFilter { paces: PaceSet::from_iter([pace]), ..filter };
        let effect = design_effect(Some(found), filter);
        Part { column: Column::Pace { pace }, filter, effect, games: games(found, filter) }
    });
    parts.filter(|part| part.games > 0).collect()
}

fn games(found: &PositionCounts, filter: MoverFilter) -> u64 {
    found.moves.iter().map(|mv| mv.games(filter)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::kit::{ModelCounts, play};
    use crate::terms::Pace;

    /// Black at 1250 answers 1. e4 with e5 40 times and c5 20 times, at 1350 with e5 30 times, at
    /// 1450 with c5 60 times.
    fn counts() -> ModelCounts {
        ModelCounts::new()
            .add(40, [1250, 1250], "1-0", "e4 e5")
            .add(20, [1250, 1250], "0-1", "e4 c5")
            .add(30, [1350, 1350], "0-1", "e4 e5")
            .add(60, [1450, 1450], "1/2", "e4 c5")
    }

    fn asked(by: By) -> MoveTable {
        let Ok(table) = table_across(&counts(), &play("e4").1, &Question::default(), by);
        table
    }

    /// 60 games make a column of 1250; the 30 of 1350 do not suffice and are joined with
    /// the 60 of 1450.
    #[test]
    fn thin_neighbours_are_joined_and_every_game_counts_once() {
        let table = asked(By::Rating);
        let shown = |row: usize| -> Vec<(u16, u16, u64, Option<u64>)> {
            let across = table.moves[row].across.iter();
            across
                .map(|cell| match cell.column {
                    Column::Rated(range) => (range.from, range.below, cell.n, cell.share.k),
                    Column::Pace { .. } => panic!("by rating"),
                })
                .collect()
        };
        assert_eq!(table.moves[0].san, "c5");
        assert_eq!(shown(0), [(1200, 1300, 60, Some(20)), (1300, 1500, 90, Some(60))]);
        assert_eq!(shown(1), [(1200, 1300, 60, Some(40)), (1300, 1500, 90, Some(30))]);
        let c5 = &table.moves[0].across[1];
        assert_eq!((c5.score.value, c5.share.value), (Some(0.5), Some(60.0 / 90.0)));
        assert_eq!(c5.share.n_eff, 90.0 / table.effect.share);
    }

    #[test]
    fn a_pace_without_games_is_no_column() {
        let across = &asked(By::Pace).moves[0].across;
        assert_eq!(across.len(), 1);
        assert_eq!(across[0].column, Column::Pace { pace: Pace::Blitz });
        assert_eq!((across[0].n, across[0].share.k), (150, Some(80)));
    }

    #[test]
    fn a_position_without_games_has_no_columns() {
        let Ok(table) = table_across(&counts(), &play("h4").1, &Question::default(), By::Rating);
        assert!(table.moves.is_empty());
    }
}
