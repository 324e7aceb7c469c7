//! Plays the moves of one game after another.

use shakmaty::san::San;
use shakmaty::{CastlingSide, Chess, Color, Role};

use super::board::KeyedBoard;
use super::cache::{MoveCache, Path, SanWord, Step};
use super::clock::Clocks;
use super::quick::{quick_castling, quick_move};
use crate::games::Movetext;
use crate::terms::{Key, MoveCode, TimeControl};

/// One counted half-move.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ply {
    /// The position in which it was played.
    pub key: Key,
    /// The move.
    pub code: MoveCode,
    /// Time spent on it, in tenths of a second.
    pub spent: Option<u32>,
    /// Evaluation behind it from the mover's view, in centipawns within +-1000.
    pub eval: Option<i16>,
    /// Whether the game was not in this position before.
    pub first_visit: bool,
}

/// A word of the movetext that is no legal move, or more than one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct IllegalMove {
    /// Half-moves played before it.
    pub ply: usize,
}

/// Plays games from the start position; keeps its board, cache and list of plies from game to game.
#[derive(Clone, Debug)]
pub struct Replayer {
    cache: MoveCache,
    start: KeyedBoard,
    /// The position of the game, unless the cache knew all its moves.
    board: KeyedBoard,
    /// Whether it did.
    is_known: bool,
    /// The words that it knew.
    path: Path,
    plies: Vec<Ply>,
    /// The position behind them.
    end: Key,
    /// The first ply whose position may come back.
    since: usize,
}

/// Behind this many plies games rarely meet, so the cache is not asked.
const CACHED_PLIES: usize = 12;
/// The least half-moves that lead back to a position.
const RETURN: usize = 4;

impl Default for Replayer {
    fn default() -> Replayer {
        Replayer::new()
    }
}

impl Replayer {
    /// A replayer with an empty cache.
    pub fn new() -> Replayer {
        let start = KeyedBoard::from(&Chess::default());
        Replayer {
            cache: MoveCache::new(),
            board: start.clone(),
            end: start.key(),
            start,
            is_known: true,
            path: Path::default(),
            plies: Vec::new(),
            since: 0,
        }
    }

    /// Plays at most `half_moves` moves of the movetext. The list holds no ply if there
    /// was no move.
    pub fn play(
        &mut self,
        movetext: &mut Movetext<'_>,
        half_moves: usize,
        time_control: TimeControl,
    ) -> Result<&[Ply], IllegalMove> {
        self.plies.clear();
        (self.is_known, self.path, self.since) = (true, Path::default(), 0);
        let mut clocks = Clocks::default();
        let mut key = self.start.key();
        for ply in 0..half_moves {
            let Some(played) = movetext.next_move() else { break };
            let step = self.step(key, ply, played.san).ok_or(IllegalMove { ply })?;
            let spent = clocks.spent(ply, played.clock, time_control.increment);
            self.note(key, step, spent, played.eval);
            key = step.next;
        }
        self.end = key;
        Ok(&self.plies)
    }

    /// The plies of the last game that was played without trouble.
    pub fn plies(&self) -> &[Ply] {
        &self.plies
    }

    /// The position behind them.
    pub fn end(&self) -> Key {
        self.end
    }

    fn note(&mut self, key: Key, step: Step, spent: Option<u32>, eval: Option<i16>) {
        let ply = self.plies.len();
        let first_visit = ply < self.since + RETURN || !self.was_visited(key);
        if step.is_zeroing {
            self.since = ply + 1;
        }
        let eval = eval.map(|eval| if ply.is_multiple_of(2) { eval } else { -eval });
        self.plies.push(Ply { key, code: step.code, spent, eval, first_visit });
    }

    /// Whether the position, in which as many moves were played as there are plies, was
    /// there before.
    fn was_visited(&self, key: Key) -> bool {
        let same_turn = self.plies[self.since..].iter().rev().skip(1).step_by(2);
        same_turn.map(|before| before.key).any(|before| before == key)
    }

    /// What a word stands for.
    fn step(&mut self, key: Key, ply: usize, word: &[u8]) -> Option<Step> {
        let san = without_check_sign(word);
        // A game that has left what is known seldom comes back.
        let ask = self.is_known && ply < CACHED_PLIES;
        let word = if ask { SanWord::new(san) } else { None };
        let asked = word.map(|word| (self.path.with(word), key, word));
        if let Some((path, key, word)) = asked
            && let Some(step) = self.cache.get(path, key, word)
        {
            self.path = path;
            return Some(step);
        }
        if self.is_known {
            let turn = Color::from_white(ply.is_multiple_of(2));
            self.board = match ply {
                0 => self.start.clone(),
                _ => self.cache.board(self.path, turn, key),
            };
            self.is_known = false;
        }
        let step = play(&mut self.board, san)?;
        if let Some((path, key, word)) = asked {
            self.cache.put(path, key, word, step, &self.board);
        }
        Some(step)
    }
}

pub(super) fn without_check_sign(word: &[u8]) -> &[u8] {
    match word {
        [san @ .., b'+' | b'#'] => san,
        _ => word,
    }
}

/// Plays a word without its check sign, if it stands for a legal move.
pub(super) fn play(board: &mut KeyedBoard, san: &[u8]) -> Option<Step> {
    if let Some(plain) = quick_move(board, san) {
        board.play_plain(plain);
        let is_zeroing = plain.role == Role::Pawn || plain.capture.is_some();
        let code = MoveCode::plain(plain.from, plain.to);
        return Some(Step { code, is_zeroing, next: board.key() });
    }
    let slowly = || parse(san)?.to_move(&board.in_full()).ok();
    let mv = quick_castling(board, san).or_else(slowly)?;
    board.play(mv);
    Some(Step { code: MoveCode::of(mv), is_zeroing: mv.is_zeroing(), next: board.key() })
}

/// SAN without a check sign; castling also with zeros.
fn parse(san: &[u8]) -> Option<San> {
    match san {
        b"0-0" => Some(San::Castle(CastlingSide::KingSide)),
        b"0-0-0" => Some(San::Castle(CastlingSide::QueenSide)),
        _ => San::from_ascii(san).ok(),
    }
}

#[cfg(test)]
mod tests {
    use shakmaty::Position;

    use super::*;

    fn play(replayer: &mut Replayer, text: &str) -> Result<Vec<Ply>, IllegalMove> {
        let mut movetext = Movetext::new(text.as_bytes());
        replayer.play(&mut movetext, 200, TimeControl::from_tag(b"300+3")).map(<[Ply]>::to_vec)
    }

    #[test]
    fn every_ply_has_the_key_of_its_position_with_and_without_the_cache() {
        let text = "1. e4 d5 2. e5 f5 3. exf6 Kf7 4. fxg7 Nf6 5. gxh8=N+ Kg8 6. Nf3 Bg7 7. Be2 Nc6 8. O-O e5 *";
        let mut replayer = Replayer::new();
        let first = play(&mut replayer, text).expect("legal");
        let mut board = Chess::default();
        for ply in &first {
            assert_eq!(ply.key, Key::of(&board));
            board.play_unchecked(ply.code.to_move(&board).expect("legal"));
        }
        // The cache takes one more move of it in two times.
        for _ in 0..40 {
            assert_eq!(play(&mut replayer, text).expect("legal"), first);
        }
    }

    #[test]
    fn what_is_illegal_ambiguous_or_unreadable_ends_the_game_at_its_ply() {
        let mut replayer = Replayer::new();
        for _ in 0..9 {
            assert_eq!(play(&mut replayer, "1. e4 e4"), Err(IllegalMove { ply: 1 }));
            assert_eq!(
                play(&mut replayer, "1. Nf3 a6 2. Nc3 a5 3. Nb1 a4 4. Na3 b6 5. Nd5"),
                Err(IllegalMove { ply: 8 })
            );
            assert_eq!(
                play(&mut replayer, "1. d3 a6 2. Nd2 a5 3. Nf3"),
                Err(IllegalMove { ply: 4 })
            );
            assert_eq!(play(&mut replayer, "1. e4 -- 2. d4"), Err(IllegalMove { ply: 1 }));
        }
    }

    #[test]
    fn a_word_with_zeros_before_it_is_not_taken_for_the_one_in_the_cache() {
        let mut replayer = Replayer::new();
        for text in ["1. \0d4 d5", "1. d4 d5", "1. d4 d5", "1. d4 d5", "1. \0d4 d5"] {
            assert_eq!(play(&mut replayer, text).is_ok(), !text.contains('\0'), "{text:?}");
        }
    }

    #[test]
    fn a_second_visit_is_marked() {
        let plies = play(&mut Replayer::new(), "1. Nf3 Nf6 2. Ng1 Ng8 3. Nf3 *").expect("legal");
        let first: Vec<bool> = plies.iter().map(|ply| ply.first_visit).collect();
        assert_eq!(first, [true, true, true, true, false]);
    }

    #[test]
    fn evaluations_are_the_movers_and_times_its_own() {
        let text = "1. e4 {[%eval 0.3] [%clk 0:05:00]} e5 {[%eval 0.2] [%clk 0:05:00]} 2. d4 {[%clk 0:04:58]} *";
        let plies = play(&mut Replayer::new(), text).expect("legal");
        let evals: Vec<_> = plies.iter().map(|ply| ply.eval).collect();
        assert_eq!(evals, [Some(30), Some(-20), None]);
        assert_eq!(plies[2].spent, Some(50));
    }
}
