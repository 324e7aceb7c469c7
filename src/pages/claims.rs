//! Claims and their answers.

use std::io::{self, Write};

use super::figures::reason;
use super::layout::paragraph;
use super::numbers::{as_good, count, counted};
use super::output::Rows;
use super::words::{self, clean};
use crate::answers::Figure;
use crate::answers::claims::{Answer, Because, ClaimAnswer, ClaimReport, ListedClaim, Ranks};

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

/// One row a claim, in the order of the list.
pub fn csv<W: Write>(out: W, report: &ClaimReport) -> io::Result<()> {
    let head =
        ["number", "line", "claim", "answer", "games", "n_eff", "games_to_decide", "because"];
    let mut rows = Rows::new(out, &head)?;
    for claim in &report.claims {
        let ClaimAnswer { claim: text, answer, because, games_to_decide } = &claim.answer;
        let because = sentence(because);
        rows.row(&[
            claim.number.to_string(),
            claim.line.clone(),
            text.clone(),
            name(*answer).to_owned(),
            claim.games.to_string(),
            claim.n_eff.to_string(),
            games_to_decide.map_or(String::new(), |games| games.to_string()),
            because,
        ])?;
    }
    rows.finish()
}

/// `"Nf6 first": holds: ...`, and what would decide it.
pub(super) fn claim_line(claim: &ClaimAnswer) -> String {
    let said = format!("\"{}\": {}", clean(&claim.claim), name(claim.answer));
    let line = format!("{said}: {}.", sentence(&claim.because));
    match (claim.answer, claim.games_to_decide) {
        (Answer::Undecided, Some(games)) => {
            let games = count(rounded_up(games));
            format!(
                "{line} About {games} games here would decide it, if everything stays as it is."
            )
        }
        (Answer::Undecided, None) => format!("{line} How many would decide it cannot be said."),
        _ => line,
    }
}

/// What a claim was judged by, with counts and intervals.
fn sentence(because: &Because) -> String {
    let Because { share, ranks, other_games, score, edge } = because;
    if let Some(mean) = score.as_ref().or(edge.as_ref()) {
        return match &mean.withheld {
            Some(_) if share.n == 0 => "no games in the position".to_owned(),
            Some(_) if mean.n == 0 => "never played here".to_owned(),
            Some(why) => format!("too few games of the move: {}", reason(why)),
            None if score.is_some() => format!("{} over {}", interval(mean, percent), games(mean)),
            None => format!("{} over {}", interval(mean, |x| format!("{x:+.3}")), games(mean)),
        };
    }
    if share.n == 0 {
        return "no games in the position".to_owned();
    }
    let played = format!("played in {} of {}", count(share.k.unwrap_or(0)), games(share));
    let played = format!("{played}, {}", interval(share, percent));
    if let Some(why) = &share.withheld {
        return format!("too few games in the position: {}; {played}", reason(why));
    }
    match (ranks, other_games) {
        (Some(Ranks { played_more, too_close }), _) => {
            let moves = if *played_more == 1 { "move" } else { "moves" };
            format!(
                "{played}; {played_more} {moves} surely played more, {too_close} too close to tell"
            )
        }
        (None, Some(games)) => format!("{played}; the other in {}", count(*games)),
        (None, None) => played,
    }
}

/// `31.2 % [28.0 %, 34.6 %]`, without a value where it is thin.
fn interval(figure: &Figure, write: impl Fn(f64) -> String) -> String {
    let [low, high] = [figure.low, figure.high].map(|x| x.map_or("-".to_owned(), &write));
    let value = figure.value.map_or(String::new(), |value| write(value) + " ");
    format!("{value}[{low}, {high}]")
}

/// `334 games (as good as 210)`.
fn games(figure: &Figure) -> String {
    let good = as_good(figure.n, figure.n_eff);
    counted(figure.n, "game") + &good.map_or(String::new(), |good| format!(" ({good})"))
}

/// A fraction as a percentage with about three digits: `31.2 %`, `0.043 %`.
fn percent(fraction: f64) -> String {
    let percent = 100.0 * fraction;
    let digits = match percent {
        p if p >= 10.0 || p == 0.0 => 1,
        p if p >= 1.0 => 2,
        _ => 3,
    };
    format!("{percent:.digits$} %")
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
        0 => String::new(),
        games => format!(", up to {games} may be missing"),
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
mod tests {
    use super::*;
    use crate::answers::Sampling;
    use crate::answers::claims::MovesAnswer;
    use crate::pages::kit::{mean, moves_of_two, printed};
    use crate::terms::MoverFilter;

    /// Three of 303 games, and what is set besides.
    fn because(set: impl FnOnce(&mut Because)) -> Because {
        let share = Sampling::from(50).share(3, 303);
        let mut because =
            Because { share, ranks: None, other_games: None, score: None, edge: None };
        set(&mut because);
        because
    }

    fn report() -> ClaimReport {
        let MovesAnswer { table, mut claims } = moves_of_two();
        let answer = claims.swap_remove(0);
        let listed = |number, answer, line: &str| ListedClaim {
            number,
            line: line.into(),
            games: 303,
            n_eff: 303.0,
            may_lack: 0,
            answer,
        };
        let fails = ClaimAnswer {
            claim: "d4 first".into(),
            answer: Answer::Fails,
            because: because(|_| {}),
            games_to_decide: None,
        };
        ClaimReport {
            filter: MoverFilter::ALL,
            min_sample: 50,
            about: 0.05,
            hold: 0,
            fail: 1,
            undecided: 1,
            claims: vec![listed(2, answer, "1. e4 e5 2. Nf3"), listed(3, fails, "")],
            limits: table.limits,
        }
    }

    #[test]
    fn failing_claims_come_first() {
        let page = printed(|out| text(out, &report()));
        let want = "2 claims about movers of all ratings, all paces: 1 failed, 1 undecided, 0 held.\n\n\
                    line 3: start position (303 games)\n\"d4 first\": fails: played in 3 of 303 games, 0.990 % [0.324 %, 2.98 %].\n\n\
                    line 2: 1. e4 e5 2. Nf3 (303 games)\n\"Nc6 >= 98%\": undecided: ";
        assert!(page.starts_with(want), "{page}");
        assert!(page.contains("\"About\" means within 5 points."), "{page}");
    }

    #[test]
    fn the_csv_has_one_row_a_claim_in_their_order() {
        let page = printed(|out| csv(out, &report()));
        let rows: Vec<&str> = page.lines().collect();
        assert_eq!(rows[0], "number,line,claim,answer,games,n_eff,games_to_decide,because");
        assert!(rows[1].starts_with("2,1. e4 e5 2. Nf3,Nc6 >= 98%,undecided,303,303,7"));
        let because = "\"played in 3 of 303 games, 0.990 % [0.324 %, 2.98 %]\"";
        assert_eq!(rows[2], format!("3,,d4 first,fails,303,303,,{because}"));
    }

    #[test]
    fn an_answer_tells_its_counts() {
        let played = "played in 3 of 303 games, 0.990 % [0.324 %, 2.98 %]";
        let said = |set: fn(&mut Because)| sentence(&because(set));
        assert_eq!(said(|_| {}), played);
        let ranks = said(|b| b.ranks = Some(Ranks { played_more: 1, too_close: 0 }));
        assert_eq!(ranks, format!("{played}; 1 move surely played more, 0 too close to tell"));
        assert_eq!(said(|b| b.other_games = Some(25)), format!("{played}; the other in 25"));
        assert_eq!(
            said(|b| b.score = Some(mean(0.543, 0.51, 0.576, 300))),
            "54.3 % [51.0 %, 57.6 %] over 300 games"
        );
        assert_eq!(
            said(|b| b.edge = Some(mean(0.195, 0.077, 0.277, 60))),
            "+0.195 [+0.077, +0.277] over 60 games"
        );
    }

    #[test]
    fn too_few_games_are_told_of_the_position_and_of_the_move() {
        let said = |set: fn(&mut Because)| sentence(&because(set));
        let none = said(|b| b.share = Sampling::from(50).share(0, 0));
        assert_eq!(none, "no games in the position");
        let thin = said(|b| b.share = Sampling::from(50).with_effect(10.0).share(3, 303));
        let want = "too few games in the position: only 303 games (as good as 30); played in 3 of 303 games (as good as 30), [";
        assert!(thin.starts_with(want), "{thin}");
        let few = said(|b| b.score = Some(Sampling::from(50).mean(0, 25)));
        assert_eq!(few, "too few games of the move: only 25 games");
        assert_eq!(said(|b| b.edge = Some(Sampling::from(50).mean(0, 0))), "never played here");
    }

    #[test]
    fn an_estimate_is_rounded_up_to_two_digits() {
        assert_eq!([7, 99, 100, 101, 20_345].map(rounded_up), [7, 99, 100, 110, 21_000]);
    }
}
