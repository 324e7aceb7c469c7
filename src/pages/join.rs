//! The summary of a join.

use std::io::{self, Write};

use super::layout::paragraph;
use super::numbers::{bytes, count, counted, decimals, fixed};

/// What a join came to.
#[derive(Clone, Debug, PartialEq)]
pub struct JoinReport {
    /// Dumps in the joined store.
    pub dumps: u64,
    /// Games counted from them.
    pub games_counted: u64,
    /// Positions with fewer games than this were dropped.
    pub keep_from: u64,
    /// How many games a position that is absent may have had at the most.
    pub absent_may_lack: u64,
    /// Positions in the joined store.
    pub positions_kept: u64,
    /// Positions dropped at the end.
    pub positions_dropped: u64,
    /// Wall time in seconds.
    pub seconds: f64,
    /// Size of the joined store in bytes.
    pub store_bytes: u64,
}

/// The summary for people.
pub fn text<W: Write>(mut out: W, report: &JoinReport) -> io::Result<()> {
    let (dumps, games) = (counted(report.dumps, "dump"), counted(report.games_counted, "game"));
    let seconds = fixed(report.seconds, decimals(report.seconds));
    let mut page = paragraph(&format!("Joined {dumps} with {games} in {seconds} s."), 4);
    let positions = counted(report.positions_kept, "position");
    let keep_from = counted(report.keep_from.max(1), "game");
    let dropped = count(report.positions_dropped);
    page +=
        &paragraph(&format!("Kept {positions} with {keep_from} or more and dropped {dropped}."), 4);
    let lack = report.absent_may_lack.saturating_add(1).saturating_sub(report.keep_from);
    if lack > 0 {
        let lack = counted(lack, "game");
        page += &paragraph(
            &format!(
                "Rare positions had been dropped before, so a position may lack up to {lack}; answers \
                 say so where it matters."
            ),
            4,
        );
    }
    page += &format!("The store is {} large.\n", bytes(report.store_bytes));
    out.write_all(page.as_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::kit::printed;

    fn report() -> JoinReport {
        JoinReport {
            dumps: 3,
            games_counted: 3_000_000,
            keep_from: 5,
            absent_may_lack: 4,
            positions_kept: 310_000,
            positions_dropped: 52_000_000,
            seconds: 61.2,
            store_bytes: 51_400_000,
        }
    }

    #[test]
    fn what_may_be_missing_is_said() {
        insta::assert_snapshot!(printed(|out| text(out, &JoinReport { absent_may_lack: 16, ..report() })), @"
        Joined 3 dumps with 3,000,000 games in 61.2 s.
        Kept 310,000 positions with 5 games or more and dropped 52,000,000.
        Rare positions had been dropped before, so a position may lack up to 12 games; answers say so where it matters.
        The store is 51.4 MB large.
        ");
        assert!(!printed(|out| text(out, &report())).contains("lack"));
    }
}
