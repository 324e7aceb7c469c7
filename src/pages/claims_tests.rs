//! How claims and their answers are told.

use super::*;
use crate::answers::Sampling;
use crate::answers::claims::MovesAnswer;
use crate::pages::kit::{mean, moves_of_two, printed};
use crate::terms::MoverFilter;

/// A claim about a move with three of 303 games, and what is set besides.
fn claim(set: impl FnOnce(&mut ClaimAnswer)) -> ClaimAnswer {
    let mut claim = moves_of_two().claims.swap_remove(0);
    claim.because.share = Sampling::from(50).share(3, 303);
    set(&mut claim);
    claim
}

fn rival(san: &str, rank: usize, games: u64) -> Rival {
    Rival { san: san.into(), rank, share: Sampling::from(50).share(games, 303) }
}

fn report() -> ClaimReport {
    let MovesAnswer { table, mut claims } = moves_of_two();
    let answer = claims.swap_remove(0);
    let listed = |number, answer, line: &str| ListedClaim {
        number,
        line: line.into(),
        games: 303,
        n_eff: 303.0,
        may_lack: Lacking::NOTHING,
        answer,
    };
    let fails = claim(|claim| {
        claim.claim = "d4 first".into();
        claim.answer = Answer::Fails;
        claim.games_to_decide = None;
    });
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
    let want = "2 claims about players of all ratings, all paces: 1 failed, 1 undecided, 0 held.\n\n\
                line 3: start position (303 games)\n\"d4 first\": fails: played in 3 of 303 games, 1.0 [0.3, 3.0] %.\n\n\
                line 2: 1. e4 e5 2. Nf3 (303 games)\n\"Nc6 >= 98%\": undecided: ";
    assert!(page.starts_with(want), "{page}");
    assert!(page.contains("\"About\" means within 5 points."), "{page}");
}

#[test]
fn an_answer_tells_its_counts() {
    let played = "played in 3 of 303 games, 1.0 [0.3, 3.0] %";
    let said = |set: fn(&mut ClaimAnswer)| sentence(&claim(set));
    assert_eq!(said(|_| {}), played);
    let ranks = said(|c| c.because.ranks = Some(Ranks { played_more: 1, too_close: 0 }));
    assert_eq!(ranks, format!("{played}; 1 move surely played more, none too close to call"));
    let close = said(|c| {
        c.because.ranks = Some(Ranks { played_more: 0, too_close: 3 });
        c.because.too_close = vec![rival("c4", 2, 4)];
    });
    let want = "no move surely played more, too close to call: c4 and 2 other moves never played";
    assert_eq!(close, format!("{played}; {want}"));
    let other = said(|c| {
        (c.because.other_games, c.asked.other) = (Some(25), Some("Nf3".into()));
    });
    assert_eq!(other, format!("{played}; Nf3 in 25"));
    assert_eq!(
        said(|c| c.because.score = Some(mean(0.543, 0.51, 0.576, 300))),
        "54.3 [51.0, 57.6] % over 300 games"
    );
    assert_eq!(
        said(|c| c.because.edge = Some(mean(0.195, 0.077, 0.277, 60))),
        "+0.195 [+0.077, +0.277] over 60 games"
    );
}

#[test]
fn a_claim_that_fails_names_who_stands_there_instead() {
    let line = |measure, instead: Vec<Rival>| {
        claim_line(&claim(|c| {
            (c.claim, c.answer) = ("Qe7 first".into(), Answer::Fails);
            (c.asked.measure, c.asked.san) = (measure, "Qe7".into());
            c.because.ranks = Some(Ranks { played_more: 1, too_close: 0 });
            c.because.instead = instead;
        }))
    };
    let first = line(Measure::Rank, vec![rival("Nc6", 1, 122)]);
    assert!(
        first.starts_with("\"Qe7 first\": fails: Nc6 is first, 40.3 %; Qe7 played in 3"),
        "{first}"
    );
    let top = line(Measure::Top, vec![rival("Nc6", 1, 122), rival("d6", 2, 100)]);
    assert!(top.contains("fails: most played: Nc6 40.3 % and d6 33.0 %; Qe7 played"), "{top}");
}

#[test]
fn what_no_sensible_number_of_games_would_decide_is_said_in_words() {
    let end = |set: fn(&mut ClaimAnswer)| {
        let line = claim_line(&claim(set));
        line[line.rfind("]").expect("an interval")..].to_owned()
    };
    let far = end(|c| c.games_to_decide = Some(303 * FAR + 1));
    assert_eq!(far, "] %. It would take more than 20 times the games here.");
    assert_eq!(end(|c| c.practically_equal = true), "] %. It is practically 98.0 %.");
    let tie = end(|c| {
        (c.practically_equal, c.asked.measure) = (true, Measure::MoreThan);
        (c.asked.value, c.asked.other) = (None, Some("Qe7".into()));
    });
    assert_eq!(tie, "] %. Practically as popular as Qe7.");
}

#[test]
fn too_few_games_are_told_of_the_position_and_of_the_move() {
    let said = |set: fn(&mut ClaimAnswer)| sentence(&claim(set));
    let none = said(|c| c.because.share = Sampling::from(50).share(0, 0));
    assert_eq!(none, "no games in the position");
    let thin = said(|c| c.because.share = Sampling::from(50).with_effect(10.0).share(3, 303));
    assert!(thin.starts_with("too few games in the position: "), "{thin}");
    assert!(thin.contains("; played in 3 of 303 games (as good as 30), ["), "{thin}");
    let few = said(|c| c.because.score = Some(Sampling::from(50).mean(0, 25)));
    assert!(few.starts_with("too few games of the move: "), "{few}");
    assert_eq!(said(|c| c.because.edge = Some(Sampling::from(50).mean(0, 0))), "never played here");
}

#[test]
fn an_estimate_is_rounded_up_to_two_digits() {
    assert_eq!([7, 99, 100, 101, 20_345].map(rounded_up), [7, 99, 100, 110, 21_000]);
}
