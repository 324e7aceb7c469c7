//! The pages of `about`.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use std::io::{self, Write};

use serde::Serialize;
use serde_json::json;
use shakmaty::Color;

use super::layout::{Side, TextTable, paragraph};
use super::numbers::{bytes, count, counted};
use super::output::{merged, table};
use super::slopes::{self, PaceSlope};
use super::words::{self, clean};
use crate::counts::{Limits, Totals};
use crate::games::{LeftOut, Rules};
use crate::ledger::{GameTally, Source};
use crate::terms::{Band, CellId, Pace};

/// What a store holds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct About {
    pub format: u32,
    pub sources: Vec<Source>,
    /// What became of the games of all of them.
    #[serde(flatten)]
    pub games: GameTally,
    pub positions: u64,
    pub cells: u64,
    pub visits: u64,
    pub visits_dropped: u64,
    pub half_moves: u16,
    pub keep_from: u64,
    pub absent_may_lack: u64,
    pub rules: Rules,
    pub levels: Vec<Level>,
    pub slopes: Vec<PaceSlope>,
    pub store_bytes: Option<u64>,
    pub names_given_up: bool,
}

/// Games of players of one band at one pace.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Level {
    pub from: u16,
    pub below: u16,
    pub pace: Pace,
    pub white: u64,
    pub black: u64,
}

impl Level {
    /// The levels with games, by band and pace.
    pub fn all(totals: &Totals) -> Vec<Level> {
        let level = |id: CellId| {
            let games = |colour| totals.cell(colour, id).games;
            let (from, below) = (id.band().from(), id.band().below());
            let (white, black) = (games(Color::White), games(Color::Black));
            Level { from, below, pace: id.pace(), white, black }
        };
        let bands = Band::all().flat_map(|band| Pace::ALL.map(|pace| CellId::new(band, pace)));
        bands.map(level).filter(|level| level.white + level.black > 0).collect()
    }
}

/// What the store holds, for people.
pub fn text<W: Write>(mut out: W, about: &About) -> io::Result<()> {
    let mut page = head(about);
    page.push('\n');
    page += &sources(&about.sources);
    page.push('\n');
    page += &games(about);
    if !about.levels.is_empty() {
        page += "\nPlayers by rating and pace, two in each game\n\n";
        page += &levels(&about.levels);
        page.push('\n');
        page += &slopes::section(&about.slopes);
    }
    page.push('\n');
    notes(about).iter().for_each(|note| page += &paragraph(note, 0));
    out.write_all(page.as_bytes())
}

/// One row a source, with a column for each reason.
pub fn csv<W: Write>(out: W, about: &About) -> io::Result<()> {
    let mut head = vec!["name", "hash", "games_read", "games_counted"];
    head.extend(LeftOut::ALL.map(LeftOut::name));
    head.extend(["nameless_sides", "first", "last", "complete", "undated"]);
    let row = |source: &Source| merged(source, json!(source.games.left_out));
    table(out, &head, about.sources.iter().map(row))
}

fn head(about: &About) -> String {
    let dates = Some(words::dates(&about.games)).filter(|dates| !dates.is_empty());
    let size = about.store_bytes.map_or(String::new(), |size| format!(", {}", bytes(size)));
    let sources = counted(about.sources.len() as u64, "source");
    let positions = counted(about.positions, "position");
    let all = counted(about.visits + about.visits_dropped, "half-move");
    let lines = [
        Some(format!("Store format {}, {sources}{size}", about.format)),
        dates.map(|dates| match about.games.first {
            Some(_) => format!("Games of {dates}"),
            None => dates,
        }),
        Some(format!("{positions}, {}", counted(about.cells, "cell"))),
        Some(format!(
            "{all} counted: {} in these positions, {} in positions dropped",
            count(about.visits),
            count(about.visits_dropped)
        )),
    ];
    lines.into_iter().flatten().map(|line| paragraph(&line, 4)).collect()
}

fn sources(sources: &[Source]) -> String {
    let mut table = TextTable::new(&[
        ("source and its hash", Side::Wrapped(32)),
        ("read", Side::Right),
        ("counted", Side::Right),
        ("dates", Side::Wrapped(20)),
    ])
    .with_gaps();
    for source in sources {
        let games = &source.games;
        let cut = if source.complete { "" } else { "\ncut short" };
        table.row(vec![
            format!("{}\n{}{cut}", clean(&source.name), source.hash),
            count(games.games_read),
            count(games.games_counted),
            words::dates(games),
        ]);
    }
    table.render()
}

fn games(about: &About) -> String {
    let mut table =
        TextTable::new(&[("games", Side::Left), ("", Side::Right), ("because", Side::Left)]);
    let mut row = |name: &str, games, because: &str| {
        table.row(vec![name.to_owned(), count(games), because.to_owned()]);
    };
    let GameTally { games_read, games_counted, left_out, .. } = &about.games;
    row("read", *games_read, "");
    row("counted", *games_counted, "");
    row("left out", left_out.total(), "");
    for (reason, games) in left_out.rows().filter(|(_, games)| *games > 0) {
        row(&format!("  {}", reason.name()), games, words::left_out(reason));
    }
    table.render()
}

fn levels(levels: &[Level]) -> String {
    let paces: Vec<Pace> = Pace::ALL
        .into_iter()
        .filter(|pace| levels.iter().any(|level| level.pace == *pace))
        .collect();
    let mut columns = vec![("rated", Side::Left)];
    columns.extend(paces.iter().map(|pace| (pace.name(), Side::Right)));
    columns.push(("all", Side::Right));
    let mut table = TextTable::new(&columns);
    let mut row = |name: String, of: &dyn Fn(&Level) -> bool| {
        let players = |level: &Level| level.white + level.black;
        let sum = |pace: Option<Pace>| -> u64 {
            let of_pace = |level: &&Level| pace.is_none_or(|pace| level.pace == pace);
            levels.iter().filter(|level| of(level)).filter(of_pace).map(players).sum()
        };
        let mut cells = vec![name];
        cells.extend(paces.iter().map(|pace| count(sum(Some(*pace)))));
        cells.push(count(sum(None)));
        table.row(cells);
    };
    let mut bands: Vec<(u16, u16)> = levels.iter().map(|level| (level.from, level.below)).collect();
    bands.dedup();
    for (from, below) in bands {
        row(format!("{from}-{}", below - 1), &|level| level.from == from);
    }
    row("all".into(), &|_| true);
    table.render()
}

fn notes(about: &About) -> Vec<String> {
    // Sources that are cut short and nameless sides are reported elsewhere on the page.
    let limits = Limits {
        half_moves: about.half_moves,
        keep_from: about.keep_from,
        absent_may_lack: about.absent_may_lack,
        ..Limits::default()
    };
    let mut notes = words::limits(&limits);
    let Rules { half_moves: _, since, until, paces, max_gap } = &about.rules;
    let mut rules = vec![paces.to_string()];
    rules.extend(since.map(|date| format!("since {date}")));
    rules.extend(until.map(|date| format!("until {date}")));
    rules.extend(max_gap.map(|gap| format!("ratings at most {gap} apart")));
    notes.push(format!("Games counted: {}.", rules.join(", ")));
    let GameTally { nameless_sides, games_counted, .. } = about.games;
    if nameless_sides > 0 {
        let (sides, all) = (count(nameless_sides), count(2 * games_counted));
        notes.push(format!(
            "{sides} of the {all} sides of these games have no player's name; each is taken for a different player."
        ));
    }
    if about.names_given_up {
        notes.push("There were too many opening tags to learn a name for every position.".into());
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::games::Date;
    use crate::ledger::{DumpHash, Fingerprint};
    use crate::pages::kit::{left_out_of, printed};
    use crate::terms::{Group, Outcome};

    fn about() -> About {
        let source = |name: &str, first: &str, last: &str, complete| Source {
            name: name.into(),
            hash: DumpHash(0x0011_2233_4455_6677_8899_aabb_ccdd_eeff),
            fingerprint: Fingerprint { bytes: 9_000_000, file_bytes: None, file_hash: None },
            games: GameTally {
                games_read: 5042,
                games_counted: 5000,
                nameless_sides: 21,
                left_out: left_out_of(&[(LeftOut::NoRating, 40), (LeftOut::Broken, 2)]),
                first: Date::from_tag(first.as_bytes()),
                last: Date::from_tag(last.as_bytes()),
                undated: 12,
            },
            complete,
        };
        let sources = vec![
            source("harbour-2031-04.pgn.zst", "2031.04.01", "2031.04.30", true),
            source("harbour-2031-05.pgn.zst", "2031.05.01", "2031.05.12", false),
        ];
        let level =
            |from, pace, white, black| Level { from, below: from + 100, pace, white, black };
        About {
            format: 2,
            games: GameTally::sum(sources.iter().map(|source| &source.games)),
            sources,
            positions: 1234,
            cells: 23_456,
            visits: 123_456,
            visits_dropped: 100_000,
            half_moves: 30,
            keep_from: 5,
            absent_may_lack: 8,
            rules: Rules {
                max_gap: Some(200),
                since: Some("2031-04".parse().expect("a month")),
                ..Rules::default()
            },
            levels: vec![
                level(1200, Pace::Blitz, 2000, 2500),
                level(1200, Pace::Rapid, 1000, 1500),
                level(1300, Pace::Blitz, 7000, 6000),
            ],
            slopes: vec![
                PaceSlope {
                    pace: Pace::Blitz,
                    value: 0.8312,
                    low: 0.7851,
                    high: 0.8773,
                    n: 8750,
                    n_eff: 7400.4,
                },
                PaceSlope {
                    pace: Pace::Rapid,
                    value: 0.8402,
                    low: 0.7511,
                    high: 0.9293,
                    n: 1250,
                    n_eff: 1250.0,
                },
            ],
            store_bytes: Some(4_210_000),
            names_given_up: true,
        }
    }

    #[test]
    fn the_text_says_what_the_store_holds() {
        insta::assert_snapshot!(printed(|out| text(out, &about())));
    }

    #[test]
    fn an_empty_store_is_told_without_tables_of_levels() {
        let games = GameTally::default();
        let about = About { sources: vec![], games, levels: vec![], store_bytes: None, ..about() };
        let page = printed(|out| text(out, &about));
        assert!(page.starts_with("Store format 2, 0 sources\n") && !page.contains("Players"));
    }

    #[test]
    fn levels_come_from_the_totals_of_both_colours() {
        let mut totals = Totals::default();
        let id = CellId::new(Band::from_index(12).expect("a band"), Pace::Rapid);
        let group = Group::of_name(b"pilot");
        totals.add_game(Color::Black, id, group, Outcome::Draw, 500);
        let level = Level { from: 1200, below: 1300, pace: Pace::Rapid, white: 0, black: 1 };
        assert_eq!(Level::all(&totals), [level]);
    }
}
