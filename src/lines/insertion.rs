//! Variations put into a text, which otherwise stays as its author wrote it.

use shakmaty::Position;

use super::Prepared;
use super::pgn::Games;
use super::wrap::wrapped;

/// The longest line of a variation that is put in.
const WIDTH: usize = 79;

/// A variation to be put into a file of prepared lines.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Insertion {
    /// The place of the position from which it begins; the file must have a move there.
    pub place: usize,
    /// Its movetext without brackets, words parted by blanks.
    pub movetext: String,
    /// What is said of it, in a tag of the game: whatever shows the game in another language shows
    /// its comments.
    pub said: String,
}

impl Prepared {
    /// `text`, from which this file was read, with variations put in, each beside the file's first
    /// move in its position and behind that move's marks and comments, and a tag `Gap1`, `Gap2` and
    /// so on for each of them. Nothing else changes: tags, comments and marks stay. Lines end as
    /// those of `text` do.
    pub fn with_variations(&self, text: &str, insertions: &[Insertion]) -> String {
        let whole =
            with_tags(&self.with_moves(text, insertions), &self.said_by_game(text, insertions));
        let (ends, returns) = (text.matches('\n').count(), text.matches("\r\n").count());
        match returns > 0 && returns == ends {
            true => whole.replace("\r\n", "\n").replace('\n', "\r\n"),
            false => whole,
        }
    }

    /// What is said of the variations of each game, in their order.
    fn said_by_game<'a>(&self, text: &str, insertions: &'a [Insertion]) -> Vec<Vec<&'a str>> {
        let starts: Vec<usize> = Games::of(text).map(|game| game.start).collect();
        let mut said: Vec<Vec<(usize, &str)>> = vec![Vec::new(); starts.len()];
        for insertion in insertions {
            let Some(first) = self.positions()[insertion.place].moves.first() else { continue };
            let game = starts.partition_point(|start| *start < first.end);
            if let Some(said) = game.checked_sub(1).and_then(|game| said.get_mut(game)) {
                said.push((first.end, &insertion.said));
            }
        }
        let in_order = |mut said: Vec<(usize, &'a str)>| {
            said.sort_by_key(|(end, _)| *end);
            said.into_iter().map(|(_, said)| said).collect()
        };
        said.into_iter().map(in_order).collect()
    }

    fn with_moves(&self, text: &str, insertions: &[Insertion]) -> String {
        let mut placed: Vec<(usize, &Insertion)> = insertions
            .iter()
            .filter_map(|insertion| {
                let first = self.positions()[insertion.place].moves.first()?;
                Some((behind_remarks(text, first.end), insertion))
            })
            .collect();
        placed.sort_by_key(|(at, _)| *at);
        let mut whole = String::with_capacity(text.len() + 200 * placed.len());
        let mut done = 0;
        for same in placed.chunk_by(|a, b| a.0 == b.0) {
            let at = same[0].0;
            whole += &text[done..at];
            done = at;
            for (_, insertion) in same {
                if !whole.ends_with('\n') {
                    whole.push('\n');
                }
                // Such letters mean something at the start of a line.
                let may_begin = |word: &str| !word.starts_with(['%', '[', ';']);
                let variation = format!("({})", insertion.movetext);
                whole += &wrapped(variation.split_whitespace(), WIDTH, 0, may_begin);
            }
            let resumed = resumed(&text[at..], self.number_behind(same[0].1.place));
            if resumed.is_empty() && breaks(&whole, &text[at..]) {
                whole.push('\n');
                done += 1;
            }
            whole += &resumed;
        }
        whole + &text[done..]
    }

    /// The number that the move behind the first one of a place bears, if it is Black's: behind a
    /// variation it is repeated.
    fn number_behind(&self, place: usize) -> Option<String> {
        let board = &self.positions()[place].board;
        board.turn().is_white().then(|| format!("{}...", board.fullmoves()))
    }
}

/// A tag pair: a name and a value, PGN standard (1994.03.12), section 8.1.
pub fn tag_pair(name: &str, value: &str) -> String {
    format!("[{name} \"{}\"]", value.replace('\\', "\\\\").replace('"', "\\\""))
}

/// The text with tags put behind those that each game has, which go on with the first number
/// that is free.
fn with_tags(text: &str, said: &[Vec<&str>]) -> String {
    let (mut whole, mut done) = (String::with_capacity(text.len()), 0);
    for (game, said) in Games::of(text).zip(said) {
        let mut free = (1..).map(|n| format!("Gap{n}")).filter(|name| game.tag(name).is_none());
        let tags: Vec<String> =
            said.iter().zip(&mut free).map(|(said, name)| tag_pair(&name, said)).collect();
        if tags.is_empty() {
            continue;
        }
        let tags = tags.join("\n");
        let before = text[..game.start].trim_end();
        if game.is_tagged() {
            whole += &text[done..before.len()];
            whole += &format!("\n{tags}");
            done = before.len();
        } else {
            whole += &text[done..game.start];
            whole += &format!("{tags}\n\n");
            done = game.start;
        }
    }
    whole + &text[done..]
}

/// Whether the line that a variation ends has no room for what goes on behind it.
fn breaks(before: &str, rest: &str) -> bool {
    let last = before.rsplit('\n').next().unwrap_or_default();
    let next = rest.split('\n').next().unwrap_or_default();
    rest.starts_with(' ') && last.chars().count() + next.trim_end().chars().count() > WIDTH
}

/// What must come between a variation and the text that goes on behind it.
fn resumed(rest: &str, number: Option<String>) -> String {
    let next = rest.trim_start();
    let is_move = next.starts_with(|c: char| c.is_ascii_alphabetic())
        || next.starts_with("0-0") && !next.starts_with("0-1");
    let number = number.filter(|_| is_move);
    let parted = rest.is_empty() || rest.starts_with(char::is_whitespace) || rest.starts_with(')');
    match (number, parted) {
        (Some(number), _) => format!("\n{number}{}", if parted { "" } else { " " }),
        (None, true) => String::new(),
        (None, false) => " ".to_owned(),
    }
}

/// The place behind all marks and comments that follow `at`.
fn behind_remarks(text: &str, mut at: usize) -> usize {
    loop {
        let rest = &text[at..];
        let gap = rest.len() - rest.trim_start().len();
        // An empty line ends a game: what follows belongs to no move.
        if rest[..gap].matches('\n').count() > 1 {
            return at;
        }
        let remark = &rest[gap..];
        let length = match remark.as_bytes().first() {
            Some(b'{') => remark.find('}').map_or(remark.len(), |end| end + 1),
            Some(b';') => remark.find('\n').map_or(remark.len(), |end| end + 1),
            Some(b'$') => run(remark, 1, |c| c.is_ascii_digit()),
            Some(b'!' | b'?') => run(remark, 1, |c| matches!(c, '!' | '?')),
            _ => return at,
        };
        at += gap + length;
    }
}

fn run(text: &str, first: usize, belongs: impl Fn(char) -> bool) -> usize {
    text[first..].find(|c| !belongs(c)).map_or(text.len(), |end| first + end)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lines::Line;
    use crate::terms::Key;

    fn place(file: &Prepared, line: &str) -> usize {
        let line: Line = line.parse().expect("a line");
        file.place(Key::of(line.end())).expect("a position of the file")
    }

    fn with(pgn: &str, variations: &[(&str, &str)]) -> String {
        let file = Prepared::read(pgn).expect("a file of lines");
        let insertions: Vec<Insertion> = variations
            .iter()
            .map(|(line, text)| Insertion {
                place: place(&file, line),
                movetext: (*text).to_owned(),
                said: String::new(),
            })
            .collect();
        file.with_moves(pgn, &insertions)
    }

    #[test]
    fn what_is_said_of_variations_is_in_tags_of_their_games() {
        let text =
            "[Event \"a\"]\n[Gap1 \"old\"]\n\n{mine} 1. e4 e5 2. Nf3 *\n\n1. d4 d5 2. c4 *\n";
        let file = Prepared::read(text).expect("a file of lines");
        let insertions = [("d4", "1... f5"), ("e4 e5", "2. d3"), ("e4", "1... c6")];
        let insertions = insertions.map(|(line, movetext)| Insertion {
            place: place(&file, line),
            movetext: movetext.to_owned(),
            said: format!("\"{movetext}\" is met"),
        });
        let whole = file.with_variations(text, &insertions);
        assert_eq!(
            whole,
            "[Event \"a\"]\n[Gap1 \"old\"]\n[Gap2 \"\\\"1... c6\\\" is met\"]\n[Gap3 \"\\\"2. d3\\\" is met\"]\n\n\
             {mine} 1. e4 e5\n(1... c6) 2. Nf3\n(2. d3) *\n\n[Gap1 \"\\\"1... f5\\\" is met\"]\n\n1. d4 d5\n(1... f5) 2. c4 *\n"
        );
        let returned = text.replace('\n', "\r\n");
        let file = Prepared::read(&returned).expect("a file of lines");
        let whole_returned = file.with_variations(&returned, &insertions);
        assert_eq!(whole_returned, whole.replace('\n', "\r\n"));
        let again = Prepared::read(&whole).expect("a file of lines");
        assert_eq!((again.games(), again.positions().len()), (2, file.positions().len() + 3));
    }

    #[test]
    fn a_variation_stands_behind_the_remarks_of_the_move_beside_it() {
        let long = "1. e4 {".to_owned() + &"word ".repeat(9) + "} 1... e5 2. Nf3 *\n";
        let whole = with(&long, &[("", &format!("1. d4 {{{}}}", "gap ".repeat(15)))]);
        assert!(whole.contains("})\n1... e5"), "{whole}");
        let text =
            "[Event \"x\"]\n\n1. e4 {King's pawn} e5! $14 {solid} (1... c5 2. c3) 2. Nf3 *\n";
        let whole = with(text, &[("e4", "1... d5 {gap}"), ("e4", "1... g6 {gap}")]);
        assert_eq!(
            whole,
            "[Event \"x\"]\n\n1. e4 {King's pawn} e5! $14 {solid}\n(1... d5 {gap})\n(1... g6 {gap}) \
             (1... c5 2. c3) 2. Nf3 *\n"
        );
    }

    #[test]
    fn blacks_next_move_is_numbered_again() {
        let text = "1. e4 e5 2. Nf3 Nc6 3. Bb5 a6 *\n";
        assert_eq!(
            with(text, &[("e4 e5", "2. d4 {gap}"), ("", "1. d4 {gap}")]),
            "1. e4\n(1. d4 {gap})\n1... e5 2. Nf3\n(2. d4 {gap})\n2... Nc6 3. Bb5 a6 *\n"
        );
    }

    #[test]
    fn no_empty_line_arises_and_what_is_read_back_is_the_file_and_the_gaps() {
        for text in [
            "1. e4 e5\n2. Nf3 ; knight\n2... Nc6 {a\nb}\n\n1. d4 d5\n",
            "1.e4 e5(1...c5)2.Nf3 Nc6 *",
            "1. e4 e5 2. Nf3 Nc6\r\n*\r\n",
        ] {
            let long = "2. d4 ".to_owned() + "{" + &"in 12.0 % ; [1, 2] ".repeat(20) + "}";
            let whole = with(text, &[("e4", "1... d5 2. exd5 {gap}"), ("e4 e5", &long)]);
            assert!(whole.lines().all(|line| line.chars().count() <= WIDTH), "{whole}");
            let file = Prepared::read(&whole).unwrap_or_else(|error| panic!("{whole}: {error}"));
            let before = Prepared::read(text).expect("a file of lines");
            assert_eq!(file.positions().len(), before.positions().len() + 3, "{whole}");
            assert_eq!(file.games(), before.games(), "{whole}");
        }
    }
}
