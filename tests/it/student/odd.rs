//! Odd names, games and files.

use serde_json::{Value, json};

use deadfall::answers::Question;
use deadfall::answers::student::{Asked, Settings, TrapSource, student};
use deadfall::counts::InMemory;
use deadfall::extract::{WantedStudent, read_students};
use deadfall::lines::{Prepared, Trap};
use deadfall::source::Place;

use crate::fuzzed::drawn;
use crate::kit::Folder;

use super::{ASK, LINES, RIVAL, STUDENT, TRAPS, ask, folder, month, others, own, own_games};

#[test]
fn names_are_compared_without_case_and_other_spellings_belong_to_one_student() {
    let folder = folder();
    let renamed = own_games().replacen("Fern Keel", "J\u{f6}rg \\\"F\\\" Keel", 9);
    folder.write("own.pgn", &renamed);
    let games = |names: &[&str]| {
        let words: Vec<&str> = ASK.split(' ').chain(["--format", "json"]).collect();
        let answer = folder.run_with(&[&words[..], names].concat()).json();
        answer["games"]["as_white"].as_u64().zip(answer["games"]["as_black"].as_u64())
    };
    assert_eq!(games(&["--name", " fern keel", "--also", "J\u{f6}rg \"f\" KEEL"]), Some((17, 13)));
    assert_eq!(games(&["--name", "J\u{f6}rg \"F\" Keel"]), Some((1, 8)));
    // The standard's own letters are read as such.
    let latin: Vec<u8> = renamed.chars().map(|letter| letter as u8).collect();
    folder.write("own.pgn", latin);
    assert_eq!(games(&["--name", "J\u{f6}rg \"F\" Keel"]), Some((1, 8)));
}

/// A misspelt one loses no games in silence: it is told as a wrong name would be, and not said to
/// be the student's.
#[test]
fn another_spelling_that_no_game_has_is_told() {
    let folder = folder();
    let words: Vec<&str> = ASK.split(' ').collect();
    let run =
        folder.run_with(&[&words[..], &["--name", STUDENT, "--also", "Fern Kell"]].concat()).ok();
    let note = run.stderr();
    assert!(
        note.contains("--also: no game of 'Fern Kell' in own.pgn; is it 'Fern Keel'?"),
        "{note}"
    );
    assert!(!run.stdout().contains("Kell"), "{}", run.stdout());
}

#[test]
fn games_of_any_kind_are_taken() {
    let folder = folder();
    let plain =
        own("e4 e5 Nf3 f6", false, "0-1").tag("Event", "casual game").without("TimeControl");
    let plain = plain.without("WhiteElo").without("BlackElo").without("UTCDate");
    let unmarked = plain.to_string().replace("f6 0-1", "f6");
    let untagged = plain.without("Result").to_string().replace("f6 *", "f6 0-1");
    folder.write("own.pgn", (unmarked + &untagged).replace('\n', "\r\n"));
    let answer = ask(&folder, &[]);
    assert_eq!(
        (&answer["games"]["as_black"], &answer["games"]["ratings"]),
        (&json!(2), &Value::Null)
    );
    assert_eq!(answer["level"]["basis"], "no_ratings");
    assert_eq!((&answer["level"]["from"], &answer["level"]["below"]), (&json!(0), &json!(4000)));
    let packed = zstd::encode_all(&folder.read("own.pgn")[..], 3).expect("memory");
    folder.write("own.pgn", packed);
    assert_eq!(ask(&folder, &["--below", "1600"])["level"]["basis"], "given");
    let none = own_games().replace("1480", "?");
    folder.write("own.pgn", none);
    assert_eq!(ask(&folder, &["--from", "1400"])["level"]["from"], 1400);
}

#[test]
fn input_that_holds_no_game_of_the_student_is_refused() {
    let folder = folder();
    let refused =
        |arguments: &[&str]| folder.run_with(&[&["student"], arguments].concat()).refused(3);
    let message = refused(&["own.pgn", "--name", "Fern Kele"]);
    assert!(message.contains("no game of 'Fern Kele' in own.pgn; is it 'Fern Keel'?"), "{message}");
    let far = "no game of 'x' in own.pgn; no name there is near it; write it as in the White or Black tag";
    assert!(refused(&["own.pgn", "--name", STUDENT, "--name", "x"]).contains(far));
    folder.write("empty.pgn", "");
    assert!(refused(&["empty.pgn", "--name", "x"]).contains("it is empty"));
    folder.write("text.pgn", "No games here.\n");
    assert!(refused(&["text.pgn", "--name", "x"]).contains("no game in text.pgn"));
    assert!(refused(&["absent.pgn", "--name", "x"]).contains("absent.pgn"));
    assert!(refused(&["/dev/zero", "--name", "x"]).contains("in its first 64 MiB"));
    folder.write("bad.pgn", "1. e4 e4 *\n");
    assert!(refused(&["own.pgn", "--name", STUDENT, "--traps", "bad.pgn"]).contains("bad.pgn"));
    let repertoire = ["--repertoire", "bad.pgn", "--as", "white"];
    assert!(
        refused(&[&["own.pgn", "--name", STUDENT][..], &repertoire].concat()).contains("bad.pgn")
    );
    // All left out is an answer.
    folder.write("own.pgn", others());
    let answer = ask(&folder, &[]);
    assert_eq!((&answer["games"]["as_white"], &answer["habits"]), (&json!(0), &json!([])));
    folder.run_with(&["student", "own.pgn", "--name", STUDENT]).answer();
    for wrong in [
        &["own.pgn"][..],
        &["own.pgn", "--name", "?"],
        &["own.pgn", "--name", "x", "--times", "0"],
        &["own.pgn", "--name", "x", "--repertoire", "lines.pgn"],
        &["own.pgn", "--name", "x", "--as", "white"],
        &["own.pgn", "--name", "x", "--below", "1550"],
        &["own.pgn", "--also", "x"],
    ] {
        folder.run_with(&[&["student"], wrong].concat()).refused(2);
    }
    let none = ["student", "own.pgn", "--name", STUDENT, "--store", "none.redb"];
    folder.run_with(&none).refused(4);
}

/// Any bytes are read or refused, and every game of them is taken or left out.
#[test]
fn any_bytes_are_read_or_refused() {
    let folder = Folder::new();
    let seeds =
        [own_games(), others() + &own_games(), month(), TRAPS.to_owned(), "\0\u{feff}".to_owned()];
    let seeds =
        seeds.map(|text| text.into_bytes()[..].iter().copied().take(6_000).collect::<Vec<u8>>());
    let names = [&[STUDENT, RIVAL][..], &[STUDENT], &["pilot 7"]];
    let wanted =
        names.map(|names| WantedStudent { names: names.iter().map(|&name| name.into()).collect() });
    let traps: Vec<Trap> =
        Trap::read_all(TRAPS).into_iter().map(|trap| trap.expect("a trap")).collect();
    let file = Prepared::read(LINES).expect("lines");
    let settings = Settings { times: 1, ..Settings::of(30) };
    let asked = Asked {
        settings: &settings,
        given_level: false,
        traps: &traps,
        traps_from: TrapSource::File,
        prepared: Some((&file, shakmaty::Color::Black)),
    };
    let place = Place::File(folder.path("any.pgn"));
    let mut found = 0;
    for bytes in seeds.iter().cloned().chain(drawn(&seeds, 400)) {
        folder.write("any.pgn", &bytes);
        for one in &wanted {
            let Ok(read) = read_students(&place, std::slice::from_ref(one), 30) else { continue };
            let games = read.games;
            let games = &games[0];
            let taken = games.taken.len() as u64;
            assert_eq!(
                taken + games.left_out.total(),
                games.read,
                "{:?}",
                String::from_utf8_lossy(&bytes)
            );
            let Ok(answer) = student(&InMemory::counting(30), games, &asked, &Question::default());
            assert_eq!(answer.games.taken(), taken);
            found += taken;
        }
    }
    assert!(found > 1000, "{found}");
}
