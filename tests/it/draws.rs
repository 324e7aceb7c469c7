//! Faults drawn at random for the commands that answer from a store and files by hand: damaged
//! stores and dumps, mangled texts, disks that are full. Few draws each, seeded, so that they are
//! the same each time.

use rand::rngs::StdRng;
use rand::seq::IndexedRandom;
use rand::{RngExt, SeedableRng};

use crate::hunt::commands::one_trap;
use crate::kit::{Folder, Game, Run, random_games};

const TRAPS: &str = "[Event \"One\"]\n\n1. e4 e5 2. Nf3 {a knight} f6?? (2... d6?? 3. d4 (3. Bc4)) 3. Nxe5 *\n\n[Event \"Two\"]\n\
    [Setter \"Black\"]\n\n1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5?? Qg5 *\n";
const LINES: &str = "[Event \"Mine\"]\n[Student \"White\"]\n\n1. e4 {first} e5 (1... c5 2. Nf3 d6 (2... e6 3. d4)) (1... e6 2. d4 $1) \
    2. Nf3 Nc6 3. Bc4 Bc5 *\n\n[Student \"Black\"]\n\n1. e4 e5 2. Nf3 Nc6 (2... Nf6 3. Nxe5) *\n";

/// What reads a store and texts by hand, `~` for a space within a word; what it writes
/// lies in `out`.
const COMMANDS: [&str; 14] = [
    "lesson traps.pgn --out out/a",
    "lesson traps.pgn --out out/a --side victim",
    "gaps mine.pgn --as white --met 0 --pgn out/new.pgn --map out/new.svg",
    "gaps mine.pgn --as black --own level --format csv",
    "map e4 --out out/new.svg",
    "map --traps traps.pgn --repertoire mine.pgn --as white --min-share 0.1%",
    "diagram traps.pgn --setter-below --out out/pictures",
    "trap traps.pgn --over deadfall.redb --over other.redb --chart out/new.svg",
    "trap traps.pgn --by pace",
    "moves e4 --by rating",
    "moves e4 e5 --by pace --format json",
    "games 1.~e4~e5~2.~Nf3~f6??~3.~Nxe5 dump.pgn --won-by setter --out out/games.pgn",
    "student own.pgn --name Fern --traps traps.pgn --repertoire mine.pgn --as white --out out/b",
    "hunt --as white --reached 5 --repertoire mine.pgn --pgn out/new.pgn",
];

fn folder() -> Folder {
    let folder = Folder::built(
        [one_trap(), random_games(51, 200, 40).concat().into_bytes()].concat(),
        "--keep-from 1",
    );
    folder.write("other.pgn", random_games(52, 100, 40).concat().replace("2031.05.", "2031.06."));
    folder.run("build other.pgn --store other.redb --keep-from 1").ok();
    folder.write("traps.pgn", TRAPS);
    folder.write("mine.pgn", LINES);
    let own = Game::of("e4 e5 Nf3 f6 Nxe5").tag("White", "Fern").times(4);
    folder.write("own.pgn", own + &Game::of("e4 e5 Nf3 f6 Bc4").tag("Black", "Fern").times(4));
    std::fs::create_dir(folder.path("out")).expect("it can be made");
    folder
}

/// The words of a command.
fn words(command: &str) -> Vec<String> {
    command.split(' ').map(|word| word.replace('~', " ")).collect()
}

fn run(folder: &Folder, command: &str) -> Run {
    let words = words(command);
    folder.run_with(&words.iter().map(String::as_str).collect::<Vec<_>>())
}

/// Removes what was written, and says what it was.
fn written(folder: &Folder) -> Vec<(String, Vec<u8>)> {
    let files = folder.files();
    let files = files.iter().filter(|file| file.starts_with("out/") && !file.ends_with('/'));
    let found: Vec<_> = files.map(|file| (file.clone(), folder.read(file))).collect();
    std::fs::remove_dir_all(folder.path("out")).expect("it is there");
    std::fs::create_dir(folder.path("out")).expect("it can be made");
    found
}

/// An answer, or one line and nothing written.
#[track_caller]
fn answered_or_refused(folder: &Folder, run: Run, statuses: &[i32], told: &str) -> bool {
    run.check(!run.stderr().contains("panicked"), &format!("no panic: {told}"));
    let files = written(folder);
    if run.status() == Some(0) {
        return true;
    }
    let status = statuses.iter().copied().find(|status| run.status() == Some(*status));
    let Some(status) = status else { panic!("{told}: {run}") };
    run.refused(status);
    let names: Vec<_> = files.into_iter().map(|(name, _)| name).collect();
    assert_eq!(names, [""; 0], "{told}");
    false
}

/// Every command answers here; else the draws below try nothing.
#[test]
fn a_damaged_store_is_an_error_or_does_not_matter() {
    let folder = folder();
    let right: Vec<_> = COMMANDS
        .iter()
        .map(|command| (run(&folder, command).ok().stdout(), written(&folder)))
        .collect();
    let store = folder.read("deadfall.redb");
    let mut chance = StdRng::seed_from_u64(53);
    let mut refused = 0;
    for draw in 0..60 {
        let mut damaged = store.clone();
        match chance.random_range(0..4) {
            0 => damaged.truncate(chance.random_range(0..store.len())),
            1 => damaged
                .iter_mut()
                .skip(chance.random_range(0..store.len()))
                .take(4096)
                .for_each(|byte| *byte = 0),
            _ => damaged[chance.random_range(0..store.len())] ^= 1 << chance.random_range(0..8),
        }
        folder.write("deadfall.redb", damaged);
        let place = draw % COMMANDS.len();
        let run = run(&folder, COMMANDS[place]);
        run.check(!run.stderr().contains("panicked"), "no panic");
        let files = written(&folder);
        if run.status() == Some(0) {
            assert!((run.stdout(), files) == right[place], "draw {draw}: {run}");
        } else {
            run.refused(4);
            assert!(files.is_empty(), "draw {draw}: {} files", files.len());
            refused += 1;
        }
    }
    assert!(refused > 10, "only {refused} of the draws damaged anything that is read");
}

/// Bytes flipped, taken out, put in twice or replaced by others of the text, or the end cut off.
fn mangled(chance: &mut StdRng, text: &str) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..chance.random_range(1..4) {
        let from = chance.random_range(0..bytes.len());
        let to = (from + chance.random_range(1..20)).min(bytes.len());
        match chance.random_range(0..6) {
            0 => bytes[from] = chance.random(),
            1 => drop(bytes.drain(from..to)),
            2 => {
                let part = bytes[from..to].to_vec();
                drop(bytes.splice(from..from, part));
            }
            3 => bytes.truncate(from.max(1)),
            4 => {
                let odd: &[&str] = &[
                    "{",
                    "}",
                    "(",
                    ")",
                    "??",
                    "$4",
                    "\n\n",
                    "[Event \"",
                    "*",
                    "<svg>",
                    "\u{202e}",
                    "&amp;",
                    "1-0",
                ];
                let odd = odd.choose(chance).expect("some").bytes();
                drop(bytes.splice(from..from, odd));
            }
            _ => bytes[from] = *text.as_bytes().choose(chance).expect("some"),
        }
        if bytes.is_empty() {
            break;
        }
    }
    bytes
}

#[test]
fn a_mangled_text_is_answered_or_refused() {
    let folder = folder();
    let mut chance = StdRng::seed_from_u64(54);
    let mut answered = 0;
    let own = folder.text("own.pgn");
    let draws = 140;
    for draw in 0..draws {
        let command = COMMANDS[draw % COMMANDS.len()];
        for (file, text) in [("traps.pgn", TRAPS), ("mine.pgn", LINES), ("own.pgn", &own)] {
            folder.write(
                file,
                if chance.random_bool(0.6) { mangled(&mut chance, text) } else { text.into() },
            );
        }
        let told = format!("draw {draw}, {command}");
        answered += u32::from(answered_or_refused(&folder, run(&folder, command), &[3], &told));
    }
    assert!(answered > 20 && answered < draws as u32, "{answered} of {draws} were answered");
}

/// Each file that is written is larger than what is allowed, or another one of the same command is.
#[test]
fn what_does_not_fit_is_not_left_in_part() {
    let folder = folder();
    let mut refused = 0;
    for command in COMMANDS.iter().filter(|command| command.contains("out/")) {
        let typed: Vec<String> = words(command).iter().map(|word| format!("'{word}'")).collect();
        let typed = typed.join(" ");
        for kilobytes in [0, 1, 4] {
            let line = format!("trap '' XFSZ; ulimit -f {kilobytes}; \"$deadfall\" {typed}");
            let told = format!("{command} within {kilobytes} KiB");
            refused += u32::from(!answered_or_refused(&folder, folder.shell(&line), &[4], &told));
        }
        // Files are whole where only the answer could not be written.
        let right = (run(&folder, command).ok(), written(&folder)).1;
        let said = folder.shell(&format!("\"$deadfall\" {typed} >/dev/full"));
        said.check(matches!(said.status(), Some(0 | 4)), "status 0 or 4");
        said.check(!said.stderr().contains("panicked"), "no panic");
        assert!(written(&folder) == right, "{command}");
    }
    assert!(refused > 10, "{refused}");
}

/// Of several dumps one is damaged or cut off: with `--keep-going` the others count whole, and of
/// that one what can be read.
#[test]
fn with_keep_going_a_damaged_dump_costs_no_other_one() {
    let games: Vec<Vec<String>> = (61..64).map(|seed| random_games(seed, 40, 30)).collect();
    let frames = |games: &[String]| -> Vec<u8> {
        let parts = games.chunks(8).map(|games| zstd::encode_all(games.concat().as_bytes(), 3));
        parts.flat_map(|frame| frame.expect("memory")).collect()
    };
    let whole: Vec<Vec<u8>> = games.iter().map(|games| frames(games)).collect();
    let mut chance = StdRng::seed_from_u64(65);
    let mut whole_builds = 0;
    for draw in 0..24 {
        let folder = Folder::new();
        let bad = draw % 3;
        for (place, bytes) in whole.iter().enumerate() {
            let mut bytes = bytes.clone();
            if place == bad {
                let at = chance.random_range(20..bytes.len());
                match chance.random_bool(0.5) {
                    true => bytes.truncate(at),
                    false => bytes[at] ^= 1 << chance.random_range(0..8),
                }
            }
            folder.write(&format!("{place}.pgn.zst"), bytes);
        }
        let threads = chance.random_range(1..4);
        let dumps = "0.pgn.zst 1.pgn.zst 2.pgn.zst --keep-going";
        let build = folder.run(&format!("build {dumps} --keep-from 1 --threads {threads}"));
        build.check(!build.stderr().contains("panicked"), "no panic");
        if build.status() != Some(0) {
            // Nothing of it can be read.
            let words = format!(
                "no game in {bad}.pgn.zst: it holds no PGN (it is cut off or damaged before"
            );
            assert!(build.refused(3).contains(&words), "draw {draw}");
            continue;
        }
        whole_builds += 1;
        let about = folder.run("about --format json").json();
        let read = |source: &serde_json::Value| source["games_read"].as_u64().expect("a number");
        let sources = about["sources"].as_array().expect("a list");
        for source in sources {
            let name = source["name"].as_str().expect("a name");
            let is_bad = name == format!("{bad}.pgn.zst");
            assert!(
                is_bad || (read(source) == 40 && source["complete"] == true),
                "draw {draw}: {source}"
            );
            // A flipped bit may damage nothing but one letter.
            assert!(read(source) <= 41, "draw {draw}: {source}");
        }
        assert!(sources.len() >= 2, "draw {draw}: {about}");
        let found = folder.run(&format!("games e4 {dumps}")).ok();
        found.check(!found.stderr().contains("panicked"), "no panic");
    }
    assert!(whole_builds > 12, "{whole_builds}");
}
