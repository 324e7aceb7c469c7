//! What holds for every line and every text.

use proptest::prelude::*;
use shakmaty::{CastlingMode, Position};

use super::{Claim, Line, TextPlace, Trap};

/// Legal moves chosen by numbers, up to the end of the game.
fn line(choices: Vec<usize>) -> Line {
    let mut line = Line::default();
    for choice in choices {
        let legal = line.end().legal_moves();
        if legal.is_empty() {
            break;
        }
        line.play(legal[choice % legal.len()]);
    }
    line
}

/// Words as they occur in movetexts, and letters that mean something there.
fn text() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        "(e4|e5|Nf3|Nc6|d4|exd4|O-O|0-0|e2e4|[a-h][1-8]|[KQRBN]x?[a-h][1-8][+#]?)",
        "([0-9]{1,2}[.]{0,3}|[?!]{1,3}|[$][0-9]{0,2}|1-0|[*]|½-½|=|…)",
        "([(]|[)]|[{]|[}]|;|\n|\n\n|%|\\[|\\[Event \"x\"\\]\n|\\[Setter \"White\"\\]|first|>= 40%)",
        "\\PC{0,3}",
    ];
    prop::collection::vec((piece, prop_oneof![Just(""), Just(" "), Just("\n")]), 0..30)
        .prop_map(|words| words.into_iter().map(|(word, gap)| word + gap).collect())
}

proptest! {
    #[test]
    fn a_line_comes_back_from_its_text(choices in prop::collection::vec(any::<usize>(), 0..60)) {
        let line = line(choices);
        let uci = line.moves().iter().map(|mv| mv.to_uci(CastlingMode::Standard).to_string());
        for text in [line.to_string(), uci.collect::<Vec<_>>().join(" ")] {
            let read = text.parse::<Line>();
            prop_assert_eq!(read.as_ref(), Ok(&line), "{}", text);
        }
    }

    #[test]
    fn no_text_brings_the_readers_down(text in text()) {
        let errors = [
            text.parse::<Line>().err().map(|error| error.to_string()),
            Line::from_fen(&text, &text).err().map(|error| error.to_string()),
            Claim::parse(&text, Line::default().start()).err().map(|error| error.to_string()),
        ];
        prop_assert!(errors.into_iter().flatten().all(|error| !error.is_empty()));
        for trap in Trap::read_all(&text).into_iter().chain(Trap::from_text(&text)) {
            match trap {
                Ok(trap) => prop_assert!(trap.slip_ply() + 1 < trap.line().len()),
                Err(error) => prop_assert!(error.place == TextPlace::Whole
                    || error.to_string().contains(": ")),
            }
        }
    }
}
