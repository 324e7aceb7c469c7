//! The text of a game as it is in a dump, tidied for whoever reads it next.

use memchr::{memchr, memchr2};

use super::text_of;

/// Writes one game behind what `out` holds: tag pairs as they are, an empty line, the movetext as
/// it stands, an empty line (PGN standard, section 8, export of games one after another).
///
/// `tags` and `movetext` are the two parts of the game's text. Empty lines within them and escape
/// lines outside comments go, and so do control characters, tabs becoming spaces. Bytes are read as
/// [`text_of`] has them, line by line.
pub fn export(tags: &[u8], movetext: &[u8], out: &mut String) {
    for (part, has_comments) in [(tags, false), (movetext, true)] {
        let mut in_comment = false;
        for line in part.split(|&byte| byte == b'\n') {
            if line.starts_with(b"%") && !in_comment {
                continue;
            }
            in_comment = has_comments && leaves_comment_open(line, in_comment);
            match plain_text(line) {
                Some("") => {}
                Some(line) => {
                    out.push_str(line);
                    out.push('\n');
                }
                None => push_line(&text_of(line), out),
            }
        }
        out.push('\n');
    }
}

/// Whether a brace comment is open after the line, if one is or is not before it.
fn leaves_comment_open(line: &[u8], mut open: bool) -> bool {
    let mut rest = line;
    loop {
        let place = if open { memchr(b'}', rest) } else { memchr2(b'{', b';', rest) };
        match place {
            None => return open,
            Some(place) if rest[place] == b';' => return false,
            Some(place) => {
                open = !open;
                rest = &rest[place + 1..];
            }
        }
    }
}

/// The usual line, which needs no look at its letters: printable ASCII, less white
/// space at its end.
fn plain_text(line: &[u8]) -> Option<&str> {
    // Without a way out of the loop it runs over many bytes at once.
    let is_plain = line.iter().fold(true, |plain, byte| plain & matches!(byte, b' '..=b'~'));
    let line = std::str::from_utf8(line).ok().filter(|_| is_plain)?;
    Some(line.trim_end())
}

/// The line without control characters and without white space at its end; nothing if none is left.
fn push_line(line: &str, out: &mut String) {
    let start = out.len();
    let plain = |letter: char| match letter {
        '\t' => Some(' '),
        // A byte order mark in front of the first tag is no part of the game.
        '\u{feff}' => None,
        _ if letter.is_control() => None,
        _ => Some(letter),
    };
    out.extend(line.chars().filter_map(plain));
    out.truncate(start + out[start..].trim_end().len());
    if out.len() > start {
        out.push('\n');
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exported(tags: &str, movetext: &str) -> String {
        let mut out = String::new();
        export(tags.as_bytes(), movetext.as_bytes(), &mut out);
        out
    }

    #[test]
    fn a_tidy_game_stays_as_it_is() {
        let (tags, moves) = ("[Event \"a\"]\n[Result \"1-0\"]\n\n", "1. e4 { [%clk 0:01:00] } 1-0");
        assert_eq!(exported(tags, moves), format!("{tags}{moves}\n\n"));
    }

    #[test]
    fn one_empty_line_stands_behind_each_part() {
        assert_eq!(
            exported("[Event \"a\"]\n\n\n[Site \"b\"]\n", "1. e4 {so\n\nmuch}\n1-0\n"),
            "[Event \"a\"]\n[Site \"b\"]\n\n1. e4 {so\nmuch}\n1-0\n\n"
        );
    }

    #[test]
    fn escape_lines_go_and_comments_stay_whole() {
        assert_eq!(
            exported("% a\n[Event \"b\"]\n", "1. e4 {c\n% d} e5 ; {\n% e\n2. d4 1-0\n"),
            "[Event \"b\"]\n\n1. e4 {c\n% d} e5 ; {\n2. d4 1-0\n\n"
        );
    }

    #[test]
    fn control_characters_and_carriage_returns_go() {
        assert_eq!(
            exported("[Event \"a\u{1b}[31m\u{9b}b\"]\r\n\r\n", "1. e4\t{\u{7}} 1-0\r\n"),
            "[Event \"a[31mb\"]\n\n1. e4 {} 1-0\n\n"
        );
    }

    #[test]
    fn what_is_no_utf_8_keeps_its_letters() {
        let mut out = String::new();
        export(b"[White \"M\xfcller\"]\n", b"*", &mut out);
        assert_eq!(out, "[White \"M\u{fc}ller\"]\n\n*\n\n");
    }
}
