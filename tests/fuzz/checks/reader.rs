//! The reader of games: against itself, and against pgn-reader.

mod theirs;

use std::ops::Range;

use deadfall::games::{
    GameReader, GameText, LeftOut, Movetext, Rules, export, first_cut, last_cut,
};
use deadfall::plies::Replayer;

pub use theirs::{compare, plain_text_is_read_alike};

/// A game as found in a text: its place, and all that is said of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seen {
    range: Range<usize>,
    movetext: usize,
    verdict: Result<String, LeftOut>,
    words: String,
}

impl Seen {
    /// The same game in a text with so many bytes before this one.
    pub fn at(self, offset: usize) -> Seen {
        let range = self.range.start + offset..self.range.end + offset;
        Seen { range, movetext: self.movetext + offset, ..self }
    }
}

/// The games of a text.
pub fn games(text: &[u8]) -> Vec<Seen> {
    let (mut reader, mut replayer) = (GameReader::new(text), Replayer::new());
    let rules = Rules::default();
    let half_moves = rules.half_moves.into();
    let mut next = || {
        reader.next_game(&rules, |game, movetext| {
            let played = replayer.play(movetext, half_moves, game.time_control);
            played.map(drop).map_err(|_| LeftOut::IllegalMove)
        })
    };
    let see = |game: GameText<'_, ()>| Seen {
        range: game.start..game.end,
        movetext: game.movetext,
        verdict: game.verdict.map(|(tags, ())| format!("{tags:?}")),
        words: words(Movetext::new(text, game.movetext)),
    };
    std::iter::from_fn(|| next().map(see)).collect()
}

/// All that is said of the moves.
fn words(mut movetext: Movetext<'_>) -> String {
    let mut words = String::new();
    while let Some(half) = movetext.next_move() {
        words += &format!("{} {:?} {:?} ", half.san.escape_ascii(), half.clock, half.eval);
    }
    words
}

/// Games follow each other, may be cut apart where the reader says so, end where they end however
/// many moves were taken, and come back from an export; and pgn-reader finds the same.
pub fn check(text: &[u8]) {
    let found = games(text);
    let mut at = 0;
    for game in &found {
        let inside = at <= game.range.start
            && game.range.start <= game.movetext
            && game.movetext <= game.range.end
            && game.range.start < game.range.end;
        assert!(inside && game.range.end <= text.len(), "{found:?}");
        at = game.range.end;
        ends_alike(text, game);
        // By itself, a movetext behind tags on its own line would begin a line, which it does not here.
        if game.movetext == 0 || text[game.movetext - 1] == b'\n' {
            comes_back(text, game);
            let movetext = &text[game.movetext..game.range.end];
            if theirs::is_comparable(movetext) {
                compare(&mut Replayer::new(), movetext);
            }
        }
    }
    for cut in [first_cut(text), last_cut(text)].into_iter().flatten() {
        let mut apart = games(&text[..cut]);
        apart.extend(games(&text[cut..]).into_iter().map(|game| game.at(cut)));
        assert_eq!(apart, found, "cut at {cut}");
    }
    plain_text_is_read_alike(text);
}

fn ends_alike(text: &[u8], game: &Seen) {
    let start = Movetext::new(text, game.movetext);
    let wanted = start.clone().finish();
    assert_eq!(wanted.next, game.range.end);
    let mut movetext = start;
    loop {
        let more = movetext.next_move().is_some();
        let ending = movetext.clone().finish();
        assert_eq!((ending.closed, ending.next), (wanted.closed, wanted.next), "{game:?}");
        // An end marker before the last word is told only by whoever met it.
        assert!(ending.marker.is_none() || ending.marker == wanted.marker, "{game:?}");
        if !more {
            break;
        }
    }
}

/// What counts counts again when it is written by itself.
fn comes_back(text: &[u8], game: &Seen) {
    let (tags, movetext) = text[game.range.clone()].split_at(game.movetext - game.range.start);
    let is_plain = |byte: &u8| matches!(byte, b'\n' | b' '..=b'~');
    if game.verdict.is_err() || !tags.iter().chain(movetext).all(is_plain) {
        return;
    }
    let mut written = String::new();
    export(tags, movetext, &mut written);
    let again = games(written.as_bytes());
    assert_eq!(again.len(), 1, "{written}");
    assert_eq!((&again[0].verdict, &again[0].words), (&game.verdict, &game.words), "{written}");
}
