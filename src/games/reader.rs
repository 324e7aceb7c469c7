//! Game after game from a text that holds whole games.

use shakmaty::san::San;

use super::text::{Close, close_comment, is_space, line_end, skip_byte_order_mark};
use super::{Game, GameResult, LeftOut, Movetext, Rules, Tags};

/// Reads the games of a text in order.
#[derive(Clone, Debug)]
pub struct GameReader<'a> {
    text: &'a [u8],
    at: usize,
}

/// One game of a text, judged.
#[derive(Clone, Debug)]
pub struct GameText<'a, T> {
    /// Where it starts, in bytes from the start of the text.
    pub start: usize,
    /// Where its movetext starts.
    pub movetext: usize,
    /// The place behind its movetext.
    pub end: usize,
    /// The game with what `play` made of its moves, or the reason why it is left out.
    pub verdict: Result<(Game<'a>, T), LeftOut>,
}

impl<'a> GameReader<'a> {
    /// Reads `text` from its start.
    pub fn new(text: &'a [u8]) -> GameReader<'a> {
        GameReader { text, at: 0 }
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
        let start = self.find_start()?;
        let (tags, movetext_start) = Tags::read(self.text, start);
        let mut movetext = Movetext::new(self.text, movetext_start);
        let verdict = Game::judge(&tags, rules).map(|game| (game, play(&game, &mut movetext)));
        let ending = movetext.finish();
        self.at = ending.next;
        let verdict = verdict.and_then(|(game, played)| {
            let whole = ending.closed
                && ending.marker.and_then(GameResult::from_marker) == Some(game.result);
            if whole { Ok((game, played?)) } else { Err(LeftOut::Broken) }
        });
        Some(GameText { start, movetext: movetext_start, end: ending.next, verdict })
    }

    /// Passes over free text to the first tag pair, or the first line that begins with a move.
    fn find_start(&mut self) -> Option<usize> {
        loop {
            self.at = skip_byte_order_mark(self.text, self.at);
            let at = self.at;
            match *self.text.get(at)? {
                byte if is_space(byte) => self.at += 1,
                b'%' if at == 0 || self.text[at - 1] == b'\n' => self.at = line_end(self.text, at),
                b';' => self.at = line_end(self.text, at),
                b'{' => {
                    let (Close::At(end) | Close::Never(end)) = close_comment(self.text, at + 1);
                    self.at = end;
                }
                b'[' if Tags::starts(self.text, at) => return Some(at),
                b'[' => self.at = line_end(self.text, at),
                _ => {
                    let rest = &self.text[at..];
                    let word = &rest[..rest.iter().take_while(|&&byte| !is_space(byte)).count()];
                    let san = &word[word
                        .iter()
                        .take_while(|byte| byte.is_ascii_digit() || **byte == b'.')
                        .count()..];
                    if is_move(san) {
                        return Some(at);
                    }
                    self.at =
                        if san.is_empty() { at + word.len() } else { line_end(self.text, at) };
                }
            }
        }
    }
}

/// Whether a word of free text is a move.
fn is_move(word: &[u8]) -> bool {
    let marks =
        word.iter().rev().take_while(|byte| matches!(byte, b'+' | b'#' | b'!' | b'?')).count();
    // No null move and no drop: a line of dashes is text.
    matches!(San::from_ascii(&word[..word.len() - marks]), Ok(San::Normal { .. } | San::Castle(_)))
}

#[cfg(test)]
mod tests {
    use super::*;

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
        let text = format!("\u{feff}{TAGS}\n1. e4 e5\n2. Nf3 1-0\n\n{TAGS}\n1. d4 1-0\n")
            .replace('\n', "\r\n");
        assert_eq!(read(&text), [ok("e4 e5 Nf3"), ok("d4")]);
    }
}
