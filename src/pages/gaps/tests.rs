use shakmaty::Color;

use super::*;
use crate::answers::gaps::{Settings, SpareLine, gaps};
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
fn without_games_everything_is_unknown_and_the_page_says_so() {
    let answer = answer(Color::White, "1. e4 e5 2. Nf3 *");
    assert_eq!((answer.unknown.value, answer.answered.value), (Some(1.0), Some(0.0)));
    let page = printed(|out| text(out, &answer));
    assert!(page.contains("Unknown: games that come to a position"), "{page}");
    assert!(page.contains("The file has no gap."), "{page}");
    assert!(svg(&answer).contains("unknown: no such games in the store"));
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
