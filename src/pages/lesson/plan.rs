//! What is printed where.

use super::Lesson;
use super::months::leave_room;
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

/// Whether too few games tell how many slip, so that a few lines say all that is known.
fn is_brief(material: &Material) -> bool {
    material.report.figures.slip_rate.value.is_none()
}

impl Lesson {
    /// The numbers of the traps with figures, and of those that are told briefly. The latter share
    /// pages, so they are printed last.
    pub(super) fn printed(&self) -> [Vec<usize>; 2] {
        let (brief, whole) =
            (1..=self.traps.len()).partition(|number| is_brief(&self.traps[number - 1]));
        [whole, brief]
    }

    /// Whether a trap with figures is printed on a page of its own. Behind one that is longer than
    /// a page all parts follow each other, so that no page stays empty.
    pub(super) fn on_its_page(&self, number: usize) -> bool {
        let longer = |material: &Material| !is_brief(material) && letters(&material.trap) > A_PAGE;
        self.traps.len() <= ON_A_PAGE && !self.traps.iter().take(number).any(longer)
    }

    /// Whether the quiz begins a page: not behind a page that may have much room left.
    pub(super) fn quiz_apart(&self) -> bool {
        let [_, brief] = self.printed();
        brief.is_empty() && !leave_room(self) && self.on_its_page(self.traps.len())
    }
}
