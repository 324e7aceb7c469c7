//! Our reader of games against pgn-reader, on the same movetexts, whole and damaged.
//!
//! The rule: within the counted half-moves both give the same moves. pgn-reader steps over what it
//! cannot read without a word, where ours ends the game there and counts it as illegal; so where
//! ours ends early, the moves before are compared, less the last one, to which the unreadable
//! letters may be glued. And where ours finds a movetext whole, pgn-reader met that same end marker
//! last. What the two read differently on purpose is left out of the damage: `$` (the standard ends
//! a NAG at its last digit, pgn-reader at the next space), vertical tabs and form feeds (white space
//! by the standard, junk to pgn-reader), and two check signs on one move (ours takes the move).

use std::fs::File;
use std::io::Read;
use std::ops::ControlFlow;
use std::path::Path;

use deadfall::counts::{MoveCode, TimeControl};
use deadfall::games::Movetext;
use deadfall::plies::Replayer;
use pgn_reader::{KnownOutcome, Outcome, Reader, SanPlus, Visitor};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use shakmaty::{Chess, Color, Position};

use crate::kit::{golden, random_game, real_dump};

const HALF_MOVES: usize = 30;

/// Moves and end marker as pgn-reader hands them over, up to where it gives up.
#[derive(Default)]
struct Theirs {
    moves: Vec<SanPlus>,
    marker: Option<&'static [u8]>,
}

impl Visitor for Theirs {
    type Tags = ();
    type Movetext = ();
    type Output = ();

    fn begin_tags(&mut self) -> ControlFlow<(), ()> {
        ControlFlow::Continue(())
    }

    fn begin_movetext(&mut self, (): ()) -> ControlFlow<(), ()> {
        ControlFlow::Continue(())
    }

    fn san(&mut self, (): &mut (), san: SanPlus) -> ControlFlow<()> {
        self.moves.push(san);
        ControlFlow::Continue(())
    }

    fn outcome(&mut self, (): &mut (), outcome: Outcome) -> ControlFlow<()> {
        self.marker = Some(match outcome {
            Outcome::Known(KnownOutcome::Draw) => b"1/2-1/2",
            Outcome::Known(KnownOutcome::Decisive { winner: Color::White }) => b"1-0",
            Outcome::Known(KnownOutcome::Decisive { winner: Color::Black }) => b"0-1",
            Outcome::Unknown => b"*",
        });
        ControlFlow::Continue(())
    }

    fn end_game(&mut self, (): ()) {}
}

impl Theirs {
    fn of(movetext: &[u8]) -> Theirs {
        let mut theirs = Theirs::default();
        // An unterminated comment is an error here; what came before it was handed over.
        let _ = Reader::new(movetext).read_game(&mut theirs);
        theirs
    }

    /// The legal moves within the half-moves, up to the first that is not.
    fn played(&self) -> Vec<MoveCode> {
        let mut position = Chess::default();
        let legal = |san: &SanPlus| {
            let mv = san.san.to_move(&position).ok()?;
            position.play_unchecked(mv);
            Some(MoveCode::of(mv))
        };
        self.moves.iter().take(HALF_MOVES).map_while(legal).collect()
    }
}

/// Reads a movetext with both and compares by the rule; whether ours read it to its end.
#[track_caller]
fn compare(replayer: &mut Replayer, text: &[u8]) -> bool {
    let shown = || String::from_utf8_lossy(text).into_owned();
    let (mut movetext, theirs) = (Movetext::new(text, 0), Theirs::of(text));
    let played = replayer.play(&mut movetext, HALF_MOVES, TimeControl::UNKNOWN);
    let ours = played.map(|plies| plies.iter().map(|ply| ply.code).collect::<Vec<_>>());
    match &ours {
        Ok(ours) => assert_eq!(ours, &theirs.played(), "{}", shown()),
        Err(illegal) => {
            let common = illegal.ply.saturating_sub(1);
            let (mut again, mut position) = (Movetext::new(text, 0), Chess::default());
            for ply in 0..common {
                let word = again.next_move().expect("it was there before").san;
                let san = SanPlus::from_ascii(word).map(|plus| plus.san);
                let castle = word.starts_with(b"0-0");
                let mv =
                    theirs.moves.get(ply).and_then(|theirs| theirs.san.to_move(&position).ok());
                let mv = mv.unwrap_or_else(|| panic!("no move {ply} in pgn-reader: {}", shown()));
                let same = castle || san.is_ok_and(|san| san.to_move(&position) == Ok(mv));
                assert!(same, "ply {ply}: {}", shown());
                position.play_unchecked(mv);
            }
        }
    }
    let ending = movetext.finish();
    if ours.is_ok() && ending.closed && ending.marker.is_some() {
        assert_eq!(ending.marker, theirs.marker, "{}", shown());
    }
    ours.is_ok()
}

/// The movetexts of a well-formed dump: what stands behind each tag section.
fn movetexts(dump: &[u8]) -> Vec<Vec<u8>> {
    let text = String::from_utf8_lossy(dump).replace("\r\n", "\n");
    let is_movetext = |part: &&str| !part.starts_with('[') && !part.trim().is_empty();
    text.split("\n\n")
        .filter(is_movetext)
        .map(|part| format!("{}\n\n", part.trim()).into())
        .collect()
}

fn sample() -> Vec<Vec<u8>> {
    let mut chance = ChaCha8Rng::seed_from_u64(7);
    let random: String = (0..150).map(|_| random_game(&mut chance, 60).to_string()).collect();
    let played = real_dump().map_or_else(Vec::new, |dump| movetexts(&dump));
    [movetexts(random.as_bytes()), played, invented()].concat()
}

/// The first games of the sample dump.
fn invented() -> Vec<Vec<u8>> {
    let path =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("data-samples/harbour-league-2031-05.pgn.zst");
    let file = File::open(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let mut text = Vec::new();
    let decoder = zstd::Decoder::new(file).expect("it is zstd");
    decoder.take(600_000).read_to_end(&mut text).expect("it can be read");
    let end = deadfall::games::last_cut(&text).expect("it holds several games");
    movetexts(&text[..end])
}

/// The same text with some bytes exchanged, or cut off. The first byte stays: a movetext that
/// begins with a bracket would be tags.
fn damaged(text: &[u8], chance: &mut impl rand::Rng) -> Vec<u8> {
    const LIKELY: &[u8] = b"{}()[]<>;%*\"\n\r.!? +#=-xO0128abehNBRQK/_";
    let mut text = text.to_vec();
    // Most of the text lies behind the counted moves; damage in front matters most.
    let reach = if chance.random_bool(0.7) { text.len().min(400) } else { text.len() };
    for _ in 0..chance.random_range(1..4) {
        let at = chance.random_range(1..reach.max(2)).min(text.len() - 1);
        let byte = match chance.random_range(0..3) {
            0 => chance.random_range(32..=255),
            _ => LIKELY[chance.random_range(0..LIKELY.len())],
        };
        match chance.random_range(0..4) {
            _ if byte == b'$' => {}
            0 => text.insert(at, byte),
            1 if text.len() > 2 => drop(text.remove(at)),
            _ => text[at] = byte,
        }
    }
    let is_check = |byte: &u8| matches!(byte, b'+' | b'#');
    text.dedup_by(|next, byte| is_check(next) && is_check(byte));
    if chance.random_bool(0.2) {
        text.truncate(chance.random_range(1..=text.len()));
    }
    text
}

#[test]
fn whole_movetexts_are_read_alike() {
    let mut replayer = Replayer::new();
    let texts = sample();
    assert!(texts.iter().all(|text| compare(&mut replayer, text)), "all are legal");
}

#[test]
fn hand_made_movetexts_are_read_alike() {
    let mut replayer = Replayer::new();
    let texts = movetexts(&golden("edge-games.pgn"));
    let whole = texts
        .iter()
        .filter(|text| text[0].is_ascii_alphanumeric() && !text.contains(&b'$'))
        .filter(|text| compare(&mut replayer, text))
        .count();
    assert!(whole > 80, "{whole}");
}

#[test]
fn damaged_movetexts_are_read_alike() {
    let (mut replayer, mut chance) = (Replayer::new(), ChaCha8Rng::seed_from_u64(11));
    let (mut whole, mut ended) = (0, 0);
    for text in sample().iter().filter(|text| text.len() > 10) {
        for _ in 0..12 {
            match compare(&mut replayer, &damaged(text, &mut chance)) {
                true => whole += 1,
                false => ended += 1,
            }
        }
    }
    assert!(whole > 500 && ended > 500, "the damage is too light or too heavy: {whole}, {ended}");
}
