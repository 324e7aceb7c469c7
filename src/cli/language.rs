//! In which language a page is written.

use super::error::CliError;
use crate::pages::languages::{LANGUAGES, Language};

pub fn language(code: &str) -> Result<&'static Language, CliError> {
    let known = LANGUAGES.into_iter().find(|language| language.code == code);
    known.ok_or_else(|| {
        let codes = LANGUAGES.map(|language| language.code).join(", ");
        CliError::Usage(format!("--language {code}: pages are written in one of {codes}"))
    })
}

/// What the help says: in which languages `what` can be written.
pub fn help(what: &str) -> String {
    let names = LANGUAGES.map(|language| format!("{} ({})", language.name, language.code));
    format!("Write {what} in {}", names.join(", "))
}
