//! Changes to the movetext of a game that is written out.

use super::movetext::Movetext;

/// The movetext without the times of its comments; a comment that says nothing else goes, and with
/// it the number that only stood there because of it.
pub fn without_clocks(movetext: &str) -> String {
    let mut out = String::with_capacity(movetext.len());
    let mut rest = movetext;
    while let Some(place) = rest.find(['{', ';', '\n']) {
        out.push_str(&rest[..place]);
        rest = &rest[place..];
        let (end, is_comment) = match rest.as_bytes()[0] {
            b'{' => (rest.find('}').map_or(rest.len(), |end| end + 1), true),
            b';' => (rest.find('\n').unwrap_or(rest.len()), true),
            _ => (1 + escaped(&rest[1..]), false),
        };
        let (comment, behind) = rest.split_at(end);
        rest = behind;
        if !is_comment {
            out.push_str(comment);
            continue;
        }
        let kept = without_times(comment);
        if kept.trim_matches(['{', '}', ';', ' ', '\n', '\t']).is_empty()
            && kept.len() < comment.len()
        {
            out.truncate(out.trim_end_matches(' ').len());
            rest = without_number(rest, &out);
            // The comment may have been all that held two words apart.
            let begins = |letter: char| !letter.is_whitespace() && letter != ')';
            let ends = |letter: char| !letter.is_whitespace() && letter != '(';
            if out.ends_with(ends) && rest.starts_with(begins) {
                out.push(' ');
            }
        } else {
            out.push_str(&kept);
        }
    }
    out + rest
}

fn without_times(comment: &str) -> String {
    let mut kept = String::with_capacity(comment.len());
    let mut rest = comment;
    while let Some(place) = rest.find("[%") {
        let (before, command) = rest.split_at(place);
        let is_time = command.starts_with("[%clk") || command.starts_with("[%emt");
        if is_time {
            let Some(end) = command.find(']') else { break };
            kept.push_str(before.trim_end_matches(' '));
            rest = &command[end + 1..];
        } else {
            kept.push_str(&rest[..place + 2]);
            rest = &command[2..];
        }
    }
    kept + rest
}

/// What follows a comment that went, without `12...` if that only resumed the moves.
fn without_number<'a>(rest: &'a str, before: &str) -> &'a str {
    let number = rest.trim_start_matches([' ', '\n']);
    let digits = number.trim_start_matches(|letter: char| letter.is_ascii_digit());
    let resumed = digits.len() < number.len() && !before.ends_with(['}', ')']);
    digits.strip_prefix("...").filter(|_| resumed).unwrap_or(rest)
}

/// How much at the start of a line is no part of the game: the line, if `%` begins it (PGN
/// standard, 6).
fn escaped(line: &str) -> usize {
    match line.starts_with('%') {
        true => line.find('\n').unwrap_or(line.len()),
        false => 0,
    }
}

/// The movetext with a comment behind the half-move `ply` of the main line, from 0; as it is where
/// there is none.
pub fn with_comment(movetext: &str, ply: usize, comment: &str) -> String {
    let mut moves = Movetext::new(movetext.as_bytes());
    let Some(played) = (0..=ply).map(|_| moves.next_move()).last().flatten() else {
        return movetext.to_owned();
    };
    // The word lies in the movetext.
    let start = played.san.as_ptr() as usize - movetext.as_ptr() as usize;
    let (before, rest) = movetext.split_at(start + played.san.len());
    let glyphs = rest.len() - rest.trim_start_matches(['!', '?']).len();
    let (glyphs, rest) = rest.split_at(glyphs);
    // What follows stays where it is: on its own line, `%` makes a line no part of the game.
    let mut next = rest.trim_start();
    while next.starts_with('%') && rest[..rest.len() - next.len()].ends_with('\n') {
        next = next[escaped(next)..].trim_start();
    }
    // Behind a comment Black's move is told with its number.
    let needs_number =
        ply.is_multiple_of(2) && next.starts_with(|letter: char| letter.is_ascii_alphabetic());
    let number = if needs_number { format!(" {}...", ply / 2 + 1) } else { String::new() };
    let gap = if rest.starts_with(char::is_whitespace) { "" } else { " " };
    format!("{before}{glyphs} {{ {comment} }}{number}{gap}{rest}")
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn clocks_go_and_what_else_a_comment_says_stays() {
        let text = "1. e4 { [%clk 0:03:00] } 1... e5 { [%eval 0.2] [%clk 0:02:59] } 2. Nf3 { why? [%emt 0:00:01] } 2... Nc6 1-0\n";
        let want = "1. e4 e5 { [%eval 0.2] } 2. Nf3 { why? } 2... Nc6 1-0\n";
        assert_eq!(without_clocks(text), want);
    }

    #[test]
    fn what_has_no_clocks_stays_as_it_is() {
        for text in [
            "1. e4 {} 1... e5 2. Nf3 1-0",
            "1. e4 ; {so\n1... e5 *",
            "1. e4 (1. d4 {so} d5) 1... e5 *",
            "1. e4 { open",
            "",
        ] {
            assert_eq!(without_clocks(text), text);
        }
        assert_eq!(without_clocks("1. e4 {[%clk 0:03:00} *"), "1. e4 {[%clk 0:03:00} *");
        assert_eq!(
            without_clocks("1. e4 (1. d4) {[%clk 0:03:00]} 1... e5 *"),
            "1. e4 (1. d4) 1... e5 *"
        );
    }

    #[test]
    fn words_that_a_comment_held_apart_stay_apart() {
        for (text, want) in [
            ("1. e4 {[%clk 0:05:00]} 1...e5 {[%clk 0:05:00]} 2. Nf3 *", "1. e4 e5 2. Nf3 *"),
            (
                "1.e4{[%clk 0:05:00]}e5{[%clk 0:05:00]}2.Nf3{[%clk 0:04:58]}f6 1-0",
                "1.e4 e5 2.Nf3 f6 1-0",
            ),
            ("1.{[%clk 0:05:00]}e4 ({[%clk 0:05:00]}1. d4{[%clk 0:05:00]})1-0", "1. e4 (1. d4)1-0"),
            ("1. e4 e5 2. Nf3{[%clk 0:05:00]}1-0", "1. e4 e5 2. Nf3 1-0"),
            ("1. e4 ;[%clk 0:05:00]\n1... e5 *", "1. e4 e5 *"),
        ] {
            assert_eq!(without_clocks(text), want, "{text}");
        }
    }

    #[test]
    fn what_stands_on_an_escaped_line_stays_there() {
        let text = "1. e4 {[%clk 0:05:00]}\n% note { [%clk 0:05:00] x\n1... e5 *";
        let want = "1. e4\n% note { [%clk 0:05:00] x\n1... e5 *";
        assert_eq!(without_clocks(text), want);
        assert_eq!(with_comment(want, 0, "so"), want.replace("e4\n", "e4 { so }\n"));
        let text = "1. e4\n% {\n\n% x\ne5 *";
        assert_eq!(with_comment(text, 0, "so"), text.replace("e4\n", "e4 { so } 1...\n"));
    }

    fn moves(text: &str) -> (Vec<String>, bool) {
        let mut movetext = Movetext::new(text.as_bytes());
        let next =
            || movetext.next_move().map(|played| String::from_utf8_lossy(played.san).into_owned());
        let moves = std::iter::from_fn(next).collect();
        (moves, movetext.finish().closed)
    }

    proptest! {
        #[test]
        fn the_moves_are_the_same_whatever_stands_between_them(words in prop::collection::vec(prop::sample::select(vec![
            "e4", "Nf3", "1.", "12...", "2...", "$1", "!?", "(", ")", " ", " ", "\n", "\t", "{so}", "{ [%clk 0:05:00] }",
            "{[%eval 0.1] [%emt 0:00:01]}", "\n% x { y\n", "; z [%clk 0:01:00]\n", "; {\n", "1-0", "*",
        ]), 0..24), ply in 0usize..6) {
            let text = words.concat();
            let (before, closed) = moves(&text);
            prop_assert_eq!(moves(&without_clocks(&text)), (before.clone(), closed), "{}", text);
            prop_assert_eq!(moves(&with_comment(&text, ply, "so")), (before, closed), "{}", text);
        }
    }

    #[test]
    fn a_comment_stands_behind_its_move() {
        let text = "1. e4 e5 2. Nf3 f6?! { [%eval 1.1] } 3. Nxe5 (3. d4) 3... fxe5 1-0";
        let at = |ply| with_comment(text, ply, "so");
        assert_eq!(at(0), text.replace("1. e4 e5", "1. e4 { so } 1... e5"));
        assert_eq!(at(1), text.replace("1. e4 e5 2.", "1. e4 e5 { so } 2."));
        assert_eq!(at(3), text.replace("f6?! {", "f6?! { so } {"));
        assert_eq!(at(4), text.replace("Nxe5 (", "Nxe5 { so } ("));
        assert_eq!(at(9), text);
    }
}
