//! A game with its variations and marks.

use shakmaty::{Chess, Color, Move, Position};

use super::Line;
use super::limits::{MOST_HALF_MOVES, MOST_MOVES};
use super::line_error::{LineError, MoveError, Place};
use super::numbers::Numbers;
use super::remarks::Remarks;
use super::spelling::read_move;
use super::tokens::{Mark, Passed, Token, Tokens};

/// A move in a [`Tree`]; the root stands for the initial position.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct BranchId(usize);

impl BranchId {
    pub(super) const ROOT: BranchId = BranchId(0);
}

/// Moves from the initial position on, each with its alternatives, in the order of the text.
#[derive(Clone, Debug)]
pub(super) struct Tree {
    nodes: Vec<Branch>,
}

#[derive(Clone, Debug)]
struct Branch {
    /// The root is its own parent.
    parent: BranchId,
    /// `None` at the root.
    played: Option<Move>,
    position: Chess,
    mark: Option<Mark>,
    /// What the author wrote around the move.
    remarks: Remarks,
    /// Where the move first ends in the text, in bytes; 0 at the root.
    end: usize,
    /// The main continuation first.
    children: Vec<BranchId>,
}

impl Tree {
    /// Plays the words of a movetext with all its variations. Of several marks at a move the
    /// heaviest counts; a variation that repeats a move goes on with it.
    pub(super) fn read(mut words: Tokens<'_>) -> Result<Tree, LineError> {
        let root = Branch {
            parent: BranchId::ROOT,
            played: None,
            position: Chess::default(),
            mark: None,
            remarks: Remarks::default(),
            end: 0,
            children: Vec::new(),
        };
        let mut tree = Tree { nodes: vec![root] };
        let mut at = BranchId::ROOT;
        let mut open = Vec::new();
        // A mark in front of a variation's first move judges nothing.
        let mut just_opened = false;
        // What comes before the first move of a variation belongs to that one.
        let mut before: Option<Remarks> = None;
        let mut numbers = Numbers::default();
        while let Some(word) = words.next() {
            numbers.check(Some(word), tree.position(at), || tree.line_to(at).to_string())?;
            let opened = std::mem::replace(&mut just_opened, word == Token::Open);
            tree.keep(at, &mut before, words.take_passed());
            match word {
                Token::Move(written) => {
                    at = tree.add(at, written, words.at())?;
                    if let Some(before) = before.take() {
                        tree.node_mut(at).remarks.before.extend(before.comments);
                    }
                }
                Token::Number { .. } => {}
                Token::Mark(_) if opened => just_opened = true,
                Token::Mark(mark) => {
                    let node = tree.node_mut(at);
                    node.mark = node.mark.max(Some(mark));
                }
                Token::Open if at == BranchId::ROOT => return Err(LineError::Brackets),
                Token::Open => {
                    open.push(at);
                    at = tree.node(at).parent;
                    before = Some(Remarks::default());
                }
                Token::Close => {
                    at = open.pop().ok_or(LineError::Brackets)?;
                    before = None;
                }
                Token::Unterminated => return Err(LineError::OpenComment),
            }
        }
        tree.keep(at, &mut before, words.take_passed());
        numbers.check(None, tree.position(at), || tree.line_to(at).to_string())?;
        if open.is_empty() { Ok(tree) } else { Err(LineError::Brackets) }
    }

    /// Keeps what was passed after a move, or before the first one of a variation.
    fn keep(&mut self, at: BranchId, before: &mut Option<Remarks>, passed: Vec<Passed<'_>>) {
        let remarks = before.as_mut().unwrap_or(&mut self.node_mut(at).remarks);
        for passed in passed {
            match passed {
                Passed::Comment(text) => remarks.comment(text),
                Passed::Mark(mark) => remarks.marks.push(mark.to_owned()),
            }
        }
    }

    fn add(&mut self, parent: BranchId, written: &str, end: usize) -> Result<BranchId, LineError> {
        let before = self.position(parent);
        let mv = read_move(before, written).map_err(|misread| {
            let place = Place::of(before, self.line_to(parent).to_string());
            LineError::Move(Box::new(MoveError { written: written.to_owned(), place, misread }))
        })?;
        let known = self.children(parent).iter().find(|&&child| self.played(child) == Some(mv));
        if let Some(&known) = known {
            return Ok(known);
        }
        if half_moves(before) == MOST_HALF_MOVES {
            return Err(LineError::TooLong);
        }
        if self.nodes.len() > MOST_MOVES {
            return Err(LineError::TooManyMoves);
        }
        let mut position = before.clone();
        position.play_unchecked(mv);
        let id = BranchId(self.nodes.len());
        self.nodes.push(Branch {
            parent,
            played: Some(mv),
            position,
            mark: None,
            remarks: Remarks::default(),
            end,
            children: Vec::new(),
        });
        self.node_mut(parent).children.push(id);
        Ok(id)
    }

    fn node(&self, id: BranchId) -> &Branch {
        &self.nodes[id.0]
    }

    fn node_mut(&mut self, id: BranchId) -> &mut Branch {
        &mut self.nodes[id.0]
    }

    /// All moves in the order of the text.
    pub(super) fn moves(&self) -> impl Iterator<Item = BranchId> + '_ {
        (1..self.nodes.len()).map(BranchId)
    }

    pub(super) fn main_line(&self) -> impl Iterator<Item = BranchId> + '_ {
        let next = |&id: &BranchId| self.children(id).first().copied();
        std::iter::successors(next(&BranchId::ROOT), next)
    }

    /// What the node plays; `None` for the root.
    pub(super) fn played(&self, id: BranchId) -> Option<Move> {
        self.node(id).played
    }

    /// Who plays it.
    pub(super) fn mover(&self, id: BranchId) -> Color {
        self.position(self.parent(id)).turn()
    }

    /// Where the move ends in the text that was read, in bytes, without marks and comments.
    pub(super) fn end(&self, id: BranchId) -> usize {
        self.node(id).end
    }

    pub(super) fn mark(&self, id: BranchId) -> Option<Mark> {
        self.node(id).mark
    }

    /// What the author wrote around the move; at the root, before the first one.
    pub(super) fn remarks(&self, id: BranchId) -> &Remarks {
        &self.node(id).remarks
    }

    /// Half-moves to a node, its own included.
    pub(super) fn depth(&self, id: BranchId) -> usize {
        half_moves(self.position(id))
    }

    pub(super) fn parent(&self, id: BranchId) -> BranchId {
        self.node(id).parent
    }

    pub(super) fn children(&self, id: BranchId) -> &[BranchId] {
        &self.node(id).children
    }

    /// The position after the node's move.
    pub(super) fn position(&self, id: BranchId) -> &Chess {
        &self.node(id).position
    }

    /// The line that leads to a node, its own move included.
    pub(super) fn line_to(&self, id: BranchId) -> Line {
        let way = std::iter::successors(Some(id), |&id| Some(self.parent(id)));
        let mut moves: Vec<Move> = way.map_while(|id| self.played(id)).collect();
        moves.reverse();
        let mut line = Line::default();
        moves.into_iter().for_each(|mv| line.play(mv));
        line
    }

    /// The line that leads to a node and goes on with the first continuation of each move.
    pub(super) fn line_through(&self, id: BranchId) -> Line {
        let mut line = self.line_to(id);
        let behind = std::iter::successors(Some(id), |&id| self.children(id).first().copied());
        behind.skip(1).filter_map(|id| self.played(id)).for_each(|mv| line.play(mv));
        line
    }
}

/// How many half-moves led to a position from the initial one.
fn half_moves(position: &Chess) -> usize {
    let whole = 2 * (position.fullmoves().get() as usize - 1);
    whole + usize::from(position.turn() == Color::Black)
}

#[cfg(test)]
mod tests {
    use super::super::tokens::Extent;
    use super::*;

    fn read(text: &str) -> Result<Tree, LineError> {
        Tree::read(Tokens::new(text, 0, Extent::Whole))
    }

    fn lines(text: &str) -> Vec<String> {
        let tree = read(text).expect("a tree");
        let ends = tree.moves().filter(|&id| tree.children(id).is_empty());
        ends.map(|id| tree.line_to(id).to_string()).collect()
    }

    #[test]
    fn variations_branch_off_before_the_move_in_front_of_them() {
        assert_eq!(
            lines("1. e4 e5 (1... c5 2. Nf3 (2. c3) d6) 2. Nf3 *"),
            ["1. e4 c5 2. c3", "1. e4 c5 2. Nf3 d6", "1. e4 e5 2. Nf3"]
        );
    }

    #[test]
    fn a_variation_that_repeats_a_move_goes_on_with_it() {
        let tree = read("1. e4 e5 (1... e5 $4 2. d4) 2. Nf3").expect("a tree");
        assert_eq!(tree.main_line().count(), 3);
        assert_eq!(tree.main_line().nth(1).and_then(|id| tree.mark(id)), Some(Mark::Blunder));
    }

    #[test]
    fn the_heaviest_mark_counts() {
        let tree = read("1. e4 ?? $2 !? e5 $6").expect("a tree");
        let marks: Vec<_> = tree.main_line().map(|id| tree.mark(id)).collect();
        assert_eq!(marks, [Some(Mark::Blunder), Some(Mark::Remark)]);
    }

    #[test]
    fn an_illegal_move_in_a_variation_is_placed_in_it() {
        let error = read("1. e4 e5 (1... c5 2. Nf5) 2. Nf3").expect_err("illegal").to_string();
        assert!(error.contains("'Nf5' at White's move 2 (half-move 3) after 1. e4 c5;"), "{error}");
    }

    #[test]
    fn numbers_count_from_where_a_variation_branches_off() {
        lines("1. e4 e5 (1... c5 2. Nf3 (2. c3)) 2. Nf3 (2.)");
        for text in ["1. e4 e5 (2. c5)", "1. e4 e5 (1... c5 3. Nf3) 2. Nf3", "1. e4 e5 (1) 2. Nf3"]
        {
            let error = read(text).expect_err("a wrong number").to_string();
            assert!(error.contains("number"), "{text}: {error}");
        }
    }

    #[test]
    fn brackets_must_match() {
        for text in ["(1. e4)", "1. e4 (1. d4", "1. e4) e5"] {
            assert_eq!(read(text).map(|_| ()), Err(LineError::Brackets), "{text}");
        }
    }
}
