//! The summary of a build.

use std::io::{self, Write};

use super::layout::{Side, TextTable, paragraph};
use super::numbers::{bytes, count, counted, decimals, fixed};
use super::words::{self, clean};
use crate::games::{LeftOut, LeftOutTally};

/// What a build did.
#[derive(Clone, Debug, PartialEq)]
pub struct BuildReport {
    /// Games read from the sources of this build; counted plus left out.
    pub games_read: u64,
    /// Games counted.
    pub games_counted: u64,
    /// Games left out by reason.
    pub left_out: LeftOutTally,
    /// For a reason the place of the first game left out for it, such as `may.pgn, game 17, byte 40213`.
    pub examples: Vec<(LeftOut, String)>,
    /// Positions with fewer games than this were dropped.
    pub keep_from: u64,
    /// Positions in the store now.
    pub positions_kept: u64,
    /// Positions dropped at the end.
    pub positions_dropped: u64,
    /// Half-moves in the positions kept.
    pub visits: u64,
    /// Half-moves in the positions dropped.
    pub visits_dropped: u64,
    /// Wall time in seconds.
    pub seconds: f64,
    /// Bytes of the sources, decompressed.
    pub bytes_read: u64,
    /// Size of the store file in bytes.
    pub store_bytes: u64,
    /// Names of the sources that were cut short.
    pub incomplete: Vec<String>,
    /// Of several sources those without a single game that counts, and how many games they hold.
    pub nothing_in: Vec<(String, u64)>,
}

/// The summary for people.
pub fn text<W: Write>(mut out: W, report: &BuildReport) -> io::Result<()> {
    let read = counted(report.games_read, "game");
    let speed = speed(report);
    let mut page = paragraph(&format!("Read {read} in {} s{speed}.", seconds(report.seconds)), 4);
    let (kept, left) = (count(report.games_counted), count(report.left_out.total()));
    page += &paragraph(&format!("Counted {kept}, left out {left}."), 4);
    if report.left_out.total() > 0 {
        page.push('\n');
        page += &left_out(report);
        page.push('\n');
    }
    let positions = counted(report.positions_kept, "position");
    let keep_from = counted(report.keep_from.max(1), "game");
    let all = counted(report.visits + report.visits_dropped, "half-move");
    page += &paragraph(
        &format!(
            "Kept {positions} with {keep_from} or more and dropped {}: {} of {all} are in the store.",
            count(report.positions_dropped),
            count(report.visits)
        ),
        4,
    );
    page += &format!("The store is {} large.\n", bytes(report.store_bytes));
    for (name, games) in &report.nothing_in {
        let (name, games) = (clean(name), counted(*games, "game"));
        page += &paragraph(&format!("Nothing to count in {name}: {games}, all left out."), 4);
    }
    for name in &report.incomplete {
        let name = clean(name);
        page += &paragraph(&format!("Cut short, counted as far as it could be read: {name}."), 4);
    }
    out.write_all(page.as_bytes())
}

fn seconds(seconds: f64) -> String {
    fixed(seconds, decimals(seconds))
}

fn speed(report: &BuildReport) -> String {
    if report.seconds <= 0.0 {
        return String::new();
    }
    let games = fixed(report.games_read as f64 / report.seconds, 0);
    let megabytes = report.bytes_read as f64 / 1e6 / report.seconds;
    format!(" ({games} games/s, {} MB/s)", fixed(megabytes, decimals(megabytes)))
}

fn left_out(report: &BuildReport) -> String {
    let mut table = TextTable::new(&[
        ("left out", Side::Left),
        ("games", Side::Right),
        ("because", Side::Left),
        ("first at", Side::Left),
    ]);
    for (reason, games) in report.left_out.rows().filter(|(_, games)| *games > 0) {
        let first = report.examples.iter().find(|(of, _)| *of == reason);
        let first = first.map_or(String::new(), |(_, place)| clean(place));
        let because = words::left_out(reason).to_owned();
        table.row(vec![reason.name().to_owned(), count(games), because, first]);
    }
    table.render()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::kit::{left_out_of, printed};

    fn report() -> BuildReport {
        BuildReport {
            games_read: 1_000_042,
            games_counted: 1_000_000,
            left_out: left_out_of(&[(LeftOut::NoRating, 40), (LeftOut::IllegalMove, 2)]),
            examples: vec![
                (LeftOut::IllegalMove, "harbour-2031-05.pgn, game 812, byte 1830271, ply 7".into()),
                (LeftOut::NoRating, "harbour-2031-05.pgn, game 17, byte 40213".into()),
            ],
            keep_from: 5,
            positions_kept: 180_000,
            positions_dropped: 18_000_000,
            visits: 9_000_000,
            visits_dropped: 19_900_000,
            seconds: 8.04,
            bytes_read: 2_250_000_000,
            store_bytes: 21_400_000,
            incomplete: vec!["harbour-2031-05.pgn".into()],
            nothing_in: vec![("traps.pgn".into(), 16)],
        }
    }

    #[test]
    fn the_summary_has_every_counter() {
        insta::assert_snapshot!(printed(|out| text(out, &report())), @"
        Read 1,000,042 games in 8.0 s (124,383 games/s, 279.9 MB/s).
        Counted 1,000,000, left out 42.

        left out      games  because                                          first at
        ------------------------------------------------------------------------------------------------------------------------
        no_rating        40  a rating is missing or no number from 1 to 3999  harbour-2031-05.pgn, game 17, byte 40213
        illegal_move      2  a move that is illegal, ambiguous or unreadable  harbour-2031-05.pgn, game 812, byte 1830271, ply 7

        Kept 180,000 positions with 5 games or more and dropped 18,000,000: 9,000,000 of 28,900,000 half-moves are in the store.
        The store is 21.4 MB large.
        Nothing to count in traps.pgn: 16 games, all left out.
        Cut short, counted as far as it could be read: harbour-2031-05.pgn.
        ");
    }

    #[test]
    fn a_build_in_no_time_has_no_speed() {
        let report = BuildReport { seconds: 0.0, left_out: LeftOutTally::default(), ..report() };
        let page = printed(|out| text(out, &report));
        assert!(!page.contains("games/s") && !page.contains("because"));
    }
}
