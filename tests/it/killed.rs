//! Runs killed at random moments.

use std::ffi::OsStr;
use std::fs;
use std::os::unix::ffi::OsStrExt;
use std::path::{Path, PathBuf};
use std::thread::sleep;
use std::time::Instant;

use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};

use crate::foreign::{plant_folder, snapshot};
use crate::kit::{Folder, greedy, random_games};

/// Work that is killed: how it is started, and the file or folder that it makes.
const WORK: [(&str, &str); 7] = [
    ("build more.pgn.zst --store new.redb --memory 256MiB --threads 1", "new.redb"),
    ("build more.pgn.zst --memory 256MiB --threads 1", "deadfall.redb"),
    ("build more.pgn.zst --memory 256MiB --threads 1 --temp-dir TEMP", "deadfall.redb"),
    ("join other.redb", "deadfall.redb"),
    ("games e4 dump.pgn --out out.pgn", "out.pgn"),
    ("games e4 dump.pgn --out out.pgn --overwrite", "out.pgn"),
    ("lesson traps.pgn --out out --overwrite", "out"),
];

/// A folder for temporary files whose name is no UTF-8.
fn temp(folder: &Folder) -> PathBuf {
    folder.root().join(OsStr::from_bytes(b"temp\xff"))
}

fn games(seed: u64, count: usize) -> String {
    random_games(seed, count, 40).concat()
}

/// A folder with what the work needs, and with folders of the user's that have the program's names.
fn folder() -> Folder {
    let folder = Folder::built(games(1, 300), "--keep-from 1");
    folder.write("more.pgn.zst", greedy(&games(2, 600)));
    folder.write("other.pgn", games(3, 300));
    folder.run("build other.pgn --store other.redb --keep-from 1").ok();
    folder.write("traps.pgn", "1. e4 e5 2. Nf3 f6?? 3. Nxe5 *\n");
    fs::create_dir(temp(&folder)).expect("it can be made");
    plant_folder(&folder, "deadfall.redb.unfinished");
    plant_folder(&folder, "deadfall-unfinished-00112233445566778899aabbccddeeff");
    fs::write(temp(&folder).join("run-0-0"), "my run").expect("written");
    folder
}

/// Kills the work of a row of [`WORK`], each time after a random share of its time.
struct Killer {
    folder: Folder,
    chance: StdRng,
    old: usize,
    new: usize,
}

impl Killer {
    fn start(&self, work: &str) -> std::process::Child {
        let mut command = self.folder.program();
        for word in work.split_whitespace() {
            match word {
                "TEMP" => command.arg(temp(&self.folder)),
                word => command.arg(word),
            };
        }
        command.spawn().expect("it starts")
    }

    /// What the work makes: stores by what they hold, other files by their bytes.
    fn content(&self, made: &str) -> Vec<(String, Vec<u8>)> {
        let path = self.folder.path(made);
        if !path.exists() {
            return Vec::new();
        } else if !made.ends_with(".redb") {
            return snapshot(&path);
        }
        let run = |command: &str| self.folder.run(&format!("{command} --store {made}")).answer();
        let export = ["about --verify", "export"].map(run)[1].clone();
        vec![(made.to_owned(), export.into_bytes())]
    }

    fn restore(&self, made: &str, old: &Option<Vec<u8>>) {
        let path = self.folder.path(made);
        match (old, path.is_dir()) {
            (Some(old), _) => self.folder.write(made, old),
            (None, true) => fs::remove_dir_all(path).expect("it is there"),
            (None, false) => drop(fs::remove_file(path)),
        }
    }

    /// Everything but what the work makes.
    fn others(&self, made: &str) -> Vec<(String, Vec<u8>)> {
        let made = self.folder.path(made);
        let mut all = snapshot(self.folder.root());
        all.retain(|(path, _)| !Path::new(path).starts_with(&made));
        all
    }

    fn kill(&mut self, work: &str, made: &str, kills: usize) {
        let old_file = made.ends_with(".redb").then(|| self.folder.path(made));
        let old_file =
            old_file.filter(|path| path.exists()).map(|path| fs::read(path).expect("read"));
        let (others, old) = (self.others(made), self.content(made));
        let started = Instant::now();
        assert!(self.start(work).wait().expect("it ends").success(), "{work}");
        let mut whole = started.elapsed();
        let new = self.content(made);
        assert!(new != old && self.others(made) == others, "{work}");
        let (mut dead, mut round) = (0, 0);
        while dead < kills {
            round += 1;
            assert!(round < 20 * kills, "{work}: it cannot be killed in time");
            self.restore(made, &old_file);
            let mut child = self.start(work);
            // Half of them near the end, where files take their places.
            let from = if round % 2 == 0 { 0.0 } else { 0.7 };
            sleep(whole.mul_f64(self.chance.random_range(from..1.0)));
            child.kill().expect("it can be killed");
            match child.wait().expect("it ends").success() {
                true => whole = whole.mul_f64(0.9),
                false => dead += 1,
            }
            let now = self.content(made);
            match made {
                // Several files; each is the old or the new one.
                "out" => {
                    assert!(now.iter().all(|one| new.contains(one) || made_on_the_way(&one.0)))
                }
                _ => {
                    assert!(now == old || now == new, "{work}: neither the old nor the new content")
                }
            }
            self.old += usize::from(now == old);
            self.new += usize::from(now == new);
            // The next run for the same place may find that everything is done.
            let run = self.start(work).wait_with_output().expect("it ends");
            let said = String::from_utf8_lossy(&run.stderr);
            let done = said.contains("is already in") || said.contains("already exists");
            let done = done || said.contains("would count twice");
            assert!(run.status.success() || done, "{work}: {said}");
            assert!(!said.contains("note: "), "{work}: {said}");
            assert!(self.content(made) == new, "{work}: not the new content");
            assert!(self.others(made) == others, "{work}: something is left, or touched");
        }
        self.restore(made, &old_file);
    }
}

fn made_on_the_way(path: &str) -> bool {
    path.contains("deadfall-unfinished-") || path.ends_with(".lock")
}

/// Kills each kind of work so many times.
fn kill_all(kills: usize) {
    let chance = StdRng::seed_from_u64(3);
    let mut killer = Killer { folder: folder(), chance, old: 0, new: 0 };
    for (work, made) in WORK {
        killer.kill(work, made, kills);
    }
    let Killer { old, new, .. } = killer;
    assert!(old > 0, "{old} left the old content, {new} the new one");
}

#[test]
fn a_killed_run_loses_nothing_and_the_next_one_tidies_up() {
    kill_all(6);
}

#[test]
#[ignore = "two hundred kills"]
fn two_hundred_killed_runs_lose_nothing_and_leave_nothing() {
    kill_all(30);
}
