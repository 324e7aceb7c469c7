//! What a user or somebody else has put where the program works: it is neither touched
//! nor followed.

use std::fs;
use std::os::unix::fs::{PermissionsExt, symlink};
use std::path::Path;
use std::process::Command;

use crate::interrupt::{signal, wait_until, waiting_build, working_folder};
use crate::kit::{Folder, Game, Run, random_games};

const RANDOM: &str = "deadfall-unfinished-00112233445566778899aabbccddeeff";

fn games(line: &str, count: usize) -> String {
    Game::of(line).times(count)
}

/// Every entry below a folder: its path, and its content or where it links to. No link is followed.
pub fn snapshot(path: &Path) -> Vec<(String, Vec<u8>)> {
    let name = path.display().to_string();
    let kind = path.symlink_metadata().unwrap_or_else(|_| panic!("{name} is gone")).file_type();
    if kind.is_symlink() {
        let to = fs::read_link(path).expect("a link");
        return vec![(name, to.into_os_string().into_encoded_bytes())];
    } else if kind.is_file() {
        return vec![(name, fs::read(path).expect("a file"))];
    }
    let mut found = vec![(name, Vec::new())];
    if kind.is_dir() {
        for entry in fs::read_dir(path).expect("a folder") {
            found.extend(snapshot(&entry.expect("an entry").path()));
        }
    }
    found.sort();
    found
}

fn make_folder(folder: &Folder, name: &str) {
    fs::create_dir(folder.path(name)).expect("it can be made");
}

/// A folder of the user's with files of all the names that the program uses in its own.
pub fn plant_folder(folder: &Folder, name: &str) {
    make_folder(folder, name);
    for file in ["lock", "run-0-0", "store.redb", "new", "old", "mark", "thesis.txt"] {
        folder.write(&format!("{name}/{file}"), format!("my {file}"));
    }
}

/// Stores, dumps, a file of traps, a folder for temporary files.
fn folder() -> Folder {
    let folder = Folder::with("one.pgn", games("e4 e5 Nf3", 5));
    folder.write("two.pgn", games("d4 d5 c4", 5));
    folder.write("three.pgn", games("c4 e5", 5));
    folder.write("traps.pgn", "1. e4 e5 2. Nf3 Nc6 3. Bc4?? Nd4 *\n");
    make_folder(&folder, "elsewhere");
    for name in ["one", "two"] {
        folder.run(&format!("build {name}.pgn --store {name}.redb --keep-from 1")).ok();
    }
    fs::copy(folder.path("one.redb"), folder.path("copy.redb")).expect("copied");
    folder
}

/// Every kind of work on `store.redb`: with what is there before, how it is started, its status.
const WORK: [(&str, &str, i32); 6] = [
    ("", "build one.pgn", 0),
    ("", "build one.pgn --temp-dir elsewhere", 0),
    ("one.redb", "build two.pgn", 0),
    ("one.redb", "build one.pgn --temp-dir elsewhere", 3),
    ("one.redb", "join two.redb", 0),
    ("", "join one.redb copy.redb", 3),
];

/// Does the work of [`WORK`] with `plant` planted, and looks that it stays; what the runs said.
fn works_beside(plant: impl Fn(&Folder) -> Vec<String>, status: Option<i32>) -> Vec<String> {
    let mut said = Vec::new();
    for (before, work, usual) in WORK {
        let folder = folder();
        if !before.is_empty() {
            fs::copy(folder.path(before), folder.path("store.redb")).expect("copied");
        }
        let planted = plant(&folder);
        let look = || planted.iter().map(|name| snapshot(&folder.path(name))).collect::<Vec<_>>();
        let (kept, store) = (look(), fs::read(folder.path("store.redb")).ok());
        let mut files = folder.files();
        let run = folder.run(&format!("{work} --store store.redb")).exits(status.unwrap_or(usual));
        assert_eq!(look(), kept, "{work}");
        if run.status() == Some(0) {
            files.extend(before.is_empty().then(|| "store.redb".to_owned()));
            files.sort();
            folder.run("about --verify --store store.redb").ok();
        } else {
            assert!(fs::read(folder.path("store.redb")).ok() == store, "{work}: another store");
        }
        assert_eq!(folder.files(), files, "{work}");
        said.push(run.stderr());
    }
    said
}

#[test]
fn folders_of_the_names_that_the_program_uses_are_the_users() {
    works_beside(
        |folder| {
            let names = ["store.redb.unfinished", RANDOM, "elsewhere/store.redb.unfinished"];
            names.iter().for_each(|name| plant_folder(folder, name));
            plant_folder(folder, &format!("elsewhere/{RANDOM}"));
            vec!["store.redb.unfinished".into(), RANDOM.into(), "elsewhere".into()]
        },
        None,
    );
}

#[test]
fn links_of_the_names_that_the_program_uses_are_not_followed() {
    works_beside(
        |folder| {
            plant_folder(folder, "precious");
            for name in ["store.redb.unfinished", RANDOM] {
                symlink(folder.path("precious"), folder.path(name)).expect("a link");
                symlink("../precious", folder.path(&format!("elsewhere/{name}"))).expect("a link");
            }
            vec![
                "precious".into(),
                "store.redb.unfinished".into(),
                RANDOM.into(),
                "elsewhere".into(),
            ]
        },
        None,
    );
}

type Plant = fn(&Folder, &str);

/// What may lie at the name of a lock, and what it is called.
const IN_THE_WAY: [(&str, Plant); 7] = [
    ("a file of something else", |folder, name| folder.write(name, "my notes")),
    ("an empty file", |folder, name| folder.write(name, "")),
    ("a file of something else", |folder, name| folder.write(name, "deadfall lock, version 2\n")),
    ("a folder", |folder, name| plant_folder(folder, name)),
    ("a symbolic link", |folder, name| symlink("one.pgn", folder.path(name)).expect("a link")),
    ("a symbolic link", |folder, name| symlink("nowhere", folder.path(name)).expect("a link")),
    ("a device or a pipe", |folder, name| {
        let made = Command::new("mkfifo").arg(folder.path(name)).status();
        assert!(made.expect("mkfifo is at hand").success());
    }),
];

#[test]
fn what_has_the_name_of_the_lock_is_named_and_stays() {
    for (what, plant) in IN_THE_WAY {
        let planted = |folder: &Folder| {
            plant(folder, "store.redb.lock");
            vec!["store.redb.lock".to_owned(), "one.pgn".to_owned()]
        };
        for message in works_beside(planted, Some(4)) {
            let wanted = format!("cannot lock store.redb: store.redb.lock is {what}; it stays");
            assert!(message.contains(&wanted), "{message}");
        }
    }
}

#[test]
fn what_has_the_name_of_the_lock_of_another_file_stays_too() {
    for (what, plant) in IN_THE_WAY {
        for (work, lock) in [
            ("games e4 one.pgn --out out.pgn", "out.pgn.lock"),
            ("lesson traps.pgn --out . --store one.redb", "lesson.html.lock"),
            ("lesson traps.pgn --out . --store one.redb", "lesson.pgn.lock"),
        ] {
            let folder = folder();
            plant(&folder, lock);
            let (files, kept) = (folder.files(), snapshot(&folder.path(lock)));
            let message = folder.run(work).refused(4);
            assert!(message.contains(lock) && message.contains(what), "{work}: {message}");
            assert_eq!((folder.files(), snapshot(&folder.path(lock))), (files, kept), "{work}");
        }
    }
}

const IDENTITY: &str = "0123456789abcdef0123456789abcdef";

fn mark(identity: &str) -> String {
    format!("working folder of deadfall, version 1\n{identity}\n")
}

type Make = fn(&Folder);

/// A folder of the user's with this mark.
fn with_mark(folder: &Folder, name: &str, mark: &str) {
    plant_folder(folder, name);
    folder.write(&format!("{name}/mark"), mark);
}

/// A lock of the right form that nobody holds, which names this folder.
fn plant_lock(folder: &Folder, names: &Path) {
    let text = format!("deadfall lock, version 1\n{IDENTITY} {}\0", names.display());
    folder.write("store.redb.lock", text);
}

#[test]
fn only_folders_with_the_mark_that_the_lock_names_are_removed() {
    let plants: [(&str, Make); 6] = [
        (RANDOM, |folder| plant_folder(folder, RANDOM)),
        (RANDOM, |folder| with_mark(folder, RANDOM, &mark(&IDENTITY.replace('0', "1")))),
        // The beginning of the right mark, but beside other files.
        (RANDOM, |folder| with_mark(folder, RANDOM, "")),
        ("precious", |folder| with_mark(folder, "precious", &mark(IDENTITY))),
        (RANDOM, |folder| {
            with_mark(folder, "precious", &mark(IDENTITY));
            symlink("precious", folder.path(RANDOM)).expect("a link");
        }),
        (RANDOM, |folder| {
            plant_folder(folder, RANDOM);
            folder.remove(&format!("{RANDOM}/mark"));
            folder.write("right", mark(IDENTITY));
            symlink("../right", folder.path(&format!("{RANDOM}/mark"))).expect("a link");
        }),
    ];
    for (number, (name, plant)) in plants.iter().enumerate() {
        for absolute in [false, true] {
            let folder = folder();
            plant(&folder);
            let (kept, mut files) = (snapshot(folder.root()), folder.files());
            plant_lock(&folder, &if absolute { folder.path(name) } else { name.into() });
            let run = folder.run("build one.pgn --store store.redb").ok();
            let note = format!("{name} is left over and stays: it is not the folder that was made");
            run.check(run.stderr().contains(&note), &note);
            files.push("store.redb".into());
            files.sort();
            assert_eq!(folder.files(), files, "{number}");
            folder.remove("store.redb");
            assert_eq!(snapshot(folder.root()), kept, "{number}");
        }
    }
}

#[test]
fn a_folder_of_a_dead_run_with_files_of_others_keeps_those() {
    let folder = folder();
    plant_folder(&folder, RANDOM);
    folder.write(&format!("{RANDOM}/mark"), mark(IDENTITY));
    plant_lock(&folder, Path::new(RANDOM));
    let run = folder.run("build one.pgn --store store.redb").ok();
    let note = format!("{RANDOM} is left over and stays: there are files in it that were not made");
    run.check(run.stderr().contains(&note), &note);
    for name in ["lock", "store.redb", "thesis.txt"] {
        assert_eq!(folder.read(&format!("{RANDOM}/{name}")), format!("my {name}").as_bytes());
    }
}

#[test]
fn a_folder_whose_making_was_cut_short_goes() {
    for length in [None, Some(0), Some(20)] {
        let folder = folder();
        let files = folder.files();
        make_folder(&folder, RANDOM);
        if let Some(length) = length {
            folder.write(&format!("{RANDOM}/mark"), &mark(IDENTITY)[..length]);
        }
        plant_lock(&folder, Path::new(RANDOM));
        let run = folder.run("build one.pgn --store store.redb").ok();
        run.check(!run.stderr().contains("note"), "no note");
        folder.remove("store.redb");
        assert_eq!(folder.files(), files);
    }
}

#[test]
fn what_comes_into_a_working_folder_meanwhile_stays_and_is_named() {
    let folder = folder();
    let arguments = "--store store.redb --temp-dir elsewhere";
    let (command, child, stdin) = waiting_build(&folder, &games("e4", 5), arguments);
    let working = working_folder(&folder).expect("it works");
    folder.write(&format!("{working}thesis.txt"), "mine");
    drop(stdin);
    let output = child.wait_with_output().expect("it ends");
    let run = Run::ended(folder.root(), &command, output).ok();
    run.check(run.stderr().contains(working.trim_end_matches('/')), "the folder's name");
    assert_eq!(folder.read(&format!("{working}thesis.txt")), b"mine");
    assert!(!folder.path("store.redb.lock").exists());
}

#[test]
fn working_folders_are_the_users_alone_and_never_named_twice() {
    let mut names = Vec::new();
    for _ in 0..2 {
        let folder = folder();
        let (_, mut child, stdin) = waiting_build(&folder, "", "--temp-dir elsewhere");
        let is_one = |file: &String| file.contains("deadfall-unfinished-") && file.ends_with('/');
        wait_until(|| folder.files().iter().filter(|file| file.ends_with("/mark")).count() == 2);
        for name in folder.files().into_iter().filter(is_one) {
            let mode = folder.path(&name).metadata().expect("it is there").permissions().mode();
            assert_eq!(mode & 0o777, 0o700, "{name}");
            names.push(name.trim_start_matches("elsewhere/").to_owned());
        }
        signal("-INT", &child);
        child.wait().expect("it ends");
        drop(stdin);
        assert!(!folder.files().iter().any(is_one));
    }
    names.sort();
    names.dedup();
    assert_eq!(names.len(), 4);
}

#[test]
fn a_store_that_is_a_link_stays_one_and_shares_the_lock_of_the_store() {
    let folder = folder();
    make_folder(&folder, "stores");
    symlink("stores/real.redb", folder.path("link.redb")).expect("a link");
    folder.run("build one.pgn --store link.redb").ok();
    let (_, mut child, stdin) = waiting_build(&folder, &games("e4", 5), "--store stores/real.redb");
    let message = folder.run("build two.pgn --store link.redb").refused(4);
    assert!(message.contains("another deadfall is writing stores/real.redb"), "{message}");
    drop(stdin);
    assert!(child.wait().expect("it ends").success());
    assert!(folder.path("link.redb").is_symlink());
    let about = folder.run("about --format json --store link.redb").json();
    assert_eq!(about["games_counted"], 10);
    assert!(
        !folder.files().iter().any(|file| file.contains("lock") || file.contains("unfinished"))
    );
}

/// A file, a link, a folder or another store that is put into the store's place during a build.
#[test]
fn what_comes_into_the_place_of_the_store_meanwhile_stays() {
    let plants: [Plant; 5] = [
        |folder, name| folder.write(name, "my notes"),
        |folder, name| symlink("one.pgn", folder.path(name)).expect("a link"),
        |folder, name| symlink("nowhere", folder.path(name)).expect("a link"),
        |folder, name| plant_folder(folder, name),
        |folder, name| folder.write(name, folder.read("two.redb")),
    ];
    for before in ["", "one.redb"] {
        for plant in plants {
            let folder = folder();
            if !before.is_empty() {
                fs::copy(folder.path(before), folder.path("store.redb")).expect("copied");
            }
            let new_games = random_games(1, 5, 10).concat();
            let options = "--store store.redb --keep-from 1";
            let (command, child, stdin) = waiting_build(&folder, &new_games, options);
            plant(&folder, "planted");
            if !before.is_empty() {
                folder.remove("store.redb");
            }
            fs::rename(folder.path("planted"), folder.path("store.redb")).expect("moved");
            let kept = snapshot(&folder.path("store.redb"));
            drop(stdin);
            let output = child.wait_with_output().expect("it ends");
            let message = Run::ended(folder.root(), &command, output).refused(4);
            assert!(!message.contains("another"), "{message}");
            assert_eq!(snapshot(&folder.path("store.redb")), kept, "{message}");
            assert!(!folder.files().iter().any(|file| file.ends_with(".lock")));
        }
    }
}
