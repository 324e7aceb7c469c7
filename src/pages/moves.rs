//! The pages of `moves`.

use std::io::{self, Write};

use serde_json::json;

use super::across;
use super::claims::claim_line;
use super::figures::{Reasons, Unit};
use super::fitted::FittedTable;
use super::layout::{PAGE_WIDTH, Side, paragraph};
use super::numbers::{as_good, count, counted};
use super::output::Columns;
use super::words::{self, clean};
use crate::answers::Withheld;
use crate::answers::claims::MovesAnswer;
use crate::answers::moves::{Column, MoveRow, MoveTable, PositionView};

pub use across::Shown;

/// The move table for people. `line` is how the position was asked for, if by moves; a table over
/// ratings or paces shows `shown`.
pub fn text<W: Write>(
    mut out: W,
    answer: &MovesAnswer,
    line: Option<&str>,
    shown: Shown,
) -> io::Result<()> {
    let MovesAnswer { table, claims } = answer;
    let mut page = head(&table.position, line);
    let movers = words::filter(table.filter);
    if table.games == 0 {
        let none = match table.position.may_lack.beyond() {
            Some(beyond) => format!("Games here are not counted: {}.", words::not_counted(beyond)),
            None => format!("No games here by {movers}."),
        };
        page += &paragraph(&none, 0);
    } else {
        let good = as_good(table.games, table.effective_games());
        let good = good.map_or(String::new(), |good| format!(" ({good})"));
        page += &paragraph(&format!("{}{good} by {movers}.", counted(table.games, "game")), 0);
        page.push('\n');
        page += &if is_across(table) { across::text(table, shown) } else { move_table(table) };
    }
    if !claims.is_empty() {
        page += "\nClaims\n";
        claims.iter().for_each(|claim| page += &paragraph(&claim_line(claim), 4));
    }
    page.push('\n');
    notes(table).iter().for_each(|note| page += &paragraph(note, 0));
    out.write_all(page.as_bytes())
}

/// Whether the moves are told by rating or by pace.
fn is_across(table: &MoveTable) -> bool {
    table.moves.iter().any(|row| !row.across.is_empty())
}

/// One row a move, in full precision; over ratings or paces one more for each of them.
pub fn csv<W: Write>(out: W, table: &MoveTable) -> io::Result<()> {
    if is_across(table) {
        return across::csv(out, table);
    }
    Columns::new()
        .said(&["rank", "san", "uci", "games", "wins", "draws", "losses"])
        .figure("share", Unit::Share, |row: &&MoveRow| Some(&row.share))
        .figure("score", Unit::Percent, |row| Some(&row.score))
        .said(&["expected"])
        .figure("edge", Unit::Edge, |row| Some(&row.edge))
        .figure("clock_s", Unit::Number, |row| Some(&row.clock_s))
        .figure("eval_cp", Unit::Pawns, |row| Some(&row.eval_cp))
        .write(out, table.moves.iter().map(|row| (json!(row), row)))
}

fn head(position: &PositionView, line: Option<&str>) -> String {
    let named = [&position.name, &position.eco].map(|part| part.as_deref().map(clean));
    let name = match named {
        [Some(name), Some(eco)] => format!("{name} ({eco})\n"),
        [Some(one), None] | [None, Some(one)] => format!("{one}\n"),
        [None, None] => String::new(),
    };
    let line = line.map_or(String::new(), |line| paragraph(&clean(line), 4));
    let to_move = words::side(position.to_move);
    format!("{name}{line}{}\n{to_move} to move\n", clean(&position.fen))
}

fn move_table(table: &MoveTable) -> String {
    let timed = table.moves.iter().any(|row| row.clock_s.n > 0);
    let judged = table.moves.iter().any(|row| row.eval_cp.n > 0);
    let one = |head| vec![(head, Side::Right)];
    let counted = |head| vec![(head, Side::Right), ("n", Side::Right)];
    let lead = vec![("rank", Side::Right), ("move", Side::Left), ("games", Side::Right)];
    let mut columns = vec![lead, one("share %"), one("score %"), one("edge %")];
    columns.extend(timed.then(|| counted("seconds")));
    columns.extend(judged.then(|| counted("eval")));
    let mut page = FittedTable::new(columns);
    for row in &table.moves {
        let mut cells = vec![vec![row.rank.to_string(), row.san.clone(), count(row.games)]];
        cells.push(vec![Unit::Share.view(&row.share).line()]);
        cells.push(vec![Unit::Percent.view(&row.score).line()]);
        cells.push(vec![Unit::Edge.view(&row.edge).line()]);
        if timed {
            let seconds = Unit::Number.view(&row.clock_s);
            cells.push(vec![seconds.line(), seconds.count()]);
        }
        if judged {
            cells.push(vec![Unit::Pawns.view(&row.eval_cp).line(), count(row.eval_cp.n)]);
        }
        page.row(cells);
    }
    page.render(PAGE_WIDTH)
}

fn notes(table: &MoveTable) -> Vec<String> {
    let mut notes = Vec::new();
    if table.games > 0 {
        notes.push(format!("Games by pace: {}.", words::mix(&table.paces)));
        notes.extend(words::ratings("the mover", table.expected, table.rating_difference));
        notes.push(
            "Scores are the mover's. Edge: score minus what that colour ordinarily scores at these ratings, by all games \
             of the store; an association, not an effect."
                .into(),
        );
        let whole = !is_across(table);
        if whole && table.moves.iter().any(|row| row.eval_cp.value.is_some()) {
            notes.push(
                "Evaluations are means in pawns from the mover's view, clamped to +-10, and have no \
                 interval."
                    .into(),
            );
        }
        if whole && table.moves.iter().any(|row| row.clock_s.value.is_some()) {
            notes.push("Mean seconds are at the mix of paces above.".into());
        }
        notes.push("Intervals [low, high] are 95 % and take the ratings as given.".into());
        notes.extend(repeats(table));
        if table.moves.iter().any(is_thin) {
            notes.push(words::thin(table.min_sample));
        }
        if whole {
            notes.extend(reasons(&table.moves).sentence());
        } else if by_rating(table) {
            notes.push(
                "Neighbouring ratings were taken together until their games are as good as 50 of different players."
                    .into(),
            );
        }
    }
    if table.games > 0 || table.position.may_lack.beyond().is_none() {
        notes.extend(words::may_lack(table.position.may_lack, "here"));
    }
    notes.extend(words::limits(&table.limits));
    notes
}

fn by_rating(table: &MoveTable) -> bool {
    let mut cells = table.moves.iter().flat_map(|row| &row.across);
    cells.any(|cell| matches!(cell.column, Column::Rated(_)))
}

/// Whether some share of the move is thin.
fn is_thin(row: &MoveRow) -> bool {
    let shares = row.across.iter().map(|cell| &cell.share).chain([&row.share]);
    shares.into_iter().any(|share| matches!(share.withheld, Some(Withheld::Thin { .. })))
}

/// What players who come again do to the margins; none where nobody does.
fn repeats(table: &MoveTable) -> Option<String> {
    as_good(table.games, table.effective_games())?;
    let scores = table.moves.first().map(|row| (&row.san, &row.score));
    let of_scores = scores.and_then(|(san, score)| {
        let good = as_good(score.n, score.n_eff)?;
        let games = counted(score.n, "game");
        Some(format!(" That is for shares; scores depend less on who plays: for the score of {san}, {games} are {good}."))
    });
    Some(words::as_good_as() + &of_scores.unwrap_or_default())
}

fn reasons(rows: &[MoveRow]) -> Reasons {
    let timed = rows.iter().any(|row| row.clock_s.n > 0);
    let judged = rows.iter().any(|row| row.eval_cp.n > 0);
    let mut reasons = Reasons::default();
    for row in rows {
        reasons.note(&row.share);
        [&row.score, &row.edge].into_iter().for_each(|mean| reasons.note(mean));
        if timed {
            reasons.note(&row.clock_s);
        }
        if judged {
            reasons.note(&row.eval_cp);
        }
    }
    reasons
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::counts::Lacking;
    use crate::pages::kit::{moves_of_two, printed};

    #[test]
    fn the_text_shows_every_figure_with_its_count() {
        let answer = moves_of_two();
        insta::assert_snapshot!(printed(|out| text(
            out,
            &answer,
            Some("1. e4 e5 2. Nf3"),
            Shown::Share
        )));
    }

    #[test]
    fn a_position_without_games_says_how_far_the_counts_reach() {
        let mut table =
            MoveTable { games: 0, moves: vec![], paces: vec![], ..moves_of_two().table };
        (table.position.name, table.position.eco, table.position.may_lack) =
            (None, None, Lacking::NOTHING);
        let answer = MovesAnswer { table, claims: Vec::new() };
        insta::assert_snapshot!(printed(|out| text(out, &answer, None, Shown::Share)), @"
        rnbqkbnr/pppp1ppp/8/4p3/4P3/5N2/PPPP1PPP/RNBQKB1R b KQkq - 1 2
        Black to move
        No games here by players rated 1200 to 1999, all paces.

        The store counts the first 30 half-moves of each game and keeps positions with 5
        games or more (an absent one may have had up to 4 games).
        Cut short, and counted as far as they could be read: harbour-2031-05.pgn.zst.
        ");
    }

    #[test]
    fn columns_without_readings_are_left_away() {
        let mut table = moves_of_two().table;
        for row in &mut table.moves {
            row.clock_s = crate::answers::Sampling::from(50).mean(0, 0);
            row.eval_cp = crate::answers::Sampling::from(50).mean(0, 0);
        }
        let answer = MovesAnswer { table, claims: Vec::new() };
        let page = printed(|out| text(out, &answer, None, Shown::Share));
        assert!(!page.contains("seconds") && !page.contains("eval"));
    }
}
