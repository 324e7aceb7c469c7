//! What `trap` can be asked besides.

use crate::kit::{Folder, Game};

const TRAP: &str = "1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5?? Qg5";

fn store() -> Folder {
    let line = "e4 e5 Nf3 Nc6 Bc4 Nd4";
    let slips = Game::of(&format!("{line} Nxe5 Qg5")).result("0-1");
    let holds = Game::of(&format!("{line} c3 Nxf3")).tag("TimeControl", "900+10");
    let other = Game::of("e4 e5 Nf3 Nc6 Bc4 Bc5").ratings(1400, 1400);
    Folder::built(slips.times(60) + &holds.times(60) + &other.times(60), "--keep-from 1")
}

fn two_traps() -> Folder {
    let folder = store();
    let damiano = "1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5?? 4. Qh5+";
    let pgn = format!("[Event \"First\"]\n\n{TRAP} *\n\n[Event \"Second\"]\n\n{damiano} *\n");
    folder.write("traps.pgn", pgn);
    folder
}

#[test]
fn several_traps_are_a_table_and_each_adds_their_sheets() {
    let folder = two_traps();
    let table = folder.run("trap traps.pgn").answer();
    assert!(table.contains("First") && table.contains("Second"));
    assert!(!table.contains("The victim chooses here"), "{table}");
    let sheets = folder.run("trap traps.pgn --each").answer();
    assert_eq!(sheets.matches("The victim chooses here").count(), 2);
}

#[test]
fn several_traps_from_the_victims_side_are_an_overview_with_advice() {
    let folder = two_traps();
    let table = folder.run("trap traps.pgn --side victim").answer();
    assert!(table.contains("What to do") && table.contains("1. First: "), "{table}");
    assert!(
        table.contains("2. Second: Open: there are too few games")
            && !table.contains("chooses here")
    );
    let sheets = folder.run("trap traps.pgn --side victim --each").answer();
    assert_eq!(sheets.matches("chooses here").count(), 2);
    let json = folder.run("trap traps.pgn --side victim --format json").json();
    assert_eq!(json["traps"][1]["advice"], "how_often_open");
    let csv = folder.run("trap traps.pgn --side victim --format csv").answer();
    assert!(csv.lines().next().is_some_and(|head| head.contains(",advice,is_slip")), "{csv}");
}

/// What one move in a hundred does not make is put together, but for a slip.
#[test]
fn the_victims_sheet_tells_rare_moves_together() {
    let line = "e4 e5 Nf3 Nc6 Bc4 Nd4";
    let of = |moves: &str, games| Game::of(&format!("{line} {moves}")).times(games);
    let games = of("c3 Nxf3", 300) + &of("Nxe5 Qg5", 2) + &of("a3 d6", 2) + &of("h3 d6", 1);
    let folder = Folder::built(games, "--keep-from 1");
    let page = folder.run_with(&["trap", TRAP, "--side", "victim"]).answer();
    assert!(page.contains("And 2 more moves, 3 games together"), "{page}");
    assert!(page.contains("\nNxe5") && !page.contains("\na3"), "{page}");
}

#[test]
fn boards_are_letters_or_figurines() {
    let folder = store();
    let letters = folder.run_with(&["trap", TRAP]).answer();
    assert!(letters.contains("8  r n b k q b . r"), "{letters}");
    let figurines = folder.run_with(&["trap", TRAP, "--board", "unicode"]).answer();
    assert!(figurines.contains("8  ♜ ♞ ♝ ♚ ♛ ♝ · ♜"), "{figurines}");
}

#[test]
fn the_victims_side_tells_what_to_play_instead() {
    let page = store().run_with(&["trap", TRAP, "--side", "victim"]).answer();
    for part in [
        "reached",
        "fall for it",
        "instead of 4.Nxe5",
        "instead of 3.Bc4",
        "instead of 2.Nf3",
        "leads to the trap",
    ] {
        assert!(page.contains(part), "{part}\n{page}");
    }
    let csv = store().run_with(&["trap", TRAP, "--side", "victim", "--format", "csv"]).answer();
    assert!(csv.starts_with("name,victim,before,line_move,san,uci,games,share,"), "{csv}");
    assert_eq!(csv.lines().count(), 1 + 2 + 1 + 1, "two moves, and one at each earlier choice");
}

#[test]
fn what_only_the_setter_can_be_told_is_refused_to_the_victim() {
    let folder = store();
    for option in
        ["--by=pace", "--slip-below=20%", "--ahead=50", "--common-from=4", "--engine=engine"]
    {
        let said = folder.run_with(&["trap", TRAP, "--side", "victim", option]).refused(2);
        let name = option.split('=').next().expect("a name");
        assert!(
            said.contains(&format!("{name} is answered from the setter's side only")),
            "{said}"
        );
    }
    folder.run_with(&["trap", TRAP, "--slip-below", "20"]).refused(2);
}

#[test]
fn from_when_on_a_slip_is_occasional_decides_what_those_who_face_it_should_do() {
    let folder = store();
    let advice = |more: &[&str]| {
        let asked = ["trap", TRAP, "--side", "victim", "--format", "json"];
        let json = folder.run_with(&[&asked[..], more].concat()).json();
        json["traps"][0]["advice"].as_str().expect("a word").to_owned()
    };
    assert_eq!(advice(&[]), "ask_engine");
    assert_eq!(advice(&["--occasional-from", "900"]), "skip");
}

/// A player of the marked move wins all the same.
#[test]
fn of_a_slip_that_costs_nothing_those_who_face_it_are_told_so() {
    let line = "e4 e5 Nf3 Nc6 Bc4 Nd4";
    let played = Game::of(&format!("{line} Nxe5 Qg5")).result("1-0").times(200);
    let others = Game::of(&format!("{line} c3 Nxf3")).result("0-1").times(200);
    let folder = Folder::built(played + &others, "--keep-from 1");
    let asked = ["trap", TRAP, "--side", "victim"];
    let json = folder.run_with(&[&asked[..], &["--format", "json"]].concat()).json();
    assert_eq!(json["traps"][0]["advice"], "no_cost");
    let page = folder.run_with(&asked).answer();
    let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        page.contains("Skip it: players") && page.contains("and it costs them nothing."),
        "{page}"
    );
}

/// 60 of 120 slip, all of the 180 games come to 2...Nc6, and 120 of 180 to 3...Nd4.
#[test]
fn the_victims_figures_are_worked_out_too() {
    let folder = store();
    let asked = ["trap", TRAP, "--side", "victim", "--explain"];
    let page = folder.run_with(&asked).answer();
    for part in [
        "occurrence = 120 / 180 = 0.66667",
        "slip_rate = 60 / 120 = 0.50000",
        "own_slips_per_1000 = 1000 x 0.66667 x 0.50000 = 333.33333",
        "Nxe5: share = 60 / 120 = 0.50000; score = (0 wins + 0 draws / 2) / 60 = 0.00000; edge = score - expected ",
        "D of shares",
    ] {
        assert!(
            page.split_whitespace().collect::<Vec<_>>().join(" ").contains(part),
            "{part}: {page}"
        );
    }
    let json = folder.run_with(&[&asked[..], &["--format", "json"]].concat()).json();
    let bands = json["traps"][0]["explain"]["comes_up"].as_array().expect("bands").clone();
    let whole = |band: &serde_json::Value| {
        let shares = band["shares"].as_array().expect("shares").iter();
        let product: f64 = shares
            .map(|share| share["k"].as_f64().expect("k") / share["n"].as_f64().expect("n"))
            .product();
        (band["games"].as_f64().expect("games"), product)
    };
    let (games, sum) = bands
        .iter()
        .map(whole)
        .fold((0.0, 0.0), |(all, sum), (games, share)| (all + games, sum + games * share));
    let comes_up = json["traps"][0]["comes_up"]["value"].as_f64().expect("a share");
    assert!((sum / games - comes_up).abs() < 1e-12, "{sum} / {games}: {comes_up}");
}

#[test]
fn the_paces_stand_side_by_side() {
    let json = store().run_with(&["trap", TRAP, "--by", "pace", "--format", "json"]).json();
    let paces = json["traps"][0]["by_pace"].as_array().expect("a list").clone();
    let rows: Vec<_> =
        paces.iter().map(|row| (row["pace"].clone(), row["slip_rate"]["k"].clone())).collect();
    let want = [("bullet", 0), ("blitz", 60), ("rapid", 0), ("classical", 0)];
    assert_eq!(rows, want.map(|(pace, k)| (pace.into(), k.into())));
    let page = store().run_with(&["trap", TRAP, "--by", "pace"]).answer();
    assert!(page.contains("by pace"), "{page}");
}

#[test]
fn the_csv_holds_the_curves_for_plotting() {
    let options = ["trap", TRAP, "--format", "csv", "--slip-below", "20%", "--by", "pace"];
    let csv = store().run_with(&options).answer();
    for scope in [
        "all",
        "band",
        "pace",
        "curve_slip_rate",
        "curve_find_rate",
        "curve_edge_after_slip",
        "slip_below",
    ] {
        assert!(csv.contains(&format!(",black,{scope},")), "{scope}\n{csv}");
    }
}

#[test]
fn an_explanation_names_the_keys_and_the_fractions() {
    let folder = store();
    let page = folder.run_with(&["trap", TRAP, "--explain"]).answer();
    assert!(
        page.contains("slip_rate = G 60 / (G 60 + H 60) = 60 / 120 = 0.50000 (Wilson)"),
        "{page}"
    );
    let json = folder.run_with(&["trap", TRAP, "--explain", "--format", "json"]).json();
    let key = json["traps"][0]["explain"]["sums"][6]["key"].as_str().expect("a key").to_owned();
    let cells = folder.run("export").answer();
    let games: u64 = cells
        .lines()
        .filter(|line| line.starts_with(&format!("{key},f3e5,")))
        .map(|line| line.split(',').nth(4).expect("games").parse::<u64>().expect("a number"))
        .sum();
    assert_eq!(games, 60);
}

/// An option that would change nothing is refused, before the store is looked for.
#[test]
fn what_only_tables_show_is_refused_in_other_forms() {
    let folder = Folder::new();
    folder.write("own.pgn", Game::of("e4 e5").times(2));
    for (command, form, option) in [
        ("trap e4 --board ascii", "json", "--board"),
        ("trap e4 --each", "csv", "--each"),
        ("trap e4 --side victim --each", "json", "--each"),
        ("trap e4 --explain", "csv", "--explain"),
        ("hunt --as white --board", "csv", "--board"),
        ("moves e4 --by rating --score", "json", "--score"),
        ("moves --by pace --expect e4>d4", "csv", "--by beside --expect"),
        ("student own.pgn --name Fern --top 3", "json", "--top"),
    ] {
        let said = folder.run(&format!("{command} --format {form}")).refused(2);
        let wanted =
            format!("deadfall: {option} has no effect with --format {form}: leave one of them out");
        assert_eq!(said.trim_end(), wanted, "{command}");
    }
    let said = folder.run("student own.pgn --name Fern --name Kelp --top 3").refused(2);
    assert!(said.contains("--top is for the tables of one student"), "{said}");
}

#[test]
fn limits_that_decide_nothing_are_refused() {
    let folder = store();
    for value in ["1e-320", "1e300", "inf", "NaN", "1000.5"] {
        for option in ["--occasional-from", "--common-from"] {
            let said = folder.run_with(&["trap", TRAP, option, value]).refused(2);
            assert!(
                said.contains(&format!("'{option} <N>': give a number from 0.001 to 1000, or 0")),
                "{said}"
            );
        }
    }
    folder.run_with(&["trap", TRAP, "--occasional-from", "0", "--common-from", "0"]).ok();
    folder.run_with(&["trap", TRAP, "--occasional-from", "6", "--common-from", "4"]).refused(2);
}
