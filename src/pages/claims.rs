//! Claims and their answers.

use std::io::{self, Write};

use serde_json::json;

use super::figures::{Unit, reason};
use super::layout::paragraph;
use super::numbers::{as_good, count, counted, decimals, fixed};
use super::output::{merged, table};
use super::words::{self, clean};
use crate::answers::claims::{
    Answer, Asked, Because, ClaimAnswer, ClaimReport, FAR, ListedClaim, Measure, Ranks, Rival,
};
use crate::answers::{Figure, Withheld};
use crate::counts::Lacking;

/// The report on a list of claims for people: what fails first, then what is undecided, then what
/// holds.
pub fn text<W: Write>(mut out: W, report: &ClaimReport) -> io::Result<()> {
    let ClaimReport { hold, fail, undecided, .. } = *report;
    let claims = counted(report.claims.len() as u64, "claim");
    let movers = words::filter(report.filter);
    let head =
        format!("{claims} about {movers}: {fail} failed, {undecided} undecided, {hold} held.");
    let mut page = paragraph(&head, 0);
    for wanted in [Answer::Fails, Answer::Undecided, Answer::Holds] {
        let of_kind = report.claims.iter().filter(|claim| claim.answer.answer == wanted);
        for claim in of_kind {
            page.push('\n');
            page += &paragraph(&place(claim), 4);
            page += &paragraph(&claim_line(&claim.answer), 4);
        }
    }
    page.push('\n');
    notes(report).iter().for_each(|note| page += &paragraph(note, 0));
    out.write_all(page.as_bytes())
}

/// One row a claim, in the order of the list; what was asked and what it was judged by in
/// full precision.
pub fn csv<W: Write>(out: W, claims: &[ListedClaim]) -> io::Result<()> {
    let names = |moves: &[Rival]| -> String {
        moves.iter().map(|rival| rival.san.as_str()).collect::<Vec<_>>().join(" ")
    };
    let row = |claim: &ListedClaim| {
        let ClaimAnswer { asked, because, .. } = &claim.answer;
        let told = json!({
            "asked": asked.value, "because": sentence(&claim.answer),
            "instead": names(&because.instead), "too_close": names(&because.too_close),
        });
        merged(merged(asked, json!(because.figure())), merged(claim, told))
    };
    table(out, &COLUMNS, claims.iter().map(row))
}

#[rustfmt::skip]
const COLUMNS: [&str; 22] = [
    "number", "line", "claim", "answer", "games", "n_eff", "games_to_decide", "because",
    "san", "measure", "relation", "asked", "within", "other", "value", "low", "high", "k", "n",
    "practically_equal", "instead", "too_close",
];

/// `"Nf6 first": holds: ...`, and what would decide it.
pub(super) fn claim_line(claim: &ClaimAnswer) -> String {
    let said = format!("\"{}\": {}", clean(&claim.claim), name(claim.answer));
    let line = format!("{said}: {}.", sentence(claim));
    if claim.answer != Answer::Undecided {
        return line;
    }
    let outlook = match claim.games_to_decide {
        _ if claim.practically_equal => practically(claim),
        None => "How many would decide it cannot be said.".to_owned(),
        Some(games) if games > FAR * claim.because.share.n => {
            format!("It would take more than {FAR} times the games here.")
        }
        Some(games) => {
            let games = count(rounded_up(games));
            format!("About {games} games here would decide it, if everything stays as it is.")
        }
    };
    format!("{line} {outlook}")
}

/// That what is compared is the same but for what nobody would care about.
fn practically(claim: &ClaimAnswer) -> String {
    let Asked { measure, value, other, .. } = &claim.asked;
    let rivals = || claim.because.too_close.iter().map(|rival| clean(&rival.san));
    let all: Vec<String> = other.iter().map(|other| clean(other)).chain(rivals()).collect();
    match (measure, value) {
        (Measure::Share | Measure::Score, Some(value)) => {
            format!("It is practically {}.", percent(*value))
        }
        (Measure::Edge, Some(value)) => format!("It is practically {value:+.3}."),
        _ if all.is_empty() => "Practically as rare as moves that were never played.".to_owned(),
        _ => format!("Practically as popular as {}.", listed(&all, "and")),
    }
}

/// `c4, d4 and Nf3`; of many the first five.
fn listed(moves: &[String], last: &str) -> String {
    const MOST: usize = 5;
    match moves {
        [] => String::new(),
        [one] => one.clone(),
        _ if moves.len() > MOST => {
            format!("{} and {} more", moves[..MOST].join(", "), moves.len() - MOST)
        }
        [rest @ .., end] => format!("{} {last} {end}", rest.join(", ")),
    }
}

/// Why there is no share of anything here.
fn none_here(share: &Figure) -> String {
    match share.withheld.as_ref().and_then(Withheld::beyond) {
        Some(beyond) => format!("the position is not counted: {}", words::not_counted(beyond)),
        None => "no games in the position".to_owned(),
    }
}

/// What a claim was judged by, with counts and intervals.
fn sentence(claim: &ClaimAnswer) -> String {
    let Because { share, ranks, instead, too_close, other_games, score, edge } = &claim.because;
    if let Some(mean) = score.as_ref().or(edge.as_ref()) {
        return match &mean.withheld {
            Some(_) if share.n == 0 => none_here(share),
            Some(_) if mean.n == 0 => "never played here".to_owned(),
            Some(why) => format!("too few games of the move: {}", reason(why)),
            None if score.is_some() => {
                format!("{} over {}", line(Unit::Percent, mean), games(mean))
            }
            None => {
                let [value, low, high] = [mean.value, mean.low, mean.high]
                    .map(|x| x.map_or("-".to_owned(), |x| format!("{x:+.3}")));
                format!("{value} [{low}, {high}] over {}", games(mean))
            }
        };
    }
    if share.n == 0 {
        return none_here(share);
    }
    let played = format!("played in {} of {}", count(share.k.unwrap_or(0)), games(share));
    let played = format!("{played}, {}", line(Unit::Share, share));
    if let Some(why) = &share.withheld {
        return format!("too few games in the position: {}; {played}", reason(why));
    }
    match (ranks, other_games) {
        (Some(ranks), _) => {
            let holder = holder(claim.asked.measure, instead);
            let subject =
                if holder.is_empty() { String::new() } else { clean(&claim.asked.san) + " " };
            format!("{holder}{subject}{played}; {}", told(*ranks, too_close))
        }
        (None, Some(games)) => {
            let other = claim.asked.other.as_deref().map_or("the other".to_owned(), clean);
            format!("{played}; {other} in {}", count(*games))
        }
        (None, None) => played,
    }
}

/// `e5 is first, 40.4 %; `, empty where nobody stands there instead.
fn holder(measure: Measure, instead: &[Rival]) -> String {
    const PLACES: [&str; 10] = [
        "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth",
        "tenth",
    ];
    let share = |rival: &Rival| rival.share.value.map_or("-".to_owned(), percent);
    match (measure, instead) {
        (_, []) => String::new(),
        (Measure::Rank, [one, ..]) => {
            format!(
                "{} is {}, {}; ",
                clean(&one.san),
                PLACES[one.rank.clamp(1, 10) - 1],
                share(one)
            )
        }
        (_, moves) => {
            let moves: Vec<String> = moves
                .iter()
                .map(|rival| format!("{} {}", clean(&rival.san), share(rival)))
                .collect();
            format!("most played: {}; ", listed(&moves, "and"))
        }
    }
}

/// How many moves are surely played more, and which are too close to call.
fn told(Ranks { played_more, too_close: close }: Ranks, too_close: &[Rival]) -> String {
    let more = match played_more {
        0 => "no move surely played more".to_owned(),
        more => format!("{} surely played more", counted(more as u64, "move")),
    };
    let mut names: Vec<String> = too_close.iter().map(|rival| clean(&rival.san)).collect();
    let never = close.saturating_sub(names.len()) as u64;
    if never > 0 {
        let others = if names.is_empty() { "" } else { "other " };
        let noun = format!("{others}move");
        names.push(counted(never, &noun) + " never played");
    }
    match close {
        0 => format!("{more}, none too close to call"),
        _ => format!("{more}, too close to call: {}", listed(&names, "and")),
    }
}

/// `31.2 [28.0, 34.6] %`, without a value where it is thin.
fn line(unit: Unit, figure: &Figure) -> String {
    let view = unit.view(figure);
    view.line() + view.mark()
}

/// `334 games (as good as 210)`.
fn games(figure: &Figure) -> String {
    let good = as_good(figure.n, figure.n_eff);
    counted(figure.n, "game") + &good.map_or(String::new(), |good| format!(" ({good})"))
}

/// A fraction as a percentage: `31.2 %`, `0.043 %`.
fn percent(fraction: f64) -> String {
    let percent = 100.0 * fraction;
    format!("{} %", fixed(percent, decimals(percent)))
}

fn name(answer: Answer) -> &'static str {
    match answer {
        Answer::Holds => "holds",
        Answer::Fails => "fails",
        Answer::Undecided => "undecided",
    }
}

/// To two digits: an estimate is no more exact than that.
fn rounded_up(games: u64) -> u64 {
    let mut unit = 1;
    while games / unit >= 100 {
        unit *= 10;
    }
    games.div_ceil(unit) * unit
}

fn place(claim: &ListedClaim) -> String {
    let line = if claim.line.is_empty() { "start position".into() } else { clean(&claim.line) };
    let lack = match claim.may_lack {
        Lacking::NOTHING => String::new(),
        Lacking::UpTo(games) => format!(", up to {games} may be missing"),
        Lacking::NotCounted(beyond) => format!(": {}", words::not_counted(beyond)),
    };
    let good = as_good(claim.games, claim.n_eff).map_or(String::new(), |good| format!(", {good}"));
    format!("line {}: {line} ({}{good}{lack})", claim.number, counted(claim.games, "game"))
}

fn notes(report: &ClaimReport) -> Vec<String> {
    let mut notes = vec![format!(
        "A claim holds if the whole 95 % interval agrees, fails if none of it does, and is \
             undecided otherwise, or with fewer than {} of different players. \"About\" means within {} points.",
        counted(report.min_sample, "game"),
        // Points as typed, without the noise of the division.
        (report.about * 1e8).round() / 1e6
    )];
    if report.claims.len() > 1 {
        notes.push(
            "Of many claims some hold or fail by chance: a 95 % interval misses one time in twenty."
                .into(),
        );
    }
    let again = |claim: &ListedClaim| as_good(claim.games, claim.n_eff).is_some();
    if report.claims.iter().any(again) {
        notes.push(words::as_good_as());
    }
    notes.extend(words::limits(&report.limits));
    notes
}

#[cfg(test)]
#[path = "claims_tests.rs"]
mod tests;
