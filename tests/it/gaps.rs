//! `gaps`: what a file of prepared lines leaves unanswered, on the command line and
//! against the model.

use deadfall::answers::Question;
use deadfall::answers::gaps::{GapsAnswer, Own, Settings, gaps};
use deadfall::counts::InMemory;
use deadfall::lines::Prepared;
use serde_json::Value;
use shakmaty::Color;

use crate::kit::{Folder, Game, ModelCounts, dump, near, random_games, real_dump};

/// Behind 1. e4: 60 e5, 25 d5, 15 c5. Behind 1. e4 e5 2. Nf3: 45 Nc6, 15 d6.
fn games() -> String {
    let game = |moves: &str, opening: &str, name: &str| Game::of(moves).opening(opening, name);
    let counted = [
        (game("e4 e5 Nf3 Nc6 Bc4 Bc5 c3", "C50", "Italian Game").ratings(1500, 1400), 45),
        (game("e4 e5 Nf3 d6 d4 exd4", "C41", "Philidor Defense").ratings(1500, 1300), 15),
        (game("e4 d5 exd5 Qxd5 Nc3 Qa5", "B01", "Scandinavian Defense").result("0-1"), 25),
        (game("e4 c5 Nf3 d6 d4 cxd4", "B50", "Sicilian Defense"), 10),
        (game("e4 c5 Nc3 Nc6 Nf3 e5", "B23", "Sicilian Defense: Closed"), 5),
        (game("d4 d5 c4 e6", "D30", "Queen's Gambit"), 50),
    ];
    let told = Game::of("e4 e5 Nf3 Nc6 Bc4 Bc5").evals("0.3 0.2 0.3 0.2 0.25 0.3");
    counted.iter().map(|(game, times)| game.times(*times)).collect::<String>() + &dump(&[told])
}

const LINES: &str = "\
[Event \"My lines\"]
[White \"?\"]

1. e4 {King's pawn} e5! 2. Nf3 (2. Bc4) 2... Nc6 3. Bc4 *

[Event \"Sicilian\"]

1. e4 c5 2. Nf3 d6 (2... a6 3. c4) 3. d4 *
";

fn folder() -> Folder {
    let folder = Folder::built(games(), "--keep-from 1");
    folder.write("lines.pgn", LINES);
    folder
}

#[test]
fn the_json_says_what_is_answered_left_and_met() {
    let folder = folder();
    let answer =
        folder.run("gaps lines.pgn --as white --min-sample 1 --met 0 --format json").json();
    let (e5, nc6, c5) = (61.0 / 101.0, 46.0 / 61.0, 15.0 / 101.0);
    // 2... d6 was all that followed 2. Nf3.
    near(&answer["answered"]["value"], e5 * nc6 + c5);
    near(&answer["unknown"]["value"], 0.0);
    near(&answer["left"]["value"], 25.0 / 101.0 + e5 * 15.0 / 61.0);
    assert_eq!((&answer["as"], &answer["settings"]["own"]), (&"white".into(), &"first".into()));
    assert_eq!(answer["filter"]["below"], 4000);
    assert_eq!(answer["by_ply"].as_array().map(Vec::len), Some(4));
    near(&answer["by_ply"][1]["answered"]["value"], 76.0 / 101.0);
    near(&answer["by_ply"][1]["left"], 25.0 / 101.0);
    let gaps = answer["gaps"].as_array().expect("a list");
    assert_eq!((gaps.len(), answer["gaps_in_all"].as_u64()), (2, Some(2)));
    let gap = &gaps[0];
    near(&gap["met"]["value"], 25.0 / 101.0);
    assert_eq!((&gap["line"], &gap["move"]["san"]), (&"1. e4".into(), &"d5".into()));
    assert_eq!((&gap["move"]["uci"], gap["games"].as_u64()), (&"d7d5".into(), Some(25)));
    assert_eq!(gap["fen"], "rnbqkbnr/pppppppp/8/8/4P3/8/PPPP1PPP/RNBQKBNR b KQkq - 0 1");
    assert_eq!((&gap["name"], &gap["share"]["n"]), (&"Scandinavian Defense".into(), &101.into()));
    near(&gap["score"]["value"], 1.0);
    assert_eq!(
        (&gap["replies"][0]["san"], &gap["replies"][0]["best"]),
        (&"exd5".into(), &serde_json::Value::Null)
    );
    assert_eq!(answer["unused"][0]["line"], "1. e4 c5 2. Nf3 a6");
    assert_eq!(
        (answer["prepared_moves"].as_u64(), answer["carry_95"].as_u64()),
        (Some(7), Some(5))
    );
    assert_eq!(answer["file"]["lines"], 4);
}

#[test]
fn the_page_names_the_gaps_and_what_is_replied() {
    let folder = folder();
    let page = folder.run("gaps lines.pgn --as white --below 2000").answer();
    assert!(
        !page.contains("What players") && page.contains("Behind 2 gaps the games are too"),
        "{page}"
    );
    let page = folder.run("gaps lines.pgn --as white --below 2000 --min-sample 1").answer();
    for words in [
        "Prepared for White: 2 games, 4 lines",
        "In 1 position the file has several moves for White: the first one",
        "Scandinavian Defense (B01)",
        "What players rated below 2000 reply there",
        "1... d5  exd5   usual",
        "Fewer than half of the games ever leave the file.",
        "1. e4 c5 2. Nf3 a6",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    // Tables fit a terminal of 80 columns.
    let table = |line: &&str| line.contains("   ");
    let wide: Vec<&str> = page.lines().filter(table).filter(|line| line.len() > 80).collect();
    assert_eq!(wide, [""; 0]);
}

#[test]
fn the_csv_has_a_row_for_everything() {
    let folder = folder();
    let csv = folder.run("gaps lines.pgn --as white --min-sample 1 --format csv").answer();
    let mut rows = csv::Reader::from_reader(csv.as_bytes());
    let scopes: Vec<String> =
        rows.records().map(|row| row.expect("even rows")[0].to_owned()).collect();
    let count = |scope: &str| scopes.iter().filter(|other| *other == scope).count();
    let all = ["answered", "left", "unknown", "ply", "gap", "reply", "unused"];
    assert_eq!(all.map(count), [1, 1, 1, 4, 2, 2, 1]);
}

#[test]
fn the_file_with_its_gaps_is_read_again_and_answers_them() {
    let folder = folder();
    let options = "--as white --min-sample 1 --met 0 --format json";
    folder.run(&format!("gaps lines.pgn {options} --pgn out.pgn --map out.svg")).ok();
    let text = folder.text("out.pgn");
    assert!(
        text.contains("[Event \"My lines\"]")
            && text.contains("1. e4 {King's pawn} e5!\n(1... d5 2. exd5)"),
        "{text}"
    );
    assert!(text.contains("[Gap1 \"1. e4 d5: met in "), "{text}");
    assert!(text.contains("; the usual reply is 2.exd5, 25 of 25"), "{text}");
    assert_eq!(
        text.matches('{').count(),
        LINES.matches('{').count(),
        "no comment but the author's"
    );
    let again = folder.run(&format!("gaps out.pgn {options}")).json();
    assert!(again["answered"]["value"].as_f64() > Some(0.9), "{again}");
    assert_eq!(again["file"]["games"], 2);
    let svg = folder.text("out.svg");
    for words in
        ["<title id=\"title\">", "e4 d5: 24.8 % of the games, not answered", "url(#hatched)"]
    {
        assert!(svg.contains(words), "{words}");
    }
    assert_eq!(svg.matches("<g>").count(), svg.matches("</g>").count());
    // Neither is written over unless asked.
    for option in ["--pgn out.pgn", "--map out.svg"] {
        let run = folder.run(&format!("gaps lines.pgn --as white {option}"));
        assert!(run.refused(4).contains("already exists"), "{option}");
    }
    folder.run(&format!("gaps lines.pgn {options} --pgn out.pgn --overwrite")).ok();
    assert_eq!(folder.text("out.pgn"), text);
}

#[test]
fn options_choose_the_own_move_the_depth_and_what_is_told() {
    let folder = folder();
    let ask = |options: &str| {
        folder
            .run(&format!("gaps lines.pgn --as white --min-sample 1 --format json {options}"))
            .json()
    };
    near(&ask("--half-moves 2")["answered"]["value"], 76.0 / 101.0);
    assert_eq!(ask("--met 1/10 --top 1")["gaps"].as_array().map(Vec::len), Some(1));
    assert_eq!(ask("--unused 0")["unused"].as_array().map(Vec::len), Some(0));
    // 2. Bc4 is in the file, but nobody played it: half of the games come to its end.
    let e5 = 61.0 / 101.0;
    let level = ask("--own level")["answered"]["value"].as_f64();
    assert_eq!(level, ask("--own first")["answered"]["value"].as_f64());
    near(&ask("--own equal")["answered"]["value"], e5 * (0.5 + 0.5 * 46.0 / 61.0) + 15.0 / 101.0);
    // Nobody below 1400 played another reply than 2... d6.
    let below = ask("--below 1400");
    near(&below["answered"]["value"], 0.0);
    near(&below["gaps"][0]["met"]["value"], 1.0);
}

#[test]
fn input_that_is_no_file_of_lines_is_refused() {
    let folder = folder();
    folder.write("illegal.pgn", "[Event \"Mine\"]\n\n1. e4 e5 2. Nf5 *\n");
    folder.write("empty.pgn", "");
    folder.write("no-lines.pgn", "[Event \"x\"]\n\n*\n");
    folder.write(
        "elsewhere.pgn",
        "[SetUp \"1\"]\n[FEN \"4k3/8/8/8/8/8/8/4K2R w K - 0 1\"]\n\n1. O-O *\n",
    );
    folder.write("open.pgn", "1. e4 {e5 *\n");
    for (file, words) in [
        ("absent.pgn", "cannot read absent.pgn"),
        ("illegal.pgn", "illegal.pgn, game 1 (Mine): no legal move 'Nf5'"),
        ("empty.pgn", "empty.pgn: no game in it: a game begins with"),
        ("no-lines.pgn", "no-lines.pgn: no move by white in it"),
        ("elsewhere.pgn", "it has a FEN tag: write"),
        ("open.pgn", "a comment is not closed"),
    ] {
        let message = folder.run(&format!("gaps {file} --as white")).refused(3);
        assert!(message.contains(words), "{file}: {message}");
    }
    folder.write("one.pgn", "1. e4 *\n");
    let message = folder.run("gaps one.pgn --as black").refused(3);
    assert!(message.contains("no move by black in it"), "{message}");
    folder.run("gaps lines.pgn --as white --store none.redb").refused(4);
    folder.run("gaps lines.pgn --as white --pgn no/such/folder.pgn").exits(4);
    for options in
        ["", "--as red", "--as white --met 2", "--as white --own last", "--as white --half-moves 0"]
    {
        folder.run(&format!("gaps lines.pgn {options}")).refused(2);
    }
    let same = folder.run("gaps lines.pgn --as white --pgn out --map out").refused(4);
    assert!(same.contains("are one file"), "{same}");
    let same = folder.run("gaps lines.pgn --as white --pgn lines.pgn --overwrite").refused(4);
    assert!(same.contains("lines.pgn is read here"), "{same}");
    assert_eq!(folder.read("lines.pgn"), LINES.as_bytes());
}

#[test]
fn a_file_for_the_other_colour_is_pointed_out() {
    let folder = folder();
    folder.write("white.pgn", "1. e4 e5 (1... c5 2. Nf3) 2. Nf3 *\n");
    let page = folder.run("gaps white.pgn --as black").answer().replace('\n', " ");
    assert!(page.contains("if it was prepared for White, say --as white"), "{page}");
}

/// The answer on the model, with everything in it.
fn on_model(model: &InMemory, text: &str, side: Color) -> GapsAnswer {
    let file = Prepared::read(text).expect("a file of lines");
    let settings = Settings { own: Own::Equal, met: 0.0, top: usize::MAX, ..Settings::of(side) };
    let question = Question { min_sample: 1, ..Question::default() };
    let Ok(answer) = gaps(model, &file, &settings, &question);
    answer
}

#[test]
fn the_store_answers_as_the_model_does() {
    let games = random_games(77, 150, 12);
    let folder = Folder::built(games.concat(), "--keep-from 1");
    let model = ModelCounts::of(&games, 30, 1);
    // Every third game is prepared, so that the file meets others.
    let lines: String = games.iter().step_by(3).map(|game| bare(game, 6)).collect();
    folder.write("lines.pgn", &lines);
    for side in [Color::White, Color::Black] {
        let options =
            format!("--as {side} --own equal --met 0 --top 100000 --min-sample 1 --format json");
        let answer = folder.run(&format!("gaps lines.pgn {options}")).json();
        // By way of text, as the other one came.
        let text = serde_json::to_string(&on_model(&model, &lines, side)).expect("plain data");
        let model: Value = serde_json::from_str(&text).expect("JSON");
        for field in ["answered", "left", "unknown", "by_ply", "gaps_in_all", "carry_95"] {
            assert_eq!(answer[field], model[field], "{field}");
        }
        assert!(answer["gaps_in_all"].as_u64() > Some(5), "{answer}");
    }
}

/// The first half-moves of a game without anything else, as a game of its own.
fn bare(game: &str, half_moves: usize) -> String {
    let movetext = game.split("\n\n").nth(1).unwrap_or_default();
    let (mut words, mut depth) = (Vec::new(), 0);
    for word in movetext.split_whitespace() {
        let open = word.starts_with('{');
        depth += usize::from(open);
        let is_move = depth == 0 && word.starts_with(|letter: char| letter.is_ascii_alphabetic());
        if is_move && words.len() < half_moves {
            words.push(word.to_owned());
        }
        depth -= usize::from(word.ends_with('}'));
    }
    words.join(" ") + " *\n\n"
}

/// 200 real games as prepared lines: what is answered, left and unknown is everything, and the gaps
/// are what is left.
#[test]
fn on_real_games_everything_adds_up() {
    let Some(games) = real_dump() else { return };
    let folder = Folder::built(&games, "--keep-from 1");
    let text = String::from_utf8(games).expect("text").replace('\r', "");
    let texts: Vec<&str> = text.split("\n[Event ").collect();
    let lines: String = texts.iter().take(200).map(|game| bare(game, 12)).collect();
    folder.write("lines.pgn", lines);
    for options in ["--as white", "--as black --own level", "--as white --own equal"] {
        let options = format!("{options} --met 0 --top 100000 --min-sample 1 --format json");
        let answer = folder.run(&format!("gaps lines.pgn {options}")).json();
        let value = |field: &str| answer[field]["value"].as_f64().expect("a number");
        let gaps = answer["gaps"].as_array().expect("a list");
        assert!(gaps.len() > 20, "{}", gaps.len());
        let met: f64 = gaps.iter().map(|gap| gap["met"]["value"].as_f64().expect("a number")).sum();
        assert!((met + value("answered") + value("unknown") - 1.0).abs() < 1e-9, "{met}");
        assert!((met - value("left")).abs() < 1e-9);
        for field in ["answered", "left", "unknown"] {
            let ends = ["low", "value", "high"].map(|end| answer[field][end].as_f64());
            assert!(ends.is_sorted(), "{field}: {ends:?}");
        }
    }
}
