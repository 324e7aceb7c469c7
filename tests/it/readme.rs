//! Every command of the README runs as it is written there.

use std::fs;
use std::os::unix::fs::{PermissionsExt, symlink};
use std::path::Path;

use crate::kit::{Folder, Game, random_games};

const README: &str = include_str!("../../README.md");

/// The blocks of commands of the program, in order; lines that go on in the next one are kept together.
fn blocks() -> Vec<&'static str> {
    let fenced = README.split("\n```").skip(1).step_by(2);
    let blocks = fenced.filter_map(|block| block.split_once('\n').map(|(_, text)| text));
    blocks.filter(|text| text.starts_with("deadfall ") || text.contains("\ndeadfall ")).collect()
}

/// A folder with the sample, the files that the commands speak of, and the program and what it is used with in `bin`.
fn folder() -> Folder {
    let folder = Folder::new();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    symlink(root.join("data-samples"), folder.path("data-samples")).expect("it can be linked");
    ["bin", "dumps"].iter().for_each(|name| fs::create_dir(folder.path(name)).expect("new"));
    let program = env!("CARGO_BIN_EXE_deadfall");
    symlink(program, folder.path("bin/deadfall")).expect("it can be linked");
    for (name, text) in [("zstd", "#!/bin/sh\ncat \"${2%.zst}\"\n"), ("less", "#!/bin/sh\ncat\n")] {
        folder.write(&format!("bin/{name}"), text);
        let path = folder.path("bin").join(name);
        fs::set_permissions(path, fs::Permissions::from_mode(0o755)).expect("it is ours");
    }
    let months = [("next-month", 1), ("june", 2), ("harbour-2031-05", 3), ("harbour-2031-06", 4)];
    for (name, seed) in months {
        let mut text = random_games(seed, 100, 40).concat();
        text += &Game::of("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5").times(10);
        if name.ends_with("-06") {
            text = text.replace("2031.05.", "2031.06.");
        }
        folder.write(&format!("{name}.pgn"), &text);
        let packed = zstd::encode_all(text.as_bytes(), 1).expect("memory takes it");
        folder.write(&format!("{name}.pgn.zst"), packed);
    }
    folder.write("dumps/may.pgn", Game::of("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5").times(20));
    folder.write("mine.pgn", "1. e4 e5 2. Nf3 f6 3. Nxe5 *\n");
    folder
}

#[test]
fn every_command_of_the_readme_runs() {
    let folder = folder();
    let blocks = blocks();
    let commands = blocks.iter().flat_map(|block| block.lines());
    let commands = commands.filter(|line| line.contains("deadfall ") && !line.starts_with('$'));
    assert!(commands.count() >= 20 && blocks.len() >= 10, "{blocks:?}");
    for block in blocks {
        // A claim may fail on the sample.
        let claims = |line: &&str| line.contains(" --expect ") || line.contains(" --claims ");
        let may_fail =
            |line| if claims(&line) { format!("{line} || test $? = 1") } else { line.to_owned() };
        let lines: Vec<String> = block.lines().map(may_fail).collect();
        let start = "set -e -o pipefail; export PATH=\"$PWD/bin:$PATH\"";
        let run = folder.shell(&format!("{start}\n{}", lines.join("\n"))).ok();
        run.check(!run.stderr().contains("panicked"), "no panic");
    }
    for made in [
        "deadfall.redb",
        "year.redb",
        "found.pgn",
        "monday/lesson.html",
        "monday/cards.csv",
        "map.svg",
        "diagram.svg",
    ] {
        assert!(folder.path(made).metadata().is_ok_and(|made| made.len() > 0), "{made}");
    }
}
