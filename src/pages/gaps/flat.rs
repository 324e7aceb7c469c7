//! The answer as a flat table.

use std::io::{self, Write};

use serde_json::{Value, json};

use crate::answers::Figure;
use crate::answers::gaps::{Gap, GapsAnswer, Reply};
use crate::pages::figures::Unit;
use crate::pages::output::{Columns, merged};

/// One row for each share of all games (scopes `answered`, `left`, `unknown`), each half-move
/// (`ply`), each gap (`gap`), each reply to it (`reply`, with the gap's place) and each line that
/// hardly comes up (`unused`). Full precision, empty where withheld.
pub fn csv<W: Write>(out: W, answer: &GapsAnswer) -> io::Result<()> {
    let row = |scope: &str, entry: Value, has| (merged(entry, json!({"scope": scope})), has);
    let mut rows = vec![
        row("answered", json!({}), Has::Met(&answer.answered)),
        row("left", json!({}), Has::Met(&answer.left)),
        row("unknown", json!({}), Has::Met(&answer.unknown)),
    ];
    let plies = answer.by_ply.iter();
    rows.extend(plies.map(|ply| row("ply", json!(ply), Has::Met(&ply.answered))));
    for (index, gap) in answer.gaps.iter().enumerate() {
        let place = |ply: usize| json!({"place": index + 1, "ply": ply});
        rows.push(row("gap", merged(gap, place(gap.ply)), Has::Gap(gap)));
        let replies = gap.replies.iter();
        rows.extend(
            replies.map(|reply| row("reply", merged(reply, place(gap.ply + 1)), Has::Reply(reply))),
        );
    }
    let unused = answer.spare.unused.iter();
    rows.extend(unused.map(|line| row("unused", json!(line), Has::Met(&line.met))));
    columns().write(out, rows)
}

/// What has its figures.
#[derive(Clone, Copy)]
enum Has<'a> {
    Met(&'a Figure),
    Gap(&'a Gap),
    Reply(&'a Reply),
}

impl<'a> Has<'a> {
    /// What a gap and a reply to it both have.
    fn played(&self, gap: fn(&Gap) -> &Figure, reply: fn(&Reply) -> &Figure) -> Option<&'a Figure> {
        match self {
            Has::Met(_) => None,
            Has::Gap(it) => Some(gap(it)),
            Has::Reply(it) => Some(reply(it)),
        }
    }
}

fn columns<'a>() -> Columns<'a, Has<'a>> {
    Columns::new()
        .said(&["scope", "place", "ply", "line", "fen"])
        .said_at("san", &["/move/san", "/san"])
        .said_at("uci", &["/move/uci", "/uci"])
        .said(&["eco"])
        .said_at("opening", &["/name"])
        .said(&["moves", "best"])
        .figure("met", Unit::Share, |has: &Has<'a>| match has {
            Has::Met(met) => Some(met),
            Has::Gap(gap) => Some(&gap.met),
            Has::Reply(_) => None,
        })
        .figure("share", Unit::Share, |has| has.played(|gap| &gap.share, |reply| &reply.row.share))
        .said(&["games"])
        .figure("score", Unit::Percent, |has| {
            has.played(|gap| &gap.score, |reply| &reply.row.score)
        })
        .figure("edge", Unit::Edge, |has| has.played(|gap| &gap.edge, |reply| &reply.row.edge))
        .figure("eval_cp", Unit::Pawns, |has| {
            has.played(|gap| &gap.eval_cp, |reply| &reply.row.eval_cp)
        })
}
