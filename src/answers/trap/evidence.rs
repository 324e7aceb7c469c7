//! The counts that a trap report rests on, looked up once and then asked under many filters.

use std::rc::Rc;

use shakmaty::{Chess, Position};

use super::cache::Cache;
use super::cells::PerCell;
use crate::answers::moves::{PaceGames, games_by_pace};
use crate::answers::stats::Factor;
use crate::answers::{Baseline, Sample};
use crate::counts::{Counts, Opening, PositionCounts, Totals};
use crate::lines::Trap;
use crate::terms::{Key, MoveCode, MoverFilter};

/// One position of the line, the move that the line plays there, and what is counted there.
pub(super) struct Node<'a> {
    pub ply: usize,
    pub position: &'a Chess,
    pub key: Key,
    /// The move in SAN.
    pub san: String,
    pub code: MoveCode,
    pub counts: Option<Rc<PositionCounts>>,
    splits: PerCell<Factor>,
}

/// The whole line with its counts.
pub(super) struct Evidence<'a> {
    pub trap: &'a Trap,
    /// The victim's choices before the trap position.
    pub choices: Vec<Node<'a>>,
    /// The position before the bait; none if the slip is the first move.
    pub bait: Option<Node<'a>>,
    /// The trap position, where the line plays the slip.
    pub slip: Node<'a>,
    /// The position after the slip, where the line plays the refutation.
    pub reply: Node<'a>,
    pub totals: &'a Totals,
    pub baseline: Rc<Baseline>,
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

impl<'a> Evidence<'a> {
    /// Looks the positions of the line up.
    pub fn look_up<C: Counts>(
        cache: &Cache<'a, C>,
        trap: &'a Trap,
    ) -> Result<Evidence<'a>, C::Error> {
        // The setter's moves are taken as played; only what the bait replaces is looked at.
        let choices = nodes(cache, trap, (trap.slip_ply() % 2..trap.slip_ply()).step_by(2))?;
        let at = |ply| Node::look_up(cache, trap, ply);
        let bait = trap.bait_ply().map(at).transpose()?;
        let (slip, reply) = (at(trap.slip_ply())?, at(trap.slip_ply() + 1)?);
        let (totals, baseline) = (cache.totals(), Rc::clone(cache.baseline()));
        // The line's move, or all others.
        let samples = |node: &Node<'_>, own: bool| {
            let wanted = |mv| (mv == node.code) == own;
            PerCell::samples(node.counts.as_deref(), &wanted, node.position.turn(), &baseline)
        };
        Ok(Evidence {
            victims_games: PerCell::games(totals, trap.victim()),
            slipped: samples(&slip, true).map(Sample::swapped),
            held: samples(&slip, false).map(Sample::swapped),
            refuted: samples(&reply, true),
            missed: samples(&reply, false),
            usual: bait.as_ref().map_or_else(PerCell::default, |bait| samples(bait, false)),
            trap,
            choices,
            bait,
            slip,
            reply,
            totals,
            baseline,
        })
    }

    /// All positions looked up: the victim's choices, and where bait, slip and refutation are played.
    pub fn nodes(&self) -> impl DoubleEndedIterator<Item = &Node<'a>> {
        self.choices.iter().chain(&self.bait).chain([&self.slip, &self.reply])
    }

    fn looked_up(&self) -> impl DoubleEndedIterator<Item = Option<&PositionCounts>> {
        self.nodes().map(|node| node.counts.as_deref())
    }

    /// The learned opening name of the last named position looked up.
    pub fn opening(&self) -> Option<&Opening> {
        self.looked_up().rev().flatten().find_map(|counts| counts.opening.as_ref())
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

impl<'a> Node<'a> {
    fn look_up<C: Counts>(
        cache: &Cache<'_, C>,
        trap: &'a Trap,
        ply: usize,
    ) -> Result<Node<'a>, C::Error> {
        let (line, position) = (trap.line(), trap.line().position(ply));
        let key = Key::of(position);
        let counts = cache.position(key)?;
        let code = MoveCode::of(line.moves()[ply]);
        let splits = PerCell::splits(counts.as_deref(), code);
        Ok(Node { ply, position, key, san: line.san(ply), code, counts, splits })
    }

    /// The needed move among all moves of the filter's movers here.
    pub fn split(&self, filter: MoverFilter) -> Factor {
        self.splits.sum(filter, Factor::plus)
    }

    /// The move with its number: `4.Nxe5`, `2...Nc6`.
    pub fn numbered(&self) -> String {
        let dots = self.position.turn().fold_wb(".", "...");
        format!("{}{dots}{}", self.position.fullmoves(), self.san)
    }
}

/// The positions of the line before these plies.
pub(super) fn nodes<'a, C: Counts>(
    cache: &Cache<'_, C>,
    trap: &'a Trap,
    plies: impl IntoIterator<Item = usize>,
) -> Result<Vec<Node<'a>>, C::Error> {
    plies.into_iter().map(|ply| Node::look_up(cache, trap, ply)).collect()
}

/// How many games may be missing from the position that lacks most; `absent` from one that was not kept.
pub(super) fn may_lack<'n, 'a: 'n>(
    nodes: impl IntoIterator<Item = &'n Node<'a>>,
    absent: u64,
) -> u64 {
    let lack = |node: &Node<'_>| node.counts.as_ref().map_or(absent, |counts| counts.may_lack);
    nodes.into_iter().map(lack).max().unwrap_or(0)
}
