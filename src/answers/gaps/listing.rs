//! The gaps, with what is known about them.

use std::collections::HashMap;
use std::collections::hash_map::Entry;

use shakmaty::Chess;
use shakmaty::fen::Fen;

use super::choices::Turn;
use super::flow::FoundGap;
use super::margin::{Goal, Margins};
use super::report::{Gap, GapMove, Reply};
use crate::answers::Baseline;
use crate::answers::moves::{MoveRow, best_reply, rows};
use crate::counts::{Counts, Lacking};
use crate::lines::{Line, Prepared};
use crate::terms::{EN_PASSANT, Key};

/// Replies that are told because they are played most.
const REPLIES: usize = 3;

/// What is known about each of these gaps.
pub(super) fn gaps<C: Counts>(
    counts: &C,
    file: &Prepared,
    margins: &Margins<'_>,
    found: &[&FoundGap],
) -> Result<Vec<Gap>, C::Error> {
    let baseline = Baseline::of(counts.totals());
    let mut known: HashMap<usize, Table> = HashMap::new();
    let mut gaps = Vec::with_capacity(found.len());
    for gap in found {
        let table = match known.entry(gap.place) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(new) => new.insert(Table::of(
                counts,
                &file.positions()[gap.place].board,
                &baseline,
                margins,
            )?),
        };
        gaps.extend(listed(counts, file, &baseline, margins, gap, table)?);
    }
    Ok(gaps)
}

/// What is known about a position.
struct Table {
    rows: Vec<MoveRow>,
    may_lack: Lacking,
    name: Option<String>,
    eco: Option<String>,
}

impl Table {
    fn of<C: Counts>(
        counts: &C,
        board: &Chess,
        baseline: &Baseline,
        margins: &Margins<'_>,
    ) -> Result<Table, C::Error> {
        let found = counts.position(Key::of(board))?;
        let rows = rows(counts, found.as_ref(), board, baseline, margins.question)?;
        let may_lack = counts.limits().lacking(board, found.as_ref());
        let tag = found.and_then(|found| found.opening).map(|opening| opening.tag);
        let named = |text: &String| (!text.is_empty()).then(|| text.clone());
        let name = tag.as_ref().and_then(|tag| named(&tag.name));
        Ok(Table { rows, may_lack, name, eco: tag.as_ref().and_then(|tag| named(&tag.eco)) })
    }
}

fn listed<C: Counts>(
    counts: &C,
    file: &Prepared,
    baseline: &Baseline,
    margins: &Margins<'_>,
    gap: &FoundGap,
    table: &Table,
) -> Result<Option<Gap>, C::Error> {
    let Turn::Choice { choices, .. } = &margins.choices.turns[gap.place] else { return Ok(None) };
    let choice = &choices[gap.choice];
    let uci = choice.code().to_string();
    let Some(row) = table.rows.iter().find(|row| row.uci == uci) else { return Ok(None) };
    let board = &file.positions()[gap.place].board;
    let mut line = Line::default();
    let way = margins.flow.likeliest(gap.place).unwrap_or_default();
    way.into_iter().for_each(|mv| line.play(mv));
    let before = line.to_string();
    line.play(choice.mv);
    let behind = Table::of(counts, line.end(), baseline, margins)?;
    Ok(Some(Gap {
        line: before,
        fen: Fen::from_position(board, EN_PASSANT).to_string(),
        ply: line.len(),
        mv: GapMove { numbered: line.text(line.len() - 1..line.len()), san: row.san.clone(), uci },
        name: behind.name,
        eco: behind.eco,
        met: margins.rate(Goal::Gap(gap.place, gap.choice)),
        share: row.share.clone(),
        games: row.games,
        score: row.score.clone(),
        edge: row.edge.clone(),
        eval_cp: row.eval_cp.clone(),
        replies: told(behind.rows),
        may_lack: table.may_lack.plus(behind.may_lack),
        place: gap.place,
    }))
}

/// The most played replies and the best one, if there is one.
fn told(rows: Vec<MoveRow>) -> Vec<Reply> {
    let best = best_reply(&rows, |row| &row.score).map(|row| row.rank);
    rows.into_iter()
        .map(|row| Reply { best: best.map(|best| row.rank == best), row })
        .filter(|reply| reply.best == Some(true) || reply.row.rank <= REPLIES)
        .collect()
}

impl Gap {
    /// The reply that is played most, if the games behind the gap are enough to tell.
    pub fn usual(&self) -> Option<&Reply> {
        self.replies.first().filter(|reply| reply.row.share.value.is_some())
    }

    /// The reply that is best beyond chance.
    pub fn best(&self) -> Option<&Reply> {
        self.replies.iter().find(|reply| reply.best == Some(true))
    }
}
