//! What a person writes: traps, claims and prepared lines.

use std::collections::{BTreeMap, BTreeSet};

use deadfall::lines::{
    Claim, ClaimList, LONGEST_NAME, Line, MOST_HALF_MOVES, MOST_TRAPS, Prepared, PreparedPosition,
    Trap,
};
use deadfall::terms::Key;

/// Files of traps: each trap comes back when it is written by itself.
pub fn traps(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let read = Trap::read_all(&text);
    assert!(!read.is_empty() && read.len() <= MOST_TRAPS + 1);
    for trap in read.into_iter().chain(Trap::from_text(&text)) {
        let Ok(trap) = trap.map_err(|error| is_message(&error)) else { continue };
        is_line(trap.line());
        assert!(trap.slip_ply() + 1 < trap.line().len());
        assert!((1..=LONGEST_NAME + 20).contains(&trap.name().chars().count()), "{}", trap.name());
        let (slip, end) = (trap.slip_ply() + 1, trap.line().len());
        let alone = format!("{}?? {}", trap.line().text(0..slip), trap.line().text(slip..end));
        let again = Trap::from_text(&alone).remove(0).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!((again.line(), again.slip_ply()), (trap.line(), trap.slip_ply()), "{alone}");
    }
}

/// Files of claims: each claim means the same when it is read by itself.
pub fn claims(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let list = match ClaimList::read(&text) {
        Ok(list) => list,
        Err(error) => return is_message(&error),
    };
    assert!(!list.listed().is_empty());
    for listed in list.listed() {
        is_line(&listed.line);
        assert!(!listed.claims.is_empty() && listed.number <= text.lines().count());
        for claim in &listed.claims {
            assert_eq!(Claim::parse(&claim.text, listed.line.end()).as_ref(), Ok(claim));
        }
    }
}

/// Files of prepared lines: written one by one they are the same lines.
pub fn prepared(bytes: &[u8]) {
    let file = match Prepared::read(&String::from_utf8_lossy(bytes)) {
        Ok(file) => file,
        Err(error) => return is_message(&error),
    };
    // Every move behind the way to its position, so that all of them come back.
    let mut lines = Vec::new();
    for (place, position) in file.positions().iter().enumerate() {
        for mv in &position.moves {
            let mut line = file.line_to(place);
            line.play(mv.mv);
            is_line(&line);
            lines.push(line);
        }
    }
    if lines.is_empty() {
        return;
    }
    let alone: String = lines.iter().map(|line| format!("{line} *\n\n")).collect();
    let again = Prepared::read(&alone).unwrap_or_else(|error| panic!("{error}: {alone}"));
    assert_eq!(moves_of(&again), moves_of(&file), "{alone}");
}

/// The moves of every position, by its key.
fn moves_of(file: &Prepared) -> BTreeMap<Key, BTreeSet<String>> {
    let sans = |at: &PreparedPosition| at.moves.iter().map(|mv| format!("{:?}", mv.mv)).collect();
    file.positions().iter().map(|at| (at.key, sans(at))).collect()
}

fn is_line(line: &Line) {
    assert!(line.len() <= MOST_HALF_MOVES);
    assert_eq!(line.to_string().parse::<Line>().as_ref(), Ok(line));
}

/// A message is one line, and not as long as what it is about.
fn is_message(error: &impl std::error::Error) {
    let message = error.to_string();
    assert!(!message.is_empty() && !message.contains('\n') && message.len() < 8_000, "{message}");
}

/// The sample's traps, and texts with everything that means something in them.
pub fn trap_seeds() -> Vec<Vec<u8>> {
    let texts = [
        "[Event \"A \\\"b\\\"\"]\n[Setter \"White\"]\n\n1. e4 e5 2. Nf3 f6?? (2... Nc6 3. Bc4 Nd4?? 4. O-O) 3. Nxe5 $4 *\n",
        "1.e4 e5?{why} (1... c5 $2 2. Nf3) ; rest\n% escape\n2 . d4! 1/2-1/2\n\n1. d4 d5?? 2. c4",
        "\u{feff}Notes\n\n[Event \"x\"] [Site \"y\"]\n[FEN \"rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq - 0 1\"]\n\n1. f3 e5 2. g4?? Qh4#\n",
        "1. e4 {open\n\n[Event \"z\"]\n\n1... e5 7. Nf3?? 0000 1-0\n",
        "g1f3 g8f6 f3g1?? f6g8 b1c3 0-0-0 e7e8q e8=Q+ \u{bd}-\u{bd} \u{2026} +/-",
    ];
    let sample = include_bytes!("../../../data-samples/traps.pgn").to_vec();
    texts.iter().map(|text| text.as_bytes().to_vec()).chain([sample]).collect()
}

/// Lines of claims of every kind.
pub fn claim_seeds() -> Vec<Vec<u8>> {
    let texts = [
        "# said by many\nstart: e4 first; d4 second; Nf3 top 3\n1. e4 e5: Nf3 >= 40%; Nf3 > Bc4\n",
        "e4 c5  Nf3 score >= 55%; Nf3 edge > 0.05\ne4 e6\td4 about 90%;;d4 share < 1.0\r\n",
        "\u{feff}e4: 1... e5 10th\nf3 e5 g4 Qh4: e4 first\ne4 e5 \u{2265} 0.4: x\n: e4 <= -5%",
    ];
    texts.iter().map(|text| text.as_bytes().to_vec()).collect()
}
