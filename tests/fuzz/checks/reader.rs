//! The reader of games: against itself, and against pgn-reader.

mod theirs;

use deadfall::games::{
    GameReader, GameText, LeftOut, Movetext, Rules, Span, export, hash_game, last_cut,
};
use deadfall::plies::Replayer;

pub use theirs::{compare, is_comparable, plain_text_is_read_alike};

/// A game as found in a text: its place, and all that is said of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seen {
    pub span: Span,
    pub verdict: Result<String, LeftOut>,
    pub hash: u128,
    pub words: String,
}

impl Seen {
    /// The same game in a text with so many bytes before this one.
    pub fn at(self, offset: usize) -> Seen {
        let Span { start, movetext, end } = self.span;
        let span = Span { start: start + offset, movetext: movetext + offset, end: end + offset };
        Seen { span, ..self }
    }
}

/// The games of a text.
pub fn games(text: &[u8]) -> Vec<Seen> {
    seen(GameReader::new(text))
}

/// The games that a reader finds.
pub fn seen(mut reader: GameReader<'_>) -> Vec<Seen> {
    let (rules, mut replayer) = (Rules::default(), Replayer::new());
    let half_moves = rules.half_moves.into();
    let mut next = || {
        reader.next_game(&rules, |game, movetext| {
            let played = replayer.play(movetext, half_moves, game.time_control);
            played.map(drop).map_err(|_| LeftOut::IllegalMove)
        })
    };
    let see = |game: GameText<'_, ()>| Seen {
        span: game.span,
        words: words(Movetext::new(game.parts().1)),
        hash: hash_game(game.text),
        verdict: game.verdict.map(|(tags, ())| format!("{tags:?}")),
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

/// Games follow each other, may be cut apart where the reader says so, end as they end however many
/// moves were taken, and come back from an export; and pgn-reader finds the same.
pub fn check(text: &[u8]) {
    let found = games(text);
    let mut at = 0;
    for game in &found {
        let Span { start, movetext, end } = game.span;
        let inside = at <= start && start <= movetext && movetext <= end && start < end;
        assert!(inside && end <= text.len(), "{found:?}");
        at = end;
        let parts = (&text[start..movetext], &text[movetext..end]);
        ends_alike(parts.1);
        // By itself, a movetext behind tags on its own line would begin a line, which it
        // does not here.
        if movetext == 0 || text[movetext - 1] == b'\n' {
            comes_back(game, parts);
            if is_comparable(parts.1) {
                compare(&mut Replayer::new(), parts.1);
            }
        }
    }
    if let Some(cut) = last_cut(text) {
        let mut apart = games(&text[..cut]);
        apart.extend(games(&text[cut..]).into_iter().map(|game| game.at(cut)));
        assert_eq!(apart, found, "cut at {cut}");
    }
    plain_text_is_read_alike(text);
}

fn ends_alike(text: &[u8]) {
    let mut movetext = Movetext::new(text);
    let wanted = movetext.clone().finish();
    loop {
        let more = movetext.next_move().is_some();
        let ending = movetext.clone().finish();
        assert_eq!(ending.closed, wanted.closed, "{}", text.escape_ascii());
        // Only a reader that met an end marker before the last word reports it.
        assert!(
            ending.marker.is_none() || ending.marker == wanted.marker,
            "{}",
            text.escape_ascii()
        );
        if !more {
            break;
        }
    }
}

/// What counts counts again when it is written by itself.
fn comes_back(game: &Seen, (tags, movetext): (&[u8], &[u8])) {
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
