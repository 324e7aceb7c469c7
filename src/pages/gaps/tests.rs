use shakmaty::Color;

use super::*;
use crate::answers::Question;
use crate::answers::gaps::{Settings, gaps};
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
