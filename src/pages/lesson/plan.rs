//! What is printed where.

use super::Lesson;
use crate::answers::lesson::Material;
use crate::lines::{Trap, WrittenMove};

/// Traps of a lesson whose table leaves no page half empty.
const ON_A_PAGE: usize = 16;
/// Words of so many letters have room beside the diagrams, and on the page of a trap.
pub(super) const BESIDE: usize = 350;
const A_PAGE: usize = 1000;

/// How much the author wrote besides the line, in letters.
pub(super) fn letters(trap: &Trap) -> usize {
    fn of(moves: &[WrittenMove]) -> usize {
        let said =
            |texts: &[String]| texts.iter().map(|text| text.chars().count() + 1).sum::<usize>();
        let one = |mv: &WrittenMove| {
            let beside = mv.variations.iter().map(|moves| 2 + 6 * moves.len() + of(moves));
            said(&mv.before) + said(&mv.comments) + beside.sum::<usize>()
        };
        moves.iter().map(one).sum()
    }
    let scripts = trap.script().into_iter().chain(trap.other_scripts());
    scripts
        .map(|script| script.before.iter().map(String::len).sum::<usize>() + of(&script.moves))
        .sum()
}

impl Lesson {
    /// Whether a trap is printed on a page of its own. Behind one that is longer than a page all parts follow each other, so that
    /// no page stays empty.
    pub(super) fn on_its_page(&self, number: usize) -> bool {
        let longer = |material: &Material| letters(&material.trap) > A_PAGE;
        self.traps.len() <= ON_A_PAGE && !self.traps.iter().take(number).any(longer)
    }
}
