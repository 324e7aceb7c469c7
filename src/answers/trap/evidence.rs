//! The counts that a trap report rests on, looked up once and then asked under many filters.

use std::rc::Rc;

use shakmaty::san::SanPlus;
use shakmaty::{Chess, Color, Move, Position};

use super::TrapLine;
use super::cache::Cache;
use super::cells::PerCell;
use crate::answers::Sample;
use crate::answers::moves::{PaceGames, games_by_pace};
use crate::counts::{Counts, Opening, PositionCounts, Totals};
use crate::terms::{Key, MoveCode, MoverFilter};

/// One position of the line, the move that the line plays there, and what is counted there.
pub(super) struct Node {
    pub position: Chess,
    /// The move in SAN.
    pub san: String,
    pub code: MoveCode,
    pub counts: Option<Rc<PositionCounts>>,
    splits: PerCell<Split>,
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
    /// The position after the slip, and what is counted there.
    pub after: Chess,
    pub after_counts: Option<Rc<PositionCounts>>,
    /// The refutation in SAN and as a code.
    pub refutation: Option<(String, MoveCode)>,
    pub totals: &'a Totals,
    victims_games: PerCell<u64>,
    /// The victims' slips and other moves, from the setter's view.
    slipped: PerCell<Sample>,
    held: PerCell<Sample>,
    /// The setters' replies.
    refuted: PerCell<Sample>,
    missed: PerCell<Sample>,
    /// The setters' other moves instead of the bait.
    usual: PerCell<Sample>,
}

/// Games of one move among all moves of a position.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Split {
    pub k: u64,
    pub n: u64,
}

impl<'a> Evidence<'a> {
    /// Plays the line and looks its positions up.
    pub fn look_up<C: Counts>(
        cache: &Cache<'a, C>,
        line: &TrapLine,
    ) -> Result<Evidence<'a>, C::Error> {
        let victim = if line.slip.is_multiple_of(2) { Color::White } else { Color::Black };
        // The setter's moves are taken as played; only what the bait replaces is looked at.
        let mut nodes = nodes(cache, line, |ply| ply % 2 == line.slip % 2 || ply + 1 == line.slip)?;
        let slip = nodes.pop().expect("the slip is one of the moves");
        let bait = if line.slip > 0 { nodes.pop() } else { None };
        let mut after = slip.position.clone();
        after.play_unchecked(line.moves[line.slip]);
        let refutation = line
            .moves
            .get(line.slip + 1)
            .map(|&mv| (SanPlus::from_move(after.clone(), mv).to_string(), MoveCode::of(mv)));
        let after_counts = cache.position(Key::of(&after))?;
        let totals = cache.totals();
        let samples =
            |counts: &Option<Rc<PositionCounts>>, wanted: &dyn Fn(MoveCode) -> bool, mover| {
                PerCell::samples(counts.as_deref(), wanted, mover, totals)
            };
        let code = slip.code;
        let reply = refutation.as_ref().map(|(_, code)| *code);
        let setter = victim.other();
        Ok(Evidence {
            victims_games: PerCell::games(totals, victim),
            slipped: samples(&slip.counts, &|mv| mv == code, victim).map(Sample::swapped),
            held: samples(&slip.counts, &|mv| mv != code, victim).map(Sample::swapped),
            refuted: samples(&after_counts, &|mv| Some(mv) == reply, setter),
            missed: samples(&after_counts, &|mv| Some(mv) != reply, setter),
            usual: bait.as_ref().map_or_else(PerCell::default, |bait| {
                samples(&bait.counts, &|mv| mv != bait.code, setter)
            }),
            victim,
            choices: nodes,
            bait,
            slip,
            after,
            after_counts,
            refutation,
            totals,
        })
    }

    pub fn setter(&self) -> Color {
        self.victim.other()
    }

    /// All positions looked up, in the order of the line, with what is counted there.
    pub fn looked_up(&self) -> impl DoubleEndedIterator<Item = Option<&PositionCounts>> {
        let before = self.choices.iter().chain(&self.bait).chain([&self.slip]);
        before.map(|node| node.counts.as_deref()).chain([self.after_counts.as_deref()])
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
        games_by_pace(self.slip.counts.as_deref(), filter)
    }

    /// All games that victims of the filter play as that colour.
    pub fn games_of_victims(&self, filter: MoverFilter) -> u64 {
        self.victims_games.sum(filter, |sum, games| sum + games)
    }

    pub fn victims_games(&self) -> &PerCell<u64> {
        &self.victims_games
    }

    /// The victims' other moves in the trap position, or the slip, from the setter's view.
    pub fn by_victims(&self, slipped: bool, filter: MoverFilter) -> Sample {
        let samples = if slipped { &self.slipped } else { &self.held };
        samples.sum(filter, Sample::plus)
    }

    /// The setters' replies to the slip: the refutation or all others.
    pub fn replies(&self, refuted: bool, filter: MoverFilter) -> Sample {
        let samples = if refuted { &self.refuted } else { &self.missed };
        samples.sum(filter, Sample::plus)
    }

    /// The setters' other moves instead of the bait.
    pub fn usual(&self, filter: MoverFilter) -> Sample {
        self.usual.sum(filter, Sample::plus)
    }
}

impl Node {
    pub fn look_up<C: Counts>(
        cache: &Cache<'_, C>,
        position: Chess,
        mv: Move,
    ) -> Result<Node, C::Error> {
        let counts = cache.position(Key::of(&position))?;
        let code = MoveCode::of(mv);
        let splits = PerCell::splits(counts.as_deref(), code);
        let san = SanPlus::from_move(position.clone(), mv).to_string();
        Ok(Node { position, san, code, counts, splits })
    }

    /// The needed move among all moves of the filter's movers here.
    pub fn split(&self, filter: MoverFilter) -> Split {
        self.splits.sum(filter, Split::plus)
    }

    /// The move with its number: `4.Nxe5`, `2...Nc6`.
    pub fn numbered(&self) -> String {
        let dots = self.position.turn().fold_wb(".", "...");
        format!("{}{dots}{}", self.position.fullmoves(), self.san)
    }
}

impl Split {
    pub fn plus(self, other: Split) -> Split {
        Split { k: self.k + other.k, n: self.n + other.n }
    }
}

/// The positions of the line up to the slip before the plies that are `wanted`.
pub(super) fn nodes<C: Counts>(
    cache: &Cache<'_, C>,
    line: &TrapLine,
    wanted: impl Fn(usize) -> bool,
) -> Result<Vec<Node>, C::Error> {
    let mut position = Chess::default();
    let mut nodes = Vec::new();
    for (ply, &mv) in line.moves.iter().enumerate().take(line.slip + 1) {
        if wanted(ply) {
            nodes.push(Node::look_up(cache, position.clone(), mv)?);
        }
        position.play_unchecked(mv);
    }
    Ok(nodes)
}

/// One move among all moves of the filter's movers in a position.
pub(super) fn split(counts: Option<&PositionCounts>, code: MoveCode, filter: MoverFilter) -> Split {
    let mut split = Split::default();
    for mv in counts.into_iter().flat_map(|counts| &counts.moves) {
        let games = mv.sum(filter).games;
        split.n += games;
        split.k += if mv.code == code { games } else { 0 };
    }
    split
}
