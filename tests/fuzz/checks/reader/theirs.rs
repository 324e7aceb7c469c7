//! pgn-reader on the same text.
//!
//! The rule for movetexts: within the counted half-moves both give the same moves. pgn-reader steps
//! over what it cannot read without a word, where ours ends the game there and counts it as
//! illegal; so where ours ends early, the moves before are compared, less the last one, to which
//! the unreadable letters may be glued. And where ours finds a movetext whole, pgn-reader met that
//! same end marker last. What the two read differently on purpose is not compared: see
//! [`is_comparable`].

use std::ops::ControlFlow;

use deadfall::games::{Game, GameReader, LeftOut, Movetext, Rules, Tags};
use deadfall::plies::Replayer;
use deadfall::terms::{MoveCode, TimeControl};
use pgn_reader::{KnownOutcome, Outcome, RawTag, Reader, SanPlus, Visitor};
use shakmaty::{Chess, Color, Position};

const HALF_MOVES: usize = 30;

/// Tags, moves and end marker as pgn-reader hands them over, up to where it gives up.
#[derive(Default)]
struct Theirs {
    tags: Vec<(Vec<u8>, Vec<u8>)>,
    moves: Vec<SanPlus>,
    marker: Option<&'static [u8]>,
}

impl Visitor for Theirs {
    type Tags = ();
    type Movetext = ();
    type Output = Theirs;

    fn begin_tags(&mut self) -> ControlFlow<Theirs, ()> {
        ControlFlow::Continue(())
    }

    fn tag(&mut self, (): &mut (), name: &[u8], value: RawTag<'_>) -> ControlFlow<Theirs> {
        self.tags.push((name.to_vec(), value.as_bytes().to_vec()));
        ControlFlow::Continue(())
    }

    fn begin_movetext(&mut self, (): ()) -> ControlFlow<Theirs, ()> {
        ControlFlow::Continue(())
    }

    fn san(&mut self, (): &mut (), san: SanPlus) -> ControlFlow<Theirs> {
        self.moves.push(san);
        ControlFlow::Continue(())
    }

    fn outcome(&mut self, (): &mut (), outcome: Outcome) -> ControlFlow<Theirs> {
        self.marker = Some(match outcome {
            Outcome::Known(KnownOutcome::Draw) => b"1/2-1/2",
            Outcome::Known(KnownOutcome::Decisive { winner: Color::White }) => b"1-0",
            Outcome::Known(KnownOutcome::Decisive { winner: Color::Black }) => b"0-1",
            Outcome::Unknown => b"*",
        });
        ControlFlow::Continue(())
    }

    fn end_game(&mut self, (): ()) -> Theirs {
        std::mem::take(self)
    }
}

impl Theirs {
    fn of(movetext: &[u8]) -> Theirs {
        let mut theirs = Theirs::default();
        match Reader::new(movetext).read_game(&mut theirs) {
            Ok(told) => told.unwrap_or_default(),
            // An unterminated comment is an error here; what came before it was handed over.
            Err(_) => theirs,
        }
    }

    /// The tags that decide whether a game counts.
    fn tags(&self) -> Tags<'_> {
        let value = |name: &str| {
            let named = self.tags.iter().rfind(|(known, _)| known == name.as_bytes());
            named.map(|(_, value)| value.as_slice())
        };
        Tags {
            event: value("Event"),
            site: value("Site"),
            white: value("White"),
            black: value("Black"),
            result: value("Result"),
            date: value("Date"),
            utc_date: value("UTCDate"),
            white_elo: value("WhiteElo"),
            black_elo: value("BlackElo"),
            white_title: value("WhiteTitle"),
            black_title: value("BlackTitle"),
            time_control: value("TimeControl"),
            termination: value("Termination"),
            variant: value("Variant"),
            set_up: value("SetUp"),
            fen: value("FEN"),
            eco: value("ECO"),
            opening: value("Opening"),
        }
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
pub fn compare(replayer: &mut Replayer, text: &[u8]) -> bool {
    compare_with(replayer, up_to_end(text), &Theirs::of(text))
}

/// A movetext without what comes after its end.
fn up_to_end(text: &[u8]) -> &[u8] {
    const TAGS: &[u8] = b"[Event \"x\"]\n\n";
    let game = [TAGS, text].concat();
    let rules = Rules::default();
    let span =
        GameReader::new(&game).next_game(&rules, |_, _| Ok(())).expect("there are tags").span;
    &text[span.movetext - TAGS.len()..span.end - TAGS.len()]
}

#[track_caller]
fn compare_with(replayer: &mut Replayer, text: &[u8], theirs: &Theirs) -> bool {
    let shown = || String::from_utf8_lossy(text).into_owned();
    let mut movetext = Movetext::new(text);
    let played = replayer.play(&mut movetext, HALF_MOVES, TimeControl::UNKNOWN);
    let ours = played.map(|plies| plies.iter().map(|ply| ply.code).collect::<Vec<_>>());
    match &ours {
        Ok(ours) => assert_eq!(ours, &theirs.played(), "{}", shown()),
        Err(illegal) => {
            let common = illegal.ply.saturating_sub(1);
            let (mut again, mut position) = (Movetext::new(text), Chess::default());
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

/// Whether a movetext is free of what the two read differently on purpose: `$` (the standard ends a
/// NAG at its last digit, pgn-reader at the next space), vertical tabs and form feeds (white space
/// by the standard, junk to pgn-reader), two check signs on one move (ours takes the move),
/// brackets and quotes that touch a move (they end it by the standard), bytes beyond ASCII (long
/// dashes and halves are end markers to pgn-reader).
pub fn is_comparable(movetext: &[u8]) -> bool {
    let is_check = |byte: u8| matches!(byte, b'+' | b'#');
    let touches = |pair: &[u8]| {
        pair[0].is_ascii_graphic() && matches!(pair[1], b'[' | b']' | b'<' | b'>' | b'"')
    };
    let mut open = false;
    movetext.iter().all(|byte| matches!(byte, b'\t' | b'\n' | b'\r' | b' '..=b'~') && *byte != b'$')
        && movetext.windows(2).all(|pair| {
            open = (open || pair[0] == b'{') && pair[0] != b'}';
            open || !(is_check(pair[0]) && is_check(pair[1]) || touches(pair))
        })
}

/// A text in which nothing is left to taste holds the same games, with the same tags and moves, for
/// both.
pub fn plain_text_is_read_alike(text: &[u8]) {
    if !is_plain(text) {
        return;
    }
    let mut theirs = Reader::build(text).set_supported_tag_line_length(text.len()).finish();
    let (mut ours, rules) = (GameReader::new(text), Rules::default());
    let mut replayer = Replayer::new();
    while let Some(game) = ours.next_game(&rules, |_, _| Ok(())) {
        let told = theirs.read_game(&mut Theirs::default()).expect("the text is whole");
        let told = told.expect("there is another game");
        let (ours, wanted) = (game.verdict, Game::admit(&told.tags(), &rules));
        if ours.as_ref().err() != Some(&LeftOut::Broken) {
            let shown = format!("{:?}", ours.map(|(game, ())| game));
            assert_eq!(shown, format!("{wanted:?}"));
        }
        compare_with(&mut replayer, &text[game.span.movetext..game.span.end], &told);
    }
    let more = theirs.read_game(&mut Theirs::default()).expect("the text is whole");
    assert!(more.is_none(), "pgn-reader finds another game");
}

/// Whether a text is made of tag pairs, one a line, an empty line, lines of plain moves, an empty
/// line, and so on. An Event below other tags may begin another game for ours.
fn is_plain(text: &[u8]) -> bool {
    let mut before = Kind::Empty;
    let mut moves = true;
    is_comparable(text)
        && text.split(|&byte| byte == b'\n').all(|line| {
            let kind = Kind::of(line);
            let follows = match (kind, before) {
                (Kind::Tag, Kind::Tag) if line.starts_with(b"[Event \"") => false,
                (Kind::Tag, Kind::Empty) => std::mem::replace(&mut moves, false),
                (Kind::Tag, Kind::Tag) | (Kind::Empty, _) => true,
                (Kind::Moves, Kind::Empty) => !std::mem::replace(&mut moves, true),
                (Kind::Moves, Kind::Moves) => true,
                _ => false,
            };
            before = kind;
            follows
        })
        && moves
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Empty,
    Tag,
    Moves,
    Other,
}

impl Kind {
    fn of(line: &[u8]) -> Kind {
        match line {
            [] => Kind::Empty,
            [b'[', inside @ .., b'"', b']'] if is_pair(inside) => Kind::Tag,
            [b'0'..=b'9' | b'A'..=b'Z' | b'a'..=b'z', ..] if is_moves(line) => Kind::Moves,
            _ => Kind::Other,
        }
    }
}

/// `Name "value`.
fn is_pair(inside: &[u8]) -> bool {
    let Some(quote) = inside.iter().position(|&byte| byte == b'"') else { return false };
    let (name, value) = (&inside[..quote], &inside[quote + 1..]);
    let [name @ .., b' '] = name else { return false };
    !name.is_empty()
        && name.iter().all(u8::is_ascii_alphanumeric)
        && value.iter().all(|byte| matches!(byte, b' '..=b'~') && !matches!(byte, b'"' | b'\\'))
}

/// No comment is left open, and nothing that pgn-reader does not know.
fn is_moves(line: &[u8]) -> bool {
    let mut open = false;
    for &byte in line {
        match byte {
            b'{' => open = true,
            b'}' if open => open = false,
            b'}' | b'[' | b']' | b'<' | b'>' | b';' | b'\t' | b'\r' if !open => return false,
            _ => {}
        }
    }
    !open
}
