//! Every JSON answer read back into typed structs that know no other field, and the heads of every CSV.
//!
//! What stands here is what programs may rely on: a field that is renamed, added or dropped fails a test.

mod about;
mod answers;
mod documented;
mod gaps;
mod months;
mod moves;
mod shape;
mod student;

use std::collections::BTreeSet;

use serde::de::DeserializeOwned;

use crate::kit::{Folder, Game};
use about::About;
use answers::{Hunt, Slips, Traps, Victims};
use documented::columns_of;
use gaps::Gaps;
use months::Months;
use moves::{Claims, Moves};
use student::{Student, Students};

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
    let own = Game::of("e4 e5 Nf3 f6 Nxe5 Qe7").tag("White", "Kelp").tag("Black", "Fern").times(3);
    folder.write("own.pgn", own + &Game::of("d4 d5 c4").tag("White", "Fern").times(4));
    folder.write("claims.txt", "start: e4 first\n1. e4 e5: Nf3 >= 20%; Nc3 score > 40%\n");
    folder
}

#[track_caller]
fn read<T: DeserializeOwned>(folder: &Folder, arguments: &[&str]) -> T {
    let text = folder.run_with(&[arguments, &["--format", "json"]].concat()).ok().stdout();
    serde_json::from_str(&text).unwrap_or_else(|error| panic!("{arguments:?}: {error}\n{text}"))
}

#[test]
fn every_json_answer_has_these_fields_and_no_others() {
    let folder = store();
    let moves: Moves = read(&folder, &["moves", "e4 e5 Nf3", "--expect", "Nc6 first"]);
    assert!(moves.claims.len() == 1 && moves.moves.iter().any(|row| row.clock_s.n > 0));
    read::<Moves>(&folder, &["moves", "h4 h5"]);
    for (by, rated) in [("rating", true), ("pace", false)] {
        let moves: Moves =
            read(&folder, &["moves", "e4 e5 Nf3", "--by", by, "--expect", "Nc6 > f6"]);
        let across = moves.moves[0].across.as_ref().expect("asked for");
        assert!(
            across.iter().all(|cell| (cell.from.is_some(), cell.pace.is_some()) == (rated, !rated))
        );
    }
    let close: Moves = read(&folder, &["moves", "e4 e5 Nf3", "--expect", "f6 first"]);
    assert!(close.claims[0].because.too_close.as_ref().is_some_and(|moves| !moves.is_empty()));
    let claims: Claims = read(&folder, &["moves", "--claims", "claims.txt"]);
    assert_eq!(claims.claims.len(), 3);
    let traps: Traps = read(&folder, &["trap", "traps.pgn"]);
    assert!(traps.traps.iter().all(|trap| trap.explain.is_none() && trap.by_pace.is_none()));
    for sample in ["1", "10000"] {
        let deeper = ["--by", "pace", "--explain", "--slip-below", "20%", "--min-sample", sample];
        let traps: Traps = read(&folder, &[&["trap", "traps.pgn"][..], &deeper].concat());
        assert!(traps.traps.iter().all(|trap| trap.curve.slip_below.is_some()));
        let [first, fool] = &traps.traps[..] else { panic!("two positions") };
        let moves = |slips: &Option<Slips>| slips.as_ref().map(|slips| slips.moves.len());
        assert_eq!((moves(&first.slips), moves(&fool.slips)), (Some(2), None));
        assert!(first.refutations.is_some() && !first.advice.codes.is_empty());
        assert!(first.explain.is_some() && first.by_pace.as_ref().map(Vec::len) == Some(4));
        assert_eq!(fool.soundness.sources.len(), 2, "evaluations and a mate");
        let victims: Victims =
            read(&folder, &["trap", "traps.pgn", "--side", "victim", "--min-sample", sample]);
        assert!(victims.traps.iter().all(|trap| trap.explain.is_none()));
        let victims: Victims = read(
            &folder,
            &["trap", "traps.pgn", "--side", "victim", "--explain", "--min-sample", sample],
        );
        assert!(victims.traps.iter().all(|trap| trap.explain.is_some()));
        assert_eq!(victims.traps.len(), 2);
    }
    let later = Game::of("e4 e5 Nf3 f6 Nxe5").tag("UTCDate", "2031.06.17").times(60);
    folder.write("later.pgn", later);
    folder.run("build later.pgn --store later.redb").ok();
    let over = ["trap", "traps.pgn", "--over", "deadfall.redb", "--over", "later.redb"];
    let months: Months = read(&folder, &over);
    assert_eq!((months.stores.len(), months.traps[0].slip_rate.by_store.len()), (2, 2));
    let hunt: Hunt = read(&folder, &["hunt", "--as", "white"]);
    assert_eq!(hunt.found.len(), 1);
    folder.write("mine.pgn", "1. e4 e5 2. Nf3 *\n");
    read::<Hunt>(&folder, &["hunt", "--as", "white", "--repertoire", "mine.pgn"]);
    let nothing: Hunt = read(&folder, &["hunt", "--as", "white", "--reached", "5000"]);
    assert!(nothing.found.is_empty() && !nothing.misses.is_empty());
    let gaps: Gaps = read(&folder, &["gaps", "mine.pgn", "--as", "white"]);
    assert!(gaps.gaps.is_empty() && gaps.by_ply.len() == 1);
    folder.write("lines.pgn", "1. e4 e5 (1... c5 2. Nf3) 2. Nf3 Nc6 3. Bb5 Nf6 *\n");
    let gaps: Gaps = read(&folder, &["gaps", "lines.pgn", "--as", "white", "--own", "level"]);
    assert!(gaps.gaps.iter().any(|gap| !gap.replies.is_empty()) && !gaps.unused.is_empty());
    let ask = [
        "student",
        "own.pgn",
        "--name",
        "Fern",
        "--repertoire",
        "lines.pgn",
        "--as",
        "white",
        "--below",
        "2000",
    ];
    let own: Student = read(&folder, &[&ask[..], &["--traps", "traps.pgn"]].concat());
    assert!(!own.habits.is_empty() && own.traps.iter().any(|trap| !trap.games.is_empty()));
    assert!(own.left.iter().any(|left| !left.continues.is_empty()));
    let both: Students = read(&folder, &[&ask[..6], &ask[6..], &["--name", "Kelp"]].concat());
    assert_eq!(both.students.len(), 2);
    let about: About = read(&folder, &["about"]);
    assert_eq!(about.sources.len(), 1);
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

#[test]
fn every_csv_has_this_head_and_rows_of_its_width() {
    let folder = store();
    folder.write("mine.pgn", "1. e4 e5 2. Nf3 *\n");
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
        slip_rate:rate own_slips_per_1000:mean is_slip withheld";
    let hunt = "place name scope line trap_fen slip refutation eco opening tests p q games slip_games reach_kind reach:rate slip_rate:rate drop:mean interval_level \
        find_rate:rate edge_refuted:mean edge_no_slip:mean worth_per_1000:mean net_per_1000:mean eval_slip_cp eval_slip_n eval_others_cp \
        eval_others_n eval_verdict lacks withheld";
    let gaps = "scope place ply line fen san uci eco opening moves best met:rate share:rate games score:mean edge:mean eval_cp:mean withheld";
    let student = "student scope place from below name role by as line fen san uci better times played wins draws losses judged \
        slipped escaped refuted missed event date opponent p q share:rate edge:mean better_edge:mean better_share:rate difference:mean \
        cost_per_100_games:mean score:mean level_slip_rate:rate level_find_rate:rate trap_cost_per_100_games:mean withheld";
    let about = "name hash games_read games_counted variant no_result no_rating computer not_played_out unrated outside_dates \
        other_pace rating_gap broken no_moves illegal_move nameless_sides first last complete undated";
    for (command, table, head) in [
        ("moves e4", "moves", moves),
        ("moves e4 --by rating", "moves --by", across),
        ("moves e4 --by pace", "moves --by", across),
        ("moves --claims claims.txt", "moves --claims", claims),
        ("trap traps.pgn --by pace --slip-below 20%", "trap", trap),
        ("trap traps.pgn --side victim", "trap --side victim", victim),
        ("trap traps.pgn --over deadfall.redb --over later.redb", "trap --over", over),
        ("hunt --as white", "hunt", hunt),
        ("gaps mine.pgn --as white", "gaps", gaps),
        ("student own.pgn --name Fern --name Kelp", "student", student),
        ("about", "about", about),
        ("about --slopes", "about --slopes", "pace slope:mean"),
    ] {
        let page = folder.run(&format!("{command} --format csv")).ok().stdout();
        assert_eq!(page.lines().next(), Some(columns(head).as_str()), "{command}");
        rows(table, &page);
    }
    for options in ["", " --groups", " --totals", " --totals --groups", " --names"] {
        let page = folder.run(&format!("export{options}")).answer();
        rows(&format!("export{options}"), &page);
    }
}

/// The help explains the columns, and all rows are as wide as the head.
#[track_caller]
fn rows(name: &str, page: &str) {
    let mut table = csv::Reader::from_reader(page.as_bytes());
    let head = table.headers().expect("a head");
    let head: BTreeSet<String> = head.iter().map(str::to_owned).collect();
    assert_eq!(head, columns_of(name), "{name}");
    let rows = table.records().map(|row| row.unwrap_or_else(|error| panic!("{name}: {error}")));
    assert!(rows.count() > 0, "{name}");
}
