//! Files that no person writes, given where one is expected: refused at once with the limit, or
//! read within little memory.

use crate::kit::{Folder, Game};

fn folder() -> Folder {
    Folder::built(Game::of("e4 e5 Nf3 Nc6 Bc4 Nd4").times(60), "--keep-from 1")
}

/// The commands that read such a file.
const READERS: [&str; 5] = [
    "trap file.pgn",
    "lesson file.pgn --out new --overwrite",
    "hunt --as white --repertoire file.pgn",
    "moves --claims file.pgn",
    "gaps file.pgn --as white",
];

/// Runs a command that may take 600 MB of address space, a good part of which is the
/// program itself.
fn run(folder: &Folder, command: &str) -> crate::kit::Run {
    let run = folder.shell(&format!("ulimit -v 600000; exec timeout 300 \"$deadfall\" {command}"));
    run.check(run.status().is_some_and(|status| status < 124), "an end in time and memory");
    run.check(!run.stderr().contains("panicked"), "no panic");
    run.check(run.stderr().len() < 1500, "no message without end");
    run
}

#[test]
fn what_never_ends_or_is_a_dump_is_refused_at_once() {
    let folder = folder();
    folder.write("file.pgn", "\n".repeat((4 << 20) + 1));
    let dump = Game::of("e4 e5 Nf3 Nc6").times(40_000);
    folder.write("month.pgn", &dump);
    folder.write("month.pgn.zst", zstd::encode_all(dump.as_bytes(), 1).expect("memory"));
    for reader in READERS {
        assert!(run(&folder, reader).refused(3).contains("file.pgn is longer than 4 MiB"));
        for (file, words) in [
            ("/dev/zero", "longer than 4 MiB"),
            ("/dev/stdin", "longer than 4 MiB"),
            ("month.pgn", "count it with 'deadfall build'"),
            ("month.pgn.zst", "is compressed (zstd)"),
        ] {
            let command = reader.replace("file.pgn", &format!("{file} < <(yes '1. e4 e5')"));
            let message = run(&folder, &command).refused(3);
            assert!(message.contains(words), "{command}: {message}");
        }
    }
}

/// A megabyte of everything that once took minutes or gigabytes, and of what is like it.
#[test]
fn a_megabyte_of_anything_is_read_or_refused() {
    let folder = folder();
    let repeated = |text: &str| text.repeat((1 << 20) / text.len());
    let there_and_back = "Nf3 Nf6 Ng1 Ng8 ".repeat(98);
    let marked = "Nf3 Nf6?? Ng1 Ng8?? ".repeat(49) + "e4";
    let games = |text: &str| repeated(&format!("[Event \"A\"]\n\n{text} *\n\n"));
    let comb: String = "Nf3 (Nc3) Nf6 (a6) Ng1 (Nd4) Ng8 (a6) ".repeat(8_000);
    for (name, text) in [
        ("tags in one line", repeated("[A \"x\"]")),
        ("end markers", repeated("* ")),
        ("open comments", games("1. e4 {")),
        ("plain traps", games("1. e4 e5?? 2. Nf3")),
        ("long traps", games(&format!("{there_and_back} e4 e5?? d4"))),
        ("marked lines", games(&marked)),
        ("a slip each", format!("{marked} *\n\n").repeat(2)),
        ("a comb", comb),
        ("lines", games(&there_and_back)),
        ("variations", games(&"e4 (d4 d5) (c4 c5) ".repeat(5))),
        ("brackets", repeated("(")),
        ("nested", format!("e4 e5 {}", repeated("(e5 "))),
        ("numbers", repeated("1. ")),
        ("digits", repeated("1")),
        ("a word", repeated("x")),
        ("marks", repeated("?")),
        ("claims", repeated("e4: e5 first\n")),
        ("claims in a row", format!("e4: {}", repeated("e5 first;"))),
        ("long claims", repeated(&format!("{there_and_back}: e4 first\n"))),
        ("a claim", format!("e4: {}", repeated("> "))),
        ("colons", repeated(":")),
        ("zeros", repeated("\0")),
        ("no UTF-8", repeated("\u{2013}")),
        ("closed comments", repeated("{} ")),
        ("escape lines", repeated("%\n")),
        ("escaped quotes", format!("[A \"{}", repeated("\\\""))),
        ("annotations", repeated("$")),
        ("end markers in a variation", format!("e4 ({}", repeated("* "))),
    ] {
        folder.write("file.pgn", text);
        for reader in READERS {
            let status = run(&folder, reader).status();
            assert!(matches!(status, Some(0 | 1 | 3)), "{name}, {reader}: {status:?}");
        }
    }
}

#[test]
fn limits_are_named_with_their_place() {
    let folder = folder();
    let message = |command: &str, text: &str| {
        folder.write("file.pgn", text);
        run(&folder, command).refused(3)
    };
    let [trap, lesson, hunt, claims, gaps] = READERS;
    let traps = "[Event \"A\"]\n\n1. e4 e5?? 2. Nf3 *\n\n".repeat(501);
    for command in [trap, lesson] {
        let message = message(command, &traps);
        assert!(
            message.contains("file.pgn, game 501 (A): ") && message.contains("500 traps"),
            "{message}"
        );
    }
    let long = "Nf3 Nf6 Ng1 Ng8 ".repeat(101);
    assert!(message(trap, &long).contains("game 1: a line goes on after half-move 400"));
    for lines in [hunt, gaps] {
        let message = message(lines, &long);
        assert!(
            message.contains("file.pgn, game 1: a line goes on after half-move 400"),
            "{message}"
        );
    }
    assert!(
        message(claims, &format!("start: e4 first\n{long}: e4 first"))
            .contains("line 2: a line goes on")
    );
    let slips = "Nf3 Nf6?? Ng1 Ng8?? ".repeat(51);
    assert!(
        message(trap, &slips).contains("game 1: 102 moves are marked as slips: the limit is 100")
    );
    let rows = "start: e4 first\n".repeat(2_001);
    assert!(message(claims, &rows).contains("line 2001: with it there are more than 2000 claims"));
    for command in ["moves", "diagram", "trap", "hunt --as white"] {
        let arguments: Vec<&str> = command.split(' ').chain([long.as_str()]).collect();
        assert!(
            folder.run_with(&arguments).refused(3).contains("the limit is 400 half-moves a line")
        );
    }
}

#[test]
fn a_word_without_end_is_not_quoted_to_its_end() {
    let folder = folder();
    let word = "x".repeat(100_000);
    for arguments in [
        &["moves", &word][..],
        &["moves", "--fen", &word],
        &["moves", "--expect", &word],
        &["moves", "--expect", &format!("e4 first {word}")],
        &["diagram", &word],
        &["games", &word, "dump.pgn"],
        &["trap", &format!("1. e4 {word}??")],
    ] {
        let message = folder.run_with(arguments).refused(3);
        assert!(message.len() < 600, "{message}");
    }
}

#[test]
fn a_wrong_number_among_moves_is_an_error_wherever_moves_are_read() {
    let folder = folder();
    for command in ["moves", "diagram"] {
        let message = folder.run(&format!("{command} 1. e4 1600")).refused(3);
        assert!(message.contains("wrong number '1600' at Black's move 1"), "{message}");
    }
    folder.write("file.pgn", "1. e4 e5 (1... c5 3. Nf3) 2. Nf3?? Nc6");
    assert!(folder.run("trap file.pgn").refused(3).contains("file.pgn, game 1: wrong number '3.'"));
    folder.run("hunt --as white --repertoire file.pgn").refused(3);
    let message = folder.run_with(&["moves", "--expect", "7. e4 first"]).refused(3);
    assert!(message.contains("wrong number '7'; write 1. or none"), "{message}");
}
