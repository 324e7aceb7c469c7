//! Marks of moves and signs for the state of the game, as pages show them and as PGN writes them
//! (numeric annotation glyphs: PGN standard, 1994, section 10).

/// Number, sign, and whether it judges the move before it.
const KNOWN: [(u8, &str); 14] = [
    (1, "!"),
    (2, "?"),
    (3, "!!"),
    (4, "??"),
    (5, "!?"),
    (6, "?!"),
    (10, "="),
    (14, "+="),
    (15, "=+"),
    (16, "+/-"),
    (17, "-/+"),
    (18, "+-"),
    (19, "-+"),
    (13, "\u{221e}"),
];
/// Other ways to write the same.
const ALSO: [(&str, u8); 4] =
    [("\u{b1}", 16), ("\u{2213}", 17), ("\u{2a72}", 14), ("\u{2a71}", 15)];

/// A mark as a page shows it; one without a sign of its own stays as it was written.
pub(super) fn glyph(mark: &str) -> String {
    let numbered = mark.strip_prefix('$').and_then(|number| number.parse::<u8>().ok());
    let sign = numbered.and_then(|number| KNOWN.iter().find(|(known, _)| *known == number));
    sign.map_or_else(|| mark.to_owned(), |(_, sign)| (*sign).to_owned())
}

/// A mark as PGN writes it; none for a sign without a number.
pub(super) fn nag(mark: &str) -> Option<String> {
    if let Some(number) = mark.strip_prefix('$') {
        return number.parse::<u8>().ok().map(|number| format!("${number}"));
    }
    let of_sign = KNOWN.iter().find(|(_, sign)| *sign == mark).map(|(number, _)| *number);
    let also = || ALSO.iter().find(|(sign, _)| *sign == mark).map(|(_, number)| *number);
    // Three and more question marks are a blunder all the more.
    let many = || (mark.len() > 2 && mark.bytes().all(|byte| byte == b'?')).then_some(4);
    of_sign.or_else(also).or_else(many).map(|number| format!("${number}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_keep_their_meaning_in_both_spellings() {
        for (mark, shown, written) in [
            ("?", "?", Some("$2")),
            ("$4", "??", Some("$4")),
            ("????", "????", Some("$4")),
            ("$16", "+/-", Some("$16")),
            ("\u{b1}", "\u{b1}", Some("$16")),
            ("$139", "$139", Some("$139")),
            ("!!?", "!!?", None),
            ("$999", "$999", None),
        ] {
            assert_eq!((glyph(mark).as_str(), nag(mark).as_deref()), (shown, written), "{mark}");
        }
    }
}
