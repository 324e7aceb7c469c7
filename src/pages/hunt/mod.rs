//! The pages of `hunt`.

mod entry;
mod flat;
mod misses;
mod pgn;
mod summary;

use std::io::{self, Write};

use super::layout::paragraph;
use super::numbers::{count, counted};
use super::words;
use crate::answers::hunt::{Covered, HiddenBy, HuntAnswer, ReachKind};

use entry::percent;
pub use flat::csv;
pub use pgn::pgn;
use summary::NOT_TO_LAY;

/// The findings for people: what was tested, a summary, each finding, what it rests on.
pub fn text<W: Write>(mut out: W, answer: &HuntAnswer, board: bool) -> io::Result<()> {
    let mut page = String::new();
    head(answer).iter().for_each(|note| page += &paragraph(note, 0));
    match answer.found.is_empty() {
        false => page += &summary::text(answer),
        true => page += &misses::text(answer),
    }
    for (index, found) in answer.found.iter().enumerate() {
        if !found.to_lay && (index == 0 || answer.found[index - 1].to_lay) {
            page += &format!("\n{NOT_TO_LAY}\n");
        }
        page.push('\n');
        page += &entry::text(found, index + 1, answer, board);
    }
    page.push('\n');
    foot(answer).iter().for_each(|note| page += &paragraph(note, 0));
    out.write_all(page.as_bytes())
}

/// The level of an interval with two digits of what it misses: `99.975 %`.
fn level(level: f64) -> String {
    let miss = 100.0 * (1.0 - level);
    let digits = (2.0 - miss.log10().ceil()).clamp(0.0, 12.0) as usize;
    let text = format!("{:.digits$}", 100.0 - miss);
    format!("{} %", text.trim_end_matches('0').trim_end_matches('.'))
}

fn head(answer: &HuntAnswer) -> Vec<String> {
    let settings = &answer.settings;
    let (setter, victim) = (words::side(answer.setter), words::side(answer.setter.other()));
    let place = match answer.start.is_empty() {
        true => "from the initial position".to_owned(),
        false => format!("after {}", words::clean(&answer.start)),
    };
    let mut notes = vec![
        format!(
            "Costly moves of {victim} {place}, for a student who plays {setter}. Ratings and paces: {}.",
            words::filter(answer.filter)
        ),
        format!(
            "Tested: {} of {victim}, each played {} times or more and by {} or more in a position reached {} \
             times or more, with {} other moves or more; {} walked.",
            counted(answer.tests as u64, "move"),
            count(settings.tested_from),
            percent(settings.min_share),
            count(settings.reached),
            count(settings.tested_from),
            counted(answer.positions as u64, "position"),
        ),
        format!(
            "{}.",
            match answer.significant {
                0 => format!(
                    "None of these loses more than {} of a point a game beyond chance",
                    percent(settings.null_drop)
                ),
                lose => format!(
                    "Of these {} more than {} of a point a game beyond chance (at most {} of them expected to be false){}",
                    if lose == 1 {
                        "1 loses".into()
                    } else {
                        format!("{} lose", count(lose as u64))
                    },
                    percent(settings.null_drop),
                    percent(settings.fdr),
                    hidden(&answer.hidden_by),
                ),
            }
        ),
    ];
    notes.extend(answer.covered.as_ref().map(covered));
    notes.extend(nothing(answer));
    notes
}

/// What the repertoire covers.
fn covered(covered: &Covered) -> String {
    let Covered { positions, met, tests, tests_reached } = covered;
    format!(
        "The repertoire says what to play in {}; {} of them occur in these games, and it leads to {} of the {} tested.",
        counted(*positions as u64, "position"),
        count(*met as u64),
        count(*tests_reached as u64),
        counted(*tests as u64, "move"),
    )
}

/// What the showing rules hid.
fn hidden(by: &HiddenBy) -> String {
    let parts = [
        (by.not_in_order, "its player was already badly off"),
        (by.small_drop, "the drop is small"),
        (by.told_elsewhere, "the loss is reported elsewhere in its chain"),
        (by.no_refutation, "no reply takes advantage of it"),
        (by.not_reached, "the repertoire does not come there"),
        (by.beyond_top, "it is beyond the last place shown"),
    ];
    let parts: Vec<String> = parts
        .into_iter()
        .filter(|(games, _)| *games > 0)
        .map(|(games, why)| format!("{} because {why}", count(games)))
        .collect();
    match parts.is_empty() {
        true => "; none of them is hidden".to_owned(),
        false => format!("; {} hidden: {}", count(by.total()), parts.join(", ")),
    }
}

/// Why nothing is shown.
fn nothing(answer: &HuntAnswer) -> Option<String> {
    if !answer.found.is_empty() {
        return None;
    }
    let games = counted(answer.games, "game");
    let victim = words::side(answer.setter.other());
    let why = match answer.detectable {
        None => format!(
            "the store is too small for this hunt: among {games} of {victim} no move passes the rules of counts above"
        ),
        Some(least) if answer.is_too_small() => format!(
            "the store is too small for this hunt: with {games} of {victim} even the best counted move would have \
             to lose some {} of a point a game to stand out, and drops of {} are looked for",
            percent(least),
            percent(answer.settings.min_drop)
        ),
        Some(_) if answer.hidden > 0 => {
            "every move that loses is hidden by the rules named above".to_owned()
        }
        Some(_) => format!(
            "no move tested loses more than {} of a point a game beyond chance",
            percent(answer.settings.null_drop)
        ),
    };
    let seen = answer.detectable.filter(|_| !answer.is_too_small()).map(|least| {
        format!(
            " The smallest drop that could have been seen is some {} of a point a game.",
            percent(least)
        )
    });
    Some(format!("Nothing found: {why}.{}", seen.unwrap_or_default()))
}

fn foot(answer: &HuntAnswer) -> Vec<String> {
    let mut notes = Vec::new();
    if !answer.found.is_empty() {
        notes.push(
            format!(
                "The promise of {} is about all moves that pass the test, not about those shown. The top ones probably look better \
                 than they are, and net, by which they are ordered, is not corrected for that: look again with other games.",
                percent(answer.settings.fdr)
            ),
        );
        notes.push(match answer.reach {
            ReachKind::Occurrence => {
                "Reach is occurrence: the share of the opponents' games that come to the position, whatever is played \
                 against them. Net takes the student to play the line shown whenever the opponent allows it."
                    .to_owned()
            }
            ReachKind::Repertoire => {
                "Reach is a flow: the share of games that come to the position, by whatever order of moves, when \
                 the student plays the repertoire, and elsewhere what the level plays. Net is points per 1000 games of that student, in all of which \
                 the repertoire is played; `trap` has it of games in which the student plays for this one line."
                    .to_owned()
            }
        });
        notes.push(
            "Drop: the mover's edge with all other moves minus the edge with the costly move, in percent of a point a \
             game. Edge: how much better a side scores than the ratings promise. \
             p: chance of such a drop if the move lost no more than the null drop; q: p adjusted for all tests."
                .to_owned(),
        );
        notes.extend(answer.interval_level.map(|of_one| {
            format!(
                "The intervals of drops allow for the selection: each is one of {}, so that of all drops shown at most \
                 {} are expected to lie outside theirs. All other intervals [low, high] are 95 %.",
                level(of_one),
                percent(answer.settings.fdr)
            )
        }));
        notes.push(
            "The best reply was chosen on other games than its edge is taken from: each band and pace is scored with \
             the reply that all others chose."
                .to_owned(),
        );
        notes.push(words::ASSOCIATION.to_owned());
        let players_come_again = answer.found.iter().any(entry::shows_effective_games);
        notes.extend(players_come_again.then(words::as_good_as));
    }
    notes.extend(words::limits(&answer.limits));
    notes
}

#[cfg(test)]
mod tests;
