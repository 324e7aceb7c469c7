//! One finished run of the program.

use std::fmt;
use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output};

use super::contract;

/// What a run said. Whatever is asked of it and does not hold is reported with the whole run.
pub struct Run {
    command: String,
    folder: String,
    files: Vec<String>,
    output: Output,
}

impl Run {
    /// Runs a command to its end.
    pub fn of(folder: &Path, command: &mut Command, input: &[u8]) -> Run {
        let mut child = command.spawn().unwrap_or_else(|error| panic!("{command:?}: {error}"));
        let mut stdin = child.stdin.take().expect("standard input is a pipe");
        let output = std::thread::scope(|scope| {
            // A program that has seen enough may close its end early.
            scope.spawn(move || drop(stdin.write_all(input)));
            child.wait_with_output().expect("the program can be waited for")
        });
        Run::ended(folder, command, output)
    }

    /// A run that was started elsewhere.
    pub fn ended(folder: &Path, command: &Command, output: Output) -> Run {
        let arguments: Vec<_> = command.get_args().map(|text| text.to_string_lossy()).collect();
        let command = format!("{} {arguments:?}", command.get_program().to_string_lossy());
        Run { command, folder: folder.display().to_string(), files: files(folder), output }
    }

    pub fn stdout(&self) -> String {
        String::from_utf8_lossy(&self.output.stdout).into_owned()
    }

    pub fn stderr(&self) -> String {
        String::from_utf8_lossy(&self.output.stderr).into_owned()
    }

    pub fn status(&self) -> Option<i32> {
        self.output.status.code()
    }

    /// A run that succeeded, whatever it said.
    #[track_caller]
    pub fn ok(self) -> Run {
        self.exits(0)
    }

    /// A run with this exit status.
    #[track_caller]
    pub fn exits(self, status: i32) -> Run {
        self.check(self.status() == Some(status), &format!("exit status {status}"));
        self
    }

    /// The answer of a run that succeeded without a word on standard error.
    #[track_caller]
    pub fn answer(self) -> String {
        let run = self.ok();
        run.check(run.stderr().is_empty(), "nothing on standard error");
        run.stdout()
    }

    /// The answer as JSON, as the help promises it.
    #[track_caller]
    pub fn json(self) -> serde_json::Value {
        let run = self.ok();
        let value = serde_json::from_str(&run.stdout());
        run.check(value.is_ok(), "one JSON object on standard output");
        let value = value.expect("just checked");
        contract::assert_kept(&run.command, &value);
        value
    }

    /// The message of a run that was refused: one line, no answer, no trace of the
    /// program's inside.
    #[track_caller]
    pub fn refused(self, status: i32) -> String {
        let run = self.exits(status);
        let stderr = run.stderr();
        run.check(run.output.stdout.is_empty(), "nothing on standard output");
        run.check(stderr.starts_with("deadfall: "), "a message that begins with the name");
        run.check(stderr.lines().count() == 1 && stderr.ends_with('\n'), "one line");
        run.check(!stderr.contains("panicked") && !stderr.contains("os error"), "plain words");
        stderr.trim_end().to_owned()
    }

    /// Fails with the whole run unless `holds`.
    #[track_caller]
    pub fn check(&self, holds: bool, wanted: &str) {
        assert!(holds, "expected {wanted}\n{self}");
    }
}

impl fmt::Display for Run {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "command: {}", self.command)?;
        writeln!(f, "folder:  {}", self.folder)?;
        writeln!(f, "files:   {}", self.files.join(" "))?;
        writeln!(f, "status:  {}", self.output.status)?;
        writeln!(f, "--- stdout\n{}", self.stdout())?;
        write!(f, "--- stderr\n{}", self.stderr())
    }
}

/// Fails unless a number of JSON is as wanted.
#[track_caller]
pub fn near(value: &serde_json::Value, want: f64) {
    let value = value.as_f64().unwrap_or_else(|| panic!("{value} is no number"));
    assert!((value - want).abs() < 1e-9, "{value}, not {want}");
}

/// Everything in a folder, folders with a slash, sorted.
pub fn files(folder: &Path) -> Vec<String> {
    let mut files = Vec::new();
    list(folder, "", &mut files);
    files.sort();
    files
}

fn list(folder: &Path, prefix: &str, files: &mut Vec<String>) {
    for entry in fs::read_dir(folder).expect("the folder can be listed") {
        let path = entry.expect("the folder can be listed").path();
        let name = path.file_name().expect("an entry has a name").to_string_lossy();
        if path.is_dir() {
            files.push(format!("{prefix}{name}/"));
            list(&path, &format!("{prefix}{name}/"), files);
        } else {
            files.push(format!("{prefix}{name}"));
        }
    }
}
