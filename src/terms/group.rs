//! The group of players that a mover belongs to.

use shakmaty::Color;
use xxhash_rust::xxh3::{xxh3_64, xxh3_64_with_seed};

/// One of [`Group::COUNT`] groups of players. A player is in the same one in every game, dump and
/// store: it is the top five bits of a fixed hash of the name, which give away nobody's name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Group(u8);

impl Group {
    /// How many there are.
    pub const COUNT: usize = 1 << Group::BITS;
    /// How many bits one takes.
    pub const BITS: u32 = 5;

    /// Bytes of a name that are put into lower case without a place of their own in memory.
    const SHORT: usize = 64;

    /// The group of a player: the top bits of xxh3-64, seed 0, of the name in ASCII lower case.
    pub fn of_name(name: &[u8]) -> Group {
        let mut short = [0; Group::SHORT];
        match short.get_mut(..name.len()) {
            Some(lower) => {
                lower.copy_from_slice(name);
                lower.make_ascii_lowercase();
                Group::of_hash(xxh3_64(lower))
            }
            None => Group::of_hash(xxh3_64(&name.to_ascii_lowercase())),
        }
    }

    /// The group of a player without a name, of whom nothing is known but a game: the top bits of
    /// xxh3-64 of that game, with seed 0 for White and 1 for Black.
    pub fn of_game(game: &[u8], colour: Color) -> Group {
        Group::of_hash(xxh3_64_with_seed(game, colour.fold_wb(0, 1)))
    }

    fn of_hash(hash: u64) -> Group {
        Group((hash >> (u64::BITS - Group::BITS)) as u8)
    }

    /// The group number `index`, `None` past the last.
    pub fn from_index(index: usize) -> Option<Group> {
        (index < Self::COUNT).then_some(Group(index as u8))
    }

    /// Place among the groups.
    pub fn index(self) -> usize {
        usize::from(self.0)
    }

    /// All groups in order.
    pub fn all() -> impl Iterator<Item = Group> {
        (0..Self::COUNT as u8).map(Group)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked out with the package xxhash 4.1.0 of Python: `xxh3_64_intdigest(name.lower()) >> 59`.
    #[test]
    fn names_have_the_groups_of_another_implementation() {
        let rows = [("GallyHazel", 31), ("driftspindle", 20), ("A", 28), ("Jos\u{e9}", 24)];
        let long = [("X".repeat(64), 4), ("X".repeat(65), 31)];
        let rows = rows.map(|(name, group)| (name.to_owned(), group)).into_iter().chain(long);
        rows.for_each(|(name, group)| {
            assert_eq!(Group::of_name(name.as_bytes()).index(), group, "{name}");
        });
    }

    /// As above: `xxh3_64_intdigest(game, seed=0) >> 59`, and with seed 1.
    #[test]
    fn the_sides_of_a_game_have_groups_of_their_own() {
        let game = br#"[Result"1-0"]1.e41-0"#;
        let groups = Color::ALL.map(|colour| Group::of_game(game, colour).index());
        assert_eq!(groups, [18, 22]);
    }

    #[test]
    fn case_does_not_matter_and_length_does_not_either() {
        let name = "Harbour".repeat(20);
        for length in [0, 1, 63, 64, 65, 140] {
            let name = &name[..length];
            assert_eq!(
                Group::of_name(name.as_bytes()),
                Group::of_name(name.to_lowercase().as_bytes())
            );
        }
    }

    #[test]
    fn names_spread_evenly() {
        let mut players = [0u32; Group::COUNT];
        (0..32_000)
            .for_each(|n| players[Group::of_name(format!("Player{n}").as_bytes()).index()] += 1);
        // 1,000 expected in each; five standard deviations are 156.
        assert!(players.iter().all(|&count| count.abs_diff(1000) < 156), "{players:?}");
    }
}
