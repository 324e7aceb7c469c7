//! In which language a page is written.

use super::error::CliError;
use crate::pages::languages::{LANGUAGES, Language};

/// The language of this code or name, its own or the English one, in any case and with or
/// without accents.
pub fn language(typed: &str) -> Result<&'static Language, CliError> {
    let typed_plain = plain(typed);
    let known = LANGUAGES.into_iter().find(|language| {
        [language.code, language.name, language.own_name]
            .iter()
            .any(|name| plain(name) == typed_plain)
    });
    known.ok_or_else(|| {
        let codes = LANGUAGES.map(|language| format!("{} ({})", language.code, language.own_name));
        let codes = codes.join(", ");
        CliError::Usage(format!("--language {typed}: pages are written in one of {codes}"))
    })
}

/// Lower case without the accents that names of languages have.
fn plain(name: &str) -> String {
    let letter = |c: char| match c {
        'ñ' => 'n',
        'ç' => 'c',
        c => c,
    };
    name.trim().to_lowercase().chars().map(letter).collect()
}

/// What the help says: in which languages `what` can be written.
pub fn help(what: &str) -> String {
    let names = LANGUAGES.map(|language| format!("{} ({})", language.name, language.code));
    format!("Write {what} in {}", names.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_language_has_its_code_and_its_names_in_any_case() {
        for (typed, code) in [
            ("DE", "de"),
            ("deutsch", "de"),
            ("German", "de"),
            ("ESPAÑOL", "es"),
            ("espanol", "es"),
            ("Francais", "fr"),
            ("english", "en"),
        ] {
            assert_eq!(language(typed).map(|language| language.code).ok(), Some(code), "{typed}");
        }
        let error = language("nl").expect_err("no such language").to_string();
        assert!(error.contains("de (Deutsch)"), "{error}");
    }
}
