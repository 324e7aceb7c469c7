use super::*;
use crate::games::scan::Scan;
use crate::games::span::Measures;

/// The tags of the first game, and where its movetext begins.
fn read(text: &str) -> (Tags<'_>, usize) {
    let mut tags = Tags::default();
    let mut set = |name: &[u8], value| tags.set(name, value);
    let game = Scan::new(0, Measures::FIXED).next_game(text.as_bytes(), false, &mut set);
    let movetext = game.map_or(text.len(), |game| game.movetext);
    (tags, movetext)
}

#[test]
fn pairs_may_share_a_line_or_spread_over_lines() {
    let (tags, end) = read("[ Event \"A\" ][Result\n\"1-0\"]\n\n1. e4");
    assert_eq!((tags.event, tags.result), (Some(&b"A"[..]), Some(&b"1-0"[..])));
    assert_eq!(end, 29);
}

#[test]
fn escapes_stay_in_the_value_and_are_undone_in_its_text() {
    let (tags, _) = read("[Event \"Quote \\\" and backslash \\\\ test\"]\n[Result \"*\"]\n");
    let event = tags.event.map(value_text);
    assert_eq!(event.as_deref(), Some("Quote \" and backslash \\ test"));
    assert_eq!(tags.result, Some(&b"*"[..]));
}

#[test]
fn an_unreadable_pair_costs_its_line_only() {
    let (tags, _) =
        read("[Event \"open\n[Result \"0-1\"]\n[]\n[Opening]\n[ECO \"A00\"\n[Date \"x\"]\n");
    assert_eq!((tags.event, tags.result), (None, Some(&b"0-1"[..])));
    assert_eq!((tags.eco, tags.date), (Some(&b"A00"[..]), Some(&b"x"[..])));
}

#[test]
fn a_quote_inside_a_value_costs_its_line_only() {
    let (tags, end) = read("[Opening \"An \"inner\" quote\"]\n[ECO \"A00\"]\n1. e4");
    assert_eq!((tags.opening, tags.eco, end), (None, Some(&b"A00"[..]), 41));
}

#[test]
fn a_pair_over_two_lines_that_cannot_be_read_costs_the_first_only() {
    let (tags, end) = read("[Event \"a\"]\n[Site\n\"open 1-0\n\n[ECO \"A00\"]\n");
    assert_eq!((tags.event, tags.eco, end), (Some(&b"a"[..]), None, 18));
}

#[test]
fn an_event_behind_an_empty_line_belongs_to_the_next_game() {
    let (tags, end) = read("[Event \"a\"]\n\n[Site \"b\"]\n\n[Event \"c\"]\n");
    assert_eq!((tags.event, end), (Some(&b"a"[..]), 25));
}

#[test]
fn escape_lines_between_tags_are_passed_over() {
    let (tags, _) = read("% [Event \"no\"]\n[Event \"yes\"]\n%x\n[ECO \"B00\"]\n");
    assert_eq!((tags.event, tags.eco), (Some(&b"yes"[..]), Some(&b"B00"[..])));
}
