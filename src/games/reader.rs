//! Game after game from a text, each judged.

use super::scan::Scan;
use super::span::{Measures, Span};
use super::{AnyGame, Game, GameResult, LeftOut, Movetext, Rules, Tags};

/// Reads the games of a text in order. Its line ends are settled (see
/// [`settle_line_ends`](super::settle_line_ends)).
#[derive(Clone, Debug)]
pub struct GameReader<'a> {
    text: &'a [u8],
    scan: Scan,
    longest: usize,
    /// Whether the text breaks off in its last game, which is longer than any that counts.
    cut_off: bool,
}

/// One game of a text, judged.
#[derive(Clone, Debug)]
pub struct GameText<'a, T> {
    /// Where it is, in bytes from the start of the text.
    pub span: Span,
    /// Its text without white space at the end; of one that is too long, the first part.
    pub text: &'a [u8],
    /// The game with what `play` made of its moves, or the reason why it is left out.
    pub verdict: Result<(Game<'a>, T), LeftOut>,
}

impl<'a> GameReader<'a> {
    /// Reads `text` from its start to its end.
    pub fn new(text: &'a [u8]) -> GameReader<'a> {
        GameReader::of_part(text, 0, false, Measures::FIXED)
    }

    /// Reads the games that begin at `from` or behind; `cut_off` if the text goes on in the last of
    /// them, which is too long already.
    pub fn of_part(
        text: &'a [u8],
        from: usize,
        cut_off: bool,
        measures: Measures,
    ) -> GameReader<'a> {
        let scan = Scan::new(from, measures);
        GameReader { text, scan, longest: measures.longest, cut_off }
    }

    /// The next game; `None` at the end.
    ///
    /// `play` is called only if the tags let the game count; it takes as many moves from the
    /// movetext as it needs. A movetext that is broken behind them is found all the same, and comes
    /// before any reason that `play` gives.
    pub fn next_game<T>(
        &mut self,
        rules: &Rules,
        play: impl FnOnce(&Game<'a>, &mut Movetext<'a>) -> Result<T, LeftOut>,
    ) -> Option<GameText<'a, T>> {
        let (span, tags) = self.next_span()?;
        let end = span.end.min(span.start + self.longest);
        let verdict = Game::admit(&tags, rules).and_then(|game| match end == span.end {
            true => read_movetext(game, &self.text[span.movetext..end], play),
            false => Err(LeftOut::Broken),
        });
        Some(GameText { span, text: self.text[span.start..end].trim_ascii_end(), verdict })
    }

    /// The next game whatever it is, for readers to whom other games count than to a build.
    pub fn next_any(&mut self) -> Option<AnyGame<'a>> {
        let (span, tags) = self.next_span()?;
        let movetext =
            (span.end - span.start <= self.longest).then(|| &self.text[span.movetext..span.end]);
        Some(AnyGame { tags, movetext })
    }

    fn next_span(&mut self) -> Option<(Span, Tags<'a>)> {
        let mut tags = Tags::default();
        let mut set = |name: &[u8], value| tags.set(name, value);
        let span = match self.scan.next_game(self.text, self.cut_off, &mut set) {
            Some(span) => span,
            None => self.scan.cut_off(self.text.len())?,
        };
        Some((span, tags))
    }
}

impl<'a, T> GameText<'a, T> {
    /// Its tags and its movetext.
    pub fn parts(&self) -> (&'a [u8], &'a [u8]) {
        let tags = self.span.movetext - self.span.start;
        self.text.split_at(tags.min(self.text.len()))
    }
}

fn read_movetext<'a, T>(
    game: Game<'a>,
    text: &'a [u8],
    play: impl FnOnce(&Game<'a>, &mut Movetext<'a>) -> Result<T, LeftOut>,
) -> Result<(Game<'a>, T), LeftOut> {
    let mut movetext = Movetext::new(text);
    let played = play(&game, &mut movetext);
    let ending = movetext.finish();
    let is_whole =
        ending.closed && ending.marker.and_then(GameResult::from_marker) == Some(game.result);
    if is_whole { Ok((game, played?)) } else { Err(LeftOut::Broken) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::games::{PlayerName, settle_line_ends};
    use crate::terms::Rating;

    const TAGS: &str = "[Result \"1-0\"]\n[WhiteElo \"1500\"]\n[BlackElo \"1600\"]\n";

    /// Moves or the reason, for each game.
    fn read(text: &str) -> Vec<Result<String, LeftOut>> {
        let mut reader = GameReader::new(text.as_bytes());
        let mut next = || {
            reader.next_game(&Rules::default(), |_, movetext| {
                let moves: Vec<_> = std::iter::from_fn(|| movetext.next_move())
                    .map(|mv| String::from_utf8_lossy(mv.san).into_owned())
                    .collect();
                if moves.is_empty() { Err(LeftOut::NoMoves) } else { Ok(moves.join(" ")) }
            })
        };
        std::iter::from_fn(|| next().map(|game| game.verdict.map(|(_, moves)| moves))).collect()
    }

    fn ok(moves: &str) -> Result<String, LeftOut> {
        Ok(moves.into())
    }

    #[test]
    fn games_follow_each_other_with_and_without_gaps() {
        let text = format!("{TAGS}\n1. e4 1-0\n{TAGS}\n1. d4 1-0\n\n\n{TAGS}1. c4 1-0");
        assert_eq!(read(&text), [ok("e4"), ok("d4"), ok("c4")]);
    }

    #[test]
    fn free_text_is_no_game_and_a_move_without_tags_is() {
        assert_eq!(read("These are the games of the club:\n\n-- \n% note\n[no tag]\n"), []);
        assert_eq!(
            read("1. e4 e5 1-0\n\nd4 d5 *"),
            [Err(LeftOut::NoResult), Err(LeftOut::NoResult)]
        );
    }

    #[test]
    fn a_broken_game_costs_only_itself() {
        for broken in ["1. e4 {open", "1. e4 e5", "1. e4 0-1", "1. e4 (1. d4 1-0", "1. e4 *", ""] {
            let event = "[Event \"x\"]\n";
            let text = format!("{event}{TAGS}\n{broken}\n\n{event}{TAGS}\n1. d4 1-0\n");
            assert_eq!(read(&text), [Err(LeftOut::Broken), ok("d4")], "{broken}");
        }
    }

    #[test]
    fn a_game_without_moves_is_told_from_a_broken_one() {
        assert_eq!(read(&format!("{TAGS}\n1-0\n")), [Err(LeftOut::NoMoves)]);
    }

    #[test]
    fn line_ends_and_byte_order_marks_do_not_matter() {
        let text = format!("\u{feff}{TAGS}\n1. e4 e5\n2. Nf3 1-0\u{feff}{TAGS}\n1. d4 1-0\n");
        let mut text = text.replace('\n', "\r\n").into_bytes();
        assert_eq!(settle_line_ends(&mut text), 0);
        let text = String::from_utf8(text).expect("it was text");
        assert_eq!(read(&text), [ok("e4 e5 Nf3"), ok("d4")]);
    }

    #[test]
    fn a_game_that_no_build_counts_tells_what_it_knows() {
        let text = b"[Event \"Caf\xe9 casual\"]\n[White \"Fern Keel\"]\n[Black \"?\"]\n[Date \"2031.05.17\"]\n\
            [Result \"1-0\"]\n[WhiteElo \"?\"]\n[BlackElo \"1500\"]\n\n1. e4 e5\n";
        let game = GameReader::new(text).next_any().expect("a game");
        assert_eq!(
            (game.event().as_str(), game.written_names()),
            ("Café casual", ["Fern Keel".into(), String::new()])
        );
        assert_eq!(game.names(), [PlayerName::typed("fern keel"), None]);
        assert_eq!(game.ratings(), [None, Rating::new(1500)]);
        assert_eq!(game.date().map(|date| date.to_string()).as_deref(), Some("2031-05-17"));
        assert_eq!((game.tagged_result(), game.is_variant()), (Some(GameResult::WhiteWins), false));
        assert_eq!(
            game.movetext().and_then(|mut moves| moves.next_move()).map(|mv| mv.san),
            Some(&b"e4"[..])
        );
    }
}
