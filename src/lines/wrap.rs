//! Words in lines of a width.

/// Words in lines of at most `width` columns, the second and later ones indented. A longer word has a line of its own; a word
/// that may not begin a line stays on the one before, however long that gets.
pub fn wrapped<'a>(
    words: impl IntoIterator<Item = &'a str>,
    width: usize,
    indent: usize,
    may_begin: impl Fn(&str) -> bool,
) -> String {
    let mut lines = String::new();
    let mut column = 0;
    for word in words {
        let length = word.chars().count();
        if column > 0 && column + 1 + length > width && may_begin(word) {
            lines.push('\n');
            lines.extend(std::iter::repeat_n(' ', indent));
            column = indent;
        } else if column > 0 {
            lines.push(' ');
            column += 1;
        }
        lines += word;
        column += length;
    }
    lines
}
