//! The languages in which pages speak. A new one is two files beside the others and a row here.
//!
//! [`phrases`](Language) lists what there is to say, `speech` has what languages do with numbers,
//! dates, moves and lists.

mod english;
mod french;
mod german;
mod phrases;
mod slots;
mod spanish;
mod speech;
mod wording;

pub use english::ENGLISH;
pub(in crate::pages) use phrases::San;
pub use phrases::{Language, StudentPhrases};
pub(in crate::pages) use slots::text_of;
pub(in crate::pages) use speech::capital;

/// Every language.
pub const LANGUAGES: [&Language; 4] =
    [&ENGLISH, &german::GERMAN, &spanish::SPANISH, &french::FRENCH];

const _: () = {
    let mut place = 0;
    while place < LANGUAGES.len() {
        LANGUAGES[place].check();
        LANGUAGES[place].student.check();
        place += 1;
    }
};

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::trap::Code;
    use std::collections::BTreeSet;

    /// What is spelled alike in English and another language.
    const ALIKE: [(&str, &[&str]); 3] = [
        ("de", &["April", "August", "September", "November"]),
        ("es", &[]),
        (
            "fr",
            &["bullet", "blitz", "rare", "Position", "Solutions", "{n} position", "{n} positions"],
        ),
    ];

    fn others() -> impl Iterator<Item = (&'static Language, &'static [&'static str])> {
        LANGUAGES.into_iter().filter_map(|language| {
            let alike = ALIKE.iter().find(|(code, _)| *code == language.code);
            assert_eq!(alike.is_none(), language.code == "en", "{}", language.code);
            alike.map(|(_, alike)| (language, *alike))
        })
    }

    /// Every phrase with its name.
    fn all(language: &Language) -> Vec<(&'static str, &'static str)> {
        let roles = language.roles.as_flattened().iter().map(|role| ("roles", *role));
        let phrases = [language.phrases(), language.student.phrases()].concat();
        roles.chain(phrases).collect()
    }

    /// The words of a phrase between its slots.
    fn words(phrase: &str) -> BTreeSet<String> {
        let outside =
            phrase.split('{').map(|part| part.split_once('}').map_or(part, |(_, text)| text));
        let words = outside.flat_map(|text| text.split(|c: char| !c.is_alphabetic()));
        words.filter(|word| !word.is_empty()).map(str::to_lowercase).collect()
    }

    #[test]
    fn no_phrase_is_left_in_english() {
        for (language, alike) in others() {
            for ((name, english), (_, other)) in all(&ENGLISH).iter().zip(all(language)) {
                let told = words(english).is_empty() || alike.contains(&other) || *name == "code";
                assert!(told || *english != other, "{}: {name}: {other}", language.code);
            }
        }
    }

    #[test]
    fn no_phrase_has_an_english_word() {
        let english = [
            "the", "of", "and", "with", "for", "from", "games", "players", "move", "moves", "is",
            "are", "not", "they", "your",
        ];
        for (language, _) in others() {
            for (name, phrase) in all(language) {
                let words = words(phrase);
                let found = english.iter().find(|word| words.contains(**word));
                assert_eq!(found, None, "{}: {name}: {phrase}", language.code);
            }
        }
    }

    #[test]
    fn numbers_moves_and_months_follow_the_language() {
        let said = LANGUAGES.map(|language| {
            let numbers = [language.signed(-1234.5, 1), language.count(12_345)].join(" ");
            let moves = language.san("5.Nxf7 Qxg2 6.Rf1 Bb4+ 7.Ke2 O-O e8=Q").to_string();
            let months = language.months_of(Some("2031-05-01"), Some("2032-01-31"));
            [numbers, moves, months].join("; ")
        });
        assert_eq!(
            said,
            [
                "\u{2212}1,234.5 12,345; 5.Nxf7 Qxg2 6.Rf1 Bb4+ 7.Ke2 O-O e8=Q; May 2031 to January 2032",
                "\u{2212}1.234,5 12.345; 5.Sxf7 Dxg2 6.Tf1 Lb4+ 7.Ke2 O-O e8=D; Mai 2031 bis Januar 2032",
                "\u{2212}1234,5 12\u{a0}345; 5.Cxf7 Dxg2 6.Tf1 Ab4+ 7.Re2 O-O e8=D; de mayo de 2031 a enero de 2032",
                "\u{2212}1\u{a0}234,5 12\u{a0}345; 5.Cxf7 Dxg2 6.Tf1 Fb4+ 7.Re2 O-O e8=D; mai 2031 à janvier 2032",
            ]
        );
        let [english, .., french] = LANGUAGES;
        assert_eq!(english.months_of(Some("2031-05-01"), Some("2031-05-31")), "May 2031");
        assert_eq!(
            [english.months_of(Some("2031-13-01"), Some("x")), english.months_of(None, None)],
            [english.undated; 2]
        );
        assert_eq!([0, 1, 2].map(|n| english.games(n)), ["0 games", "1 game", "2 games"]);
        assert_eq!([0, 1, 2].map(|n| french.games(n)), ["0 partie", "1 partie", "2 parties"]);
    }

    #[test]
    fn every_number_is_said_in_each_plural() {
        for language in LANGUAGES {
            for (name, forms) in [language.counted(), language.student.counted()].concat() {
                for n in [0, 1, 2, 5, 11, 21, 101, 1_000_000] {
                    let [one, several] = forms.map(|form| form.replace("{n}", &language.count(n)));
                    let said = language.of_number(forms, n);
                    let told = said.contains(&language.count(n)) || n == 1;
                    assert!(told, "{}: {name} of {n}: {said}", language.code);
                    let alone = !forms[0].contains("{n}");
                    let wanted =
                        if (language.is_one)(n) && (n == 1 || !alone) { one } else { several };
                    assert_eq!(said, wanted, "{}: {name} of {n}", language.code);
                }
            }
        }
    }

    /// In Spanish "o" may not stand before the sound of another, nor "y" before that of an i.
    #[test]
    fn two_classes_of_a_verdict_read_as_words() {
        let said = LANGUAGES.map(|language| {
            [[Code::Common, Code::Occasional], [Code::Occasional, Code::Rare]]
                .map(|codes| language.verdict_of(&codes))
        });
        assert_eq!(
            said.map(|[often, seldom]| format!("{often}; {seldom}")),
            [
                "common or occasional; occasional or rare",
                "häufig oder gelegentlich; gelegentlich oder selten",
                "frecuente o esporádico; esporádico o poco frecuente",
                "fréquente ou occasionnelle; occasionnelle ou rare",
            ]
        );
        let begins = |word: &str, sound: char| word.trim_start_matches('h').starts_with(sound);
        assert!(
            !spanish::SPANISH.codes.iter().any(|word| begins(word, 'o')),
            "{:?}",
            spanish::SPANISH.codes
        );
        let advice = spanish::SPANISH.advice_codes;
        assert!(!advice.iter().any(|word| begins(word, 'i')), "{advice:?}");
    }

    #[test]
    fn lists_read_as_sentences() {
        assert_eq!(ENGLISH.list(&["a", "b", "c"]), "a, b and c");
        assert_eq!(ENGLISH.list(&["a"]), "a");
    }
}
