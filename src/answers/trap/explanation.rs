//! The structs of the counts behind a trap report.

use serde::Serialize;
use shakmaty::Color;

use crate::answers::Figure;
use crate::answers::moves::color_name;
use crate::terms::Pace;

/// The counts behind the figures of a trap over the whole filter.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Explanation {
    /// Sums of cells, each with a label.
    pub sums: Vec<CellSum>,
    /// The product that each band of victims has in the steering.
    pub steered: Vec<BandProduct>,
    /// Where several slips are marked: what the edge with the refutations is made of.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub refuted: Vec<RefutedShare>,
    /// The mean edge of all replies to the slip, which the worth is taken from.
    pub edge_replies: Figure,
    /// For the steering in any order: the positions, the last choices first.
    pub orders: Vec<Order>,
    /// How much the games of the positions are worth, in the order of the line.
    pub effects: Vec<PositionEffect>,
}

/// The counts behind the figures of a trap from the victim's side; those of its moves stand with the moves.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct VictimExplanation {
    /// The product that each band of setters has in how often the trap comes up.
    pub comes_up: Vec<BandProduct>,
    /// How much the games of the positions are worth: those of the setter's moves, then the trap position.
    pub effects: Vec<PositionEffect>,
}

/// Slips whose refuted games are taken together; those with fewer than 50 refuted games are.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RefutedShare {
    /// The slips, SAN.
    pub slips: Vec<String>,
    /// Games with them: the weight of their edge.
    pub slipped: u64,
    /// Refuted games.
    pub refuted: u64,
    /// The setter's edge in these, by these games alone; none without one.
    pub edge: Option<f64>,
}

/// How much the games of a position are worth: by so much counts are divided before an interval is drawn.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PositionEffect {
    /// The position's key.
    pub key: String,
    /// Games.
    pub n: u64,
    /// Games here of the player of an average game.
    pub games_a_player: f64,
    /// The design effect of shares, at least 1.
    pub shares: f64,
    /// That of scores and edges.
    pub scores: f64,
    /// That of seconds.
    pub seconds: f64,
}

/// Cells of one position added up, from the mover's view; as `moves` shows them, and `export` cell by cell.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CellSum {
    /// A short name.
    pub label: String,
    /// What is added up.
    pub place: Place,
    /// The line to the position, empty for the initial position; `all games` for the totals.
    pub position: String,
    /// Its key; none for the totals.
    pub key: Option<String>,
    /// Whose turn it is.
    #[serde(serialize_with = "color_name")]
    pub mover: Color,
    /// The move in SAN, or which moves.
    pub moves: String,
    /// Lower edge of the lowest band with a game.
    pub from: Option<u16>,
    /// Upper edge of the highest one.
    pub below: Option<u16>,
    /// Paces with a game.
    pub paces: Vec<Pace>,
    /// Games.
    pub games: u64,
    /// Games that the mover won.
    pub wins: u64,
    /// Drawn games.
    pub draws: u64,
    /// Games that the mover lost.
    pub losses: u64,
    /// Sum of the mover's expected scores, in thousandths.
    pub expected_milli: u64,
    /// Sum of what the mover's colour ordinarily scores above it in the same bands and paces, in points.
    pub ordinary: f64,
    /// The time spent.
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
    /// The slip.
    Slip,
    /// The victims' other moves in the trap position.
    OtherMoves,
    /// The refutation.
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
    /// Games that give the time.
    pub games: u64,
    /// Sum of the tenths of a second.
    pub tenths: u64,
    /// Sum of their squares.
    pub tenths_sq: u64,
}

/// The shares of one band of victims along the line.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BandProduct {
    /// Lower edge, inclusive.
    pub from: u16,
    /// Upper edge, exclusive.
    pub below: u16,
    /// Games that the band plays as that colour: its weight.
    pub games: u64,
    /// The shares that are multiplied.
    pub shares: Vec<UsedShare>,
}

/// One share of a [`BandProduct`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct UsedShare {
    /// Games with the needed move.
    pub k: u64,
    /// Games with the choice.
    pub n: u64,
    /// Whether it is that of several bands with few games together.
    pub pooled: bool,
}

/// A position on some order of the line's moves.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Order {
    /// Its key.
    pub key: String,
    /// All games there.
    pub n: u64,
    /// The victim's moves of the line that lead on.
    pub moves: Vec<Followed>,
}

/// One move that leads on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Followed {
    /// The move in UCI terms.
    pub uci: String,
    /// Games with it.
    pub k: u64,
}
