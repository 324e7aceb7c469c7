//! What parts no game, the same for every command that reads games: words behind its tags, a byte
//! order mark before a tag; and what does, an empty line within its moves.

use serde_json::Value;

use crate::kit::{Folder, Game};

const MARK: &str = "\u{feff}";

fn game(event: &str) -> String {
    let tags = Game::of("e4").tag("Event", event).tag("White", "Fern Keel").to_string();
    let tags = tags.split("\n\n").next().expect("it has tags").to_owned();
    format!("{tags}\n\n1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5 4. Qh5+ 1-0\n\n")
}

/// Games read and counted by a build of a text; all others are named.
fn built(text: &str) -> (u64, u64, Value) {
    let folder = Folder::with("games.pgn", text);
    folder.run("build games.pgn --keep-from 1").ok();
    let about = folder.run("about --format json").json();
    let number = |name: &str| about[name].as_u64().expect("a number");
    let left_out = about["left_out"].clone();
    let sum = |value: &Value| {
        value.as_object().expect("by reason").values().filter_map(Value::as_u64).sum::<u64>()
    };
    assert_eq!(number("games_read"), number("games_counted") + sum(&left_out));
    (number("games_read"), number("games_counted"), left_out)
}

/// Games read and taken of the student in them.
fn own(text: &str) -> (u64, u64) {
    let folder = Folder::with("games.pgn", text);
    folder.write("month.pgn", Game::of("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5").times(60));
    folder.run("build month.pgn").ok();
    let options = ["student", "games.pgn", "--name", "Fern Keel", "--format", "json"];
    let answer = folder.run_with(&options).json();
    let student = &answer["students"][0];
    let found = student.get("games").map_or(&answer["games"], |games| games);
    let number = |name: &str| found[name].as_u64().expect("a number");
    (number("read"), number("as_white") + number("as_black"))
}

/// How a game may be written without becoming two.
fn ways() -> Vec<String> {
    let text = game("b");
    let tags = [
        "\n{ hello }\n",
        "\n; hello\n",
        " ; hello\n",
        " {hello} \n",
        "\nPlayed in the harbour hall\n",
        "\n2031 was a good year\n",
        "\n% hello\n",
        &format!("\n{MARK}"),
    ];
    let among = |words: &&str| text.replacen("\"]\n[White ", &format!("\"]{words}[White "), 1);
    // All but the byte order mark may follow the last tag, too.
    let behind = |words: &&str| text.replacen("\"]\n\n", &format!("\"]{words}\n"), 1);
    let ways: Vec<String> = tags.iter().map(among).chain(tags[..7].iter().map(behind)).collect();
    assert!(ways.iter().all(|way| *way != text));
    ways
}

#[test]
fn no_command_makes_two_games_of_one() {
    for way in ways() {
        let text = game("a") + &way + &game("c");
        let (read, counted, left_out) = built(&text);
        assert_eq!((read, counted), (3, 3), "{left_out}: {text}");
        assert_eq!(own(&text), (3, 3), "{text}");
    }
}

#[test]
fn texts_put_behind_each_other_are_read_as_each_alone() {
    for end in ["", "\n", "\n\n", " \n"] {
        let text = game("a").trim_end().to_owned() + end + MARK + &game("b") + MARK + &game("c");
        let (read, counted, left_out) = built(&text);
        assert_eq!((read, counted), (3, 3), "{end:?}: {left_out}");
        assert_eq!(own(&text), (3, 3), "{end:?}");
    }
}

fn named(answer: &Value) -> Vec<&str> {
    let traps = answer["traps"].as_array().expect("traps");
    traps.iter().map(|trap| trap["name"].as_str().expect("a name")).collect()
}

#[test]
fn traps_and_prepared_lines_are_read_by_the_same_rules() {
    let folder = Folder::built(Game::of("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5").times(60), "");
    for way in ways() {
        let second = "[Event \"d\"]\n\n1. d4 e5 2. dxe5 Nc6?? 3. f4 *\n";
        for end in ["\n\n", "\n", ""] {
            let glue = if end.len() < 2 { MARK } else { "" };
            let text =
                way.replacen("fxe5", "fxe5??", 1).trim_end().to_owned() + end + glue + second;
            folder.write("traps.pgn", &text);
            let answer = folder.run("trap traps.pgn --format json").json();
            assert_eq!(named(&answer).len(), 2, "{text}");
            assert!(["b", "d"].iter().all(|name| named(&answer).contains(name)), "{text}");
            let answer = folder.run("gaps traps.pgn --as white --format json").json();
            assert_eq!(answer["file"]["games"], 2, "{text}");
        }
    }
}

#[test]
fn an_empty_line_that_ends_a_line_of_moves_is_named() {
    let folder = Folder::built(Game::of("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5").times(60), "");
    folder.write("traps.pgn", "[Event \"a\"]\n\n1. e4 e5 2. Nf3 f6\n\n3. Nxe5 fxe5?? 4. Qh5+ *\n");
    for command in ["trap traps.pgn", "gaps traps.pgn --as white", "lesson traps.pgn --out lesson"]
    {
        let error = folder.run(command).refused(3);
        assert!(error.contains("empty line ends a game; take it out at line 4"), "{error}");
    }
}

#[test]
fn what_is_no_utf_8_keeps_its_letters() {
    let folder = Folder::built(Game::of("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5").times(60), "");
    let text = b"[Event \"F\xe4lle \x96 \x80\"]\n\n1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5?? 4. Qh5+ *\n";
    folder.write("traps.pgn", text);
    let answer = folder.run("trap traps.pgn --format json").json();
    assert_eq!(named(&answer), ["Fälle – €"]);
}

#[test]
fn dates_that_leave_no_game_or_do_not_exist_are_refused() {
    let folder = Folder::with("games.pgn", game("a"));
    for (options, why) in [
        ("--since 2031-06 --until 2031-05", "comes after --until 2031-05"),
        ("--since 2031-05-18 --until 2031-05-17", "comes after"),
        ("--until 2031-02-31", "no date"),
        ("--since 2031-02-29", "no date"),
    ] {
        let error = folder.run(&format!("build games.pgn {options}")).refused(2);
        assert!(error.contains(why), "{error}");
    }
    assert_eq!(folder.files(), ["games.pgn"]);
}

#[test]
fn words_for_a_lesson_are_shown_whole_or_refused() {
    let folder = Folder::built(Game::of("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5").times(60), "");
    let trap = "1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5?? 4. Qh5+";
    for option in ["--title", "--author", "--level"] {
        let words = "ä".repeat(121);
        let error = folder.run_with(&["lesson", trap, "--out", "a", option, &words]).refused(2);
        assert!(error.contains("the limit is 120"), "{error}");
        folder.run_with(&["lesson", trap, "--out", &option[2..], option, &words[2..]]).ok();
        let page = folder.text(&format!("{}/lesson.html", &option[2..]));
        assert!(page.contains(&words[2..]), "{option}");
    }
}

#[test]
fn a_name_is_the_same_however_its_letters_are_stored() {
    let text = game("a").replace("Fern Keel", "J\u{f6}rg \u{c9}t\u{e9}");
    let folder = Folder::built(Game::of("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5").times(60), "");
    folder.write("games.pgn", &text);
    for name in
        ["J\u{f6}rg \u{c9}t\u{e9}", "jo\u{308}rg e\u{301}te\u{301}", "J\u{d6}RG \u{c9}T\u{c9}"]
    {
        folder.run_with(&["student", "games.pgn", "--name", name]).ok();
    }
}

#[test]
fn a_word_that_is_neither_move_nor_file_is_called_both() {
    let folder = Folder::built(game("a"), "--keep-from 1");
    let error = folder.run("trap nosuch").refused(3);
    assert!(error.contains("'nosuch'") && error.contains("nor is there a file"), "{error}");
}

/// Were any of it looked through again and again, this would take minutes.
#[test]
fn games_are_written_out_in_proportion_to_their_length() {
    let game = game("a");
    for piece in [
        "[%clk 0:00:01]",
        "[%emt 0:00:01]",
        "[%clk ",
        "[%clk 0:00:01] [%emt 1",
        "[%",
        " ",
        "[%eval 1] [%clk 0:00:01] ",
    ] {
        let comment = piece.repeat(1_000_000 / piece.len());
        let text = game.replace(" e5 2. Nf3", &format!(" {{ {comment} }} e5 2. Nf3"));
        let folder = Folder::with("games.pgn", &text);
        let found = folder.run("games e4 games.pgn").ok().stdout();
        assert!(found.contains("2. Nf3 f6"), "{piece}");
    }
    for piece in
        ["{[%clk 0:00:01]} ", "$1 ", "(1. d4) ", "(", "! ", "{} 1... ", "{[%clk 0:00:01]}\n"]
    {
        let many = piece.repeat(1_000_000 / piece.len());
        let text = game.replace(" e5 2. Nf3", &format!(" {many} e5 2. Nf3"));
        let folder = Folder::with("games.pgn", &text);
        folder.run("games e4 games.pgn");
    }
}
