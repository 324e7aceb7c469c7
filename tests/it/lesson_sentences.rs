//! What the pages of a lesson say, in the words of `trap`.

use serde_json::Value;

use crate::kit::{Folder, Game};
use crate::lesson::{ASKED, SAMPLES, between, lesson, part, store};

/// One move that answers both slips is named once; of how many games this is, and how often the
/// slip comes, is said in numbers.
#[test]
fn a_sheet_names_a_refutation_once_and_says_how_often_in_numbers() {
    let folder = store();
    let pgn = "[Event \"Two\"]\n\n1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5 Qg5 5. O-O?? (5. d3?? Qxe5) 5... Qxe5 *\n";
    folder.write("traps.pgn", pgn);
    let [page, _] = lesson(&folder, &[]);
    assert!(page.contains("(5...Qxe5)") && !page.contains("5...Qxe5 or 5...Qxe5"), "{page}");
    let json = folder.run(&format!("trap traps.pgn --format json {ASKED}")).json();
    let trap = &json["traps"][0];
    assert_eq!(trap["verdict"]["codes"][0], "common");
    let sheet = between(&page, "<div class=\"verdict\">", "</div>");
    assert!(sheet.contains("slip in about one game in"), "{sheet}");
    assert!(sheet.contains("the slip is common"), "{sheet}");
    let text = folder.run(&format!("trap traps.pgn {ASKED}")).answer();
    assert!(text.contains("The slip is common"), "{text}");
    let rests = between(&page, "What this rests on", "</section>");
    let games = format!("out of {} that they played as White", trap["occurrence"]["n"]);
    assert!(rests.contains(&games), "{rests}");
    for said in [&page, &text] {
        assert!(!said.contains("usual move") && !said.contains("omes up"), "{said}");
    }
}

/// What a slip costs that allows a mate is the game, and those who face it are told so.
#[test]
fn a_proved_mate_costs_the_game() {
    let mated = Game::of("e4 e5 Qh5 Nc6 Bc4 Nf6 Qxf7").evals("_ _ _ _ _ #1 _");
    let folder = Folder::built(
        mated.result("1-0").times(20)
            + &Game::of("e4 e5 Qh5 Nc6 Bc4 g6 Qf3").result("1-0").times(40)
            + &Game::of("e4 e5 Qh5 Nc6 Bc4 g6 Qf3").result("0-1").times(40),
        "--keep-from 1",
    );
    let mate = "[Event \"Early Queen\"]\n\n1. e4 e5 2. Qh5 Nc6 3. Bc4 Nf6?? 4. Qxf7# *\n";
    folder.write("traps.pgn", mate);
    let json = folder.run("trap traps.pgn --format json").json();
    assert_eq!(json["traps"][0]["edge_after_slip"]["withheld"], "too_few_games");
    let codes = json["traps"][0]["advice"]["codes"].as_array().expect("codes");
    assert!(codes.contains(&"warn".into()), "{codes:?}");
    let asked = ["lesson", "traps.pgn", "--out", "out", "--side", "victim"];
    folder.run_with(&asked).ok();
    let page = part(&folder, "lesson.html");
    for said in [
        "Learn it",
        "The slip costs the game: mate in 1 is forced.",
        "mate in 1</td>",
        "Slips in 1000 of their games",
        "Edge with the slip",
    ] {
        assert!(page.contains(said), "{said}: {page}");
    }
    assert!(!page.contains("10.0"), "{page}");
}

/// The room of a lesson is for what is taught in it, and a gain whose margin holds zero
/// may be none.
#[test]
fn the_lesson_begins_with_what_is_taught_in_it() {
    let folder = Folder::new();
    folder.write(
        "month.pgn.zst",
        include_bytes!("../../data-samples/harbour-league-2031-05.pgn.zst"),
    );
    folder.write("traps.pgn", SAMPLES);
    folder.run("build month.pgn.zst").ok();
    folder.run("lesson traps.pgn --below 2000 --out out").ok();
    let (page, json) = (
        part(&folder, "lesson.html"),
        folder.run("trap traps.pgn --below 2000 --format json").json(),
    );
    let traps = json["traps"].as_array().expect("a list");
    let has = |trap: &Value, code: &str| trap["advice"]["codes"].to_string().contains(code);
    let numbers = |wanted: &dyn Fn(&Value) -> bool| -> Vec<String> {
        let places = (0..traps.len()).filter(|place| wanted(&traps[*place]));
        places.map(|place| (place + 1).to_string()).collect()
    };
    let [taught, besides] = [
        numbers(&|trap| has(trap, "teach")),
        numbers(&|trap| has(trap, "warn") && !has(trap, "teach")),
    ];
    assert_eq!((taught.len(), besides.len()), (1, 3), "{traps:?}");
    let said = format!(
        "Begin with trap {}. For the lesson of those who face them (--side victim): {}, {} and {}.",
        taught[0], besides[0], besides[1], besides[2]
    );
    assert!(page.contains(&said), "{said}");
    folder.run("lesson traps.pgn --min-sample 1 --out out --overwrite").ok();
    let page = part(&folder, "lesson.html");
    let json = folder.run("trap traps.pgn --min-sample 1 --format json").json();
    let is_open = |trap: &&Value| {
        let [low, high] = ["low", "high"].map(|end| trap["net_per_1000"][end].as_f64());
        low.is_some_and(|low| low <= 0.0) && high.is_some_and(|high| high >= 0.0)
    };
    let open = json["traps"].as_array().expect("a list").iter().filter(is_open).count();
    assert!((1..16).contains(&open), "{open}");
    assert_eq!(page.matches(" may bring nothing: ").count(), open);
}

/// A move after which its player stands worse is no safe one, though it is the best.
#[test]
fn the_best_of_bad_moves_is_not_called_safe() {
    let laid = "e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qg5";
    let page = |cp: &str| {
        let judged = |moves: &str, cp: &str, times| {
            let game =
                Game::of(&format!("{laid} {moves}")).evals(&format!("_ _ _ _ _ _ _ _ {cp} _"));
            game.result("1-0").times(times)
        };
        let dump = judged("Nxf7 Qxg2", "-6.10", 70) + &judged("Ng4 d5", cp, 70);
        let folder = Folder::built(dump, "--keep-from 1");
        folder.write(
            "traps.pgn",
            "1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5 Qg5 5. Nxf7?? Qxg2 *\n\n1. f3 e5 2. g4?? Qh4# *\n",
        );
        folder.run("lesson traps.pgn --side victim --out out").ok();
        part(&folder, "lesson.html")
    };
    assert!(page("-0.30").contains("5.Ng4 is safe. The slip here is 5.Nxf7??."));
    let worse = page("-1.30");
    let said = "5.Ng4 is no slip, but not safe either: it is the best move that is left. The slip here is 5.Nxf7??.";
    assert!(worse.contains(said) && !worse.contains("is safe."), "{worse}");
}
