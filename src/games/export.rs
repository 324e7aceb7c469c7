//! The text of a game as it stands in a dump, tidied for whoever reads it next.

/// Writes one game behind what `out` holds: tag pairs as they stand, an empty line, the movetext as
/// it stands, an empty line (PGN standard, section 8, export of games one after another).
///
/// `tags` and `movetext` are the two parts of the game's text. Empty lines within them and escape
/// lines go, and so do control characters, tabs becoming spaces; bytes that are no UTF-8 become
/// replacement characters.
pub fn export(tags: &[u8], movetext: &[u8], out: &mut String) {
    for part in [tags, movetext] {
        let text = String::from_utf8_lossy(part);
        for line in text.lines().filter(|line| !line.starts_with('%')) {
            push_line(line, out);
        }
        out.push('\n');
    }
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
    fn control_characters_and_carriage_returns_go() {
        assert_eq!(
            exported("[Event \"a\u{1b}[31m\u{9b}b\"]\r\n\r\n", "1. e4\t{\u{7}} 1-0\r\n"),
            "[Event \"a[31mb\"]\n\n1. e4 {} 1-0\n\n"
        );
    }

    #[test]
    fn what_is_no_text_is_replaced() {
        let mut out = String::new();
        export(b"[White \"M\xfcller\"]\n", b"*", &mut out);
        assert_eq!(out, "[White \"M\u{fffd}ller\"]\n\n*\n\n");
    }
}
