//! The structs of the counts behind a trap report.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use serde::Serialize;
use shakmaty::Color;

use crate::answers::Figure;
use crate::answers::moves::color_name;
use crate::terms::Pace;

/// The counts behind the figures of a trap over the whole filter.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Explanation {
    pub sums: Vec<CellSum>,
    pub steered: Vec<BandProduct>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub refuted: Vec<RefutedShare>,
    pub edge_replies: Figure,
    /// For the steering in any order: the positions, the last choices first.
    pub orders: Vec<Order>,
    pub effects: Vec<PositionEffect>,
}

/// The counts behind the figures of a trap from the victim's side; those of its moves stand
/// with the moves.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct VictimExplanation {
    pub comes_up: Vec<BandProduct>,
    /// How much the games of the positions are worth: those of the setter's moves, then the
    /// trap position.
    pub effects: Vec<PositionEffect>,
}

/// Slips whose refuted games are taken together; those with fewer than 50 refuted games are.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RefutedShare {
    pub slips: Vec<String>,
    pub slipped: u64,
    pub refuted: u64,
    /// The setter's edge in these, by these games alone; none without one.
    pub edge: Option<f64>,
}

/// How much the games of a position are worth: by so much counts are divided before an
/// interval is drawn.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PositionEffect {
    pub key: String,
    pub n: u64,
    pub games_a_player: f64,
    pub shares: f64,
    pub scores: f64,
    pub seconds: f64,
}

/// Cells of one position added up, from the mover's view; as `moves` shows them, and `export`
/// cell by cell.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CellSum {
    pub label: String,
    pub place: Place,
    /// The line to the position, empty for the initial position; `all games` for the totals.
    pub position: String,
    /// Its key; none for the totals.
    pub key: Option<String>,
    #[serde(serialize_with = "color_name")]
    pub mover: Color,
    pub moves: String,
    pub from: Option<u16>,
    pub below: Option<u16>,
    pub paces: Vec<Pace>,
    pub games: u64,
    pub wins: u64,
    pub draws: u64,
    pub losses: u64,
    pub expected_milli: u64,
    /// Sum of what the mover's colour ordinarily scores above it in the same bands and
    /// paces, in points.
    pub ordinary: f64,
    pub clock: Clock,
}

/// What a [`CellSum`] adds up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// A move that the victim has to choose on the way.
    Choice,
    /// What else is played there.
    OtherChoices,
    Slip,
    /// The victims' other moves in the trap position.
    OtherMoves,
    Refutation,
    /// The setters' other replies to the slip.
    OtherReplies,
    /// The setters' other moves where the bait is laid.
    InsteadOfBait,
    /// All games that the victims play as that colour.
    AllGames,
}

/// Times of moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Clock {
    pub games: u64,
    pub tenths: u64,
    pub tenths_sq: u64,
}

/// The shares of one band of victims along the line.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BandProduct {
    pub from: u16,
    pub below: u16,
    pub games: u64,
    pub shares: Vec<UsedShare>,
}

/// One share of a [`BandProduct`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct UsedShare {
    pub k: u64,
    pub n: u64,
    pub pooled: bool,
}

/// A position on some order of the line's moves.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Order {
    pub key: String,
    pub n: u64,
    pub moves: Vec<Followed>,
}

/// One move that leads on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Followed {
    pub uci: String,
    pub k: u64,
}
