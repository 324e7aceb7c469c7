//! `trap --over`: traps in several stores.

use crate::kit::{Folder, Game, inventor};

const TRAP: &str = "1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5?? 4. Qh5+";

/// A month of 400 games of 100 players: `slips` of the 200 that come to the trap slip, half of them
/// are refuted.
fn month(date: &str, slips: usize) -> String {
    let laid = "e4 e5 Nf3 f6 Nxe5";
    let games = [
        (slips / 2, "1-0", format!("{laid} fxe5 Qh5+ Ke7")),
        (slips - slips / 2, "0-1", format!("{laid} fxe5 d4 d6")),
        (200 - slips, "1-0", format!("{laid} Qe7 Nf3 d5")),
        (200, "0-1", "d4 d5 c4 e6".to_owned()),
    ];
    let mut dump = String::new();
    for (times, result, line) in games {
        for game in 0..times {
            let (white, black) = (format!("w{}", game % 97), format!("b{}", game % 101));
            let game = Game::of(&line).result(result).tag("UTCDate", date);
            dump += &game.tag("White", &white).tag("Black", &black).times(1);
        }
    }
    dump
}

fn folder() -> Folder {
    let folder = Folder::new();
    for (name, date, slips) in
        [("may", "2031.05.10", 150), ("june", "2031.06.10", 120), ("july", "2031.07.10", 80)]
    {
        folder.write(&format!("{name}.pgn"), month(date, slips));
        folder.run(&format!("build {name}.pgn --store {name}.redb --keep-from 1")).ok();
    }
    folder
}

fn over<'a>(stores: &[&'a str], more: &[&'a str]) -> Vec<&'a str> {
    let stores = stores.iter().flat_map(|store| ["--over", store]);
    ["trap", TRAP].into_iter().chain(stores).chain(more.iter().copied()).collect()
}

#[test]
fn stores_come_in_the_order_of_their_dates_with_the_figures_of_trap() {
    let folder = folder();
    let stores = ["july.redb", "may.redb", "june.redb"];
    let json = folder.run_with(&over(&stores, &["--format", "json"])).json();
    let names: Vec<&str> = json["stores"]
        .as_array()
        .expect("stores")
        .iter()
        .filter_map(|store| store["name"].as_str())
        .collect();
    assert_eq!(names, ["may.redb", "june.redb", "july.redb"]);
    for (place, store) in names.iter().enumerate() {
        let one = folder.run_with(&["trap", TRAP, "--store", store, "--format", "json"]).json();
        for figure in ["occurrence", "slip_rate", "find_rate", "slips_per_1000"] {
            let by_store = &json["traps"][0][figure]["by_store"][place];
            assert_eq!(by_store, &one["traps"][0][figure], "{figure} in {store}");
        }
    }
    // 150, 120 and 80 of 200 in months of 31 and 30 days: about -0.175 a month.
    let change = &json["traps"][0]["slip_rate"];
    let value = change["a_month"]["value"].as_f64().expect("known");
    assert!((value + 0.175).abs() < 0.005, "{value}");
    assert_eq!(
        (&change["turn"], &json["traps"][0]["find_rate"]["turn"]),
        (&"falls".into(), &"unclear".into())
    );
    let page = folder.run_with(&over(&stores, &["--chart", "chart.svg"])).answer();
    assert!(page.contains("Surely falling: the share that slips, slips per 1000."), "{page}");
    assert!(page.lines().all(|line| line.chars().count() <= 80), "{page}");
    let chart = folder.text("chart.svg");
    assert!(chart.starts_with("<?xml") && chart.matches("<circle").count() == 12, "{chart}");
    folder.run_with(&over(&stores, &["--chart", "chart.svg"])).refused(4);
    folder.run_with(&over(&stores, &["--chart", "may.redb", "--overwrite"])).refused(4);
}

#[test]
fn stores_that_cannot_be_compared_are_refused() {
    let folder = folder();
    let refused = |stores: &[&str], more: &[&str], status| {
        folder.run_with(&over(stores, more)).refused(status)
    };
    assert!(refused(&["may.redb"], &[], 2).contains("two stores or more"));
    let twice = refused(&["may.redb", "may.redb"], &[], 2);
    assert!(twice.contains("may.pgn"), "{twice}");
    let both = ["may.redb", "june.redb"];
    assert!(refused(&both, &["--side", "victim"], 2).contains("setter's side"));
    for without_effect in [
        &["--explain"][..],
        &["--board", "ascii"],
        &["--ahead", "9"],
        &["--common-from", "4"],
        &["--occasional-from", "0.5"],
    ] {
        folder.run_with(&over(&both, without_effect)).refused(2);
    }
    assert!(refused(&both, &["--store", "july.redb"], 2).contains("--store"));
    assert!(refused(&both, &["--overwrite"], 2).contains("no file is written"));
    folder.run("build july.pgn --store other.redb --keep-from 9").ok();
    let note = folder.run_with(&over(&["may.redb", "other.redb"], &[])).answer();
    let note = note.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(note.contains("may.redb counts the first 30 half-moves of each game and keeps every position; other.redb"), "{note}");
    let json = folder.run_with(&over(&["may.redb", "other.redb"], &["--format", "json"])).json();
    assert_eq!([&json["stores"][0], &json["stores"][1]].map(|store| &store["keep_from"]), [1, 9]);
    refused(&["may.redb", "none.redb"], &[], 4);
    folder.run("build june.pgn --store short.redb --half-moves 10").ok();
    let other = refused(&["may.redb", "short.redb"], &[], 2);
    assert!(other.contains("different --half-moves (30 and 10)"), "{other}");
    folder.write("undated.pgn", month("????.??.??", 100));
    folder.run("build undated.pgn --store undated.redb --keep-from 1").ok();
    let undated = refused(&["may.redb", "undated.redb"], &[], 2);
    assert!(undated.contains("undated.redb holds no game with a date"), "{undated}");
    folder.write("again.pgn", month("2031.05.10", 140));
    folder.run("build again.pgn --store again.redb --keep-from 1").ok();
    assert!(refused(&["may.redb", "again.redb"], &[], 2).contains("same dates"));
}

/// The lesson draws the same figures, each as alternative text.
#[test]
fn a_lesson_shows_the_months_of_each_trap() {
    let folder = folder();
    let lesson = ["lesson", TRAP, "--out", "out", "--store", "may.redb"];
    folder.run_with(&[&lesson[..], &["--over", "july.redb"]].concat()).refused(2);
    let stores = ["--over", "july.redb", "--over", "may.redb", "--over", "june.redb"];
    folder.run_with(&[&lesson[..], &stores].concat()).ok();
    let page = folder.text("out/lesson.html");
    let months = page.split_once("id=\"over\"").expect("the months").1;
    let months = months.split_once("id=\"quiz\"").expect("their end").0;
    assert!(
        months.contains("From May 2031 to July 2031")
            && months.contains("Surely falling: slip and slips in 1000 games."),
        "{months}"
    );
    let json = folder
        .run_with(&over(&["may.redb", "june.redb", "july.redb"], &["--format", "json"]))
        .json();
    for store in json["traps"][0]["slip_rate"]["by_store"].as_array().expect("stores") {
        let percent = 100.0 * store["value"].as_f64().expect("known");
        assert!(months.contains(&format!("{percent:.0}\u{a0}% [")), "{percent}: {months}");
    }
    assert_eq!(months.matches("<circle").count(), 12);
}

/// Three months of one league, whose players come again with their habits: nothing was planted to
/// change, so 95 % of the changes found hold 0. Few dozens of them are not independent: the bound
/// leaves out one in seven.
#[test]
#[ignore = "invents three months of a league, some minutes unoptimised"]
fn nothing_changes_over_the_months_of_one_league() {
    let (mut told, mut held) = (0, 0);
    for league in [71, 72] {
        let folder = Folder::new();
        for (seed, month) in [(1, "2031-05"), (2, "2031-06"), (3, "2031-07")] {
            let mut invent = inventor();
            invent.args(["--games", "20000", "--clocks", "0", "--evals", "0", "--month", month]);
            invent.args(["--league", &league.to_string()]);
            invent.args(["--seed", &(10 * league + seed).to_string()]);
            invent.arg("--out").arg(folder.path(&format!("{month}.pgn")));
            assert!(invent.status().expect("it is at hand").success());
            folder.run(&format!("build {month}.pgn --store {month}.redb --keep-from 1")).ok();
        }
        let traps = concat!(env!("CARGO_MANIFEST_DIR"), "/data-samples/traps.pgn");
        let stores = ["--over", "2031-05.redb", "--over", "2031-06.redb", "--over", "2031-07.redb"];
        let json =
            folder.run_with(&[&["trap", traps, "--format", "json"][..], &stores].concat()).json();
        for trap in json["traps"].as_array().expect("traps") {
            for figure in ["occurrence", "slip_rate", "find_rate", "slips_per_1000"] {
                let change = &trap[figure];
                told += u32::from(change["a_month"]["value"].is_number());
                held += u32::from(
                    change["a_month"]["value"].is_number() && change["turn"] == "unclear",
                );
            }
        }
    }
    assert!(told >= 40, "{told}");
    let share = f64::from(held) / f64::from(told);
    assert!(share >= 0.86, "{held} of {told}");
}
