//! What `trap` and `lesson` may be asked besides, as typed, how `trap` lays it out, and what
//! its help says.

use std::env;

use clap::{Args, ValueEnum};

use super::error::CliError;
use super::share::share;
use crate::answers::Question;
use crate::pages::BoardStyle;
use crate::pages::trap::{View, advice_help};

/// How `trap` lays its answer out.
#[derive(Debug, Args)]
pub struct ViewArgs {
    /// Print a sheet on each trap after the tables that compare several
    #[arg(long)]
    each: bool,
    /// Draw boards with figurines or letters [default: figurines if the locale is UTF-8]
    #[arg(long, value_enum, value_name = "SIGNS")]
    board: Option<Signs>,
}

/// Further questions about traps.
#[derive(Debug, Args)]
pub struct JudgeArgs {
    /// Answer for the student who lays the trap or for the one who faces it
    #[arg(long, value_enum, default_value_t = Whose::Setter)]
    pub side: Whose,
    /// Show from which rating on fewer than this share slip, such as 20%
    #[arg(long, value_name = "SHARE", value_parser = part)]
    slip_below: Option<f64>,
    /// Show bullet, blitz, rapid and classical side by side
    #[arg(long, value_enum)]
    by: Option<By>,
    /// Show how each figure is worked out from the counts
    #[arg(long)]
    pub explain: bool,
}

/// With what to draw boards.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Signs {
    /// Figurines
    Unicode,
    /// Letters
    Ascii,
}

/// From whose view to answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Whose {
    /// Who lays the trap
    Setter,
    /// Who faces it
    Victim,
}

/// What to answer apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum By {
    /// Bullet, blitz, rapid and classical
    Pace,
}

impl JudgeArgs {
    /// The question with what is asked here and, each with whether it is given, by `others` that
    /// only setters ask.
    pub fn of(
        &self,
        question: Question,
        others: &[(&'static str, bool)],
    ) -> Result<Question, CliError> {
        let ours = [("--slip-below", self.slip_below.is_some()), ("--by", self.by.is_some())];
        let misplaced = ours.iter().chain(others).find(|(_, given)| *given);
        if let (Whose::Victim, Some((option, _))) = (self.side, misplaced) {
            return Err(CliError::Usage(format!(
                "{option} is answered from the setter's side only"
            )));
        }
        Ok(self.for_lesson(question))
    }

    /// The same for a lesson, whose pages are about both sides.
    pub fn for_lesson(&self, question: Question) -> Question {
        Question {
            slip_below: self.slip_below,
            by_pace: self.is_by_pace(),
            explain: self.explain,
            ..question
        }
    }

    /// Whether something is asked that only sheets show.
    pub fn is_deeper(&self) -> bool {
        self.explain || self.is_by_pace() || self.slip_below.is_some()
    }

    /// Whether the paces are asked side by side.
    fn is_by_pace(&self) -> bool {
        self.by == Some(By::Pace)
    }
}

impl ViewArgs {
    /// Sheets with letters, for a file.
    pub fn letters() -> View {
        View { each: true, board: BoardStyle::Ascii }
    }

    /// What only tables show, each with whether it is given.
    pub fn of_tables(&self) -> [(&'static str, bool); 2] {
        [("--each", self.each), ("--board", self.board.is_some())]
    }

    /// Refuses boards where only tables that compare several traps are shown.
    pub fn shows_boards(&self, traps: usize, deeper: bool) -> Result<(), CliError> {
        if self.board.is_some() && traps > 1 && !self.each && !deeper {
            let why = "--board draws on the sheets of traps; for several traps add --each";
            return Err(CliError::Usage(why.into()));
        }
        Ok(())
    }

    /// How the page is laid out. A single trap, and one looked into deeper, has its sheet
    /// in any case.
    pub fn view(&self, deeper: bool) -> View {
        let board = match self.board {
            Some(Signs::Unicode) => BoardStyle::Unicode,
            Some(Signs::Ascii) => BoardStyle::Ascii,
            None => of_locale(|name| env::var(name).ok()),
        };
        View { each: self.each || deeper, board }
    }
}

/// Figurines if the first of the locale variables that is set names UTF-8.
fn of_locale(variable: impl Fn(&str) -> Option<String>) -> BoardStyle {
    let set = |name| variable(name).filter(|value| !value.is_empty());
    let locale = ["LC_ALL", "LC_CTYPE", "LANG"].into_iter().find_map(set).unwrap_or_default();
    let locale = locale.to_ascii_lowercase();
    match locale.contains("utf-8") || locale.contains("utf8") {
        true => BoardStyle::Unicode,
        false => BoardStyle::Ascii,
    }
}

/// A share that is neither none nor all.
fn part(text: &str) -> Result<f64, String> {
    let share = share(text)?;
    let is_part = share > 0.0 && share < 1.0;
    is_part.then_some(share).ok_or_else(|| "give a share between 0 and 1, such as 20%".to_owned())
}

/// What comes after the options.
pub fn trap_help() -> String {
    format!("{TRAP_HELP}\n{}", advice_help().trim_end())
}

const TRAP_HELP: &str = "\
A trap is a line with a slip in it, the losing move, followed by its refutation. The slip is the move marked ?? (or $4); \
without such a mark, the last one marked ? (or $2). The other side is the setter. A PGN file has one trap a game; \
`deadfall help formats` says more.

The ratings are those of whoever moves: victims in the trap position, setters after the slip. Several traps are compared in \
tables; a single trap, or --each, gets a sheet. `deadfall help figures` explains every figure and every column, \
also the advice to those who face a trap, `deadfall help margins` the brackets and \"as good as\", `deadfall help soundness` what the engine is for.
";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_is_neither_none_nor_all() {
        assert_eq!((part("20%"), part("0.2"), part("1/5")), (Ok(0.2), Ok(0.2), Ok(0.2)));
        assert!(["20", "0", "1", "100%", "x"].iter().all(|text| part(text).is_err()));
    }

    #[test]
    fn the_first_locale_variable_that_is_set_decides() {
        let of = |all: &str, lang: &str| {
            of_locale(|name| match name {
                "LC_ALL" => Some(all.to_owned()),
                "LANG" => Some(lang.to_owned()),
                _ => None,
            })
        };
        assert_eq!(of("C", "de_DE.UTF-8"), BoardStyle::Ascii);
        assert_eq!(of("", "de_DE.utf8"), BoardStyle::Unicode);
    }
}
