//! The languages in which pages speak. A new one is a file beside the others and a row here.
//!
//! [`phrases`](Language) lists what there is to say, `speech` has what languages do with numbers, dates, moves and lists.

mod english;
mod phrases;
mod slots;
mod speech;

pub use english::ENGLISH;
pub use phrases::Language;
pub(in crate::pages) use phrases::San;
pub(in crate::pages) use slots::text_of;

/// Every language.
pub const LANGUAGES: [&Language; 1] = [&ENGLISH];

const _: () = {
    let mut place = 0;
    while place < LANGUAGES.len() {
        LANGUAGES[place].check();
        place += 1;
    }
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn months_are_named() {
        let months = |first, last| ENGLISH.months_of(Some(first), Some(last));
        assert_eq!(months("2031-05-01", "2031-05-31"), "May 2031");
        assert_eq!(months("2031-05-01", "2032-01-31"), "May 2031 to January 2032");
        assert_eq!(
            [months("2031-13-01", "x"), ENGLISH.months_of(None, None)],
            [ENGLISH.undated; 2]
        );
    }

    #[test]
    fn lists_read_as_sentences() {
        assert_eq!(ENGLISH.list(&["a", "b", "c"]), "a, b and c");
        assert_eq!(ENGLISH.list(&["a"]), "a");
    }
}
