//! Files of traps as they may be asked.

use crate::commands::{TRAP, store};

#[test]
fn traps_from_a_file_bear_the_names_of_their_games() {
    let folder = store();
    folder.write(
        "traps.pgn",
        format!(
            "[Event \"Shilling\"]\n\n{TRAP} *\n\n[Event \"Fool\"]\n\n1. f3 e5 2. g4?? Qh4# *\n"
        ),
    );
    let json = folder.run("trap traps.pgn --format json").json();
    assert_eq!(
        (&json["traps"][0]["name"], &json["traps"][1]["name"]),
        (&"Shilling".into(), &"Fool".into())
    );
    assert_eq!(json["traps"][1]["games"], 0);
}

/// Forty-nine positions that no game has, so they come by their names.
#[test]
fn many_traps_are_answered_as_alone_and_by_name_where_nothing_else_tells() {
    let folder = store();
    let files = || "abcdfgh".chars();
    let game = |(number, (white, black)): (usize, (char, char))| {
        format!("[Event \"Trap {number:02}\"]\n\n1. {white}3 {black}6 2. e4?? e5 *\n\n")
    };
    let pairs = files().flat_map(|white| files().map(move |black| (white, black)));
    let mut games: Vec<String> = pairs.enumerate().map(game).collect();
    let last = games[48].clone();
    games.reverse();
    folder.write("traps.pgn", games.concat());
    folder.write("one.pgn", last);
    let all = folder.run("trap traps.pgn --format json").json();
    let one = folder.run("trap one.pgn --format json").json()["traps"][0].clone();
    let traps = all["traps"].as_array().expect("a list");
    let names: Vec<String> =
        traps.iter().map(|trap| trap["name"].as_str().expect("a name").to_owned()).collect();
    assert_eq!(names, (0..49).map(|number| format!("Trap {number:02}")).collect::<Vec<_>>());
    assert_eq!(traps[48], one);
}

/// The same file in another order gives the same answer; the table, CSV and the lesson have
/// its order too.
#[test]
fn the_order_of_a_file_is_never_that_of_the_answer() {
    let folder = store();
    let fool = "[Event \"Fool\"]\n\n1. f3 e5 2. g4?? Qh4# *\n\n";
    let shilling = format!("[Event \"Shilling\"]\n\n{TRAP} *\n\n");
    folder.write("one.pgn", format!("{fool}{shilling}"));
    folder.write("two.pgn", format!("{shilling}{fool}"));
    let answer = |file: &str, format: &str| {
        folder.run_with(&["trap", file, "--format", format]).ok().stdout()
    };
    for format in ["table", "json", "csv"] {
        let page = answer("one.pgn", format);
        assert_eq!(page, answer("two.pgn", format), "{format}");
        assert!(page.find("Shilling") < page.find("Fool"), "{page}");
    }
    folder.run("lesson one.pgn --out out").ok();
    let page = folder.text("out/lesson.html");
    assert!(page.find("Shilling") < page.find("Fool"));
}
