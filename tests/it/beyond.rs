//! Positions behind the half-moves that the store counts: their games are not known, so nothing is
//! said of them but that.

use serde_json::Value;

use crate::kit::{Folder, Game};

const TRAP: &str = "1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5?? 4. Qh5+";

/// Games that go on behind the four half-moves that are counted.
fn folder() -> Folder {
    let games = Game::of("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5+ g6").times(60)
        + &Game::of("e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qg5").times(60);
    let folder = Folder::built(games, "--half-moves 4 --keep-from 1");
    folder.write("trap.pgn", format!("{TRAP} *\n"));
    folder
}

fn answer(folder: &Folder, command: &str, argument: &str) -> String {
    let words: Vec<&str> = command.split(' ').collect();
    let (first, others) = words.split_first().expect("a command");
    let all = [&[*first, argument], others].concat();
    folder.run_with(&all).ok().stdout().replace('\n', " ")
}

fn json(folder: &Folder, command: &str, argument: &str) -> Value {
    let text = answer(folder, &format!("{command} --format json"), argument);
    serde_json::from_str(&text).expect("JSON")
}

#[test]
fn a_position_that_is_not_counted_has_no_number_of_games() {
    let folder = folder();
    let page = answer(&folder, "moves --expect Nc3>d4", "e4 e5 Nf3 f6");
    let why = "the store counts the first 4 half-moves only; build it with --half-moves 5 or more";
    assert!(page.contains(&format!("Games here are not counted: {why}.")), "{page}");
    assert!(page.contains("undecided: the position is not counted: the store counts"), "{page}");
    assert!(!page.contains("No games here") && !page.contains("no games"), "{page}");
    let told = json(&folder, "moves --expect Nc3>d4", "e4 e5 Nf3 f6");
    assert_eq!(told["position"]["may_lack"], Value::Null);
    assert_eq!(told["claims"][0]["because"]["share"]["withheld"], "not_counted");
    // The last one that is counted is exact.
    let told = json(&folder, "moves", "e4 e5 Nf3");
    assert_eq!((&told["position"]["may_lack"], &told["games"]), (&0.into(), &120.into()));
    // A FEN's move number tells how deep it is, if it is greater.
    let deep = "rnbqkbnr/pppp2pp/8/4N3/4P3/8/PPPP1PPP/RNBQKB1R b KQkq - 0 9";
    let page = folder.run_with(&["moves", "--fen", deep]).ok().stdout().replace('\n', " ");
    assert!(page.contains("build it with --half-moves 18 or more"), "{page}");
    let page = folder.run_with(&["moves", "--fen", &deep.replace("0 9", "0 1")]).ok().stdout();
    assert!(page.contains("The store counts the first 4 half-moves"), "{page}");
}

#[test]
fn a_trap_that_is_not_counted_says_so_and_asks_for_no_more_games() {
    let folder = folder();
    let told = json(&folder, "trap", TRAP);
    let trap = &told["traps"][0];
    for figure in
        ["occurrence", "slip_rate", "find_rate", "slips_per_1000", "edge_refuted", "net_per_1000"]
    {
        assert_eq!(trap[figure]["value"], Value::Null, "{figure}");
        assert_eq!(trap[figure]["withheld"], "not_counted", "{figure}");
    }
    assert_eq!(
        (&trap["may_lack"], &trap["verdict"]["codes"][0]),
        (&Value::Null, &"not_counted".into())
    );
    // What comes before is counted.
    assert_eq!(trap["steered"]["value"], 0.5);
    for command in ["trap", "trap --side victim", "trap --explain"] {
        let page = answer(&folder, command, TRAP);
        let why =
            "the store counts the first 4 half-moves only; build it with --half-moves 7 or more";
        assert!(page.contains(why), "{command}: {page}");
        for wrong in [
            "in no game counted",
            "too few games to say",
            " 0 of 120",
            "no games",
            "No games here.",
        ] {
            // The sums of --explain are those of the games counted.
            let is_sum = command == "trap --explain" && wrong == "no games";
            assert!(is_sum || !page.contains(wrong), "{command}, {wrong}: {page}");
        }
    }
    folder.run("lesson trap.pgn --out out").ok();
    let page = folder.text("out/lesson.html");
    assert!(page.contains("only the first 4 half-moves are counted, 7 are needed"), "{page}");
    assert!(!page.contains("no game counted") && !page.contains("too few games to say"), "{page}");
}

#[test]
fn every_other_answer_says_that_it_ends_there() {
    let folder = folder();
    let page = answer(&folder, "gaps --as white --min-sample 1", "trap.pgn");
    assert!(
        page.contains("In some of them the store counts the first 4 half-moves only"),
        "{page}"
    );
    assert!(!page.contains("has no gap") && !page.contains("carry 95 %"), "{page}");
    let hunted = folder.run_with(&["hunt", "e4 e5 Nf3 f6", "--as", "white"]).refused(3);
    assert!(hunted.contains("build it with --half-moves 7 or more"), "{hunted}");
    let drawn = answer(&folder, "map", "e4 e5 Nf3 f6");
    assert!(drawn.contains("it lies behind the first 4 half-moves"), "{drawn}");
    let drawn = answer(&folder, "map --traps trap.pgn", "e4");
    assert!(drawn.contains("1 trap whose slip comes after the first 4 half-moves"), "{drawn}");

    let games = Game::of("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5+ g6").tag("White", "Fern Keel").times(8);
    folder.write("own.pgn", games);
    let asked =
        ["student", "own.pgn", "--name", "Fern Keel", "--traps", "trap.pgn", "--format", "json"];
    let told = folder.run_with(&asked).json();
    assert!(told["positions"]["not_counted"].as_u64() > Some(0), "{}", told["positions"]);
}
