//! What came nearest to a finding, and what it lacks.

use super::entry::{chance, percent};
use crate::answers::hunt::{HuntAnswer, Lack, Miss};
use crate::pages::figures::Unit;
use crate::pages::layout::paragraph;
use crate::pages::numbers::{count, counted, fixed};
use crate::pages::words::{self, clean};

/// One paragraph a miss; nothing where nothing was tested.
pub(super) fn text(answer: &HuntAnswer) -> String {
    if answer.misses.is_empty() {
        if answer.tests == 0 {
            return String::new();
        }
        let drop = percent(answer.settings.null_drop);
        return "\n".to_owned()
            + &paragraph(
                &format!(
                    "No move comes near to a finding: none of the tested moves loses more than {drop} of a point beyond what chance shows one time in twenty."
                ),
                0,
            );
    }
    let mut page = "\nNearest to a finding, least likely by chance first\n".to_owned();
    for miss in &answer.misses {
        page.push('\n');
        page += &paragraph(&clean(&miss.line), 4);
        page += &paragraph(&told(miss), 4);
    }
    page
}

fn told(miss: &Miss) -> String {
    let games = format!("{} of {}", count(miss.games), counted(miss.n, "game"));
    let drop = match miss.drop.value {
        Some(_) => format!("drop {}", Unit::Edge.view(&miss.drop).said()),
        None => "a drop that so few games cannot show".to_owned(),
    };
    let p = miss.p.map_or(String::new(), |p| format!(", p = {}", chance(p)));
    let lacks: Vec<String> = miss.lacks.iter().map(lack).collect();
    format!(
        "{}: {games}, {drop}{p}. It lacks: {}.",
        words::numbered_from(&miss.fen, 0, &miss.slip),
        lacks.join("; ")
    )
}

fn lack(lack: &Lack) -> String {
    match lack {
        Lack::Reached { n, needed } => {
            format!("games in the position: {} of {}", count(*n), count(*needed))
        }
        Lack::Games { n, needed } => {
            format!("games of the move: {} of {}", count(*n), count(*needed))
        }
        Lack::OtherGames { n, needed } => {
            format!("games of the other moves: {} of {}", count(*n), count(*needed))
        }
        Lack::Share { value, needed } => {
            format!("a share of {} (it has {})", percent(*needed), percent(*value))
        }
        Lack::Certain { q, needed } => {
            format!("certainty: q = {}, at most {} is asked", chance(*q), chance(*needed))
        }
        Lack::Drop { value, needed } => {
            // As the drop before it is written.
            let value = format!("{} %", fixed(100.0 * value, 1));
            format!("a drop of {} of a point (it has {value})", percent(*needed))
        }
        Lack::InOrder { edge, .. } => format!(
            "a position in order: without the move its player already scores {} of a point a game less than ordinary",
            percent(-edge)
        ),
        Lack::Refutation => "a reply that takes advantage of it".to_owned(),
        Lack::Way => "a way there: the repertoire does not come to the position".to_owned(),
        Lack::Place => {
            "a place of its own: the loss is reported with other moves of its chain".to_owned()
        }
    }
}
