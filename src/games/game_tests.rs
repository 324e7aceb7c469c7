use super::*;
use crate::games::GameReader;
use crate::terms::{Pace, PaceSet};

const GOOD: &str = "[Result \"1-0\"]\n[WhiteElo \"1500\"]\n[BlackElo \"1600\"]\n[UTCDate \"2031.05.01\"]\n[TimeControl \"300+3\"]\n";

/// The reason in the tags, if there is one.
fn judge(more: &str, rules: &Rules) -> Option<LeftOut> {
    let text = format!("{GOOD}{more}");
    let mut reader = GameReader::new(text.as_bytes());
    // The movetext is missing, which is told only of a game that its tags let count.
    match reader.next_game(rules, |_, _| Ok(()))?.verdict {
        Err(LeftOut::Broken) => None,
        verdict => verdict.err(),
    }
}

#[test]
fn each_reason_is_found_by_its_tag() {
    let rows = [
        ("", None),
        ("[Variant \"Standard\"]", None),
        ("[Variant \"chess\"]", None),
        ("[FEN \"rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq - 0 1\"]", None),
        ("[Result \" 1-0 \"]", None),
        ("[WhiteElo \"0850\"]", None),
        ("[WhiteTitle \"FM\"]", None),
        ("[Termination \"Time forfeit\"]", None),
        ("[Event \"Unratedness and casualty\"]", None),
        ("[Variant \"Atomic\"]", Some(LeftOut::Variant)),
        ("[SetUp \"1\"]", Some(LeftOut::Variant)),
        ("[FEN \"4k3/8/8/8/8/8/4P3/4K3 w - - 5 39\"]", Some(LeftOut::Variant)),
        ("[Result \"*\"]", Some(LeftOut::NoResult)),
        ("[Result \"1/2\"]", Some(LeftOut::NoResult)),
        ("[WhiteElo \"?\"]", Some(LeftOut::NoRating)),
        ("[BlackElo \"4000\"]", Some(LeftOut::NoRating)),
        ("[BlackElo \"0\"]", Some(LeftOut::NoRating)),
        ("[BlackElo \"65536000001500\"]", Some(LeftOut::NoRating)),
        ("[BlackTitle \"BOT\"]", Some(LeftOut::Computer)),
        ("[Termination \"ABANDONED\"]", Some(LeftOut::NotPlayedOut)),
        ("[Termination \"rules infraction\"]", Some(LeftOut::NotPlayedOut)),
        ("[Event \"A casual game\"]", Some(LeftOut::Unrated)),
        ("[Event \"UNRATED\"]", Some(LeftOut::Unrated)),
    ];
    for (more, expected) in rows {
        assert_eq!(judge(more, &Rules::default()), expected, "{more}");
    }
}

#[test]
fn asked_for_bounds_leave_games_out() {
    let june = Rules { since: "2031-06".parse().ok(), ..Rules::default() };
    let april = Rules { until: "2031-04".parse().ok(), ..Rules::default() };
    let rapid = Rules { paces: [Pace::Rapid].into_iter().collect::<PaceSet>(), ..Rules::default() };
    let close = Rules { max_gap: Some(99), ..Rules::default() };
    assert_eq!(judge("", &june), Some(LeftOut::OutsideDates));
    assert_eq!(judge("", &april), Some(LeftOut::OutsideDates));
    assert_eq!(judge("[UTCDate \"2031.??.??\"]", &april), Some(LeftOut::OutsideDates));
    assert_eq!(judge("", &rapid), Some(LeftOut::OtherPace));
    assert_eq!(judge("", &close), Some(LeftOut::RatingGap));
}

#[test]
fn a_long_opening_tag_is_no_name() {
    let name = |length: usize| {
        let text = format!("{GOOD}[Opening \"{}\"]\n\n1. e4 1-0", "x".repeat(length));
        let mut reader = GameReader::new(text.as_bytes());
        let game = reader.next_game(&Rules::default(), |_, _| Ok(())).expect("there is one");
        game.verdict.expect("it counts").0.opening_tag().map(|tag| tag.name.len())
    };
    assert_eq!((name(255), name(256)), (Some(255), None));
}

#[test]
fn the_first_reason_wins() {
    assert_eq!(judge("[Variant \"x\"]\n[Result \"*\"]", &Rules::default()), Some(LeftOut::Variant));
    assert_eq!(
        judge("[WhiteElo \"\"]\n[WhiteTitle \"BOT\"]", &Rules::default()),
        Some(LeftOut::NoRating)
    );
}
