//! Traps: lines with a slip in them and the refutation behind it.

use std::collections::HashMap;

use shakmaty::{Chess, Color, Move, Position};

use super::Line;
use super::limits::{MOST_IN_TRAPS, MOST_SLIPS, MOST_TRAPS, shortened};
use super::pgn::{GameText, Games};
use super::text_error::{GameError, GameReason, TextPlace};
use super::tokens::{Extent, Mark, Tokens};
use super::tree::{BranchId, Tree};
use super::written::Script;
use crate::terms::Key;

/// A trap: the setter lays it, the victim slips at the trap position, the setter refutes.
///
/// Always holds: there is a marked slip, each is played in the trap position by the victim, and a
/// move of the setter follows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Trap {
    name: String,
    slip: usize,
    slips: Vec<MarkedSlip>,
    other_ways: Vec<Line>,
    /// What each game of the text wrote, the one of the line first, with the games' numbers.
    scripts: Vec<(usize, Script)>,
}

/// A move marked as a slip in the trap position, and what the text gives behind it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MarkedSlip {
    line: Line,
    ply: usize,
    refutations: Vec<Move>,
}

impl MarkedSlip {
    /// The line from its start through the slip and the first refutation to the end.
    pub fn line(&self) -> &Line {
        &self.line
    }

    /// The losing move.
    pub fn slip(&self) -> Move {
        self.line.moves()[self.ply]
    }

    /// The losing move in SAN.
    pub fn san(&self) -> String {
        self.line.san(self.ply)
    }

    /// Which half-move of its line the first refutation is, from 0.
    pub fn ply_after(&self) -> usize {
        self.ply + 1
    }

    /// The position in which the setter has to find a refutation.
    pub fn position_after(&self) -> &Chess {
        self.line.position(self.ply + 1)
    }

    /// Every reply that the text gives, that of the line first.
    pub fn refutations(&self) -> &[Move] {
        &self.refutations
    }
}

impl Trap {
    /// The trap of a line whose half-move at `slip` (from 0) is the slip.
    ///
    /// # Errors
    ///
    /// [`GameReason::NoRefutation`] if the slip is the last move, [`GameReason::NoSlip`] if the
    /// line does not reach it.
    pub fn new(name: String, line: Line, slip: usize) -> Result<Trap, GameReason> {
        if slip >= line.len() {
            return Err(GameReason::NoSlip { victim: None });
        }
        if slip + 1 == line.len() {
            let half_move = slip + 1;
            return Err(GameReason::NoRefutation { slip: line.text(slip..slip + 1), half_move });
        }
        let refutations = vec![line.moves()[slip + 1]];
        let slips = vec![MarkedSlip { line, ply: slip, refutations }];
        Ok(Trap { name, slip, slips, other_ways: Vec::new(), scripts: Vec::new() })
    }

    /// Reads all traps of a PGN text, one or more a game, in the order of the text.
    ///
    /// The slip is every move marked `??` or `$4`, in the main line and in variations; if there is
    /// none, the last `?` or `$2` of the main line, else of the variations. The setter is the other
    /// side, or the side that a Setter tag names; then only the victim's marks count. All slips of
    /// one position are one trap, also those of several games, by whatever order of moves; its
    /// line is that of the first. The name is the Event tag; where a game has several traps, the
    /// names say which.
    ///
    /// # Errors
    ///
    /// One [`GameError`] in place of each game, or of each slip, that is no trap; a text without a
    /// game gives one error. More than [`MOST_TRAPS`] or [`MOST_IN_TRAPS`] end with one.
    pub fn read_all(pgn: &str) -> Vec<Result<Trap, GameError>> {
        let (mut traps, mut half_moves) = (Vec::new(), 0);
        for (index, game) in Games::of(pgn).enumerate() {
            let number = index + 1;
            let event = game.tag("Event").map(shortened);
            let name = event.clone().unwrap_or_else(|| format!("Trap {number}"));
            let source = TextPlace::Game { number, name: event };
            let found = collect(source.clone(), read_game(&game, &name, number));
            half_moves += found.iter().flatten().map(|trap| trap.line().len()).sum::<usize>();
            let reason = match traps.len() + found.len() > MOST_TRAPS {
                true => Some(GameReason::TooManyTraps),
                false => (half_moves > MOST_IN_TRAPS).then_some(GameReason::TooLongTraps),
            };
            if let Some(reason) = reason {
                traps.push(Err(GameError { place: source, reason }));
                break;
            }
            traps.extend(found);
        }
        if traps.is_empty() {
            traps.push(Err(GameError { place: TextPlace::Whole, reason: GameReason::NoGame }));
        }
        joined(traps)
    }

    /// Reads the traps of one movetext, mostly one; marks and errors are those of
    /// [`Trap::read_all`]. Its name is "Trap 1".
    pub fn from_text(text: &str) -> Vec<Result<Trap, GameError>> {
        let traps = read_moves(Tokens::new(text, 0, Extent::Whole), None, "Trap 1", 1);
        joined(collect(TextPlace::Line, traps))
    }

    /// The same under another name.
    pub fn named(self, name: String) -> Trap {
        Trap { name, ..self }
    }

    /// What the trap is called.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The side that lays the trap.
    pub fn setter(&self) -> Color {
        self.victim().other()
    }

    /// The side that slips.
    pub fn victim(&self) -> Color {
        self.position().turn()
    }

    /// The whole line through the first slip.
    pub fn line(&self) -> &Line {
        self.slips[0].line()
    }

    /// Which half-move of the line the slip is, from 0.
    pub fn slip_ply(&self) -> usize {
        self.slip
    }

    /// The trap position: the victim has to choose.
    pub fn position(&self) -> &Chess {
        self.line().position(self.slip)
    }

    /// Which half-move of the line the bait is, from 0.
    pub fn bait_ply(&self) -> Option<usize> {
        self.slip.checked_sub(1)
    }

    /// Every move marked in the trap position, at least one.
    pub fn slips(&self) -> &[MarkedSlip] {
        &self.slips
    }

    /// Other lines of the text to the same position.
    pub fn other_ways(&self) -> &[Line] {
        &self.other_ways
    }

    /// The line as its author wrote it; none if it is no text's.
    pub fn script(&self) -> Option<&Script> {
        self.scripts.first().map(|(_, script)| script)
    }

    /// What other games of the text with the same trap position wrote.
    pub fn other_scripts(&self) -> impl Iterator<Item = &Script> {
        self.scripts.iter().skip(1).map(|(_, script)| script)
    }

    /// The position in which the setter has to find the refutation of the first slip.
    pub fn position_after_slip(&self) -> &Chess {
        self.slips[0].position_after()
    }

    /// The first half-moves of the line with numbers, up to the refutation, the slip marked: "1. f3
    /// e5 2. g4?? Qh4#".
    ///
    /// # Panics
    ///
    /// If the line is shorter than `plies`.
    pub fn marked(&self, plies: usize) -> String {
        let (line, reply) = (self.line(), self.slip + 1);
        if plies <= self.slip {
            return line.text(0..plies);
        }
        let slipped = line.text(0..reply) + "??";
        match (plies > reply, self.setter()) {
            (false, _) => slipped,
            (true, Color::White) => format!("{slipped} {}", line.text(reply..reply + 1)),
            (true, Color::Black) => format!("{slipped} {}", line.san(reply)),
        }
    }

    /// Takes in another trap of the same position.
    fn take_in(&mut self, other: Trap) {
        let before = self.line().first(self.slip);
        let way = other.line().first(other.slip);
        for slip in other.slips {
            if let Some(known) = self.slips.iter_mut().find(|known| known.slip() == slip.slip()) {
                let news = slip.refutations.iter().filter(|mv| !known.refutations.contains(mv));
                let news: Vec<Move> = news.copied().collect();
                known.refutations.extend(news);
                continue;
            }
            let mut line = before.clone();
            slip.line.moves()[other.slip..].iter().for_each(|&mv| line.play(mv));
            self.slips.push(MarkedSlip { line, ply: self.slip, ..slip });
        }
        for way in std::iter::once(way).chain(other.other_ways) {
            if way.moves() != before.moves() && !self.other_ways.contains(&way) {
                self.other_ways.push(way);
            }
        }
        for (game, script) in other.scripts {
            if self.scripts.iter().all(|(known, _)| *known != game) {
                self.scripts.push((game, script));
            }
        }
        if !self.name.split(" / ").any(|name| name == other.name) {
            self.name = shortened(&format!("{} / {}", self.name, other.name));
        }
    }
}

/// Traps of one position together, in the place of the first.
fn joined(read: Vec<Result<Trap, GameError>>) -> Vec<Result<Trap, GameError>> {
    let mut places: HashMap<Key, usize> = HashMap::new();
    let mut traps: Vec<Result<Trap, GameError>> = Vec::new();
    for found in read {
        let key = found.as_ref().ok().map(|trap| Key::of(trap.position()));
        let place = key.and_then(|key| places.get(&key)).copied();
        let known = place.and_then(|place| traps[place].as_mut().ok());
        match (known, found) {
            // Two positions may have one key.
            (Some(known), Ok(trap)) if known.position().board() == trap.position().board() => {
                known.take_in(trap);
            }
            (_, found) => {
                places.extend(key.map(|key| (key, traps.len())));
                traps.push(found);
            }
        }
    }
    traps
}

type Slips = Vec<Result<Trap, GameReason>>;

fn collect(source: TextPlace, traps: Result<Slips, GameReason>) -> Vec<Result<Trap, GameError>> {
    let located = |reason| GameError { place: source.clone(), reason };
    match traps {
        Ok(traps) => traps.into_iter().map(|trap| trap.map_err(located)).collect(),
        Err(reason) => vec![Err(located(reason))],
    }
}

fn read_game(game: &GameText<'_>, name: &str, number: usize) -> Result<Slips, GameReason> {
    game.check_start()?;
    let setter = game.side("Setter")?;
    read_moves(Tokens::new(game.movetext, 0, Extent::OneGame), setter, name, number)
}

fn read_moves(
    words: Tokens<'_>,
    setter: Option<Color>,
    name: &str,
    game: usize,
) -> Result<Slips, GameReason> {
    let tree = Tree::read(words.keeping()).map_err(GameReason::Line)?;
    let slips = find_slips(&tree, setter)?;
    let place = |slip: BranchId| Key::of(tree.position(tree.parent(slip)));
    let several = slips.iter().any(|&slip| place(slip) != place(slips[0]));
    let trap = |&slip: &BranchId| {
        let first = slips.iter().copied().find(|&other| place(other) == place(slip));
        let name = match several {
            true => format!("{name} ({})", numbered(&tree, first.unwrap_or(slip))),
            false => name.to_owned(),
        };
        let trap = trap_of(&tree, slip, name)?;
        Ok(Trap { scripts: vec![(game, Script::of(&tree, slip))], ..trap })
    };
    Ok(slips.iter().map(trap).collect())
}

/// The slips of a game, all of one side.
fn find_slips(tree: &Tree, setter: Option<Color>) -> Result<Vec<BranchId>, GameReason> {
    tree.moves().next().ok_or(GameReason::NoMoves)?;
    let victim = setter.map(Color::other);
    let of_victim = |id: &BranchId| victim.is_none_or(|victim| tree.mover(*id) == victim);
    let blunders: Vec<BranchId> =
        tree.moves().filter(|&id| tree.mark(id) == Some(Mark::Blunder)).filter(of_victim).collect();
    if blunders.len() > MOST_SLIPS {
        return Err(GameReason::TooManySlips(blunders.len()));
    }
    let first = |side| blunders.iter().copied().find(|&id| tree.mover(id) == side);
    if let (Some(white), Some(black)) = (first(Color::White), first(Color::Black)) {
        let (white, black) = (numbered(tree, white), numbered(tree, black));
        return Err(GameReason::BothSides { white, black });
    }
    if !blunders.is_empty() {
        return Ok(blunders);
    }
    let mistake = |id: &BranchId| tree.mark(*id) == Some(Mark::Mistake) && of_victim(id);
    let last = tree.main_line().filter(mistake).last();
    let last = last.or_else(|| tree.moves().filter(mistake).last());
    last.map(|id| vec![id]).ok_or(GameReason::NoSlip { victim })
}

fn trap_of(tree: &Tree, slip: BranchId, name: String) -> Result<Trap, GameReason> {
    let ply = tree.line_to(slip).len() - 1;
    let mut trap = Trap::new(name, tree.line_through(slip), ply)?;
    let replies = tree.children(slip).iter().filter_map(|&id| tree.played(id));
    let mut refutations: Vec<Move> = Vec::new();
    replies.for_each(|mv| {
        if !refutations.contains(&mv) {
            refutations.push(mv)
        }
    });
    trap.slips[0].refutations = refutations;
    Ok(trap)
}

/// A move with its number: "5. Nxf7", "5... Bxd1".
fn numbered(tree: &Tree, id: BranchId) -> String {
    let line = tree.line_to(id);
    line.text(line.len() - 1..line.len())
}
