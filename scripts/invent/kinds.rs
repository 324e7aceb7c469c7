//! Ordinary games, and the few that an import has to leave out, one reason each.

use crate::dice::Dice;

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    Counted,
    /// Played for fun: the Event tag says casual.
    Casual,
    /// One player has no rating yet.
    NoRating,
    /// A program plays along.
    Computer,
    /// Somebody left after a few moves.
    Abandoned,
    /// Somebody broke the rules.
    Infraction,
    /// The pieces start elsewhere, with a Variant tag.
    Shuffled,
    /// A knight is missing at the start, without a Variant tag.
    KnightOdds,
    /// Nobody moved.
    Empty,
    /// No result.
    Unfinished,
}

/// Shares in 1/10,000; the rest is counted.
const SHARES: &[(Kind, u32)] = &[
    (Kind::Casual, 240),
    (Kind::NoRating, 30),
    (Kind::Computer, 45),
    (Kind::Abandoned, 30),
    (Kind::Infraction, 6),
    (Kind::Shuffled, 15),
    (Kind::KnightOdds, 8),
    (Kind::Empty, 15),
    (Kind::Unfinished, 12),
];

pub fn draw_kind(dice: &mut Dice) -> Kind {
    let mut at = dice.below(10_000);
    for &(kind, share) in SHARES {
        if at < share {
            return kind;
        }
        at -= share;
    }
    Kind::Counted
}

impl Kind {
    /// Whether the last move may be mate or stalemate.
    pub fn may_end_on_the_board(self) -> bool {
        !matches!(self, Kind::Abandoned | Kind::Infraction | Kind::Unfinished)
    }

    /// Start positions other than the usual one.
    pub fn fen(self, dice: &mut Dice) -> Option<&'static str> {
        const SHUFFLED: &[&str] = &[
            "rbnqknbr/pppppppp/8/8/8/8/PPPPPPPP/RBNQKNBR w - - 0 1",
            "nrbbqkrn/pppppppp/8/8/8/8/PPPPPPPP/NRBBQKRN w - - 0 1",
            "bqnrknrb/pppppppp/8/8/8/8/PPPPPPPP/BQNRKNRB w - - 0 1",
            "rnkbqrbn/pppppppp/8/8/8/8/PPPPPPPP/RNKBQRBN w - - 0 1",
        ];
        match self {
            Kind::Shuffled => Some(SHUFFLED[dice.below(4) as usize]),
            Kind::KnightOdds => Some("rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/R1BQKBNR w KQkq - 0 1"),
            _ => None,
        }
    }
}
