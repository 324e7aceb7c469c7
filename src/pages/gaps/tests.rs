use shakmaty::Color;

use super::*;
use crate::answers::gaps::{Settings, SpareLine, gaps};
use crate::answers::kit::ModelCounts;
use crate::answers::{Figure, Question};
use crate::counts::InMemory;
use crate::lines::Prepared;
use crate::pages::kit::printed;

fn answer(side: Color, text: &str) -> GapsAnswer {
    let file = Prepared::read(text).expect("a file of lines");
    let Ok(answer) =
        gaps(&InMemory::counting(30), &file, &Settings::of(side), &Question::default());
    answer
}

#[test]
fn without_games_nothing_is_concluded() {
    let answer = answer(Color::White, "1. e4 e5 2. Nf3 *");
    for rate in [&answer.answered, &answer.left, &answer.unknown, &answer.by_ply[0].answered] {
        assert_eq!((rate.value, rate.low, rate.n), (None, None, 0));
        assert_eq!(rate.withheld.as_ref().map(|why| why.code()), Some("no_games"));
    }
    assert_eq!((answer.by_ply[0].unknown, answer.spare.carry_95), (None, None));
    let page = printed(|out| text(out, &answer)).replace('\n', " ");
    assert!(page.contains("Unknown: games that come to a position"), "{page}");
    assert!(page.contains("Whether the file has a gap is not known: no games."), "{page}");
    for conclusion in
        ["Half of", "half of", "has no gap", "Every prepared", "carry 95 %", "[0.0", "100.0"]
    {
        assert!(!page.contains(conclusion), "{conclusion}: {page}");
    }
    assert!(svg(&answer).contains("unknown: no such games in the store"));
}

/// 40 of 100 games go on to 2. Nf3, behind which nothing is known.
#[test]
fn what_is_not_known_is_not_taken_for_staying_in_the_file() {
    let counts = ModelCounts::new().add(75, [1500, 1500], "1-0", "e4 e5 Nf3").add(
        25,
        [1500, 1500],
        "1-0",
        "e4 c5 Nf3",
    );
    let of = |min_sample| {
        let file = Prepared::read("1. e4 e5 2. Nf3 Nc6 3. Bb5 *").expect("a file of lines");
        let question = Question { min_sample, ..Question::default() };
        let Ok(answer) = gaps(&counts, &file, &Settings::of(Color::White), &question);
        let page = printed(|out| text(out, &answer)).replace('\n', " ");
        (answer, page)
    };
    let (answer, page) = of(50);
    assert_eq!((answer.left.value, answer.unknown.value), (Some(0.25), Some(0.75)));
    assert_eq!((answer.half_left_by, answer.spare.carry_95), (None, None));
    assert!(!page.contains("Fewer than half"), "{page}");
    assert!(page.contains("to say whether half of the games ever leave the file"), "{page}");
    assert!(!page.contains("Every prepared line") && !page.contains("carry 95 %"), "{page}");
    // Of too few games no sentence concludes either.
    let (answer, page) = of(200);
    assert_eq!((answer.left.value, answer.half_left_by), (None, None));
    for conclusion in ["Half of", "half of", "carry 95 %", "No prepared line is known"] {
        assert!(!page.contains(conclusion), "{conclusion}: {page}");
    }
}

#[test]
fn a_file_for_the_other_side_is_recognised() {
    let turned = answer(Color::Black, "1. e4 e5 (1... c5 2. Nf3) 2. Nf3 *");
    let page = printed(|out| text(out, &turned)).replace('\n', " ");
    assert!(page.contains("if it was prepared for White, say --as white"), "{page}");
    assert!(page.contains("In 1 position the file has several moves for Black"), "{page}");
}

/// Of 0 games in 12 nobody can say that a line comes up in fewer than 1 of 1,000.
#[test]
fn only_what_is_certain_to_be_rare_could_go() {
    let mut answer = answer(Color::White, "1. e4 e5 2. Nf3 *");
    let line = |line: &str, high, n, moves| SpareLine {
        line: line.to_owned(),
        met: Figure {
            value: Some(0.0),
            low: Some(0.0),
            high: Some(high),
            k: Some(0),
            n,
            n_eff: n as f64,
            withheld: None,
        },
        moves,
    };
    answer.spare.prepared_moves = 68;
    answer.spare.unused = vec![line("1. e4 a6", 0.25, 12, 4), line("1. e4 h5", 0.0009, 4000, 1)];
    let page = printed(|out| text(out, &answer)).replace('\n', " ");
    assert!(page.contains("in less than 1 of 1,000 games: 1 of 68 moves could go"), "{page}");
    assert!(page.contains("but too few games tell to drop them: 4 of 68 moves"), "{page}");
    answer.spare.unused.truncate(1);
    let page = printed(|out| text(out, &answer)).replace('\n', " ");
    assert!(page.contains("No prepared line is certain to come up in less than"), "{page}");
    assert!(!page.contains("could go"), "{page}");
}
