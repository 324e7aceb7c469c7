//! Signals while the program waits or works: it ends soon, with status 130, and leaves nothing.

use std::fs;
use std::io::Read;
use std::os::unix::fs::PermissionsExt;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use crate::hunt::commands::one_trap;
use crate::interrupt::wait_until;
use crate::kit::{Folder, Game};

const SIGNALS: [&str; 3] = ["INT", "TERM", "HUP"];

/// As at the start of a session.
const HEARD: [&str; 1] = ["--default-signal=INT,TERM,HUP"];

/// The program at work.
fn started(folder: &Folder, handling: &[&str], arguments: &[&str]) -> Child {
    let mut command = folder.listening(handling);
    command.args(arguments).stdout(Stdio::null());
    let child = command.spawn().expect("it starts");
    wait_until(|| caught(&child).count_ones() as usize == SIGNALS.len() + 1 - handling.len());
    child
}

/// Those of our signals that a process listens for, bit 0 for number 1.
fn caught(child: &Child) -> u64 {
    let status = fs::read_to_string(format!("/proc/{}/status", child.id())).unwrap_or_default();
    let mask = status.lines().find_map(|line| line.strip_prefix("SigCgt:"));
    let mask = mask.map_or(0, |mask| u64::from_str_radix(mask.trim(), 16).expect("a mask"));
    mask & (1 << 0 | 1 << 1 | 1 << 14)
}

fn send(signal: &str, child: &Child) {
    let kill = Command::new("kill").args(["-s", signal, &child.id().to_string()]).status();
    assert!(kill.expect("kill is at hand").success());
}

/// Sends a signal and waits; status and standard error. What does not end is ended here.
fn ended_by(signal: &str, child: &mut Child) -> (Option<i32>, String) {
    send(signal, child);
    let started = Instant::now();
    while child.try_wait().expect("it is ours").is_none() {
        if started.elapsed() > Duration::from_secs(20) {
            child.kill().expect("it is ours");
        }
        sleep(Duration::from_millis(5));
    }
    let mut said = String::new();
    child.stderr.take().expect("a pipe").read_to_string(&mut said).expect("text");
    (child.wait().expect("it ended").code(), said)
}

/// Each command is stopped by each signal after `work` and leaves the folder as it was.
#[track_caller]
fn all_are_stopped(folder: &Folder, commands: &[&str], work: Duration) {
    let before = folder.files();
    for signal in SIGNALS {
        for command in commands {
            let arguments: Vec<&str> = command.split(' ').collect();
            let mut child = started(folder, &HEARD, &arguments);
            sleep(work);
            let (status, said) = ended_by(signal, &mut child);
            assert_eq!(status, Some(130), "{command} {signal}: {said}");
            assert!(said.lines().count() <= 1, "{command} {signal}: {said}");
            assert_eq!(folder.files(), before, "{command} {signal}");
        }
    }
}

fn with_pipe(content: &str) -> Folder {
    let folder = Folder::built(content, "--keep-from 1");
    let made = Command::new("mkfifo").arg(folder.path("pipe")).status();
    assert!(made.expect("mkfifo is at hand").success());
    folder
}

#[test]
fn a_pipe_without_a_writer_is_not_waited_for_for_ever() {
    let folder = with_pipe(&Game::of("e4 e5 Nf3").times(5));
    let commands = [
        "build pipe",
        "build pipe --store new.redb",
        "build - --store new.redb",
        "games e4 pipe",
        "games e4 pipe --out found.pgn",
        "games e4 dump.pgn --out pipe",
        "trap pipe",
        "lesson pipe --out folder",
        "moves --claims pipe",
        "moves --claims -",
        "hunt --as white --repertoire pipe",
        "student pipe --name x",
        "student - --name x",
        "gaps pipe --as white --pgn new.pgn --map new.svg",
        "map --traps pipe",
        "map e4 --repertoire pipe --as white --out new.svg",
        "diagram ./pipe --out pictures",
        "trap ./pipe --over deadfall.redb",
        "student dump.pgn --name x --traps pipe --out folder",
    ];
    all_are_stopped(&folder, &commands, Duration::from_millis(30));
}

/// Nobody reads the pipe; or somebody has it open and takes nothing, so that it is full soon.
#[test]
fn a_pipe_that_nobody_reads_is_not_waited_for_for_ever() {
    let folder = Folder::built(one_trap(), "");
    folder.write("traps.pgn", "1. e4 e5 2. Nf3 f6?? 3. Nxe5 *\n");
    folder.write("mine.pgn", "1. e4 e5 2. Nf3 *\n");
    folder.write("own.pgn", Game::of("e4 e5").tag("White", "Fern").times(3));
    folder.write("large.pgn", Game::of("e4 e5 Nf3").times(3000));
    let make = "mkdir a b c d; mkfifo pipe a/lesson.html b/cards.csv c/student.html d/deadfall.1";
    folder.shell(make).ok();
    let commands = [
        "diagram e4 --out pipe",
        "map --out pipe --overwrite",
        "gaps mine.pgn --as white --pgn pipe --map new.svg",
        "gaps mine.pgn --as white --pgn new.pgn --map pipe",
        "hunt --as white --pgn pipe",
        "games e4 dump.pgn --out pipe",
        "lesson traps.pgn --out a",
        "lesson traps.pgn --out b",
        "student own.pgn --name Fern --out c",
        "man --out d",
    ];
    all_are_stopped(&folder, &commands, Duration::from_millis(400));
    let mut reader = folder.shell_started("exec sleep 1000 < pipe");
    all_are_stopped(&folder, &["games e4 large.pgn --out pipe"], Duration::from_millis(600));
    reader.kill().and_then(|()| reader.wait()).expect("it is ours");
}

/// Few bytes that decompress to a hundred gigabytes without a game, and bytes that never end.
#[test]
fn a_bomb_is_stopped_while_it_goes_off() {
    let folder = Folder::new();
    let frame = zstd::encode_all(std::io::repeat(0).take(1 << 27), 1).expect("memory");
    folder.write("zeros.zst", frame.repeat(800));
    let commands = [
        "build zeros.zst",
        "games e4 zeros.zst --out found.pgn",
        "games e4 zeros.zst",
        "build /dev/zero",
        "games e4 /dev/zero --out found.pgn",
    ];
    all_are_stopped(&folder, &commands, Duration::from_millis(300));
}

/// Frames that hold nothing, without end.
#[test]
fn a_dump_of_nothing_is_stopped() {
    let folder = with_pipe(&Game::of("e4").times(5));
    folder.write("skipped.zst", [0x50, 0x2a, 0x4d, 0x18, 0, 0, 0, 0].repeat(1 << 16));
    let before = folder.files();
    let endless =
        format!("while cat {0}/skipped.zst; do :; done >{0}/pipe", folder.path("").display());
    for signal in SIGNALS {
        let mut feeder = Command::new("sh").args(["-c", &endless]).spawn().expect("a shell");
        let mut child = started(&folder, &HEARD, &["build", "pipe", "--store", "new.redb"]);
        sleep(Duration::from_millis(300));
        assert_eq!(ended_by(signal, &mut child).0, Some(130), "{signal}");
        feeder.wait().expect("nobody reads on");
        assert_eq!(folder.files(), before, "{signal}");
    }
}

/// As `timeout` does, and a terminal that closes.
#[test]
fn a_signal_sent_twice_leaves_time_to_tidy_up() {
    let folder = Folder::new();
    for signal in SIGNALS {
        let mut child = started(&folder, &HEARD, &["build", "-"]);
        wait_until(|| folder.files().iter().any(|file| file.ends_with("lock")));
        send(signal, &child);
        send(signal, &child);
        let (status, said) = ended_by(signal, &mut child);
        assert_eq!((status, said.as_str()), (Some(130), "deadfall: stopped; no store was made\n"));
        assert_eq!(folder.files(), [""; 0], "{signal}");
    }
}

#[test]
fn a_signal_that_was_ignored_at_the_start_stays_ignored() {
    let folder = Folder::new();
    for (ignored, other) in [("HUP", "TERM"), ("INT", "HUP"), ("TERM", "INT")] {
        let ignore = format!("--ignore-signal={ignored}");
        let mut child = started(&folder, &[HEARD[0], &ignore], &["build", "-"]);
        wait_until(|| folder.files().iter().any(|file| file.ends_with("lock")));
        send(ignored, &child);
        sleep(Duration::from_millis(300));
        assert!(child.try_wait().expect("it is ours").is_none(), "{ignored} was ignored");
        assert_eq!(ended_by(other, &mut child).0, Some(130), "{ignored} ignored, {other} sent");
    }
}

#[test]
fn an_engine_ends_with_the_program_and_with_all_it_started() {
    let folder = Folder::built(Game::of("e4 f6 d4 g5 Qh5").times(60), "--keep-from 1");
    // It starts a child that outlives it, gives both numbers, and says no more.
    folder.write("engine", "#!/bin/sh\nsleep 1000 &\necho $$ $! > numbers.part\nmv numbers.part numbers\nexec sleep 1000\n");
    let executable = fs::Permissions::from_mode(0o755);
    fs::set_permissions(folder.path("engine"), executable).expect("the file is ours");
    let trap = "1. e4 f6 2. d4 g5?? 3. Qh5#";
    for signal in SIGNALS {
        let arguments = ["trap", trap, "--engine", "./engine"];
        let mut child = started(&folder, &HEARD, &arguments);
        wait_until(|| folder.path("numbers").exists());
        let (status, said) = ended_by(signal, &mut child);
        assert_eq!((status, said.as_str()), (Some(130), "deadfall: stopped\n"), "{signal}");
        let numbers = folder.text("numbers");
        folder.remove("numbers");
        for number in numbers.split_whitespace() {
            wait_until(|| is_gone(number));
        }
    }
}

/// Whether a process has ended; its parent may not have taken note yet.
fn is_gone(number: &str) -> bool {
    match fs::read_to_string(format!("/proc/{number}/stat")) {
        Ok(stat) => stat.rsplit(')').next().is_some_and(|rest| rest.trim().starts_with(['Z', 'X'])),
        Err(_) => true,
    }
}
