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

#[test]
fn many_traps_are_answered_in_the_order_asked_and_as_alone() {
    let folder = store();
    let game = |number: usize| format!("[Event \"Trap {number}\"]\n\n{TRAP} *\n\n");
    folder.write("traps.pgn", (0..50).map(game).collect::<String>());
    folder.write("one.pgn", game(0));
    let all = folder.run("trap traps.pgn --format json").json();
    let mut one = folder.run("trap one.pgn --format json").json()["traps"][0].clone();
    let traps = all["traps"].as_array().expect("a list");
    assert_eq!(traps.len(), 50);
    for (number, trap) in traps.iter().enumerate() {
        one["name"] = format!("Trap {number}").into();
        assert_eq!(trap, &one);
    }
}
