//! A fresh folder in which the program runs.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

use tempfile::TempDir;

use super::run::{Run, files};

/// A folder of its own for each test; it goes when the test ends.
pub struct Folder(TempDir);

impl Folder {
    pub fn new() -> Folder {
        Folder(TempDir::new().expect("a temporary folder"))
    }

    /// A folder with one file in it.
    pub fn with(name: &str, content: impl AsRef<[u8]>) -> Folder {
        let folder = Folder::new();
        folder.write(name, content);
        folder
    }

    /// A folder with the dump `dump.pgn` and the store `deadfall.redb` built from it.
    #[track_caller]
    pub fn built(dump: impl AsRef<[u8]>, options: &str) -> Folder {
        let folder = Folder::with("dump.pgn", dump);
        folder.run(&format!("build dump.pgn {options}")).ok();
        folder
    }

    pub fn root(&self) -> &Path {
        self.0.path()
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.root().join(name)
    }

    pub fn write(&self, name: &str, content: impl AsRef<[u8]>) {
        fs::write(self.path(name), content).expect("the folder is writable");
    }

    pub fn read(&self, name: &str) -> Vec<u8> {
        fs::read(self.path(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    pub fn text(&self, name: &str) -> String {
        String::from_utf8(self.read(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    pub fn remove(&self, name: &str) {
        fs::remove_file(self.path(name)).unwrap_or_else(|error| panic!("{name}: {error}"));
    }

    /// Everything in it, folders with a slash, sorted.
    pub fn files(&self) -> Vec<String> {
        files(self.root())
    }

    /// Runs the program with arguments that hold no spaces.
    pub fn run(&self, arguments: &str) -> Run {
        self.run_with(&arguments.split_whitespace().collect::<Vec<_>>())
    }

    /// Runs the program.
    pub fn run_with(&self, arguments: &[&str]) -> Run {
        Run::of(self.root(), self.program().args(arguments), b"")
    }

    /// Runs the program with `input` on its standard input.
    pub fn run_on(&self, input: &[u8], arguments: &str) -> Run {
        Run::of(self.root(), self.program().args(arguments.split_whitespace()), input)
    }

    /// Runs a line of the shell in which `$deadfall` is the program.
    pub fn shell(&self, line: &str) -> Run {
        let mut shell = Command::new("bash");
        shell.args(["-c", line]).env("deadfall", env!("CARGO_BIN_EXE_deadfall"));
        Run::of(self.root(), self.prepare(&mut shell), b"")
    }

    /// Starts such a line and does not wait for it.
    pub fn shell_started(&self, line: &str) -> Child {
        let mut shell = Command::new("bash");
        self.prepare(shell.args(["-c", line])).spawn().expect("bash is at hand")
    }

    /// The program, ready to be given arguments and run in the folder.
    pub fn program(&self) -> Command {
        let mut program = Command::new(env!("CARGO_BIN_EXE_deadfall"));
        self.prepare(&mut program);
        program
    }

    /// The same, with signals as at the start of a session, whatever the runner of the tests
    /// ignores; or with other options of `env`.
    pub fn listening(&self, options: &[&str]) -> Command {
        let mut program = Command::new("env");
        program.args(options).arg(env!("CARGO_BIN_EXE_deadfall"));
        self.prepare(&mut program);
        program
    }

    fn prepare<'c>(&self, command: &'c mut Command) -> &'c mut Command {
        command
            .current_dir(self.root())
            .env_remove("DEADFALL_STORE")
            .env("RUST_BACKTRACE", "1")
            .env("LC_ALL", "C")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
    }
}
