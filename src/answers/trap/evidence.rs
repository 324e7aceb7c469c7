//! The counts that a trap report rests on, looked up once and then asked under many filters.

use shakmaty::san::SanPlus;
use shakmaty::{Chess, Color, Position};

use super::TrapLine;
use crate::answers::Sample;
use crate::answers::moves::{PaceGames, games_by_pace};
use crate::counts::{Counts, Key, MoveCode, MoverFilter, Opening, PositionCounts, Totals};

/// One position of the line, the move that the line plays there, and what is counted there.
pub(super) struct Node {
    pub position: Chess,
    /// The move in SAN.
    pub san: String,
    pub code: MoveCode,
    pub counts: Option<PositionCounts>,
}

/// The whole line with its counts.
pub(super) struct Evidence<'a> {
    pub victim: Color,
    /// The victim's choices before the trap position.
    pub choices: Vec<Node>,
    /// The position before the bait; none if the slip is the first move.
    pub bait: Option<Node>,
    /// The trap position, where the line plays the slip.
    pub slip: Node,
    /// What is counted in the position after the slip.
    pub after_counts: Option<PositionCounts>,
    /// The refutation in SAN and as a code.
    pub refutation: Option<(String, MoveCode)>,
    pub totals: &'a Totals,
}

/// Games of one move among all moves of a position.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Split {
    pub k: u64,
    pub n: u64,
}

impl<'a> Evidence<'a> {
    /// Plays the line and looks its positions up.
    pub fn look_up<C: Counts>(counts: &'a C, line: &TrapLine) -> Result<Evidence<'a>, C::Error> {
        let mut position = Chess::default();
        let mut nodes = Vec::new();
        for (ply, &mv) in line.moves.iter().enumerate().take(line.slip + 1) {
            // The setter's moves are taken as played; only what the bait replaces is looked at.
            let wanted = ply % 2 == line.slip % 2 || ply + 1 == line.slip;
            if wanted {
                nodes.push(Node {
                    san: SanPlus::from_move(position.clone(), mv).to_string(),
                    code: MoveCode::of(mv),
                    counts: counts.position(Key::of(&position))?,
                    position: position.clone(),
                });
            }
            position.play_unchecked(mv);
        }
        let slip = nodes.pop().expect("the slip is one of the moves");
        let bait = if line.slip > 0 { nodes.pop() } else { None };
        let refutation = line
            .moves
            .get(line.slip + 1)
            .map(|&mv| (SanPlus::from_move(position.clone(), mv).to_string(), MoveCode::of(mv)));
        Ok(Evidence {
            victim: slip.position.turn(),
            choices: nodes,
            bait,
            slip,
            after_counts: counts.position(Key::of(&position))?,
            refutation,
            totals: counts.totals(),
        })
    }

    pub fn setter(&self) -> Color {
        self.victim.other()
    }

    /// All positions looked up, in the order of the line, with what is counted there.
    pub fn looked_up(&self) -> impl DoubleEndedIterator<Item = Option<&PositionCounts>> {
        let before = self.choices.iter().chain(&self.bait).chain([&self.slip]);
        before.map(|node| node.counts.as_ref()).chain([self.after_counts.as_ref()])
    }

    /// The learned opening name of the last named position looked up.
    pub fn opening(&self) -> Option<&Opening> {
        self.looked_up().rev().flatten().find_map(|counts| counts.opening.as_ref())
    }

    /// How many games may be missing from the position that lacks most; `absent` from one that was
    /// not kept.
    pub fn may_lack(&self, absent: u64) -> u64 {
        self.looked_up().map(|counts| counts.map_or(absent, |c| c.may_lack)).max().unwrap_or(0)
    }

    /// Games in the trap position by pace, only paces with games.
    pub fn paces(&self, filter: MoverFilter) -> Vec<PaceGames> {
        games_by_pace(self.slip.counts.as_ref(), filter)
    }

    /// The victims' other moves in the trap position, or the slip, from the setter's view.
    pub fn by_victims(&self, slipped: bool, filter: MoverFilter) -> Sample {
        let wanted = |code| (code == self.slip.code) == slipped;
        let counts = self.slip.counts.as_ref();
        Sample::of_moves(counts, wanted, filter, self.victim, self.totals).swapped()
    }

    /// The setters' replies to the slip: the refutation or all others.
    pub fn replies(&self, refuted: bool, filter: MoverFilter) -> Sample {
        let refutation = self.refutation.as_ref().map(|(_, code)| *code);
        let wanted = |code| (Some(code) == refutation) == refuted;
        let counts = self.after_counts.as_ref();
        Sample::of_moves(counts, wanted, filter, self.setter(), self.totals)
    }
}

impl Node {
    /// The needed move among all moves of the filter's movers here.
    pub fn split(&self, filter: MoverFilter) -> Split {
        split(self.counts.as_ref(), self.code, filter)
    }

    /// The move with its number: `4.Nxe5`, `2...Nc6`.
    pub fn numbered(&self) -> String {
        let dots = self.position.turn().fold_wb(".", "...");
        format!("{}{dots}{}", self.position.fullmoves(), self.san)
    }
}

/// One move among all moves of the filter's movers in a position.
pub(super) fn split(counts: Option<&PositionCounts>, code: MoveCode, filter: MoverFilter) -> Split {
    let mut split = Split { k: 0, n: 0 };
    for mv in counts.into_iter().flat_map(|counts| &counts.moves) {
        let games = mv.sum(filter).games;
        split.n += games;
        split.k += if mv.code == code { games } else { 0 };
    }
    split
}
