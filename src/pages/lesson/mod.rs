//! The lesson: judged traps as a page to print and hand out, and as annotated PGN.
//!
//! In: the [`Material`] of each trap, and what the counts rest on. Out: one HTML page that needs no
//! script, no network and no other file, one PGN text, and single diagrams as SVG.
//!
//! What is said stands in [`languages`](super::languages), all drawing in `pieces`, `diagram` and
//! `chart`. HTML and SVG come from templates that escape whatever is put into them; names of others
//! also lose what could steer a reader's screen (`text::name_of`). The page's policy allows its own
//! style sheet, known by its hash, and nothing else.

mod advice;
mod answers;
mod below;
mod cards;
mod chart;
mod diagram;
mod figure;
mod handout;
mod line;
mod marks;
mod months;
mod movetext;
mod page;
mod pgn;
mod pieces;
mod plan;
mod quiz;
mod rests;
mod sentences;
mod sheet;
mod summary;
mod text;
mod victim;
mod way;

pub use cards::cards;
pub use diagram::Diagram;
pub(in crate::pages) use figure::{Unit, bare, counted, markup};
pub use handout::handout;
pub(in crate::pages) use page::frame;
pub use page::page;
pub use pgn::pgn;

use crate::answers::Question;
use crate::answers::lesson::Material;
use crate::answers::months::StoreMonth;
use crate::answers::moves::MoveRow;
use crate::answers::trap::{order, victim_order};
use crate::counts::Limits;
use crate::ledger::GameTally;
use crate::lines::{Line, MarkedSlip, Trap};
use crate::pages::languages::{Language, San, text_of};
use crate::pages::words;
use shakmaty::{Color, Move, Position};
pub use text::LONGEST_NAME;
pub(in crate::pages) use text::{name_of, plain, trap_name};

/// A lesson to be written.
#[derive(Debug)]
pub struct Lesson {
    /// What it is called; the language's own words if nothing was said.
    pub title: Option<String>,
    /// Who made it.
    pub author: Option<String>,
    /// Whom it is for, in the teacher's words.
    pub level: Option<String>,
    /// Whether it is for those who face the traps; else it is for those who lay them.
    pub for_victims: bool,
    /// What was asked.
    pub question: Question,
    /// The traps in teaching order.
    pub traps: Vec<Material>,
    /// The stores in which the traps were looked at besides, in the order of their dates.
    pub stores: Vec<StoreMonth>,
    /// What the figures rest on.
    pub basis: Basis,
    /// How far the counts reach.
    pub limits: Limits,
}

/// The dumps behind the figures.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Basis {
    /// How many.
    pub dumps: usize,
    /// Games counted in all of them.
    pub games: u64,
    /// Date of the earliest game, `2031-05-17`.
    pub first: Option<String>,
    /// Date of the latest game.
    pub last: Option<String>,
    /// Games without a date.
    pub undated: u64,
}

impl Basis {
    /// What so many dumps hold.
    pub fn of(dumps: usize, games: &GameTally) -> Basis {
        let [first, last] = [games.first, games.last].map(|date| date.map(|date| date.to_string()));
        Basis { dumps, games: games.games_counted, first, last, undated: games.undated }
    }

    /// Its months, and how many games have none.
    pub(in crate::pages) fn months(&self, words: &Language) -> String {
        let months = words.months_of(self.first.as_deref(), self.last.as_deref());
        match (self.undated, &self.first) {
            (0, _) | (_, None) => months,
            (undated, Some(_)) => text_of(&words.some_undated(&months, undated)),
        }
    }
}

impl Lesson {
    /// Whose side of a trap's board is at the bottom: the pupil's.
    fn bottom(&self, trap: &Trap) -> Color {
        if self.for_victims { trap.victim() } else { trap.setter() }
    }
}

/// Puts traps in teaching order: as `trap` has them from that side.
pub fn teaching_order(traps: &mut [Material]) {
    traps.sort_by(|a, b| match (&a.victim, &b.victim) {
        (Some(a), Some(b)) => victim_order(a, b),
        _ => order(&a.report, &b.report),
    });
}

/// The move that does best in a trap position among those with enough games: no slip of course, nor
/// one that leaves its player worse by evaluations.
fn better(material: &Material) -> Option<&MoveRow> {
    let slips: Vec<String> = material.trap.slips().iter().map(MarkedSlip::san).collect();
    let known = material.victims.moves.iter();
    let advised =
        |row: &MoveRow| !slips.contains(&row.san) && !material.left_worse.contains(&row.uci);
    let known = known.filter(|row| row.edge.value.is_some() && advised(row));
    known.max_by(|a, b| a.edge.low.unwrap_or(0.0).total_cmp(&b.edge.low.unwrap_or(0.0)))
}

/// What a trap is called on the page: its name, else its opening's, else its line.
fn title(material: &Material, words: &Language) -> String {
    let (trap, slip) = (&material.trap, material.trap.slip_ply());
    let names = [Some(trap.name()), material.report.opening.as_deref()];
    let slip = trap.line().text(slip..slip + 1);
    let mut names = names.into_iter().flatten().map(|name| trap_name(name, &slip, words));
    names
        .find(|name| !name.is_empty())
        .unwrap_or_else(|| words.san(&material.report.slip).to_string())
}

/// The slips of a trap with their numbers, or all that refutes them.
fn marked(trap: &Trap, refutations: bool, words: &Language) -> San {
    let moves: Vec<String> = match refutations {
        false => trap.slips().iter().map(|slip| numbered(slip.line(), trap.slip_ply())).collect(),
        true => trap.slips().iter().flat_map(refuting).collect(),
    };
    words.either_san(&distinct(moves))
}

/// Each of them once, in their order: one move may refute several slips.
fn distinct(moves: Vec<String>) -> Vec<String> {
    let mut once: Vec<String> = Vec::with_capacity(moves.len());
    moves.into_iter().for_each(|mv| {
        if !once.contains(&mv) {
            once.push(mv)
        }
    });
    once
}

/// The refutations of a slip with their numbers.
fn refuting(slip: &MarkedSlip) -> Vec<String> {
    let reply = |&mv: &Move| {
        let mut line = slip.line().first(slip.ply_after());
        line.play(mv);
        numbered(&line, slip.ply_after())
    };
    slip.refutations().iter().map(reply).collect()
}

/// A half-move with its number, without a blank, as books set it: `5.Nxf7`, `5...Bxd1`.
fn numbered(line: &Line, ply: usize) -> String {
    played_at(line, ply, &line.san(ply))
}

/// The same of another move there.
fn played_at(line: &Line, ply: usize, san: &str) -> String {
    let before = line.position(ply);
    words::numbered(before.fullmoves().get() as usize, before.turn(), san)
}
