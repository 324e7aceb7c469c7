//! `student`: a student's own games held against the level, on the command line and by hand.

mod league;
mod odd;

use serde_json::{Value, json};

use crate::kit::{Folder, Game, near};

/// Behind 1. e4 e5 2. Nf3 the level scores 0.5 with 2... Nc6 and 2... d6 and 0.1 with 2... f6.
fn month() -> String {
    let counted = [
        ("e4 e5 Nf3 Nc6 Bb5 a6", "1-0", 100),
        ("e4 e5 Nf3 Nc6 Bb5 a6", "0-1", 100),
        ("e4 e5 Nf3 d6 d4 exd4", "1-0", 30),
        ("e4 e5 Nf3 d6 d4 exd4", "0-1", 30),
        ("e4 e5 Nf3 f6 Nxe5 Qe7", "1-0", 90),
        ("e4 e5 Nf3 f6 Bc4 Nc6", "0-1", 10),
        ("d4 d5 c4 e6", "1-0", 100),
        ("d4 d5 c4 e6", "0-1", 100),
    ];
    let games = counted.map(|(moves, result, times)| {
        Game::of(moves)
            .result(result)
            .ratings(1500, 1500)
            .opening("C40", "King's Knight")
            .times(times)
    });
    games.concat()
}

pub const STUDENT: &str = "Fern Keel";
const RIVAL: &str = "Marble Rival";

fn own(moves: &str, white: bool, result: &str) -> Game {
    let sides = if white { [STUDENT, RIVAL] } else { [RIVAL, STUDENT] };
    let game =
        Game::of(moves).tag("Event", "Spring Open").tag("White", sides[0]).tag("Black", sides[1]);
    game.result(result).ratings(1480, 1480)
}

fn times(game: &Game, times: usize) -> String {
    game.to_string().repeat(times)
}

/// 30 games: as Black 6 with 2... f6, which is refuted in 4, and 2 with 2... Nc6; as White 10
/// with 2. Nf3, of which 7 meet 2... f6 and 4 of these refute it; 7 and 5 with 1. d4.
fn own_games() -> String {
    let black = |moves, result| own(moves, false, result);
    let white = |moves, result| own(moves, true, result);
    times(&black("e4 e5 Nf3 f6 Nxe5 Qe7", "1-0"), 4)
        + &times(&black("e4 e5 Nf3 f6 Bc4 Nc6", "0-1").tag("UTCDate", "2031.06.02"), 2)
        + &times(&black("e4 e5 Nf3 Nc6 Bb5 a6", "1/2-1/2"), 2)
        + &times(&white("e4 e5 Nf3 f6 Nxe5 fxe5", "1-0"), 4)
        + &times(&white("e4 e5 Nf3 f6 Bc4 Nc6", "0-1").tag("UTCDate", "2031.04.30"), 3)
        + &times(&white("e4 e5 Nf3 Nc6 Bb5 a6", "1-0"), 3)
        + &times(&white("d4 d5 c4 e6", "1-0"), 7)
        + &times(&black("d4 d5 c4 e6", "1-0"), 5)
}

/// One game of each kind that is not taken.
fn others() -> String {
    let white = |moves: &str| own(moves, true, "1-0");
    let same = white("e4 e5").tag("Black", " fern KEEL ");
    let elsewhere = white("O-O").tag("FEN", "4k3/8/8/8/8/8/8/4K2R w K - 0 1").tag("SetUp", "1");
    let games = [
        white("e4 e5").tag("White", "Somebody"),
        same,
        white("e4 e5").tag("Variant", "Antichess"),
        elsewhere,
        white("e4 e5").result("*"),
        white(""),
        white("e4 e4"),
    ];
    let broken = white("e4 {never closed").to_string();
    games.iter().map(Game::to_string).collect::<String>() + &broken
}

const TRAPS: &str = "[Event \"Damiano\"]\n\n1. e4 e5 2. Nf3 f6?? 3. Nxe5 *\n\n[Event \"Fool\"]\n\n1. f3 e5 2. g4?? Qh4# *\n";
const LINES: &str = "1. e4 e5 2. Nf3 Nc6 3. Bb5 *\n";

pub fn folder() -> Folder {
    let folder = Folder::built(month(), "--keep-from 1");
    folder.write("own.pgn", own_games());
    folder.write("traps.pgn", TRAPS);
    folder.write("lines.pgn", LINES);
    folder
}

pub const ASK: &str = "student own.pgn --traps traps.pgn --repertoire lines.pgn --as white";

fn ask(folder: &Folder, options: &[&str]) -> Value {
    let words: Vec<&str> = ASK.split(' ').chain(["--name", STUDENT, "--format", "json"]).collect();
    folder.run_with(&[&words, options].concat()).json()
}

#[test]
fn the_games_their_results_ratings_and_dates_are_told() {
    let folder = folder();
    folder.write("own.pgn", own_games() + &others());
    let answer = ask(&folder, &[]);
    let games = &answer["games"];
    assert_eq!(
        (&games["read"], &games["as_white"], &games["as_black"]),
        (&json!(38), &json!(17), &json!(13))
    );
    let left_out = json!({"other_players": 1, "both_sides": 1, "variant": 2, "no_result": 1, "broken": 1,
        "no_moves": 1, "illegal_move": 1});
    assert_eq!(games["left_out"], left_out);
    assert_eq!(games["results"]["white"], json!({"wins": 14, "draws": 0, "losses": 3}));
    assert_eq!(games["results"]["black"], json!({"wins": 2, "draws": 2, "losses": 9}));
    assert_eq!(games["ratings"], json!({"games": 30, "low": 1480, "median": 1480.0, "high": 1480}));
    assert_eq!(games["dates"], json!({"games": 30, "first": "2031-04-30", "last": "2031-06-02"}));
    assert_eq!(games["repeated"], 22);
    let level = &answer["level"];
    assert_eq!((&level["from"], &level["below"]), (&json!(1400), &json!(1600)));
    assert_eq!(level["basis"], "median");
}

/// The level scores 0.5 with the better move and 0.1 with the usual one, which the student plays in
/// 6 of 30 games.
#[test]
fn a_costly_habit_is_told_with_its_cost() {
    let folder = folder();
    let answer = ask(&folder, &[]);
    let habits = answer["habits"].as_array().expect("a list");
    assert_eq!(habits.len(), 1, "{habits:?}");
    let habit = &habits[0];
    assert_eq!((&habit["line"], &habit["as"]), (&json!("1. e4 e5 2. Nf3"), &json!("black")));
    assert_eq!(habit["fen"], "rnbqkbnr/pppp1ppp/8/4p3/4P3/5N2/PPPP1PPP/RNBQKB1R b KQkq - 1 2");
    assert_eq!((&habit["times"], &habit["played"]), (&json!(8), &json!(6)));
    assert_eq!(habit["results"], json!({"wins": 2, "draws": 2, "losses": 4}));
    assert_eq!(habit["move"], json!({"san": "f6", "uci": "f7f6"}));
    assert_eq!(habit["better"]["san"], "Nc6");
    near(&habit["difference"]["value"], 0.4);
    near(&habit["cost_per_100_games"]["value"], 100.0 * 6.0 / 30.0 * 0.4);
    near(&habit["share"]["value"], 100.0 / 360.0);
    near(&habit["better"]["share"]["value"], 200.0 / 360.0);
    let ends = ["low", "value", "high"].map(|end| habit["cost_per_100_games"][end].as_f64());
    assert!(ends.is_sorted() && ends[0] > Some(0.0), "{ends:?}");
    // Positions that the student had three times or more, to move: the start, behind 1. e4, 1.
    // d4 and so on.
    let judged = |code: &str| {
        let had = answer["had"].as_array().expect("a list").iter();
        had.filter(|had| had["judged"] == code).count()
    };
    assert_eq!(answer["positions"]["had"], answer["had"].as_array().map(Vec::len).expect("a list"));
    assert_eq!((judged("costly"), judged("no_habit")), (1, 0));
    // 2... Nc6 and 2... d6 are held against 2... f6; 1. e4 against 1. d4; 3. Nxe5 has a rival
    // with ten games.
    assert_eq!(
        (&answer["positions"]["tests"], &answer["positions"]["judged"]),
        (&json!(3), &json!(2))
    );
}

/// The league's player falls for Scholar's Mate in seven of eight games. At the level 51 games hold
/// the slip, as good as 49: enough to be tested, and so enough to be reported.
#[test]
fn the_planted_habit_of_the_sample_student_is_told_though_its_games_are_few() {
    let folder = Folder::new();
    let sample = |name| format!("{}/data-samples/{name}", env!("CARGO_MANIFEST_DIR"));
    let month = sample("harbour-league-2031-05.pgn.zst");
    folder.run_with(&["build", &month, "--quiet"]).ok();
    let games = sample("student.pgn");
    let asked = ["student", &games, "--name", "BrineSaddle", "--below", "2000"];
    let answer = folder.run_with(&[&asked[..], &["--format", "json"]].concat()).json();
    assert_eq!(answer["positions"]["significant"], 1);
    let [habit] = &answer["habits"].as_array().expect("a list")[..] else {
        panic!("{}", answer["habits"])
    };
    assert_eq!(habit["line"], "1. e4 e5 2. Qh5 Nc6 3. Bc4");
    assert_eq!(
        (&habit["move"]["san"], &habit["times"], &habit["played"]),
        (&json!("Nf6"), &json!(8), &json!(7))
    );
    let difference = &habit["difference"];
    assert!(difference["n_eff"].as_f64() < Some(50.0), "{difference}");
    assert!(difference["low"].as_f64() > Some(0.0), "{difference}");
}

/// Whatever the student's own results are, the same is found.
#[test]
fn own_results_choose_nothing() {
    let folder = folder();
    let before = ask(&folder, &[]);
    let turned = own_games().replace("1/2-1/2", "0-1").replace("1-0", "0-1");
    folder.write("own.pgn", turned);
    let after = ask(&folder, &[]);
    for field in ["move", "better", "cost_per_100_games", "p", "q"] {
        assert_eq!(before["habits"][0][field], after["habits"][0][field], "{field}");
    }
    assert_ne!(before["habits"][0]["results"], after["habits"][0]["results"]);
}

#[test]
fn traps_are_told_from_both_sides_with_the_games() {
    let folder = folder();
    let answer = ask(&folder, &[]);
    let traps = answer["traps"].as_array().expect("a list");
    let told: Vec<_> = traps
        .iter()
        .map(|trap| {
            let counts = ["times", "slipped", "escaped", "refuted", "missed"];
            (trap["name"].as_str(), trap["role"].as_str(), counts.map(|name| trap[name].as_u64()))
        })
        .collect();
    let row = |name, role, counts: [u64; 5]| (Some(name), Some(role), counts.map(Some));
    assert_eq!(
        told,
        [
            row("Damiano", "faced", [8, 6, 2, 4, 2]),
            row("Damiano", "laid", [10, 7, 3, 4, 3]),
            row("Fool", "faced", [0; 5]),
            row("Fool", "laid", [0; 5]),
        ]
    );
    near(&traps[0]["level_slip_rate"]["value"], 100.0 / 360.0);
    near(&traps[1]["level_find_rate"]["value"], 0.9);
    let games = traps[0]["games"].as_array().expect("a list");
    assert_eq!(games.len(), 8);
    let first = json!({"number": 1, "address": null, "event": "Spring Open", "date": "2031-05-17", "opponent": "white", "slipped": true,
        "refuted": true});
    assert_eq!(games[0], first);
}

#[test]
fn the_prepared_lines_are_left_where_and_by_whom() {
    let folder = folder();
    let answer = ask(&folder, &[]);
    let lines = json!({"as": "white", "games": 17, "to_the_end": 3, "within": 0, "by_student": 7,
        "by_first_move": 7, "by_opponent": 7, "several": 0});
    assert_eq!(answer["repertoire"], lines);
    let left = answer["left"].as_array().expect("a list");
    let told: Vec<_> = left
        .iter()
        .map(|left| (left["line"].as_str(), left["move"]["san"].as_str(), left["by"].as_str()))
        .collect();
    let wanted = [
        (Some(""), Some("d4"), Some("student")),
        (Some("1. e4 e5 2. Nf3"), Some("f6"), Some("opponent")),
    ];
    assert_eq!(told, wanted);
    assert_eq!((&left[0]["times"], &left[0]["prepared"]), (&json!(7), &json!(["e4"])));
    assert_eq!(
        (&left[0]["share"]["k"], &left[0]["continues"][0]["san"]),
        (&json!(200), &json!("d5"))
    );
    assert_eq!(left[1]["continues"][0]["games"], 90);
    // The habit costs points for sure, and so does a missed refutation; 1. d4 is another opening,
    // and 2... f6 belongs to the habit.
    let first = answer["first"].as_array().expect("a list");
    assert_eq!(first[0], json!({"kind": "habit", "place": 0}));
    assert_eq!(first.len(), 2);
}

#[test]
fn the_page_for_people_says_what_the_data_say() {
    let folder = folder();
    let words: Vec<&str> = ASK.split(' ').chain(["--name", STUDENT]).collect();
    let page = folder.run_with(&words).answer();
    for part in [
        "Fern Keel: 30 of 30 games used: 17 as White (won 14, drew 0, lost 3)",
        "The level: players rated 1400 to 1599",
        "around the median of the",
        "2... f6 in 6 of 8",
        "better Nc6",
        "The student's own results choose nothing",
        "Damiano",
        "1 never came up",
        "Did not refute it, Damiano: game 13 of the file: Spring Open, 2031-04-30, as White",
        "Prepared for White, 17 games: 3 to the end of a line",
        "1. e4 e5 2. Nf3 f6",
    ] {
        let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat(&page).contains(&flat(part)), "{part}: {page}");
    }
    let table = |line: &&str| line.contains("   ");
    let wide: Vec<&str> = page.lines().filter(table).filter(|line| line.len() > 80).collect();
    assert_eq!(wide, [""; 0]);
}

#[test]
fn several_students_make_a_row_each() {
    let folder = folder();
    let names = ["--name", STUDENT, "--name", RIVAL, "--also", "Nobody Else"];
    let words: Vec<&str> = ASK.split(' ').chain(names).collect();
    let page = folder.run_with(&words).ok().stdout();
    assert!(page.contains("Fern Keel        30") && page.contains("Marble Rival     30"), "{page}");
    for words in ["The levels: ", "all paces", "Worst: ", "As good as: ", "Left: "] {
        assert!(page.contains(words), "{words}: {page}");
    }
    let without = folder.run_with(&[&["student", "own.pgn"], &names[..]].concat()).ok().stdout();
    assert!(!without.contains("Left: "), "{without}");
    let json = folder.run_with(&[&words[..], &["--format", "json"]].concat()).json();
    let students = json["students"].as_array().expect("a list");
    assert_eq!((&students[1]["games"]["as_white"], &students[1]["also"]), (&json!(13), &json!([])));
    assert_eq!(students[0], ask(&folder, &[]));
    let run = folder.run_with(&[&words[..], &["--out", "page"]].concat());
    assert!(run.refused(2).contains("one --name"));
}

#[test]
fn the_page_for_the_student_names_no_opponent_and_nothing_is_kept() {
    let folder = folder();
    let before = folder.files();
    let store = folder.read("deadfall.redb");
    let words: Vec<&str> = ASK.split(' ').chain(["--name", STUDENT]).collect();
    for format in ["table", "json", "csv"] {
        let run = folder.run_with(&[&words[..], &["--format", format]].concat()).ok();
        assert!(!run.stdout().contains("Rival"), "{format}");
    }
    assert_eq!((folder.files(), folder.read("deadfall.redb") == store), (before, true));
    let run = folder.run_with(&[&words[..], &["--out", "for/fern"]].concat()).ok();
    assert_eq!(run.stderr(), "for/fern/student.html: the page for the student\n");
    let page = folder.text("for/fern/student.html");
    for part in [
        "Two things to learn first",
        "In 7 you began with another move",
        "Your own results are too few to judge by",
        "Play 2...Nc6 here",
        "Costly habits",
        "Traps you met",
        "Your prepared lines",
    ] {
        assert!(page.contains(part), "{part}");
    }
    assert!(!page.contains("Rival") && page.matches("<svg class=\"board\"").count() == 2);
    let to_others = ["--from", "--below", "The student", "the student's"];
    assert!(to_others.iter().all(|words| !page.contains(words)), "{page}");
    let again = [&words[..], &["--out", "for/fern"]].concat();
    assert!(folder.run_with(&again).refused(4).contains("already exists"));
    folder.run_with(&[&again[..], &["--overwrite"]].concat()).ok();
    // Nothing is left where a page could not be written.
    folder.write("file", "");
    folder.run_with(&[&words[..], &["--out", "file/x"]].concat()).exits(4);
}

/// A pupil's sentence has one number, without its margin and its games: these are in the tables.
#[test]
fn the_page_for_the_student_has_one_number_a_sentence_and_names_as_the_file_has_them() {
    let folder = folder();
    let at_home = own("e4 e5 Nf3 f6 Nxe5 Qe7", false, "1-0")
        .tag("Site", "https://games.harbour-league.example/a1B2");
    let games = own_games() + &at_home.to_string();
    folder.write("own.pgn", games);
    let words = ASK.split(' ').chain(["--name", "fern KEEL", "--out", "for"]);
    folder.run_with(&words.collect::<Vec<_>>()).ok();
    let page = folder.text("for/student.html");
    let things = page.split("Costly habits").next().expect("a part");
    assert!(!things.contains("class=\"interval\"") && !things.contains("as good as"), "{things}");
    assert!(page.contains("class=\"interval\"") && page.contains("<h1><bdi>Fern Keel</bdi>"));
    assert!(things.contains("</data></span> points more per 100 games."), "{things}");
    assert!(page.contains("game 1 of the file: Spring Open, 2031-05-17, as Black"), "{page}");
    let traps = &ask(&folder, &[])["traps"];
    let address = "https://games.harbour-league.example/a1B2";
    assert_eq!(
        (&traps[0]["games"][8]["number"], &traps[0]["games"][8]["address"]),
        (&json!(31), &json!(address))
    );
}

/// Only behind 1. e4 e5 2. Nf3 the level has moves to compare, and none is better than
/// the student's.
#[test]
fn where_nothing_is_found_the_pages_say_how_little_could_be_judged() {
    let folder = folder();
    folder.write("own.pgn", times(&own("e4 e5 Nf3 Nc6 Bb5 a6", false, "1/2-1/2"), 4));
    let asked = ["student", "own.pgn", "--traps", "traps.pgn", "--name", STUDENT, "--out", "out"];
    let told = folder.run_with(&asked).ok().stdout();
    let page = folder.text("out/student.html");
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("at the level: in these no habit costs points beyond chance."), "{told}");
    assert!(page.contains("no other move scores better there by more than chance."), "{page}");
    for text in [&told, &page] {
        assert!(text.contains("has too few games to"), "{text}");
        assert!(!text.contains("expected to be"), "{text}");
    }
}

#[test]
fn the_csv_has_a_row_for_everything() {
    let folder = folder();
    let words: Vec<&str> = ASK.split(' ').chain(["--name", STUDENT, "--format", "csv"]).collect();
    let csv = folder.run_with(&words).answer();
    let mut rows = csv::Reader::from_reader(csv.as_bytes());
    let scopes: Vec<String> =
        rows.records().map(|row| row.expect("even rows")[1].to_owned()).collect();
    let count = |scope: &str| scopes.iter().filter(|other| *other == scope).count();
    let answer = ask(&folder, &[]);
    let had = answer["had"].as_array().map_or(0, Vec::len);
    let all = ["games", "habit", "position", "trap", "game", "left", "level"];
    assert_eq!(all.map(count), [1, 1, had, 4, 18, 2, 3]);
}

#[test]
fn without_a_file_of_traps_those_of_a_hunt_are_looked_for() {
    let folder = folder();
    let words = ["student", "own.pgn", "--name", STUDENT, "--format", "json"];
    let answer = folder.run_with(&words).json();
    assert_eq!(answer["traps_from"], "hunt");
    let faced = &answer["traps"][0];
    assert_eq!(
        (&faced["slip"], &faced["times"], &faced["slipped"]),
        (&json!("f6"), &json!(8), &json!(6))
    );
    assert_eq!((&answer["repertoire"], &answer["left"]), (&Value::Null, &json!([])));
}
