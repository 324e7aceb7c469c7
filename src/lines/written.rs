//! What the author of a trap wrote around its moves: marks, comments, variations.

use super::spelling::san_text;
use super::tree::{BranchId, Tree};

/// Bytes of one trap's remarks and variations that are kept; what is more is left out.
const MOST: usize = 1 << 16;

/// A move of the text with all that was written around it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WrittenMove {
    /// Which half-move it is, from 0.
    pub ply: usize,
    /// The move in SAN.
    pub san: String,
    /// Marks and signs as written.
    pub marks: Vec<String>,
    /// Comments in front of it, where a variation begins with it.
    pub before: Vec<String>,
    /// Comments behind it, line breaks as blanks.
    pub comments: Vec<String>,
    /// What the text gives instead of it, in its order; none at the first move of a variation.
    pub variations: Vec<Vec<WrittenMove>>,
}

/// A line as its author wrote it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Script {
    /// What comes before the first move.
    pub before: Vec<String>,
    /// The moves of the line, one after another.
    pub moves: Vec<WrittenMove>,
    /// Whether there was more than is kept.
    pub cut: bool,
}

impl Script {
    /// Whether the author wrote more than the moves of the line and its marks.
    pub fn says_anything(&self) -> bool {
        let says = |mv: &WrittenMove| !mv.comments.is_empty() || !mv.variations.is_empty();
        !self.before.is_empty() || self.moves.iter().any(says)
    }

    /// The line through `id`, which goes on with the first continuation of each move.
    pub(super) fn of(tree: &Tree, id: BranchId) -> Script {
        let mut way: Vec<BranchId> = std::iter::successors(Some(id), |&id| {
            Some(tree.parent(id)).filter(|_| tree.played(id).is_some())
        })
        .filter(|&id| tree.played(id).is_some())
        .collect();
        way.reverse();
        let behind = std::iter::successors(Some(id), |&id| tree.children(id).first().copied());
        way.extend(behind.skip(1));
        let mut writer = Writer { tree, left: MOST };
        let before = writer.kept(&tree.remarks(BranchId::ROOT).comments);
        let moves = way.into_iter().map(|id| writer.with_variations(id)).collect();
        Script { before, moves, cut: writer.left == 0 }
    }
}

struct Writer<'a> {
    tree: &'a Tree,
    /// Bytes that may still be kept.
    left: usize,
}

impl Writer<'_> {
    /// Texts as long as there is room for them.
    fn kept(&mut self, texts: &[String]) -> Vec<String> {
        let fits = |text: &&String| self.spend(text.len());
        texts.iter().take_while(fits).cloned().collect()
    }

    fn spend(&mut self, bytes: usize) -> bool {
        let fits = bytes <= self.left;
        self.left = if fits { self.left - bytes } else { 0 };
        fits
    }

    fn alone(&mut self, id: BranchId) -> WrittenMove {
        let (tree, remarks) = (self.tree, self.tree.remarks(id));
        let mv = tree.played(id).expect("only the root plays nothing");
        WrittenMove {
            ply: tree.depth(id) - 1,
            san: san_text(tree.position(tree.parent(id)), mv),
            marks: self.kept(&remarks.marks),
            before: self.kept(&remarks.before),
            comments: self.kept(&remarks.comments),
            variations: Vec::new(),
        }
    }

    fn with_variations(&mut self, id: BranchId) -> WrittenMove {
        let alone = self.alone(id);
        let mut variations = Vec::new();
        for &other in self.tree.children(self.tree.parent(id)) {
            if other != id && self.spend(8) {
                variations.push(self.variation(other));
            }
        }
        WrittenMove { variations, ..alone }
    }

    /// A line that begins with `id`; what accompanies its first move is reported elsewhere.
    fn variation(&mut self, id: BranchId) -> Vec<WrittenMove> {
        let mut moves = vec![self.alone(id)];
        let mut at = id;
        while let Some(&next) = self.tree.children(at).first() {
            if !self.spend(8) {
                break;
            }
            moves.push(self.with_variations(next));
            at = next;
        }
        moves
    }
}

#[cfg(test)]
mod tests {
    use super::super::tokens::{Extent, Tokens};
    use super::*;

    fn script(text: &str, id: usize) -> Script {
        let tree = Tree::read(Tokens::new(text, 0, Extent::Whole).keeping()).expect("a tree");
        let id = tree.moves().nth(id).expect("a move");
        Script::of(&tree, id)
    }

    /// The script in one line, comments in braces, variations in brackets.
    fn told(moves: &[WrittenMove]) -> String {
        let one = |mv: &WrittenMove| {
            let braced = |texts: &[String]| -> String {
                texts.iter().map(|text| format!("{{{text}}}")).collect()
            };
            let variations: String =
                mv.variations.iter().map(|moves| format!("({})", told(moves))).collect();
            format!(
                "{}{}{}{}{variations}",
                braced(&mv.before),
                mv.san,
                mv.marks.concat(),
                braced(&mv.comments)
            )
        };
        moves.iter().map(one).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn comments_marks_and_variations_stay_with_their_moves() {
        let text = "{Before} 1. e4 $14 {King's\n pawn} e5 ? ({Or} 1... c5!? {sharp} 2. Nf3 (2. c3)) {Behind} 2. Nf3 += ; rest\n *";
        let script = script(text, 0);
        assert_eq!(script.before, ["Before"]);
        assert_eq!(
            told(&script.moves),
            "e4$14{King's pawn} e5?{Behind}({Or}c5!?{sharp} Nf3(c3)) Nf3+={rest}"
        );
        assert!(script.says_anything() && !script.cut);
    }

    #[test]
    fn seen_from_a_variation_the_main_line_is_one() {
        let script = script("1. e4 e5 {main} (1... c5 2. Nf3) 2. Nc3 *", 2);
        assert_eq!(told(&script.moves), "e4 c5(e5{main} Nc3) Nf3");
    }

    #[test]
    fn what_is_too_long_is_cut() {
        let long =
            format!("1. e4 {{{}}} e5 {{{}}} 2. Nf3 *", "a".repeat(60_000), "b".repeat(60_000));
        let script = script(&long, 0);
        assert!(script.cut && script.moves[0].comments.len() == 1);
        assert!(script.moves[1].comments.is_empty() && script.moves.len() == 3);
    }
}
