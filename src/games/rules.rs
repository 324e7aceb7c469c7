//! Which games count and how far into them.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::DateBound;
use crate::terms::PaceSet;

/// The choices of a build that decide what is counted. Stores can be added only if theirs agree.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rules {
    /// Half-moves counted of each game.
    pub half_moves: u16,
    /// Games before this date are left out.
    pub since: Option<DateBound>,
    /// Games after this date are left out.
    pub until: Option<DateBound>,
    /// Games of other paces are left out.
    pub paces: PaceSet,
    /// Games whose ratings lie further apart are left out, in rating points.
    pub max_gap: Option<u16>,
}

impl Default for Rules {
    fn default() -> Rules {
        Rules { half_moves: 30, since: None, until: None, paces: PaceSet::ALL, max_gap: None }
    }
}

impl Rules {
    /// The first choice in which two sets of rules differ: its option, our value, their value.
    pub fn difference(&self, other: &Rules) -> Option<(&'static str, String, String)> {
        fn shown<T: fmt::Display>(value: &Option<T>) -> String {
            value.as_ref().map_or("not set".into(), T::to_string)
        }
        let values = |rules: &Rules| {
            [
                ("--half-moves", rules.half_moves.to_string()),
                ("--since", shown(&rules.since)),
                ("--until", shown(&rules.until)),
                ("--pace", shown(&Some(rules.paces).filter(|paces| !paces.is_all()))),
                ("--max-gap", shown(&rules.max_gap)),
            ]
        };
        let pairs = values(self).into_iter().zip(values(other));
        pairs
            .filter(|(ours, theirs)| ours != theirs)
            .map(|((option, ours), (_, theirs))| (option, ours, theirs))
            .next()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::Pace;

    #[test]
    fn the_first_difference_is_named_with_both_values() {
        let ours = Rules::default();
        let theirs = Rules { half_moves: 20, max_gap: Some(200), ..Rules::default() };
        let blitz = Rules { paces: PaceSet::from_iter([Pace::Blitz]), ..Rules::default() };
        assert_eq!(ours.difference(&blitz), Some(("--pace", "not set".into(), "blitz".into())));
        assert_eq!(ours.difference(&ours), None);
        assert_eq!(ours.difference(&theirs), Some(("--half-moves", "30".into(), "20".into())));
    }
}
