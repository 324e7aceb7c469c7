//! Words in lines of a width.

/// Words in lines of at most `width` columns, the second and later ones indented. A word that may
/// not begin a line takes the one before along; what is longer than a line has one of its own.
pub fn wrapped<'a>(
    words: impl IntoIterator<Item = &'a str>,
    width: usize,
    indent: usize,
    may_begin: impl Fn(&str) -> bool,
) -> String {
    let mut together: Vec<Vec<&str>> = Vec::new();
    for word in words {
        match together.last_mut() {
            Some(last) if !may_begin(word) => last.push(word),
            _ => together.push(vec![word]),
        }
    }
    let mut lines = String::new();
    let mut column = 0;
    for words in together.iter().map(|words| words.join(" ")) {
        let length = words.chars().count();
        if column > 0 && column + 1 + length > width {
            lines.push('\n');
            lines.extend(std::iter::repeat_n(' ', indent));
            column = indent;
        } else if column > 0 {
            lines.push(' ');
            column += 1;
        }
        lines += &words;
        column += length;
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_that_may_not_begin_a_line_takes_the_one_before_along() {
        let lines = |width| wrapped("one 62.5 % of".split(' '), width, 2, |word| word != "%");
        assert_eq!(lines(8), "one\n  62.5 %\n  of");
        assert_eq!(lines(10), "one 62.5 %\n  of");
        assert_eq!(lines(3), "one\n  62.5 %\n  of");
    }
}
