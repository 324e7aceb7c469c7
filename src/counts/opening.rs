//! Opening names, learned from the tags of the games that pass through a position.
//!
//! No list of openings is shipped, so none has to be kept, and names are those of the user's own
//! dumps: the longest leading part that 60 % of the games agree on, for the first 20 half-moves.
//! One build keeps 2^20 - 1 different tags and 32 MiB of them (some 100,000); beyond that names are
//! given up, and `about` says so.

/// The Opening and ECO tags of one game, trimmed; empty where the game has none.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct OpeningTag {
    /// The ECO code.
    pub eco: String,
    /// The name.
    pub name: String,
}

/// What the games of a position agree on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Opening {
    /// Code and name; one of them may be empty.
    pub tag: OpeningTag,
    /// How many games carry it.
    pub tally: u64,
}

/// One distinct tag and how many games of a position carry it.
pub type OpeningTally<'a> = (&'a OpeningTag, u64);

impl Opening {
    /// The longest leading part of the name, cut at ": " or ", ", that at least 60 % of the games
    /// with a name agree on, and the code that most games behind it carry (ties: the smaller code).
    /// Where no game has a name, the code that at least 60 % of the games with a code carry.
    pub fn learn(tallies: &[OpeningTally<'_>]) -> Option<Opening> {
        let named = tallies.iter().filter(|(tag, _)| !tag.name.is_empty());
        let games: u64 = named.clone().map(|(_, games)| games).sum();
        if games == 0 {
            return Self::learn_code(tallies);
        }
        // Behind a whole name that they agree on there is nothing longer.
        let whole = named.clone().find(|(_, its)| most_of(*its, games));
        if let Some((tag, _)) = whole {
            return Some(Self::of_part(&tag.name, named));
        }
        // Games that agree on a part agree on the shorter ones in it, and of each length at most
        // one part has the most; so the part is made longer, cut by cut, until none has.
        let agreed = |shorter: Option<&str>| {
            let longer = named
                .clone()
                .filter_map(move |&(tag, games)| Some((longer_part(&tag.name, shorter)?, games)));
            let part = majority(longer.clone())?;
            let tally = longer.filter(|(other, _)| *other == part).map(|(_, games)| games).sum();
            most_of(tally, games).then_some(part)
        };
        let name = std::iter::successors(agreed(None), |&shorter| agreed(Some(shorter))).last()?;
        Some(Self::of_part(name, named))
    }

    /// A leading part with the games that carry it and the code of most of them.
    fn of_part<'a>(
        name: &str,
        named: impl Iterator<Item = &'a OpeningTally<'a>> + Clone,
    ) -> Opening {
        let behind = named.filter(|(tag, _)| behind(&tag.name, name).is_some());
        let tally = behind.clone().map(|(_, games)| games).sum();
        let eco = most_carried(behind).map_or("", |(eco, _)| eco);
        Opening { tag: OpeningTag { eco: eco.to_owned(), name: name.to_owned() }, tally }
    }

    fn learn_code(tallies: &[OpeningTally<'_>]) -> Option<Opening> {
        let coded = tallies.iter().filter(|(tag, _)| !tag.eco.is_empty());
        let games = coded.clone().map(|(_, games)| games).sum();
        let (eco, tally) = most_carried(coded)?;
        most_of(tally, games).then(|| Opening {
            tag: OpeningTag { eco: eco.to_owned(), name: String::new() },
            tally,
        })
    }

    /// The one with the larger tally; ties go to the smaller name, then code.
    pub fn larger(a: Option<Opening>, b: Option<Opening>) -> Option<Opening> {
        match (a, b) {
            (Some(a), Some(b)) => {
                let rank = |opening: &Opening| {
                    let tag = &opening.tag;
                    (std::cmp::Reverse(opening.tally), tag.name.clone(), tag.eco.clone())
                };
                Some(if rank(&a) <= rank(&b) { a } else { b })
            }
            (a, b) => a.or(b),
        }
    }
}

/// The part with more games than all others together, if there is one (Boyer and Moore's vote).
fn majority<'a>(votes: impl Iterator<Item = (&'a str, u64)>) -> Option<&'a str> {
    let mut leader = (None, 0u64);
    for (part, games) in votes {
        leader = match leader {
            (Some(other), lead) if other == part => (Some(part), lead + games),
            (other, lead) if lead >= games => (other, lead - games),
            (_, lead) => (Some(part), games - lead),
        };
    }
    leader.0
}

/// At least 60 %.
fn most_of(part: u64, whole: u64) -> bool {
    part * 5 >= whole * 3
}

/// What a name has behind a leading part: nothing, or a colon or comma with a space and so on.
fn behind<'a>(name: &'a str, part: &str) -> Option<&'a str> {
    name.strip_prefix(part)
        .filter(|rest| rest.is_empty() || rest.starts_with(": ") || rest.starts_with(", "))
}

/// The leading part of a name that is one cut longer than `part`, or the first: those of "A: B, C"
/// are "A", "A: B" and "A: B, C".
fn longer_part<'a>(name: &'a str, part: Option<&str>) -> Option<&'a str> {
    let from = match part {
        None => 0,
        Some(part) if behind(name, part)?.is_empty() => return None,
        Some(part) => part.len() + 1,
    };
    let cut = name.as_bytes()[from..].windows(2).position(|at| matches!(at, [b':' | b',', b' ']));
    Some(cut.map_or(name, |cut| &name[..from + cut]))
}

/// The code that most games carry; ties go to the smaller one.
fn most_carried<'a>(tallies: impl Iterator<Item = &'a OpeningTally<'a>>) -> Option<(&'a str, u64)> {
    let coded = tallies.filter(|(tag, _)| !tag.eco.is_empty());
    let mut codes: Vec<(&str, u64)> = coded.map(|(tag, games)| (&*tag.eco, *games)).collect();
    codes.sort_unstable();
    let sums = codes
        .chunk_by(|a, b| a.0 == b.0)
        .map(|same| (same[0].0, same.iter().map(|(_, games)| games).sum::<u64>()));
    sums.max_by(|a, b| a.1.cmp(&b.1).then_with(|| b.0.cmp(a.0)))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn learn(rows: &[(&str, &str, u64)]) -> Option<(String, String, u64)> {
        let tags: Vec<(OpeningTag, u64)> = rows
            .iter()
            .map(|&(eco, name, games)| {
                let tag = OpeningTag { eco: eco.into(), name: name.into() };
                (tag, games)
            })
            .collect();
        let tallies: Vec<OpeningTally> = tags.iter().map(|(tag, games)| (tag, *games)).collect();
        Opening::learn(&tallies).map(|opening| (opening.tag.eco, opening.tag.name, opening.tally))
    }

    fn some(eco: &str, name: &str, tally: u64) -> Option<(String, String, u64)> {
        Some((eco.into(), name.into(), tally))
    }

    #[test]
    fn the_longest_part_that_most_agree_on_is_the_name() {
        let rows = [
            ("C50", "Italian Game: Blackburne-Shilling Gambit", 5),
            ("C54", "Italian Game: Classical Variation, Greco Gambit", 3),
            ("C44", "Scotch Game", 2),
        ];
        assert_eq!(learn(&rows), some("C50", "Italian Game", 8));
    }

    proptest! {
        /// The judge counts every part of every name.
        #[test]
        fn the_name_is_the_longest_of_all_parts_that_most_agree_on(
            rows in prop::collection::vec(("A|B|A: B|A: B, C|A: B, D|A, C|A:B|A:: B|A: , B|: B", 1u64..20), 0..8),
        ) {
            let games: u64 = rows.iter().map(|(_, games)| games).sum();
            let mut parts = std::collections::BTreeMap::new();
            for (name, games) in &rows {
                let cuts = name.match_indices([':', ',']).map(|(place, _)| place);
                let parts_of_it = cuts
                    .filter(|&place| name[place + 1..].starts_with(' '))
                    .chain([name.len()])
                    .map(|place| &name[..place]);
                parts_of_it.for_each(|part| *parts.entry(part).or_insert(0) += games);
            }
            let most = parts.into_iter().filter(|&(_, tally)| 10 * tally >= 6 * games);
            let longest = most.max_by_key(|(part, _)| part.len());
            let tagged: Vec<(&str, &str, u64)> =
                rows.iter().map(|(name, games)| ("A00", name.as_str(), *games)).collect();
            prop_assert_eq!(learn(&tagged), longest.and_then(|(name, tally)| some("A00", name, tally)));
        }
    }

    #[test]
    fn exactly_sixty_percent_is_enough_and_less_is_not() {
        assert_eq!(learn(&[("A00", "X", 6), ("A01", "Y", 4)]), some("A00", "X", 6));
        assert_eq!(learn(&[("A00", "X", 59), ("A01", "Y", 41)]), None);
    }

    #[test]
    fn games_without_a_name_do_not_vote_when_others_have_one() {
        assert_eq!(learn(&[("A00", "X", 1), ("B00", "", 9)]), some("A00", "X", 1));
    }

    #[test]
    fn codes_alone_need_sixty_percent() {
        assert_eq!(learn(&[("E81", "", 3), ("E82", "", 2)]), some("E81", "", 3));
        assert_eq!(learn(&[("E81", "", 1), ("E82", "", 1)]), None);
    }

    #[test]
    fn ties_between_codes_go_to_the_smaller() {
        assert_eq!(learn(&[("C45", "X", 1), ("C44", "X", 1)]), some("C44", "X", 2));
    }

    #[test]
    fn a_colon_or_comma_without_a_space_does_not_cut() {
        assert_eq!(learn(&[("", "A:B,C", 1)]), some("", "A:B,C", 1));
    }
}
