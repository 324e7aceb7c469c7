//! The summaries of builds and joins.

use super::layout::{Side, TextTable, paragraph};
use super::numbers::{bytes, count, counted, decimals, fixed};
use super::words::{self, clean};
use crate::ledger::{BuildSummary, CountedDump, GameTally};

/// The summary of a build for people. If no game counts, the last line is a warning: such a dump
/// was hardly meant, it may be a file of traps.
pub fn text(built: &BuildSummary) -> String {
    let games = GameTally::sum(built.dumps.iter().map(|dump| &dump.source.games));
    let (read, speed) = (counted(games.games_read, "game"), speed(built, games.games_read));
    let mut page = paragraph(&format!("Read {read} in {} s{speed}.", seconds(built)), 4);
    let (kept, left) = (count(games.games_counted), count(games.left_out.total()));
    page += &paragraph(&format!("Counted {kept}, left out {left}."), 4);
    if games.left_out.total() > 0 {
        page.push('\n');
        page += &left_out(&games, &built.dumps);
        page.push('\n');
    }
    let all = counted(built.visits_kept + built.visits_dropped, "half-move");
    let visits = format!(": {} of {all} are in the store", count(built.visits_kept));
    page += &positions(built, &visits);
    page += &size(built);
    let dumps = || built.dumps.iter().map(|dump| &dump.source);
    for dump in dumps().filter(|dump| built.dumps.len() > 1 && dump.games.games_counted == 0) {
        let (name, games) = (clean(&dump.name), counted(dump.games.games_read, "game"));
        page += &paragraph(&format!("Nothing to count in {name}: {games}, all left out."), 4);
    }
    for dump in dumps().filter(|dump| !dump.complete) {
        let name = clean(&dump.name);
        page += &paragraph(&format!("Cut short, counted as far as it could be read: {name}."), 4);
    }
    if games.games_counted == 0 {
        let reasons = games.left_out.rows().filter(|(_, games)| *games > 0);
        let reasons: Vec<String> =
            reasons.map(|(reason, games)| format!("{} {games}", reason.name())).collect();
        page += &format!("warning: none of the games counts ({})\n", reasons.join(", "));
    }
    page
}

/// The summary of a join for people.
pub fn join_text(joined: &BuildSummary) -> String {
    let dumps = counted(joined.sources, "dump");
    let games = counted(joined.games_counted, "game");
    let seconds = seconds(joined);
    let mut page = paragraph(&format!("Joined {dumps} with {games} in {seconds} s."), 4);
    page += &positions(joined, "");
    if joined.absent_may_lack > 0 {
        let lack = counted(joined.absent_may_lack, "game");
        page += &paragraph(
            &format!(
                "A position that is not in the store may have had up to {lack}; answers say so where it \
                 matters."
            ),
            4,
        );
    }
    page + &size(joined)
}

fn size(built: &BuildSummary) -> String {
    format!("The store is {} large.\n", bytes(built.store_bytes))
}

fn positions(built: &BuildSummary, more: &str) -> String {
    let positions = counted(built.positions, "position");
    let keep_from = counted(built.keep_from.max(1), "game");
    let text = format!("Kept {positions} with {keep_from} or more{more}.");
    paragraph(&text, 4)
}

fn seconds(built: &BuildSummary) -> String {
    fixed(built.seconds, decimals(built.seconds))
}

fn speed(built: &BuildSummary, games: u64) -> String {
    if built.seconds <= 0.0 {
        return String::new();
    }
    let games = fixed(games as f64 / built.seconds, 0);
    let megabytes = built.text_bytes as f64 / 1e6 / built.seconds;
    format!(" ({games} games/s, {} MB/s)", fixed(megabytes, decimals(megabytes)))
}

/// What was left out and why, with the first game for each reason that lies in its text.
fn left_out(games: &GameTally, dumps: &[CountedDump]) -> String {
    let mut table = TextTable::new(&[
        ("left out", Side::Left),
        ("games", Side::Right),
        ("because", Side::Left),
        ("first at", Side::Left),
    ]);
    for (reason, games) in games.left_out.rows().filter(|(_, games)| *games > 0) {
        let first = dumps.iter().find_map(|dump| {
            let example = dump.examples.iter().find(|example| example.reason == reason)?;
            let ply = example.ply.map_or(String::new(), |ply| format!(", half-move {}", ply + 1));
            let name = clean(&dump.source.name);
            Some(format!("{name}, game {}, byte {}{ply}", example.game, example.byte))
        });
        let because = words::left_out(reason).to_owned();
        let first = first.unwrap_or_default();
        table.row(vec![reason.name().to_owned(), count(games), because, first]);
    }
    table.render()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::games::LeftOut;
    use crate::ledger::{DumpHash, Example, Fingerprint, Source};
    use crate::pages::kit::left_out_of;

    fn dump(name: &str, read: u64, left_out: &[(LeftOut, u64)]) -> CountedDump {
        let left_out = left_out_of(left_out);
        let games_counted = read - left_out.total();
        let games = GameTally { games_read: read, games_counted, left_out, ..GameTally::default() };
        let fingerprint = Fingerprint { bytes: 1, file_bytes: None, file_hash: None };
        let (name, hash) = (name.to_owned(), DumpHash(0));
        let source = Source { name, hash, fingerprint, games, complete: true };
        CountedDump { source, examples: Vec::new() }
    }

    fn built() -> BuildSummary {
        let left_out = [(LeftOut::NoRating, 24), (LeftOut::IllegalMove, 2)];
        let mut may = dump("may-2031.pgn", 1_000_026, &left_out);
        may.source.complete = false;
        let example = |reason, game, byte, ply| Example { reason, game, byte, ply };
        may.examples.push(example(LeftOut::IllegalMove, 812, 1_830_271, Some(6)));
        let traps = dump("traps.pgn", 16, &[(LeftOut::NoRating, 16)]);
        BuildSummary {
            dumps: vec![may, traps],
            sources: 3,
            games_counted: 3_000_000,
            keep_from: 5,
            absent_may_lack: 4,
            visits_kept: 9_000_000,
            visits_dropped: 19_900_000,
            positions: 180_000,
            store_bytes: 21_400_000,
            runs: 0,
            text_bytes: 2_250_000_000,
            seconds: 8.04,
        }
    }

    #[test]
    fn the_summary_has_every_counter() {
        insta::assert_snapshot!(text(&built()), @"
        Read 1,000,042 games in 8.0 s (124,383 games/s, 279.9 MB/s).
        Counted 1,000,000, left out 42.

        left out      games  because                                          first at
        -----------------------------------------------------------------------------------------------------------------------
        no_rating        40  a rating is missing or not from 1 to 3999
        illegal_move      2  a move that is illegal, ambiguous or unreadable  may-2031.pgn, game 812, byte 1830271, half-move 7

        Kept 180,000 positions with 5 games or more: 9,000,000 of 28,900,000 half-moves
            are in the store.
        The store is 21.4 MB large.
        Nothing to count in traps.pgn: 16 games, all left out.
        Cut short, counted as far as it could be read: may-2031.pgn.
        ");
    }

    #[test]
    fn a_build_in_no_time_has_no_speed_and_a_dump_alone_no_line_about_it() {
        let dumps = vec![dump("traps.pgn", 3, &[(LeftOut::NoRating, 3)])];
        let page = text(&BuildSummary { seconds: 0.0, dumps, ..built() });
        assert!(!page.contains("games/s") && !page.contains("Nothing to count"), "{page}");
        assert!(page.ends_with("\nwarning: none of the games counts (no_rating 3)\n"), "{page}");
    }

    #[test]
    fn a_join_says_what_may_be_missing() {
        let joined = BuildSummary { absent_may_lack: 16, ..built() };
        insta::assert_snapshot!(join_text(&joined), @"
        Joined 3 dumps with 3,000,000 games in 8.0 s.
        Kept 180,000 positions with 5 games or more.
        A position that is not in the store may have had up to 16 games; answers say so
            where it matters.
        The store is 21.4 MB large.
        ");
        assert!(!join_text(&BuildSummary { absent_may_lack: 0, ..built() }).contains("may have"));
    }
}
