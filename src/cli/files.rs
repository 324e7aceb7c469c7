//! Files that a user names: texts to be read, files to be written.

use std::fs::{File, OpenOptions, Permissions};
use std::io::{self, BufWriter, Read, Write};
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};

use clap::Args;

use super::error::CliError;
use crate::lines::MOST_BYTES;
use crate::source::{Format, plain};

/// What becomes of files that are in the way.
#[derive(Clone, Copy, Debug, Args)]
pub struct InTheWay {
    /// Write over files that are there already
    #[arg(long)]
    pub overwrite: bool,
}

/// The text of a file that a person wrote; `-` is standard input.
///
/// # Errors
///
/// A file that cannot be read, one that is too long for a person to have written, or a compressed one:
/// those are dumps named by mistake.
pub fn read_text(path: &Path) -> Result<String, CliError> {
    let name = path.display();
    let mut bytes = Vec::new();
    let most = MOST_BYTES as u64 + 1;
    let read = match path.as_os_str() == "-" {
        true => io::stdin().take(most).read_to_end(&mut bytes),
        false => File::open(path).and_then(|file| file.take(most).read_to_end(&mut bytes)),
    };
    read.map_err(|error| CliError::Input(format!("cannot read {name}: {}", plain(&error))))?;
    match Format::detect(&bytes) {
        Format::Plain if bytes.len() > MOST_BYTES => Err(CliError::Input(format!(
            "{name} is longer than {} MiB, the limit for a file of traps, lines or claims: part it, or if it \
             is a dump of games, count it with 'deadfall build'",
            MOST_BYTES >> 20
        ))),
        Format::Plain => Ok(String::from_utf8_lossy(&bytes).into_owned()),
        packed => Err(CliError::Input(format!(
            "{name} is compressed ({packed}), as dumps of games are: count a dump with 'deadfall build', \
             look for games in it with 'deadfall games'"
        ))),
    }
}

/// Whether an argument that may be a line of moves or a file is a file: there is one, or it looks
/// like a path. A line never ends in a file extension; what stands behind its last dot is a move.
pub fn names_file(argument: &str) -> bool {
    let (stem, extension) = argument.rsplit_once('.').unwrap_or((argument, ""));
    let word = stem.rsplit(char::is_whitespace).next().unwrap_or(stem);
    let is_number = word.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
    let is_extension =
        extension.len() > 1 && extension.bytes().all(|byte| byte.is_ascii_alphabetic());
    let first = argument.split_whitespace().next().unwrap_or_default();
    Path::new(argument).exists() || is_extension && !is_number || first.contains('/')
}

/// Refuses a path whose folder is not there, before anything is made in it.
pub fn needs_folder(path: &Path) -> Result<(), CliError> {
    let folder = folder_of(path);
    match folder.is_dir() {
        true => Ok(()),
        false => Err(CliError::File(format!(
            "cannot make {}: there is no folder {}; make it first, or name another place",
            path.display(),
            folder.display()
        ))),
    }
}

fn folder_of(path: &Path) -> &Path {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    folder.unwrap_or(Path::new("."))
}

/// A file to be written. It takes its place when it is whole, so that a run that fails leaves what
/// was there.
pub struct OutFile {
    path: PathBuf,
    overwrite: bool,
}

impl OutFile {
    /// The file at `path`.
    ///
    /// # Errors
    ///
    /// There is such a file already and it is not to be overwritten.
    pub fn new(path: PathBuf, way: InTheWay) -> Result<OutFile, CliError> {
        let file = OutFile { path, overwrite: way.overwrite };
        if !file.overwrite && file.path.is_file() { Err(file.exists()) } else { Ok(file) }
    }

    fn exists(&self) -> CliError {
        let name = self.path.display();
        CliError::File(format!("{name} is there already: choose another name, or say --overwrite"))
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The error of a write that failed.
    pub fn failed(&self, error: io::Error) -> CliError {
        match error.kind() {
            io::ErrorKind::AlreadyExists => self.exists(),
            _ => CliError::OutFile { path: self.path.clone(), error },
        }
    }

    /// Writes the whole file.
    ///
    /// # Errors
    ///
    /// Those of `content`; whatever keeps the file from being written.
    pub fn write<T>(
        &self,
        content: impl FnOnce(&mut BufWriter<&mut File>) -> Result<T, CliError>,
    ) -> Result<T, CliError> {
        let failed = |error| self.failed(error);
        let fill = |file: &mut File| {
            let mut out = BufWriter::with_capacity(1 << 16, file);
            let result = content(&mut out)?;
            out.flush().map_err(failed)?;
            Ok(result)
        };
        // A device or a pipe is written to; renaming would put a file in its place.
        if self.path.metadata().is_ok_and(|metadata| !metadata.is_file()) {
            return fill(&mut OpenOptions::new().write(true).open(&self.path).map_err(failed)?);
        }
        // Readable as files usually are, less what the umask takes; by default it would be private.
        let mut file = tempfile::Builder::new()
            .prefix(".deadfall-")
            .permissions(Permissions::from_mode(0o666))
            .tempfile_in(folder_of(&self.path))
            .map_err(failed)?;
        let result = fill(file.as_file_mut())?;
        let placed = match self.overwrite {
            true => file.persist(&self.path),
            false => file.persist_noclobber(&self.path),
        };
        placed.map_err(|error| failed(error.error))?;
        Ok(result)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_told_from_a_line_of_moves() {
        for path in ["nothere.txt", "my traps.pgn", "traps-2031.05.pgn", "folder/traps", "x.zst"] {
            assert!(names_file(path), "{path}");
        }
        for line in ["1.e4 e5 2.Nf3??", "1.e4", "e4 e5 1-0", "1. e4 e5 1/2-1/2", "1.e4 e5 2.Nf", ""]
        {
            assert!(!names_file(line), "{line}");
        }
    }
}
