//! Games as places in a text, and how much of it is looked at.

/// The two lengths that the definition speaks of, in bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Measures {
    /// A longer game is broken, and of its text no more than this is read.
    pub longest: usize,
    /// How far to look ahead or back to decide anything.
    pub reach: usize,
}

impl Measures {
    /// What holds for every dump.
    pub const FIXED: Measures = Measures { longest: 16 << 20, reach: 64 << 10 };
}

/// The text of one game.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    /// Where it begins.
    pub start: usize,
    /// Where its movetext begins; of a game that is too long to be read, perhaps further ahead.
    pub movetext: usize,
    /// The place behind it.
    pub end: usize,
}

/// What a scan comes to next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// A game begins here.
    Start(usize),
    /// It has ended.
    Game(Span),
}
