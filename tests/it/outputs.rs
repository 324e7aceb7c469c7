//! Files that commands write: never over what they read, all or none, in place of files alone.

use std::fs;
use std::os::unix::fs::{FileTypeExt, symlink};

use crate::hunt::commands::one_trap;
use crate::kit::{Folder, Game};

const TRAPS: &str = "1. e4 e5 2. Nf3 f6?? 3. Nxe5 *\n";

fn folder() -> Folder {
    let folder = Folder::built(one_trap(), "");
    folder.write("traps.pgn", TRAPS);
    folder.write("mine.pgn", "1. e4 e5 2. Nf3 *\n");
    fs::create_dir(folder.path("sub")).expect("it can be made");
    folder
}

/// Names for a file that is there; what they need is made by a command of the shell.
const NAMES: [&str; 6] = ["FILE", "sub/../FILE", "symbolic", "symbolic2", "hard", "sub/both"];
const MAKE: &str = "rm -f symbolic symbolic2 hard sub/both; ln -s FILE symbolic; ln -s symbolic symbolic2; \
    ln FILE hard; ln -s ../hard sub/both";

/// Why a file is refused.
fn said(input: &str) -> &'static str {
    if input == "deadfall.redb" { "is the store" } else { "is read here" }
}

#[test]
fn no_command_writes_over_what_it_reads_by_whatever_name() {
    let folder = folder();
    folder.write("sub/a.pgn", Game::of("e4").times(3));
    for (work, inputs) in [
        ("games e4 dump.pgn traps.pgn --out OUT", &["dump.pgn", "traps.pgn", "deadfall.redb"][..]),
        ("games e4 - --out OUT < dump.pgn", &["dump.pgn", "deadfall.redb"]),
        ("games e4 sub --out OUT", &["sub/a.pgn"]),
        ("hunt --as white --repertoire mine.pgn --pgn OUT", &["mine.pgn", "deadfall.redb"]),
        ("hunt --as white --repertoire - --pgn OUT < mine.pgn", &["mine.pgn"]),
        ("hunt --as white --pgn OUT", &["deadfall.redb"]),
        ("gaps mine.pgn --as white --pgn OUT", &["mine.pgn", "deadfall.redb"]),
        ("gaps - --as white --map OUT < mine.pgn", &["mine.pgn"]),
        (
            "map --traps traps.pgn --repertoire mine.pgn --as white --out OUT",
            &["traps.pgn", "mine.pgn", "deadfall.redb"],
        ),
    ] {
        for input in inputs {
            folder.shell(&MAKE.replace("FILE", input)).ok();
            let (before, files) = (folder.read(input), folder.files());
            for name in NAMES {
                for overwrite in ["", "--overwrite"] {
                    let out = format!("{} {overwrite}", name.replace("FILE", input));
                    let line = format!("\"$deadfall\" {}", work.replace("OUT", &out));
                    let message = folder.shell(&line).refused(4);
                    assert!(message.contains(said(input)), "{line}: {message}");
                    assert!(folder.read(input) == before && folder.files() == files, "{line}");
                }
            }
        }
    }
}

#[test]
fn a_lesson_is_not_written_over_its_traps_or_the_store() {
    for input in ["traps.pgn", "deadfall.redb"] {
        for name in ["lesson.html", "handout.html", "lesson.pgn", "cards.csv"] {
            for make in
                ["ln -s ../FILE sub/NAME", "ln FILE sub/NAME", "ln FILE x; ln -s ../x sub/NAME"]
            {
                let folder = folder();
                folder.shell(&make.replace("FILE", input).replace("NAME", name)).ok();
                let (before, files) = (folder.read(input), folder.files());
                let message = folder.run("lesson traps.pgn --out sub --overwrite").refused(4);
                assert!(message.contains(said(input)), "{message}");
                assert!(folder.read(input) == before && folder.files() == files);
            }
        }
    }
    let folder = folder();
    folder.shell("mkdir out && cp traps.pgn out/lesson.pgn").ok();
    folder.run("lesson out/lesson.pgn --out out --overwrite").refused(4);
    assert_eq!(folder.read("out/lesson.pgn"), TRAPS.as_bytes());
}

#[test]
fn a_students_page_is_not_written_over_what_is_read() {
    let folder = folder();
    folder.write("own.pgn", Game::of("e4 e5").tag("White", "Fern").times(3));
    let options =
        "--name Fern --traps traps.pgn --repertoire mine.pgn --as white --out sub --overwrite";
    for input in ["own.pgn", "traps.pgn", "mine.pgn", "deadfall.redb"] {
        folder.shell(&format!("rm -f sub/student.html; ln -s ../{input} sub/student.html")).ok();
        let (before, files) = (folder.read(input), folder.files());
        let message = folder.run(&format!("student own.pgn {options}")).refused(4);
        assert!(message.contains(said(input)), "{message}");
        assert!(folder.read(input) == before && folder.files() == files);
    }
}

#[test]
fn two_files_of_a_lesson_are_not_one() {
    let folder = folder();
    folder
        .shell("mkdir out && echo old > out/lesson.html && ln -s lesson.html out/lesson.pgn")
        .ok();
    let message = folder.run("lesson traps.pgn --out out --overwrite").refused(4);
    assert!(message.ends_with("out/lesson.pgn and out/lesson.html are one file"), "{message}");
    assert_eq!(folder.read("out/lesson.html"), b"old\n");
}

#[test]
fn a_store_that_is_not_there_yet_is_no_place_for_games() {
    let folder = folder();
    folder.run("games e4 dump.pgn --store new.redb --out ./new.redb").refused(4);
    assert!(!folder.path("new.redb").exists());
}

#[test]
fn of_a_lesson_that_cannot_be_written_nothing_is() {
    let plants: [fn(&Folder); 3] = [
        |folder| fs::create_dir(folder.path("out/lesson.pgn")).expect("it can be made"),
        |folder| fs::create_dir(folder.path("out/lesson.pgn.lock")).expect("it can be made"),
        |folder| symlink("nowhere/lesson.pgn", folder.path("out/lesson.pgn")).expect("a link"),
    ];
    for plant in plants {
        for overwrite in ["", "--overwrite"] {
            for old in [false, true] {
                let folder = folder();
                fs::create_dir(folder.path("out")).expect("it can be made");
                if old {
                    folder.write("out/lesson.html", "old");
                }
                plant(&folder);
                let files = folder.files();
                folder.run(&format!("lesson traps.pgn --out out {overwrite}")).refused(4);
                assert_eq!(folder.files(), files);
                assert!(!old || folder.read("out/lesson.html") == b"old");
            }
        }
    }
}

/// The page is the larger file, so it is the one that does not fit.
#[test]
fn of_a_lesson_on_a_full_disk_nothing_is_left() {
    for kilobytes in [1, 2, 5, 10] {
        for old in [false, true] {
            let folder = folder();
            if old {
                folder.run("lesson traps.pgn --out new/out").ok();
                folder.write("new/out/lesson.pgn", "old");
            }
            let (files, page) = (folder.files(), old.then(|| folder.read("new/out/lesson.html")));
            let limit = format!("trap '' XFSZ; ulimit -f {kilobytes}");
            let lesson = "\"$deadfall\" lesson traps.pgn --out new/out --overwrite";
            let message = folder.shell(&format!("{limit}; {lesson}")).refused(4);
            assert!(message.contains("file too large"), "{message}");
            assert_eq!(folder.files(), files);
            assert!(!old || folder.read("new/out/lesson.pgn") == b"old");
            assert!(page.is_none_or(|page| folder.read("new/out/lesson.html") == page));
        }
    }
}

/// The system would kill a program that writes more than it may, and does not listen.
#[test]
fn a_file_size_limit_is_an_error_like_others() {
    for kilobytes in [0, 1, 2] {
        for work in [
            "games e4 dump.pgn --out sub/out.pgn",
            "lesson traps.pgn --out sub/out",
            "diagram e4 --out sub/e4.svg",
            "build more.pgn --store sub/new.redb",
            "build more.pgn",
        ] {
            let folder = folder();
            folder.write("more.pgn", Game::of("d4 d5 c4 e6").times(60));
            let (before, store) = (folder.files(), folder.read("deadfall.redb"));
            let line = format!("ulimit -c 0; ulimit -f {kilobytes}; exec \"$deadfall\" {work}");
            let message = folder.shell(&line).refused(4);
            assert!(message.contains("file too large"), "{message}");
            assert!(folder.files() == before && folder.read("deadfall.redb") == store, "{work}");
        }
    }
    let folder = folder();
    let line = "(ulimit -c 0; ulimit -f 0; exec \"$deadfall\" export > export.csv)";
    assert!(folder.shell(line).refused(4).contains("cannot write the answer"));
}

#[test]
fn devices_pipes_and_links_stay_what_they_are() {
    let folder = folder();
    folder
        .shell("mkfifo pipe; ln -s pipe to-pipe; ln -s real.pgn to-file; echo old > real.pgn")
        .ok();
    folder.run("games e4 dump.pgn --out direct.pgn").ok();
    for name in ["pipe", "to-pipe"] {
        let line = format!("cat pipe > read & \"$deadfall\" games e4 dump.pgn --out {name}; wait");
        folder.shell(&line).ok();
        assert_eq!(folder.read("read"), folder.read("direct.pgn"));
        let kind = folder.path("pipe").metadata().expect("it is there").file_type();
        assert!(kind.is_fifo());
    }
    folder.run("games e4 dump.pgn --out to-file").refused(4);
    assert_eq!(folder.read("real.pgn"), b"old\n");
    folder.shell("ln -s nowhere to-nothing").ok();
    for overwrite in ["", " --overwrite"] {
        let line = format!("games e4 dump.pgn --out to-nothing{overwrite}");
        assert!(folder.run(&line).refused(4).contains("leads to no file"), "{overwrite}");
    }
    assert!(!folder.path("nowhere").exists());
    folder.run("games e4 dump.pgn --out to-file --overwrite").ok();
    assert!(folder.path("to-file").is_symlink());
    assert_eq!(folder.read("real.pgn"), folder.read("direct.pgn"));
    let message = folder.run("games e4 dump.pgn --out sub --overwrite").refused(4);
    assert_eq!(message, "deadfall: cannot write sub: it is a folder");
}

#[test]
fn a_join_refuses_a_store_that_is_given_twice_by_whatever_name() {
    let folder = Folder::with("one.pgn", Game::of("e4 e5").times(3));
    folder.write("two.pgn", Game::of("d4 d5").times(2));
    for name in ["one", "two"] {
        folder.run(&format!("build {name}.pgn --store {name}.redb --keep-from 1")).ok();
    }
    folder.shell("ln one.redb hard.redb; ln -s one.redb symbolic.redb").ok();
    let (before, files) = (folder.read("one.redb"), folder.files());
    for name in ["one.redb", "./one.redb", "hard.redb", "symbolic.redb"] {
        for (join, said) in [
            ("join one.redb --store NAME", "one.redb is the store at --store"),
            ("join two.redb NAME --store one.redb", "NAME is the store at --store"),
            ("join one.redb two.redb NAME --store new.redb", "NAME and one.redb are one store"),
        ] {
            let [join, said] = [join, said].map(|text| text.replace("NAME", name));
            let message = folder.run(&join).refused(2);
            assert!(message.contains(&said), "{join}: {message}");
            assert!(folder.read("one.redb") == before && folder.files() == files, "{join}");
        }
    }
    folder.run("join two.redb --store one.redb").ok();
    assert_eq!(folder.run("about --format json --store one.redb").json()["games_read"], 5);
}

#[test]
fn a_run_that_is_refused_tidies_up_behind_a_dead_one() {
    let folder = folder();
    folder.run("games e4 dump.pgn --out out.pgn").ok();
    let files = folder.files();
    // As after a kill between the last two steps.
    folder.write("out.pgn.lock", "deadfall lock, version 1\n");
    folder.run("games e4 dump.pgn --out out.pgn").refused(4);
    assert_eq!(folder.files(), files);
    // One that is held is another run's.
    folder.write("out.pgn.lock", "deadfall lock, version 1\n");
    let held = fs::File::open(folder.path("out.pgn.lock")).expect("it is there");
    held.try_lock().expect("nobody holds it");
    let message = folder.run("games e4 dump.pgn --out out.pgn --overwrite").refused(4);
    assert!(message.contains("another deadfall is writing out.pgn"), "{message}");
    assert!(folder.path("out.pgn.lock").exists());
}

#[test]
fn a_store_is_not_written_over_the_dump_that_it_is_made_of() {
    let folder = folder();
    for name in NAMES {
        folder.shell(&MAKE.replace("FILE", "dump.pgn")).ok();
        let (before, files) = (folder.read("dump.pgn"), folder.files());
        let store = name.replace("FILE", "dump.pgn");
        folder.run(&format!("build dump.pgn --store {store}")).refused(4);
        folder.run(&format!("join deadfall.redb --store {store}")).refused(4);
        assert!(folder.read("dump.pgn") == before && folder.files() == files, "{name}");
    }
}

#[test]
fn a_lock_in_a_folder_of_dumps_is_no_dump() {
    let folder = folder();
    folder.write("sub/a.pgn", Game::of("e4").times(3));
    folder.write("sub/found.pgn.lock", "deadfall lock, version 1\n");
    folder.run("build sub --store sub.redb").ok();
}

/// What is asked for and cannot be is refused, not passed over.
#[test]
fn nothing_is_written_over_where_no_file_is_written() {
    let folder = folder();
    for work in [
        "games e4 dump.pgn",
        "games e4 dump.pgn --out -",
        "hunt --as white",
        "gaps mine.pgn --as white",
        "map",
        "map --out -",
        "student dump.pgn --name Fern",
        "diagram e4",
        "diagram e4 --out -",
        "trap traps.pgn",
        "trap traps.pgn --over deadfall.redb --over deadfall.redb",
    ] {
        let message = folder.run(&format!("{work} --overwrite")).refused(2);
        assert!(message.contains("--overwrite: no file is written here"), "{work}: {message}");
    }
}
