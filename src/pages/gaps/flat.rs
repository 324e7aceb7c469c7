//! The answer as a flat table.

use std::io::{self, Write};

use crate::answers::Rate;
use crate::answers::gaps::{Gap, GapsAnswer, Reply};
use crate::pages::output::{Rows, mean, mean_head, rate, rate_head, withheld};

/// One row for each share of all games (scopes `answered`, `left`, `unknown`), each half-move (`ply`), each gap (`gap`), each
/// reply to it (`reply`, with the gap's place) and each line that hardly comes up (`unused`). Full precision, empty where
/// withheld.
pub fn csv<W: Write>(out: W, answer: &GapsAnswer) -> io::Result<()> {
    let mut head: Vec<String> =
        ["scope", "place", "ply", "line", "fen", "san", "uci", "eco", "opening", "moves", "best"]
            .map(String::from)
            .into();
    head.extend(rate_head("met"));
    head.extend(rate_head("share"));
    head.push("games".into());
    head.extend(["score", "edge", "eval_cp"].iter().flat_map(|name| mean_head(name)));
    head.push("withheld".into());
    let mut rows = Rows::new(out, &head)?;
    let mut row = |cells: Vec<String>| rows.row(&cells);
    for (scope, share) in
        [("answered", &answer.answered), ("left", &answer.left), ("unknown", &answer.unknown)]
    {
        row(of_games(scope, [""; 3], share))?;
    }
    for ply in &answer.by_ply {
        row(of_games("ply", [&ply.ply.to_string(), "", ""], &ply.answered))?;
    }
    for (index, gap) in answer.gaps.iter().enumerate() {
        let place = (index + 1).to_string();
        row(of_gap(&place, gap))?;
        for reply in &gap.replies {
            row(of_reply(&place, gap, reply))?;
        }
    }
    for line in &answer.spare.unused {
        row(of_games("unused", ["", &line.line, &line.moves.to_string()], &line.met))?;
    }
    rows.finish()
}

/// A share of all games with its half-move, its line and its moves.
fn of_games(scope: &str, [ply, line, moves]: [&str; 3], share: &Rate) -> Vec<String> {
    let mut cells = vec![scope.to_owned(), String::new(), ply.to_owned(), line.to_owned()];
    cells.extend(vec![String::new(); 5]);
    cells.extend([moves.to_owned(), String::new()]);
    cells.extend(rate(share));
    cells.extend(vec![String::new(); 5 + 1 + 3 * 4]);
    cells.push(withheld([("met", share.withheld.as_ref())]));
    cells
}

fn of_gap(place: &str, gap: &Gap) -> Vec<String> {
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    let mut cells = vec!["gap".to_owned(), place.to_owned(), gap.ply.to_string()];
    cells.extend([&gap.line, &gap.fen, &gap.mv.san, &gap.mv.uci].map(String::clone));
    cells.extend([text(&gap.eco), text(&gap.name), String::new(), String::new()]);
    cells.extend(gap.rates().into_iter().flat_map(|(_, share)| rate(share)));
    cells.push(gap.games.to_string());
    cells.extend(gap.means().into_iter().flat_map(|(_, figure)| mean(figure)));
    let rates = gap.rates().map(|(name, share)| (name, share.withheld.as_ref()));
    let means = gap.means().map(|(name, figure)| (name, figure.withheld.as_ref()));
    cells.push(withheld(rates.into_iter().chain(means)));
    cells
}

fn of_reply(place: &str, gap: &Gap, reply: &Reply) -> Vec<String> {
    let row = &reply.row;
    let mut cells = vec!["reply".to_owned(), place.to_owned(), (gap.ply + 1).to_string()];
    cells.extend([String::new(), String::new(), row.san.clone(), row.uci.clone()]);
    cells.extend([String::new(), String::new(), String::new(), reply.best.to_string()]);
    cells.extend(vec![String::new(); 5]);
    cells.extend(rate(&row.share));
    cells.push(row.games.to_string());
    let means = [("score", &row.score), ("edge", &row.edge), ("eval_cp", &row.eval_cp)];
    cells.extend(means.into_iter().flat_map(|(_, figure)| mean(figure)));
    let means = means.map(|(name, figure)| (name, figure.withheld.as_ref()));
    cells.push(withheld([("share", row.share.withheld.as_ref())].into_iter().chain(means)));
    cells
}
