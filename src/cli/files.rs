//! Files that a user names: texts to be read, files to be written.

use std::fmt::Display;
use std::fs::File;
use std::io::{self, BufWriter, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

use clap::Args;

use super::error::CliError;
use super::output;
use super::signals::Signals;
use crate::files::{
    Left, Workspace, Writer, failed, folder_of, is_input, is_printed_into, open_device, put_all,
    refuse_protected, same_file, twice,
};
use crate::games::written_text;
use crate::importer::Stop;
use crate::lines::{MOST_BYTES, TextError};
use crate::source::{Format, Place, plain};
use crate::store::looks_like_a_store;

/// What becomes of files that are in the way.
#[derive(Clone, Copy, Debug, Args)]
pub struct OverwriteArgs {
    /// Write over files that are there already
    #[arg(long)]
    pub overwrite: bool,
}

impl OverwriteArgs {
    /// Refuses `--overwrite` where no file is written.
    pub fn needs_a_file(self, any: bool) -> Result<(), CliError> {
        match self.overwrite && !any {
            true => Err(CliError::Usage(
                "--overwrite: no file is written here; name one for the answer, or leave it out"
                    .into(),
            )),
            false => Ok(()),
        }
    }
}

/// Whether standard input is read already: there is nothing more in it then.
static STDIN_IS_TAKEN: AtomicBool = AtomicBool::new(false);

/// A file that is read once, `-` for standard input.
///
/// # Errors
///
/// Standard input was named before; the answer would be printed into what is read.
pub fn source(path: &Path) -> Result<Place, CliError> {
    let place = input(path);
    not_printed_into(&place)?;
    match place == Place::Stdin && STDIN_IS_TAKEN.swap(true, Ordering::Relaxed) {
        true => Err(CliError::Usage("standard input (-) is given twice: name a file".into())),
        false => Ok(place),
    }
}

/// These dumps, of which none is given twice.
///
/// # Errors
///
/// One of them is another, by whatever name; the answer would be printed into one.
pub fn each_once(dumps: Vec<Place>) -> Result<Vec<Place>, CliError> {
    dumps.iter().try_for_each(not_printed_into)?;
    let Some((later, earlier)) = twice(&dumps) else { return Ok(dumps) };
    let (later, earlier) = (dumps[later].display(), dumps[earlier].display());
    Err(CliError::Usage(match later == earlier {
        true => format!("{later} is given twice: name it once"),
        false => format!("{later} and {earlier} are one file: name it once"),
    }))
}

/// Refuses an answer that the shell puts into what is read here: it would be read in turn,
/// or spoil it.
pub fn not_printed_into(input: &Place) -> Result<(), CliError> {
    match is_printed_into(input) {
        true => Err(CliError::File(format!(
            "{} is read here, and the answer would be printed into it: print it into another file",
            input.display()
        ))),
        false => Ok(()),
    }
}

/// The text of a file that a person wrote; `-` is standard input.
///
/// # Errors
///
/// A file that cannot be read, one that is too long for a person to have written, or a compressed
/// one: those are dumps named by mistake.
pub fn read_text(path: &Path) -> Result<String, CliError> {
    let name = source(path)?.display();
    let mut bytes = Vec::new();
    let most = MOST_BYTES as u64 + 1;
    let read = match path.as_os_str() == "-" {
        true => io::stdin().take(most).read_to_end(&mut bytes),
        false => File::open(path).and_then(|file| file.take(most).read_to_end(&mut bytes)),
    };
    read.map_err(|error| CliError::Input(format!("cannot read {name}: {}", plain(&error))))?;
    match Format::detect(&bytes) {
        Format::Plain if bytes.len() > MOST_BYTES => Err(CliError::Input(format!(
            "{name} is longer than {} MiB, the limit for a file of traps, lines or claims: split it, or if it \
             is a dump of games, count it with 'deadfall build'",
            MOST_BYTES >> 20
        ))),
        Format::Plain => match Format::no_text(&bytes) {
            Some(what) => Err(CliError::Input(format!(
                "{name} holds {what}: name a text file, as any editor writes it"
            ))),
            None => Ok(written_text(&bytes)),
        },
        packed => Err(CliError::Input(format!(
            "{name} is compressed ({packed}), as dumps of games are: count a dump with 'deadfall build', \
             look for games in it with 'deadfall games'"
        ))),
    }
}

/// The error of a text that was read from a file.
pub fn in_file<R: Display>(path: &Path) -> impl FnOnce(TextError<R>) -> CliError {
    move |error| CliError::Input(error.in_file(&input(path).display()))
}

/// Whether an argument that may be a line of moves or a file is a file: there is one, or it looks
/// like a path. A line never ends in a file extension; what follows its last dot is a move.
pub fn names_file(argument: &str) -> bool {
    let (stem, extension) = argument.rsplit_once('.').unwrap_or((argument, ""));
    let word = stem.rsplit(char::is_whitespace).next().unwrap_or(stem);
    let is_number = word.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
    let is_extension =
        extension.len() > 1 && extension.bytes().all(|byte| byte.is_ascii_alphabetic());
    let first = argument.split_whitespace().next().unwrap_or_default();
    argument == "-"
        || Path::new(argument).exists()
        || is_extension && !is_number
        || first.contains(std::path::is_separator)
}

/// Refuses a path that is no name of a file, or whose folder is not there, before any work is
/// done for it.
pub fn needs_folder(path: &Path) -> Result<(), CliError> {
    let (name, folder) = (path.display(), folder_of(path));
    let is_of_file = path
        .file_name()
        .is_some_and(|file| path.as_os_str().as_encoded_bytes().ends_with(file.as_encoded_bytes()));
    if !is_of_file {
        let why = "that is the name of a folder; name a file, in it or elsewhere";
        return Err(CliError::File(format!("cannot make {name}: {why}")));
    }
    if !folder.is_dir() {
        return Err(CliError::File(format!(
            "cannot make {name}: there is no folder {}; make it first, or name another place",
            folder.display()
        )));
    }
    Ok(())
}

/// Files to be written, all or none. They take their places when all are whole, so that a run that
/// fails leaves what was there.
pub struct OutFiles {
    paths: Vec<PathBuf>,
    /// The folder of them all, if it is to be made.
    folder: Option<PathBuf>,
    overwrite: bool,
}

impl OutFiles {
    /// The files at `paths`, by a command that reads `inputs`; `store` is the one in force,
    /// read or not.
    ///
    /// # Errors
    ///
    /// One of them is that store or an input, by whatever name, or any other store, or the same as
    /// another; it is there already and not to be overwritten, or protected; it is a folder, or
    /// `-`; its folder is not there. There is none, but something is to be overwritten.
    pub fn new(
        paths: Vec<PathBuf>,
        overwrite: OverwriteArgs,
        store: &Path,
        inputs: &[Place],
    ) -> Result<OutFiles, CliError> {
        overwrite.needs_a_file(!paths.is_empty())?;
        paths.iter().try_for_each(|path| needs_folder(path))?;
        OutFiles::checked(paths, None, overwrite, store, inputs)
    }

    /// The files of these names in `folder`, which is made with them if it is not there.
    pub fn in_folder<N: AsRef<Path>>(
        folder: &Path,
        names: impl IntoIterator<Item = N>,
        overwrite: OverwriteArgs,
        store: &Path,
        inputs: &[Place],
    ) -> Result<OutFiles, CliError> {
        let paths = names.into_iter().map(|name| folder.join(name)).collect();
        OutFiles::checked(paths, Some(folder.to_owned()), overwrite, store, inputs)
    }

    fn checked(
        paths: Vec<PathBuf>,
        folder: Option<PathBuf>,
        overwrite: OverwriteArgs,
        store: &Path,
        inputs: &[Place],
    ) -> Result<OutFiles, CliError> {
        for (number, path) in paths.iter().enumerate() {
            // Even if it is refused now: a run that died may have ended just before it tidied up.
            note_left(Workspace::tidy(path));
            let name = path.display();
            if path.as_os_str() == "-" {
                return Err(CliError::Usage("this output is a file: name one instead of -".into()));
            }
            if path.is_dir() {
                return Err(CliError::File(format!("cannot write {name}: it is a folder")));
            }
            if path.is_symlink() && !path.exists() {
                let what = "it is a link that leads to no file";
                return Err(CliError::File(format!("cannot write {name}: {what}")));
            }
            if is_special(path) {
                continue;
            }
            let called = |other: String| match other == name.to_string() {
                true => String::new(),
                false => format!(", as {other}"),
            };
            let what = if same_file(path, store) {
                Some(format!("the store{}", called(store.display().to_string())))
            } else if let Some(input) = inputs.iter().find(|input| is_input(path, input)) {
                Some(format!("read here{}", called(input.display())))
            } else {
                looks_like_a_store(path).then(|| "a store".to_owned())
            };
            if let Some(what) = what {
                return Err(CliError::File(format!("{name} is {what}: choose another name")));
            }
            if let Some(other) = paths[..number].iter().find(|other| same_file(path, other)) {
                let refused = format!("{name} and {} are one file", other.display());
                return Err(CliError::File(refused));
            }
        }
        let in_the_way = |path: &&PathBuf| !is_special(path) && path.symlink_metadata().is_ok();
        if let Some(path) = paths.iter().find(in_the_way).filter(|_| !overwrite.overwrite) {
            return Err(is_there(path));
        }
        for path in paths.iter().filter(|path| !is_special(path)) {
            refuse_protected(path)?;
        }
        Ok(OutFiles { paths, folder, overwrite: overwrite.overwrite })
    }

    /// Where they are.
    pub fn paths(&self) -> &[PathBuf] {
        &self.paths
    }

    /// Writes these texts, one into each of the files, as [`OutFiles::write`] does.
    pub fn write_texts<T: AsRef<[u8]>>(
        &self,
        signals: &Signals,
        texts: impl IntoIterator<Item = T>,
    ) -> Result<(), CliError> {
        self.write(signals, |outs| {
            outs.iter_mut().zip(texts).try_for_each(|(out, text)| {
                out.write_all(text.as_ref()).map_err(|error| out.failed(error))
            })
        })
    }

    /// Writes all of them whole, or none if a signal comes meanwhile.
    ///
    /// # Errors
    ///
    /// Those of `content`; whatever keeps a file from being written. No place has changed then, but
    /// pipes and devices may have got a part.
    pub fn write<T>(
        &self,
        signals: &Signals,
        content: impl FnOnce(&mut [OutFile]) -> Result<T, CliError>,
    ) -> Result<T, CliError> {
        let stop = signals.ask_first();
        // Of whatever fails once a signal has come, the signal is the cause.
        let written = self.attempt(signals, stop, content);
        let written = written.map_err(|error| signals.check().err().unwrap_or(error))?;
        signals.end_at_once();
        Ok(written)
    }

    fn attempt<T>(
        &self,
        signals: &Signals,
        stop: &Stop,
        content: impl FnOnce(&mut [OutFile]) -> Result<T, CliError>,
    ) -> Result<T, CliError> {
        let folder = self.folder.as_deref().map(Folder::make).transpose()?;
        let mut workspaces = Vec::new();
        let mut files = Vec::new();
        for path in &self.paths {
            // A device or a pipe is written to; renaming would put a file in its place.
            let file: io::Result<Writer> = if is_special(path) {
                open_device(path, &stop.flag())
            } else {
                let mut workspace = Workspace::open(path, None)?;
                note_left(workspace.take_left());
                if workspace.replaces() && !self.overwrite {
                    return Err(is_there(path));
                }
                let file = File::create_new(workspace.new_file());
                workspaces.push(workspace);
                file.map(|file| Box::new(file) as Writer)
            };
            let path = path.clone();
            match file {
                Ok(file) => {
                    files.push(OutFile { path, out: BufWriter::with_capacity(1 << 16, file) })
                }
                Err(error) => return Err(CliError::OutFile { path, error }),
            }
        }
        let result = content(&mut files)?;
        for mut file in files {
            file.flush().map_err(|error| file.failed(error))?;
        }
        signals.check()?;
        put_all(&workspaces)?;
        workspaces.into_iter().for_each(|workspace| note_left(workspace.close()));
        folder.into_iter().for_each(Folder::keep);
        Ok(result)
    }
}

/// One of the files while it is written.
pub struct OutFile {
    path: PathBuf,
    out: BufWriter<Writer>,
}

impl OutFile {
    /// The error of a write that failed.
    pub fn failed(&self, error: io::Error) -> CliError {
        CliError::OutFile { path: self.path.clone(), error }
    }
}

impl Write for OutFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.out.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

/// A folder to write into. What of it was made goes again, unless it is kept.
struct Folder<'a> {
    /// The folders that were not there, inner ones first.
    made: Vec<&'a Path>,
}

impl<'a> Folder<'a> {
    fn make(path: &'a Path) -> Result<Folder<'a>, CliError> {
        let missing = path
            .ancestors()
            .take_while(|path| !path.as_os_str().is_empty() && path.symlink_metadata().is_err());
        let folder = Folder { made: missing.collect() };
        std::fs::create_dir_all(path).map_err(failed("make the folder", path))?;
        Ok(folder)
    }

    fn keep(mut self) {
        self.made.clear();
    }
}

impl Drop for Folder<'_> {
    fn drop(&mut self) {
        self.made.iter().for_each(|path| drop(std::fs::remove_dir(path)));
    }
}

fn is_there(path: &Path) -> CliError {
    let name = path.display();
    CliError::File(format!("{name} already exists: choose another name, or add --overwrite"))
}

/// Whether there is something that takes writes and is no file.
fn is_special(path: &Path) -> bool {
    path.metadata().is_ok_and(|metadata| !metadata.is_file() && !metadata.is_dir())
}

fn note_left(left: Vec<Left>) {
    left.iter().for_each(|left| output::note(&format!("note: {left}")));
}

/// A file that a person named, as an input; `-` is standard input.
pub fn input(path: &Path) -> Place {
    if path.as_os_str() == "-" { Place::Stdin } else { Place::File(path.to_owned()) }
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
