//! What is asked of a file.

use serde::Serialize;
use shakmaty::Color;

/// Which of several moves of the file the student plays in one position.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Own {
    /// The first one in the file.
    #[default]
    First,
    /// Each as often as players of the level do; all equally where none of them did.
    Level,
    /// All equally.
    Equal,
}

/// Whose file it is, and what to tell of it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Settings {
    /// The student's colour.
    #[serde(skip)]
    pub side: Color,
    /// Which of several moves the student plays.
    pub own: Own,
    /// Lines are taken to end after so many half-moves; `None`: where they end.
    pub half_moves: Option<u16>,
    /// A gap is told if at least this share of the games meets it.
    pub met: f64,
    /// So many gaps at the most.
    pub top: usize,
    /// A prepared line is unused if fewer than this share of the games comes to it.
    pub unused: f64,
}

impl Settings {
    /// The usual ones, for a student of this colour.
    pub fn of(side: Color) -> Settings {
        Settings {
            side,
            own: Own::First,
            half_moves: None,
            met: 1.0 / 200.0,
            top: 20,
            unused: 1.0 / 1000.0,
        }
    }
}
