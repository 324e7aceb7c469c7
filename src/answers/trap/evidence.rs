//! The counts that a trap report rests on, looked up once and then asked under many filters.

use std::cell::{Cell, OnceCell};
use std::rc::Rc;

use shakmaty::{Chess, Move, Position};

use super::behind::Behind;
use super::cache::Cache;
use super::cells::PerCell;
use crate::answers::moves::{PaceGames, games_by_pace};
use crate::answers::stats::{DesignEffect, Factor};
use crate::answers::{Baseline, Sample};
use crate::counts::{Counts, Lacking, Opening, PositionCounts, Totals};
use crate::lines::{Line, MarkedSlip, Trap};
use crate::terms::{Key, MoveCode, MoverFilter};

/// One position of the line, the moves that are needed there, and what is counted there.
pub(super) struct Node<'a> {
    pub ply: usize,
    pub position: &'a Chess,
    pub key: Key,
    /// The line's move in SAN.
    pub san: String,
    /// The line's move; of a trap position every slip, and after a slip every refutation.
    pub codes: Vec<MoveCode>,
    pub counts: Option<Rc<PositionCounts>>,
    /// How many games may be missing here.
    pub lacking: Lacking,
    splits: OnceCell<PerCell<Factor>>,
    /// What the games here tell under the filter that was asked for last.
    pub effect: Cell<Option<(MoverFilter, DesignEffect)>>,
}

/// The whole line with its counts.
pub(super) struct Evidence<'a> {
    pub trap: &'a Trap,
    /// The victim's choices before the trap position.
    pub choices: Vec<Node<'a>>,
    /// The position before the bait; none if the slip is the first move.
    pub bait: Option<Node<'a>>,
    /// The trap position with all its slips.
    pub slip: Node<'a>,
    /// What follows each slip, the line's own first.
    pub replies: Vec<Reply<'a>>,
    pub totals: &'a Totals,
    pub baseline: Rc<Baseline>,
    victims_games: PerCell<u64>,
    /// The victims' moves that are no slips, from the setter's view.
    held: PerCell<Sample>,
    /// The setters' other moves instead of the bait.
    usual: PerCell<Sample>,
    /// Behind the move that most games with these two have.
    pub behind_held: Vec<Behind>,
    pub behind_usual: Vec<Behind>,
    /// Those under the filter that was asked for last.
    pub score_effects: Cell<Option<(MoverFilter, ScoreEffects)>>,
}

/// D of the scores and edges at the places of the line: of the movers' strength, and of the habits
/// of those who answer.
#[derive(Clone, Copy)]
pub(super) struct ScoreEffects {
    /// Of victims who slip, and of the setters who reply to them.
    pub slipped: f64,
    pub replies: f64,
    /// Of setters who refute.
    pub refuted: f64,
    /// Of victims who do not slip.
    pub held: f64,
    /// Of setters who play another move than the bait.
    pub usual: f64,
}

/// A slip, and the position after it, where the line plays the refutation.
pub(super) struct Reply<'a> {
    pub slip: &'a MarkedSlip,
    pub node: Node<'a>,
    /// The games with the slip, from the setter's view: of the victims who choose it.
    slipped: PerCell<Sample>,
    /// The setters' replies.
    refuted: PerCell<Sample>,
    missed: PerCell<Sample>,
    /// Behind each refutation.
    pub behind: Vec<Behind>,
}

impl Reply<'_> {
    /// The games with the slip, by victims of the filter, from the setter's view.
    pub fn slipped(&self, filter: MoverFilter) -> Sample {
        self.slipped.sum(filter, Sample::plus)
    }

    /// The replies to it, by setters of the filter: the refutations or all others.
    pub fn replies(&self, refuted: bool, filter: MoverFilter) -> Sample {
        let samples = if refuted { &self.refuted } else { &self.missed };
        samples.sum(filter, Sample::plus)
    }
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
        let codes = |moves: &mut dyn Iterator<Item = Move>| moves.map(MoveCode::of).collect();
        let slips = codes(&mut trap.slips().iter().map(MarkedSlip::slip));
        let slip = Node::of_moves(cache, (trap, trap.line()), trap.slip_ply(), slips)?;
        let (totals, baseline) = (cache.totals(), Rc::clone(cache.baseline()));
        // The needed moves, or all others.
        let samples = |node: &Node<'_>, codes: &[MoveCode], own: bool| {
            let wanted = |mv| codes.contains(&mv) == own;
            PerCell::samples(node.counts.as_deref(), &wanted, node.position.turn(), &baseline)
        };
        let of_node = |node: &Node<'_>, own: bool| samples(node, &node.codes, own);
        let reply = |marked: &'a MarkedSlip| {
            let refutations = codes(&mut marked.refutations().iter().copied());
            let node =
                Node::of_moves(cache, (trap, marked.line()), trap.slip_ply() + 1, refutations)?;
            Ok(Reply {
                slip: marked,
                slipped: samples(&slip, &[MoveCode::of(marked.slip())], true).map(Sample::swapped),
                refuted: of_node(&node, true),
                missed: of_node(&node, false),
                behind: node.behind_own(cache)?,
                node,
            })
        };
        Ok(Evidence {
            victims_games: PerCell::games(totals, trap.victim()),
            held: of_node(&slip, false).map(Sample::swapped),
            usual: bait.as_ref().map_or_else(PerCell::default, |bait| of_node(bait, false)),
            behind_held: slip.behind_others(cache)?,
            behind_usual: match &bait {
                Some(bait) => bait.behind_others(cache)?,
                None => Vec::new(),
            },
            score_effects: Cell::new(None),
            replies: trap.slips().iter().map(reply).collect::<Result<_, _>>()?,
            trap,
            choices,
            bait,
            slip,
            totals,
            baseline,
        })
    }

    /// All positions looked up: the victim's choices, and where bait, slip and
    /// refutation are played.
    pub fn nodes(&self) -> impl DoubleEndedIterator<Item = &Node<'a>> {
        let replies = self.replies.iter().map(|reply| &reply.node);
        self.choices.iter().chain(&self.bait).chain([&self.slip]).chain(replies)
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

    /// The victims' slips or their other moves in the trap position, from the setter's view.
    pub fn by_victims(&self, slipped: bool, filter: MoverFilter) -> Sample {
        match slipped {
            true => self.of_replies(|reply| reply.slipped(filter)),
            false => self.held.sum(filter, Sample::plus),
        }
    }

    /// The setters' replies to the slips: the refutations or all others.
    pub fn replies(&self, refuted: bool, filter: MoverFilter) -> Sample {
        self.of_replies(|reply| reply.replies(refuted, filter))
    }

    fn of_replies(&self, of: impl Fn(&Reply<'a>) -> Sample) -> Sample {
        self.replies.iter().map(of).fold(Sample::default(), Sample::plus)
    }

    /// The refutations among all replies to the slips.
    pub fn refutations(&self, filter: MoverFilter) -> Factor {
        let splits = self.replies.iter().map(|reply| reply.node.split(filter));
        splits.fold(Factor::default(), Factor::plus)
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
        let codes = vec![MoveCode::of(trap.line().moves()[ply])];
        Node::of_moves(cache, (trap, trap.line()), ply, codes)
    }

    /// The position of a line with the moves that count as the line's own.
    pub fn of_moves<C: Counts>(
        cache: &Cache<'_, C>,
        (trap, line): (&Trap, &'a Line),
        ply: usize,
        codes: Vec<MoveCode>,
    ) -> Result<Node<'a>, C::Error> {
        let position = line.position(ply);
        let key = Key::of(position);
        let counts = cache.position(key)?;
        // All figures of the trap at once need its refutation counted.
        let whole = u16::try_from(trap.slip_ply() + 2).unwrap_or(u16::MAX);
        let lacking = cache.limits().lacking(position, counts.as_deref()).needing(whole);
        let (splits, effect) = (OnceCell::new(), Cell::new(None));
        Ok(Node { ply, position, key, san: line.san(ply), codes, counts, lacking, splits, effect })
    }

    /// Behind the moves that are needed here.
    pub fn behind_own<C: Counts>(&self, cache: &Cache<'_, C>) -> Result<Vec<Behind>, C::Error> {
        Behind::each(cache, self.position, self.counts.as_deref(), &self.codes)
    }

    /// Behind the move that most games with another one have.
    pub fn behind_others<C: Counts>(&self, cache: &Cache<'_, C>) -> Result<Vec<Behind>, C::Error> {
        Behind::most_others(cache, self.position, self.counts.as_deref(), &self.codes)
    }

    /// Whether a move is needed here.
    pub fn has(&self, code: MoveCode) -> bool {
        self.codes.contains(&code)
    }

    /// The needed move among all moves of the filter's movers here.
    pub fn split(&self, filter: MoverFilter) -> Factor {
        let work_out = || PerCell::splits(self.counts.as_deref(), &self.codes);
        self.splits.get_or_init(work_out).sum(filter, Factor::plus)
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

/// How many games may be missing from the position that lacks most.
pub(super) fn may_lack<'n, 'a: 'n>(nodes: impl IntoIterator<Item = &'n Node<'a>>) -> Lacking {
    nodes.into_iter().map(|node| node.lacking).max().unwrap_or(Lacking::NOTHING)
}
