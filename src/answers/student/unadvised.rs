//! Moves that score well and are not advised to a pupil all the same: they lay a trap.

use std::collections::BTreeSet;

use shakmaty::{Chess, Move};

use super::rules::TrapSource;
use crate::answers::effect::behind;
use crate::answers::trap::{Cache, SoundnessCode, TrapReport};
use crate::counts::Counts;
use crate::lines::Trap;
use crate::terms::{Key, MoverFilter};

/// A move of the setter leads to a trap if at least this share of the games with it comes there;
/// the bait does in any case.
const LEADS: f64 = 0.25;

/// Positions to which no pupil is sent: from them a trap follows that is not known to be sound.
pub(super) struct Unadvised {
    positions: BTreeSet<Key>,
}

impl Unadvised {
    /// A trap of a file has to be known as sound; one that a hunt found is no trap to lay if the
    /// setter stands worse without the slip.
    pub fn of<C: Counts>(
        cache: &Cache<'_, C>,
        (traps, reports): (&[Trap], &[TrapReport]),
        from: TrapSource,
    ) -> Result<Unadvised, C::Error> {
        let barred = |report: &TrapReport| match from {
            TrapSource::File => report.soundness.verdict != SoundnessCode::Sound,
            TrapSource::Hunt => report.soundness.stands_worse(),
        };
        let games = |key: Key| -> Result<u64, C::Error> {
            let found = cache.position(key)?;
            let moves = found.iter().flat_map(|found| &found.moves);
            Ok(moves.map(|mv| mv.games(MoverFilter::ALL)).sum())
        };
        let mut positions = BTreeSet::new();
        for (trap, _) in traps.iter().zip(reports).filter(|(_, report)| barred(report)) {
            let here = games(Key::of(trap.position()))? as f64;
            positions.insert(Key::of(trap.position()));
            // Behind each move of the setter the victim is to move, as in the trap position.
            for ply in (0..trap.slip_ply()).rev().skip(1).step_by(2).filter(|ply| *ply > 0) {
                let key = Key::of(trap.line().position(ply));
                if here == 0.0 || here < LEADS * games(key)? as f64 {
                    break;
                }
                positions.insert(key);
            }
        }
        Ok(Unadvised { positions })
    }

    /// Whether a move leads to such a trap.
    pub fn lays(&self, key: Key, position: &Chess, mv: Move) -> bool {
        self.positions.contains(&behind(key, position, mv))
    }
}
