//! Every JSON answer and the head of every CSV, held against what `help formats` says of them.
//!
//! What is there is what programs may rely on: a field that is renamed, added or dropped
//! fails a test.

use std::collections::BTreeSet;

use serde_json::Value;

use crate::kit::contract::{EXPLAINED, Held};
use crate::kit::{Folder, Game};
use crate::lesson::SAMPLES;

const TRAP: &str = "1. e4 e5 2. Nf3 f6?? (2... Qf6?? 3. Nc3) 3. Nxe5 (3. d4) *";

/// 2... f6 loses, everything else is even; games with clocks, evaluations and names.
fn store() -> Folder {
    let lines = [
        (120, "1-0", "e4 e5 Nf3 Nc6 Bb5 a6"),
        (120, "0-1", "e4 e5 Nf3 Nc6 Bb5 a6"),
        (190, "1-0", "e4 e5 Nf3 f6 Nxe5 Qe7"),
        (10, "0-1", "e4 e5 Nf3 f6 Nxe5 Qe7"),
        (8, "0-1", "e4 e5 Nf3 Qf6 Nc3"),
        (200, "0-1", "d4 d5 c4 e6"),
        (20, "1-0", "d4 d5 c4 e6"),
    ];
    let mut dump = String::new();
    for (times, result, line) in lines {
        dump += &Game::of(line).opening("C40", "King's Knight Opening").result(result).times(times);
    }
    let timed = Game::of("e4 e5 Nf3 f6").tag("TimeControl", "900+10").result("1-0");
    let timed = timed.clocks("0:15:00 0:15:00 0:15:04 0:14:58.5").evals("0.2 0.31 0.25 1.4");
    let folder = Folder::built(dump + &timed.times(60), "");
    folder.write(
        "traps.pgn",
        format!("[Event \"Two\"]\n\n{TRAP}\n\n[Event \"Fool\"]\n\n1. f3 e5 2. g4?? Qh4# *\n"),
    );
    let own = Game::of("e4 e5 Nf3 f6 Nxe5 Qe7").tag("White", "Kelp").tag("Black", "Fern");
    let own = own.tag("Site", "https://games.harbour-league.example/a1B2").times(3);
    let white = |moves: &str| Game::of(moves).tag("White", "Fern");
    let own = own + &white("d4 d5 c4").times(4) + &white("f3 e5 g4 d6").times(3);
    folder.write("own.pgn", own);
    folder.write("claims.txt", "start: e4 first\n1. e4 e5: Nf3 >= 20%; Nc3 score > 40%\n");
    folder
}

/// The figures of a trap, whose table in the help is made from the code.
const FIGURES: [&str; 16] = [
    "occurrence",
    "steered",
    "slip_rate",
    "find_rate",
    "score_after_slip",
    "edge_after_slip",
    "edge_refuted",
    "edge_no_slip",
    "usual.edge",
    "worth_per_1000",
    "price",
    "net_per_1000",
    "slips_per_1000",
    "own_slips_per_1000",
    "ahead.expected",
    "ahead.at_least_one",
];

/// Fields that this small store leaves without a value: those that begin so. Other tests read
/// answers that have them.
const UNSAID: [&str; 19] = [
    "answer about: rules.",
    "answer gaps: gaps[].replies[].best",
    "answer gaps: settings.half_moves",
    "answer hunt: found[].branches[].",
    "answer hunt: misses[].lacks[].",
    "answer hunt: misses[].p",
    "answer hunt: misses[].q",
    "answer trap --side victim: traps[].comes_up.never",
    "claim: asked.within",
    "claim: because.",
    "evaluations: others_cp",
    "figures: usual.san",
    "soundness: bait_evals",
    "soundness: bait_loses_cp",
    "soundness: sources[].",
    "soundness: without_slip",
    "trap: advice.reasons[].",
    "trap: curve.slip_below.",
    "trap: other_ways",
];

/// And each field has a value in one answer at least.
#[test]
fn every_json_answer_has_the_fields_that_are_explained_and_no_others() {
    let folder = store();
    folder.write("later.pgn", Game::of("e4 e5 Nf3 f6 Nxe5").tag("UTCDate", "2031.06.17").times(60));
    folder.run("build later.pgn --store later.redb").ok();
    folder.write("mine.pgn", "1. e4 e5 2. Nf3 *\n");
    folder.write("lines.pgn", "1. e4 e5 (1... c5 2. Nf3) 2. Nf3 Nc6 3. Bb5 Nf6 *\n");
    let own = ["own.pgn", "--name", "Fern", "--below", "2000", "--repertoire", "lines.pgn"];
    let own = [&own[..], &["--as", "white"]].concat();
    let mut held = Held::default();
    let mut asked = |name: &str, options: &[&str]| -> Value {
        let command = name.split(' ').next().expect("a command");
        let arguments = [&[command, "--format", "json"], options].concat();
        let answer = folder.run_with(&arguments).json();
        held.answer(name, &answer);
        answer
    };
    asked("moves", &["h4 h5"]);
    for (by, column) in [("rating", "from"), ("pace", "pace")] {
        let options = ["e4 e5 Nf3", "--by", by, "--expect", "Nc6 > f6", "--expect", "f6 first"];
        let moves = asked("moves", &options);
        assert!(!moves["moves"][0]["across"][0][column].is_null());
    }
    asked("moves --claims", &["--claims", "claims.txt"]);
    asked("trap", &["traps.pgn"]);
    for sample in ["1", "10000"] {
        let deeper = ["traps.pgn", "--explain", "--min-sample", sample];
        let by = [&deeper[..], &["--by", "pace", "--slip-below", "20%"]].concat();
        let traps = asked("trap", &by);
        assert_eq!(traps["traps"][0]["by_pace"].as_array().map(Vec::len), Some(4));
        asked("trap --side victim", &[&deeper[..], &["--side", "victim"]].concat());
    }
    asked("trap --over", &["traps.pgn", "--over", "deadfall.redb", "--over", "later.redb"]);
    asked("hunt", &["--as", "white"]);
    asked("hunt", &["--as", "white", "--repertoire", "mine.pgn"]);
    asked("hunt", &["--as", "white", "--reached", "5000"]);
    asked("gaps", &["mine.pgn", "--as", "white"]);
    asked("gaps", &["lines.pgn", "--as", "white", "--own", "level"]);
    asked("student", &[&own[..], &["--traps", "traps.pgn"]].concat());
    asked("student", &[&own[..], &["--name", "Kelp"]].concat());
    asked("about", &[]);
    let json =
        EXPLAINED.iter().filter(|(section, _)| !section.starts_with("CSV") && *section != "words");
    let rows = json.flat_map(|(section, rows)| rows.iter().map(move |row| (section, row)));
    let rows: Vec<(String, String)> =
        rows.map(|(section, row)| (section.clone(), row.name.clone())).collect();
    assert!(rows.len() > 400);
    let figures = EXPLAINED["figures"].iter().take(FIGURES.len()).map(|row| row.name.as_str());
    assert_eq!(figures.collect::<Vec<_>>(), FIGURES);
    assert!(held.wrong.is_empty(), "{:#?}", held.wrong);
    let unsaid = rows.iter().filter(|row| !held.said.contains(row));
    are_left_out(unsaid.map(|(section, name)| format!("{section}: {name}")), &UNSAID);
}

/// What no answer said begins like one of the names that are left out, and each of them leaves
/// out something.
#[track_caller]
fn are_left_out(unsaid: impl Iterator<Item = String>, left_out: &[&str]) {
    let (mut never_said, mut idle) = (Vec::new(), left_out.to_vec());
    for path in unsaid {
        let begins = |name: &&str| path.starts_with(*name);
        if !left_out.iter().any(begins) {
            never_said.push(path.clone());
        }
        idle.retain(|name| !begins(name));
    }
    assert!(never_said.is_empty(), "never said: {never_said:#?}");
    assert!(idle.is_empty(), "said by now: {idle:#?}");
}

/// The columns of a rate or of a mean.
fn columns(head: &str) -> String {
    let column = |name: &str| match name.split_once(':') {
        None => name.to_owned(),
        Some((name, "rate")) => {
            format!("{name},{name}_low,{name}_high,{name}_k,{name}_n,{name}_n_eff")
        }
        Some((name, "mean")) => format!("{name},{name}_low,{name}_high,{name}_n,{name}_n_eff"),
        Some((_, other)) => panic!("no such figure: {other}"),
    };
    head.split_whitespace().map(column).collect::<Vec<_>>().join(",")
}

/// Columns that are always empty: of evaluations no squares are counted, so their mean has
/// no interval.
const EMPTY: [&str; 4] =
    ["gaps: eval_cp_high", "gaps: eval_cp_low", "moves: eval_cp_high", "moves: eval_cp_low"];

/// A month with more in it than the small store has.
const MONTH: &[u8] = include_bytes!("../../data-samples/harbour-league-2031-05.pgn.zst");

/// And each column has a value in one row at least.
#[test]
fn every_csv_has_this_head_and_rows_of_its_width() {
    let folder = store();
    folder.write("mine.pgn", "1. e4 e5 2. Nf3 *\n");
    folder.write("lines.pgn", "1. e4 e5 (1... c5 2. Nf3) 2. Nf3 Nc6 3. Bb5 Nf6 *\n");
    folder.write("more.txt", "1. e4 e5 2. Nf3: Nc6 > f6; f6 first; f6 about 44%\n");
    folder.write("later.pgn", Game::of("e4 e5 Nf3 f6 Nxe5").tag("UTCDate", "2031.06.17").times(60));
    folder.run("build later.pgn --store later.redb").ok();
    let over = "name setter line scope store first last undated month keep_from may_lack occurrence:rate slip_rate:rate find_rate:rate slips_per_1000:mean withheld";
    let moves = "rank san uci games wins draws losses share:rate score:mean expected edge:mean clock_s:mean eval_cp:mean withheld";
    let across = "scope from below pace rank san uci share:rate score:mean withheld";
    let claims = "number line claim answer games n_eff games_to_decide because san measure relation asked within other value low high k n \
        practically_equal instead too_close";
    let trap = "name setter scope from below line trap_fen bait slip refutation slips refutations advice advice_reasons \
        games_to_decide games occurrence:rate steered:rate steered_rarest steered_mixed \
        steered_never slip_rate:rate find_rate:rate score_after_slip:mean edge_after_slip:mean edge_refuted:mean edge_no_slip:mean usual \
        edge_usual:mean worth_per_1000:mean price:mean net_per_1000:mean slips_per_1000:mean own_slips_per_1000:mean ahead_games ahead_expected:mean ahead_range_low ahead_range_high \
        at_least_one:mean verdict pace joined steered_any_order:rate slip_s:mean others_s:mean difference_s:mean slip_below \
        slip_below_low slip_below_high slip_below_n slip_below_n_eff earlier_move edge_earlier:mean edge_earlier_difference:mean \
        soundness soundness_slip_loses_cp soundness_without_slip_cp soundness_because withheld";
    let victim = "name victim before line_move san uci games share:rate score:mean edge:mean occurrence:rate comes_up:rate comes_up_rarest \
        slip_rate:rate own_slips_per_1000:mean advice is_slip withheld";
    let hunt = "place name scope line trap_fen slip refutation eco opening tests p q games slip_games to_lay reach_kind reach:rate slip_rate:rate drop:mean interval_level \
        find_rate:rate edge_refuted:mean edge_no_slip:mean worth_per_1000:mean net_per_1000:mean eval_slip_cp eval_slip_n eval_others_cp \
        eval_others_n eval_verdict lacks withheld";
    let gaps = "scope place ply line fen san uci eco opening moves best met:rate share:rate games score:mean edge:mean eval_cp:mean withheld";
    let student = "student scope place from below name role by as line fen san uci better times played wins draws losses judged \
        slipped escaped refuted missed event date opponent p q mate share:rate edge:mean better_edge:mean better_share:rate difference:mean \
        cost_per_100_games:mean score:mean level_slip_rate:rate level_find_rate:rate trap_cost_per_100_games:mean withheld";
    let about = "name hash games_read games_counted variant no_result no_rating computer not_played_out unrated outside_dates \
        other_pace rating_gap broken no_moves illegal_move nameless_sides first last complete undated";
    let mut said = BTreeSet::new();
    for (command, table, head) in [
        ("moves e4", "moves", moves),
        ("moves e4 e5 Nf3 --min-sample 1", "moves", moves),
        ("moves e4 --by rating", "moves --by", across),
        ("moves e4 --by pace", "moves --by", across),
        ("moves e4 e5 Nf3 --by rating", "moves --by", across),
        ("moves --claims claims.txt", "moves --claims", claims),
        ("moves --claims more.txt", "moves --claims", claims),
        ("trap traps.pgn --by pace --slip-below 20%", "trap", trap),
        ("trap traps.pgn --min-sample 1 --slip-below 90%", "trap", trap),
        ("trap traps.pgn --side victim", "trap --side victim", victim),
        ("trap traps.pgn --over deadfall.redb --over later.redb", "trap --over", over),
        ("hunt --as white", "hunt", hunt),
        ("hunt --as white --reached 5000", "hunt", hunt),
        ("gaps mine.pgn --as white", "gaps", gaps),
        ("gaps lines.pgn --as white", "gaps", gaps),
        ("gaps lines.pgn --as white --min-sample 1", "gaps", gaps),
        ("student own.pgn --name Fern --name Kelp", "student", student),
        (
            "student own.pgn --name Fern --below 2000 --repertoire lines.pgn --as white",
            "student",
            student,
        ),
        ("about", "about", about),
        ("about --slopes", "about --slopes", "pace slope:mean"),
    ] {
        let page = folder.run(&format!("{command} --format csv")).ok().stdout();
        assert_eq!(page.lines().next(), Some(columns(head).as_str()), "{command}");
        rows(table, &page, &mut said);
    }
    folder.write("month.pgn.zst", MONTH);
    folder.write("list.pgn", SAMPLES);
    folder.write("lines.pgn", include_str!("../../data-samples/repertoire.pgn"));
    folder.write("fails.txt", "1. e4 e5 2. Nf3: d6 first\n");
    folder.run("build month.pgn.zst --store month.redb").ok();
    for (command, table, status) in [
        ("gaps lines.pgn --as black --below 2000", "gaps", 0),
        ("hunt --as white --min-sample 1", "hunt", 0),
        ("moves --claims fails.txt", "moves --claims", 1),
        ("trap list.pgn", "trap", 0),
        ("trap list.pgn --min-sample 1", "trap", 0),
    ] {
        let run = folder.run(&format!("{command} --store month.redb --format csv"));
        rows(table, &run.exits(status).stdout(), &mut said);
    }
    for options in ["", " --groups", " --totals", " --totals --groups", " --names"] {
        let page = folder.run(&format!("export{options}")).answer();
        rows(&format!("export{options}"), &page, &mut said);
    }
    let tables = EXPLAINED.keys().filter_map(|section| section.strip_prefix("CSV: "));
    let columns = tables.flat_map(|table| {
        columns_of(table).into_iter().map(move |column| (table.to_owned(), column))
    });
    let unsaid = columns.filter(|column| !said.contains(column));
    are_left_out(unsaid.map(|(table, column)| format!("{table}: {column}")), &EMPTY);
}

/// The help explains the columns, and all rows are as wide as the head; adds the columns that
/// have a value.
#[track_caller]
fn rows(name: &str, page: &str, said: &mut BTreeSet<(String, String)>) {
    let mut table = csv::Reader::from_reader(page.as_bytes());
    let head = table.headers().expect("a head");
    let head: Vec<String> = head.iter().map(str::to_owned).collect();
    assert_eq!(head.iter().cloned().collect::<BTreeSet<_>>(), columns_of(name), "{name}");
    let rows = table.records().map(|row| row.unwrap_or_else(|error| panic!("{name}: {error}")));
    let rows: Vec<csv::StringRecord> = rows.collect();
    assert!(!rows.is_empty(), "{name}");
    for row in rows {
        let full = head.iter().zip(&row).filter(|(_, cell)| !cell.is_empty());
        said.extend(full.map(|(column, _)| (name.to_owned(), column.clone())));
    }
}

/// What a row of CSV is headed by, in any order.
fn columns_of(table: &str) -> BTreeSet<String> {
    let rows = EXPLAINED.get(&format!("CSV: {table}"));
    let rows = rows.unwrap_or_else(|| panic!("the columns of {table} are not explained"));
    let column = |name: &str, kind: &str| match kind {
        "rate" | "mean" => columns(&format!("{name}:{kind}")),
        _ => name.to_owned(),
    };
    let columns: Vec<String> = rows.iter().map(|row| column(&row.name, &row.kind)).collect();
    let columns = columns.join(",");
    let set: BTreeSet<String> = columns.split(',').map(str::to_owned).collect();
    assert_eq!(set.len(), columns.split(',').count(), "{table} explains a column twice");
    set
}
