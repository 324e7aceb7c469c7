//! The answer as a flat table.

use std::io::{self, Write};

use crate::answers::Figure;
use crate::answers::gaps::{Gap, GapsAnswer, Reply};
use crate::pages::figures::Unit;
use crate::pages::output::Columns;

/// One row for each share of all games (scopes `answered`, `left`, `unknown`), each half-move (`ply`), each gap (`gap`), each
/// reply to it (`reply`, with the gap's place) and each line that hardly comes up (`unused`). Full precision, empty where
/// withheld.
pub fn csv<W: Write>(out: W, answer: &GapsAnswer) -> io::Result<()> {
    let share = |scope, met| Row { met: Some(met), ..Row::of(scope) };
    let mut rows = vec![
        share("answered", &answer.answered),
        share("left", &answer.left),
        share("unknown", &answer.unknown),
    ];
    let plies = answer.by_ply.iter();
    rows.extend(plies.map(|row| Row { ply: Some(row.ply.into()), ..share("ply", &row.answered) }));
    for (index, gap) in answer.gaps.iter().enumerate() {
        let (place, ply) = (Some(index + 1), Some(gap.ply));
        rows.push(Row { place, ply, gap: Some(gap), ..share("gap", &gap.met) });
        let ply = ply.map(|ply| ply + 1);
        let replies = gap.replies.iter();
        rows.extend(replies.map(|reply| Row {
            place,
            ply,
            reply: Some(reply),
            ..Row::of("reply")
        }));
    }
    rows.extend(answer.spare.unused.iter().map(|line| Row {
        line: &line.line,
        moves: Some(line.moves),
        ..share("unused", &line.met)
    }));
    columns().write(out, rows)
}

/// Whatever is told.
#[derive(Clone, Copy)]
struct Row<'a> {
    scope: &'static str,
    place: Option<usize>,
    ply: Option<usize>,
    line: &'a str,
    moves: Option<usize>,
    met: Option<&'a Figure>,
    gap: Option<&'a Gap>,
    reply: Option<&'a Reply>,
}

impl<'a> Row<'a> {
    fn of(scope: &'static str) -> Row<'a> {
        let (place, ply, moves) = (None, None, None);
        Row { scope, place, ply, line: "", moves, met: None, gap: None, reply: None }
    }

    /// What a gap and a reply to it both have.
    fn played<T>(&self, gap: impl Fn(&'a Gap) -> T, reply: impl Fn(&'a Reply) -> T) -> Option<T> {
        self.gap.map(gap).or_else(|| self.reply.map(reply))
    }

    fn gap(&self, text: impl Fn(&Gap) -> &str) -> String {
        self.gap.map_or(String::new(), |gap| text(gap).to_owned())
    }
}

fn columns<'a>() -> Columns<'static, Row<'a>> {
    let number = |n: Option<usize>| n.map_or(String::new(), |n| n.to_string());
    let text = |text: Option<&str>| text.unwrap_or_default().to_owned();
    Columns::new()
        .text("scope", |row: &Row<'a>| row.scope.to_owned())
        .text("place", move |row| number(row.place))
        .text("ply", move |row| number(row.ply))
        .text("line", |row| row.gap.map_or(row.line, |gap| &gap.line).to_owned())
        .text("fen", |row| row.gap(|gap| &gap.fen))
        .text("san", move |row| {
            text(row.played(|gap| gap.mv.san.as_str(), |reply| reply.row.san.as_str()))
        })
        .text("uci", move |row| {
            text(row.played(|gap| gap.mv.uci.as_str(), |reply| reply.row.uci.as_str()))
        })
        .text("eco", |row| row.gap(|gap| gap.eco.as_deref().unwrap_or_default()))
        .text("opening", |row| row.gap(|gap| gap.name.as_deref().unwrap_or_default()))
        .text("moves", move |row| number(row.moves))
        .text("best", |row| row.reply.map_or(String::new(), |reply| reply.best.to_string()))
        .figure("met", Unit::Share, |row| row.met)
        .figure("share", Unit::Share, |row| row.played(|gap| &gap.share, |reply| &reply.row.share))
        .text("games", |row| {
            let games = row.played(|gap| gap.games, |reply| reply.row.games);
            games.map_or(String::new(), |games| games.to_string())
        })
        .figure("score", Unit::Percent, |row| {
            row.played(|gap| &gap.score, |reply| &reply.row.score)
        })
        .figure("edge", Unit::Edge, |row| row.played(|gap| &gap.edge, |reply| &reply.row.edge))
        .figure("eval_cp", Unit::Pawns, |row| {
            row.played(|gap| &gap.eval_cp, |reply| &reply.row.eval_cp)
        })
}
