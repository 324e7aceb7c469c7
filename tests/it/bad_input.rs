//! Whatever is wrong with the input: one line that says so, the right exit status, nothing left
//! behind, and no store touched.

use std::fs;
use std::io::Write;
use std::os::unix::fs::PermissionsExt;

use crate::kit::{Folder, Game, bzip2, gzip};

fn games(count: usize) -> String {
    Game::of("e4 e5 Nf3 Nc6 Bc4 Nd4").times(count)
}

fn compressed(text: &str) -> Vec<u8> {
    zstd::encode_all(text.as_bytes(), 3).expect("memory takes it")
}

/// Different games, so that they do not compress to nothing.
fn many_games() -> String {
    let game = |number: u32| {
        let rating = |step: u32| 1000 + (number * step % 997) as u16;
        Game::of("e4 e5 Nf3 Nc6").ratings(rating(31), rating(17)).tag("Round", &number.to_string())
    };
    (0..4_000).map(|number| game(number * 7_919).to_string()).collect()
}

/// A build of `content` is refused with this status, by a message that holds `words`.
#[track_caller]
fn refuses(content: impl AsRef<[u8]>, status: i32, words: &str) {
    let folder = Folder::with("dump.pgn", content);
    let message = folder.run("build dump.pgn").refused(status);
    assert!(message.contains(words), "{message}");
    for of_a_library in ["orrupt", "deflate", "Data", "Restored", "bzip2:", "descriptor"] {
        assert!(!message.contains(of_a_library), "{message}");
    }
    assert_eq!(folder.files(), ["dump.pgn"], "something was left behind");
}

#[test]
fn what_is_no_dump_is_told_by_what_is_missing() {
    refuses("Minutes of the harbour council\n\nNothing was decided.\n", 3, "no game");
    refuses((0..=255).cycle().take(100_000).collect::<Vec<u8>>(), 3, "no game in dump.pgn");
    refuses("", 3, "it is empty");
    refuses(compressed(""), 3, "it is empty");
    let mut wrong = compressed(&many_games());
    wrong[0] = 0x29;
    refuses(wrong, 3, "no game in dump.pgn");
}

#[test]
fn a_dump_that_breaks_off_or_is_damaged_says_where() {
    let text = many_games();
    let (gzip, bzip2) = (gzip(text.as_bytes()), bzip2(text.as_bytes()));
    let mut zstd = compressed(&text);
    let middle = zstd.len() / 2;
    for whole in [&zstd, &gzip, &bzip2] {
        refuses(&whole[..whole.len() / 2], 3, "breaks off after");
    }
    refuses(&zstd[..zstd.len() - 1], 3, "breaks off after");
    const DAMAGED: &str = " of its games: what follows cannot be decompressed; fetch it again";
    refuses([&zstd[..], b"garbage"].concat(), 3, DAMAGED);
    for mut whole in [zstd.clone(), gzip, bzip2] {
        let middle = whole.len() / 2;
        whole[middle..middle + 40].iter_mut().for_each(|byte| *byte ^= 0x55);
        refuses(whole, 3, "; fetch it again");
    }
    zstd[middle..middle + 40].iter_mut().for_each(|byte| *byte ^= 0x55);
    refuses(zstd, 3, DAMAGED);
    let mut summed = zstd::Encoder::new(Vec::new(), 3).expect("memory");
    summed.include_checksum(true).expect("a setting");
    summed.write_all(text.as_bytes()).expect("memory");
    let mut summed = summed.finish().expect("memory");
    *summed.last_mut().expect("a checksum") ^= 1;
    refuses(summed, 3, " of its games: they do not fit their checksum; fetch it again");
}

#[test]
fn a_dump_without_games_among_others_is_told_when_it_ends() {
    let folder = Folder::with("a.pgn", games(5));
    folder.write("b.pgn", "Minutes of the harbour council\n");
    folder.write("c.pgn", games(6));
    let message = folder.run("build a.pgn b.pgn c.pgn").refused(3);
    assert!(message.contains("no game in b.pgn"), "{message}");
    // A pipe behind it that never ends is not waited for.
    let run = folder.shell("yes \"$(cat a.pgn)\" | timeout 60 \"$deadfall\" build b.pgn -");
    assert!(run.refused(3).contains("no game in b.pgn"));
    assert_eq!(folder.files(), ["a.pgn", "b.pgn", "c.pgn"]);
}

#[test]
fn a_build_of_which_no_game_counts_says_so() {
    let text =
        Game::of("e4 e5").without("WhiteElo").times(3) + &Game::of("d4").result("*").times(2);
    let folder = Folder::with("dump.pgn", text);
    let run = folder.run("build dump.pgn").ok();
    let last = run.stderr().lines().last().map(str::to_owned).unwrap_or_default();
    assert_eq!(last, "warning: none of the games counts (no_result 2, no_rating 3)");
    // The store remembers the dump, and a month without such games joins the others.
    assert_eq!(folder.files(), ["deadfall.redb", "dump.pgn"]);
    let run = Folder::with("dump.pgn", games(2)).run("build dump.pgn").ok();
    run.check(!run.stderr().contains("warning"), "no warning");
}

#[test]
fn keep_going_counts_what_could_be_read_and_remembers_it() {
    let whole = compressed(&many_games());
    let folder = Folder::with("dump.pgn.zst", &whole[..whole.len() * 2 / 3]);
    let run = folder.run("build dump.pgn.zst --keep-going --keep-from 1").ok();
    run.check(run.stderr().contains("Cut short"), "a word about it");
    let about = folder.run("about --format json").json();
    let source = &about["sources"][0];
    assert_eq!(source["complete"], false);
    let counted = source["games_counted"].as_u64().expect("a number");
    assert!((1..4_000).contains(&counted), "{source}");
    assert!(folder.run("about").answer().contains("cut short"));
    let moves = folder.run("moves").answer();
    assert!(moves.contains("Cut short, and counted as far as they could be read"), "{moves}");
    let trap = "1. e4 e5 2. Nf3 f6?? 3. Nxe5";
    let limits =
        |arguments: &[&str]| folder.run_with(arguments).json()["limits"]["incomplete"].clone();
    assert_eq!(limits(&["moves", "--format", "json"]), serde_json::json!(["dump.pgn.zst"]));
    assert_eq!(limits(&["trap", trap, "--format", "json"]), serde_json::json!(["dump.pgn.zst"]));
}

#[test]
fn a_missing_dump_is_named() {
    let folder = Folder::new();
    let message = folder.run("build missing.pgn.zst").refused(3);
    assert!(message.contains("missing.pgn.zst"), "{message}");
    assert_eq!(folder.files(), [""; 0]);
}

#[test]
fn an_empty_folder_holds_no_dump() {
    let folder = Folder::new();
    fs::create_dir(folder.path("dumps")).expect("it can be made");
    let message = folder.run("build dumps").refused(3);
    assert!(message.contains("no dump in the folder dumps"), "{message}");
    assert_eq!(folder.files(), ["dumps/"]);
}

#[test]
fn a_folder_s_dumps_may_have_names_in_capitals() {
    let folder = Folder::new();
    fs::create_dir(folder.path("dumps")).expect("it can be made");
    folder.write("dumps/MAY.PGN", Game::of("e4 e5").times(2));
    folder.write("dumps/june.Pgn", Game::of("d4 d5").times(3));
    folder.write("dumps/JULY.PGN.LOCK", "");
    folder.run("build dumps --keep-from 1").ok();
    assert_eq!(folder.run("moves --format json").json()["games"], 5);
}

/// Every command that opens a store refuses this one, with status 4 and a message that
/// holds `words`.
#[track_caller]
fn no_store(folder: &Folder, words: &str) {
    let before = folder.files();
    folder.write("dump.pgn", games(5));
    for command in ["moves", "about", "about --verify", "export", "build dump.pgn"] {
        let message = folder.run(command).refused(4);
        assert!(message.contains(words), "{command}: {message}");
    }
    let message = folder.run_with(&["trap", "1. e4 f6 2. d4 g5?? 3. Qh5#"]).refused(4);
    assert!(message.contains(words), "trap: {message}");
    folder.remove("dump.pgn");
    assert_eq!(folder.files(), before);
}

#[test]
fn a_file_that_is_no_store_is_refused_and_stays() {
    let folder = Folder::with("deadfall.redb", games(5));
    no_store(&folder, "is not a deadfall store");
    assert_eq!(folder.read("deadfall.redb"), games(5).as_bytes());
}

#[test]
fn an_empty_file_or_a_folder_is_no_store() {
    no_store(&Folder::with("deadfall.redb", ""), "is not a deadfall store");
    let folder = Folder::new();
    fs::create_dir(folder.path("deadfall.redb")).expect("it can be made");
    no_store(&folder, "is not a deadfall store");
}

#[test]
fn a_store_of_another_format_names_both_numbers() {
    let folder = Folder::built(games(5), "--keep-from 1");
    let mut store = folder.read("deadfall.redb");
    let line = format!("deadfall store, format {}", deadfall::store::schema::FORMAT);
    let places: Vec<usize> = memchr::memmem::find_iter(&store, line.as_bytes()).collect();
    assert!(!places.is_empty(), "the store does not say its format in plain text");
    for place in places {
        let last = place + line.len() - 1;
        store[last] = b'9';
    }
    folder.write("deadfall.redb", store);
    let message = folder.run("moves").refused(4);
    assert!(message.contains("format 9") || message.contains("damaged"), "{message}");
}

#[test]
fn a_missing_store_says_how_to_build_one() {
    let folder = Folder::new();
    for command in ["moves", "about", "export"] {
        let message = folder.run(command).refused(4);
        assert!(
            message.contains("there is no store at 'deadfall.redb': build it first"),
            "{message}"
        );
    }
}

#[test]
fn a_folder_that_cannot_be_written_is_refused() {
    let folder = Folder::with("dump.pgn", games(5));
    folder.run("build dump.pgn --temp-dir nowhere").refused(4);
    assert_eq!(folder.files(), ["dump.pgn"]);
    let locked = folder.path("locked");
    fs::create_dir(&locked).expect("it can be made");
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o555)).expect("it is ours");
    if fs::write(locked.join("probe"), "").is_ok() {
        return; // Root may write anywhere.
    }
    let message = folder.run("build dump.pgn --store locked/deadfall.redb").refused(4);
    assert!(message.contains("locked"), "{message}");
}

#[test]
fn a_rating_off_the_band_edges_names_the_nearest() {
    let folder = Folder::built(games(5), "--keep-from 1");
    let message = folder.run("moves --from 1250").refused(2);
    assert!(message.contains("the nearest are 1200 and 1300"), "{message}");
    let message = folder.run("moves --from 1200 --below 1200").refused(2);
    assert!(message.contains("must be lower"), "{message}");
    folder.run("moves --below 9000").refused(2);
}

#[test]
fn options_that_make_no_sense_are_refused_before_any_work() {
    let folder = Folder::with("dump.pgn", games(5));
    for options in [
        "--half-moves 0",
        "--keep-from 0",
        "--memory 1MiB",
        "--memory much",
        "--memory 99999999999GiB",
        "--memory infGiB",
        "--keep-from 18446744073709551615",
        "--half-moves 99999999999999999999",
        "--threads 100000",
        "--threads 0",
        "--since May",
        "--pace fast",
        "--max-gap x",
        "--wrong",
    ] {
        let message = folder.run(&format!("build dump.pgn {options}")).refused(2);
        let option = options.split(' ').next().unwrap_or_default();
        assert!(message.contains(option), "{option}: {message}");
        assert_eq!(folder.files(), ["dump.pgn"], "{options}");
    }
}

#[test]
fn a_line_or_position_that_cannot_be_says_what_is_wrong() {
    let folder = Folder::built(games(5), "--keep-from 1");
    let rows: [(&[&str], &[&str]); 6] = [
        (&["1. e4 e5 2. Bb6"], &["'Bb6'", "White", "2"]),
        (&["1. Nf3 d5 2. d3 d4 3. Nd2"], &["'Nd2' is ambiguous", "Nbd2", "Nfd2"]),
        (&["1. e4 e5 2. Nf33"], &["'Nf33'"]),
        (&["1. e4 {no end"], &["comment is not closed"]),
        (&["--fen", "8/8/8/8/8/8/8/8 w - - 0 1"], &["FEN"]),
        (&["--fen", "nonsense"], &["'nonsense'"]),
    ];
    for (line, words) in rows {
        let message = folder.run_with(&[&["moves"], line].concat()).refused(3);
        words.iter().for_each(|word| assert!(message.contains(word), "{word}: {message}"));
    }
}

#[test]
fn a_trap_without_a_slip_is_refused() {
    let folder = Folder::built(games(5), "--keep-from 1");
    for trap in ["1. e4 e5", "1. e4 e5??", "missing.pgn", "1. e4 Ke7?? 2. d4"] {
        folder.run_with(&["trap", trap]).refused(3);
    }
    folder.write("traps.pgn", "[Event \"Half\"]\n\n1. e4 e5 *\n");
    let message = folder.run("trap traps.pgn").refused(3);
    assert!(message.contains("traps.pgn, game 1 (Half)"), "{message}");
}

#[test]
fn a_claim_that_cannot_be_read_is_refused() {
    let folder = Folder::built(games(5), "--keep-from 1");
    for claim in ["Nf6 seventeenth", "Ke2 first", "e4 >= 400%", ""] {
        folder.run_with(&["moves", "--expect", claim]).refused(3);
    }
}
