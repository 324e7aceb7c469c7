//! What the pages of a lesson say, in the words of `trap`.

use crate::kit::{Folder, Game};
use crate::lesson::{ASKED, between, lesson, part, store};

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
    let folder = Folder::built(
        Game::of("e4 e5 Qh5 Nc6 Bc4 Nf6 Qxf7").result("1-0").times(20)
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
}
