use super::super::Line;
use super::*;

#[test]
fn several_claims_are_told_to_be_several() {
    assert_eq!(claim("Nf6 first;").kind, ClaimKind::Rank(1));
    let told = error("Nf6 first; d6 second");
    assert!(told.starts_with("claim 'Nf6 first; d6 second': these are several claims"), "{told}");
}

/// After 1. e4 e5 2. Nf3 Nc6 3. Bc4: Black to move, with Nf6, Be7 and d6 among the moves.
fn position() -> Chess {
    let line: Line = "e4 e5 Nf3 Nc6 Bc4".parse().expect("a line");
    line.end().clone()
}

fn claim(text: &str) -> Claim {
    Claim::parse(text, &position()).expect("a claim")
}

fn error(text: &str) -> String {
    Claim::parse(text, &position()).expect_err("no claim").to_string()
}

fn bound(relation: Relation, value: f64) -> Bound {
    Bound { relation, value }
}

#[test]
fn ranks_have_names_and_numbers() {
    assert_eq!(claim("Nf6 first").kind, ClaimKind::Rank(1));
    assert_eq!(claim("d6 Second").kind, ClaimKind::Rank(2));
    assert_eq!(claim("d7d6 10th").kind, ClaimKind::Rank(10));
    assert_eq!(claim("Nf6 top 3").kind, ClaimKind::Top(3));
}

#[test]
fn shares_compare_in_every_way_and_spacing() {
    let kind = |text: &str| claim(text).kind;
    assert_eq!(kind("Nf6 >= 40%"), ClaimKind::Share(bound(Relation::AtLeast, 0.4)));
    assert_eq!(kind("Nf6<=40%"), ClaimKind::Share(bound(Relation::AtMost, 0.4)));
    assert_eq!(kind("Nf6 \u{2265} 0.4"), ClaimKind::Share(bound(Relation::AtLeast, 0.4)));
    for text in ["Nf6 >= 40.0 %", "Nf6>=40 %", "Nf6 >= 40\u{a0}%", "Nf6 >= 2/5", "Nf6 >= 2 / 5"] {
        assert_eq!(kind(text), kind("Nf6 >= 40%"), "{text}");
    }
    assert_eq!(kind("Nf6 about 40%"), ClaimKind::Share(bound(Relation::About, 0.4)));
    assert_eq!(kind("Nf6 share > 12.5%"), ClaimKind::Share(bound(Relation::Above, 0.125)));
    assert_eq!(kind("Nf6 < 100%"), ClaimKind::Share(bound(Relation::Below, 1.0)));
}

#[test]
fn scores_and_edges_are_named() {
    let kind = |text: &str| claim(text).kind;
    assert_eq!(kind("Nf6 score >= 55%"), ClaimKind::Score(bound(Relation::AtLeast, 0.55)));
    assert_eq!(kind("Nf6 edge > 0"), ClaimKind::Edge(bound(Relation::Above, 0.0)));
    assert_eq!(kind("Nf6 edge>-0.05"), ClaimKind::Edge(bound(Relation::Above, -0.05)));
    assert_eq!(kind("Nf6 edge about +5%"), ClaimKind::Edge(bound(Relation::About, 0.05)));
}

#[test]
fn moves_compare_with_each_other() {
    let other = claim("Be7 first").mv;
    assert_eq!(claim("Nf6 > Be7").kind, ClaimKind::MoreThan(other));
    assert_eq!(claim("g8f6 < f8e7").kind, ClaimKind::LessThan(other));
    assert_eq!(error("Nf6 > g8f6"), "claim 'Nf6 > g8f6': 'g8f6' is not another move");
    assert_eq!(
        error("Nf6 >= Be7"),
        "claim 'Nf6 >= Be7': 'Be7' is not a share such as 40%; two moves compare with > or <"
    );
}

#[test]
fn the_move_is_resolved_and_the_text_kept() {
    let claim = claim(" 3... g8f6 first ");
    assert_eq!((claim.text.as_str(), claim.san.as_str()), ("3... g8f6 first", "Nf6"));
}

#[test]
fn a_number_must_be_that_of_the_position_and_no_word_is_quoted_to_its_end() {
    assert_eq!(error("7. Nf6 first"), "claim '7. Nf6 first': wrong number '7'; write 3... or none");
    for text in ["x".repeat(100_000), format!("Nf6 top {}", "9".repeat(100_000))] {
        assert!(error(&text).len() < 500);
    }
}

#[test]
fn an_illegal_move_names_the_legal_ones() {
    assert_eq!(
        error("Nf3 first"),
        "claim 'Nf3 first': no legal move 'Nf3' at Black's move 3 (half-move 6); \
         nearest legal knight moves: Na5, Nb4, Nb8, Nd4, Nf6, Nh6"
    );
}

#[test]
fn an_unknown_word_lists_what_can_be_said() {
    for (text, word) in [
        ("Nf6 best", "'best'"),
        ("first", "'first'"),
        ("Nf6", "the end"),
        ("Nf6 top", "the end"),
        ("Nf6 score >=", "the end"),
        ("", "the end"),
        ("Nf6 edge first", "'first'"),
        ("Nf6 first today", "'today'"),
        (">= 40%", "'>='"),
    ] {
        let error = error(text);
        let start = format!("claim '{text}': {word} is not understood; say 'Nf6 first'");
        assert!(error.starts_with(&start), "{error}");
    }
}

#[test]
fn numbers_must_make_sense() {
    for word in ["40", "140%", "-1%", "1", "nan%", "x", "%"] {
        let wanted = "a share or score between 0% and 100%, such as 40% or 0.4";
        let text = format!("Nf6 >= {word}");
        assert_eq!(error(&text), format!("claim '{text}': '{word}' is not {wanted}"));
    }
    for text in ["Nf6 top 0", "Nf6 top 256", "Nf6 top three"] {
        assert!(error(text).ends_with("is not a number of moves from 1 to 255"));
    }
    assert!(error("Nf6 edge > 2").ends_with("is not an edge between -1 and 1, such as 0.05 or 5%"));
}
