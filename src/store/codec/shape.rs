//! The results of up to four games as one small number.

/// How many shapes there are: every (games, wins, draws) of 1 to 4 games, and [`WIDE`].
pub(super) const COUNT: u8 = WIDE + 1;
/// The results are written out.
pub(super) const WIDE: u8 = RESULTS.len() as u8;

/// First shape of 1, 2, 3, 4 games.
const FIRST: [u64; 4] = [0, 3, 9, 19];

/// Games, wins, draws of each shape but [`WIDE`].
const RESULTS: [[u8; 3]; 34] = {
    let mut all = [[0; 3]; 34];
    let mut place = 0;
    let mut games = 1;
    while games <= 4 {
        let mut wins = 0;
        while wins <= games {
            let mut draws = 0;
            while wins + draws <= games {
                all[place] = [games, wins, draws];
                place += 1;
                draws += 1;
            }
            wins += 1;
        }
        games += 1;
    }
    all
};

/// The shape of these results.
pub(super) fn of(games: u64, wins: u64, draws: u64) -> u8 {
    if games == 0 || games > 4 {
        return WIDE;
    }
    (FIRST[games as usize - 1] + wins * (2 * games + 3 - wins) / 2 + draws) as u8
}

/// Games, wins and draws of a shape below [`COUNT`]; `None` for [`WIDE`].
pub(super) fn results(shape: u8) -> Option<[u8; 3]> {
    RESULTS.get(usize::from(shape)).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_shape_comes_back() {
        for shape in 0..WIDE {
            let [games, wins, draws] = results(shape).expect("a small shape").map(u64::from);
            assert_eq!(of(games, wins, draws), shape);
        }
        assert_eq!((of(5, 0, 0), of(u64::MAX, 3, 2), results(WIDE)), (WIDE, WIDE, None));
    }
}
