//! `lesson`: judged traps as a page and as annotated PGN.

use std::io;
use std::path::{Path, PathBuf};

use super::args::LessonArgs;
use super::error::CliError;
use super::files::OutFile;
use super::signals::Signals;
use super::soundness::ask_engine;
use super::{output, trap};
use crate::answers::Question;
use crate::answers::lesson::Material;
use crate::answers::trap::TrapLine;
use crate::counts::Counts;
use crate::pages::lesson::{Basis, ENGLISH, Lesson, page, pgn, teaching_order};
use crate::source::plain;
use crate::store::{Header, Store};

const PAGE: &str = "lesson.html";
const GAMES: &str = "lesson.pgn";

/// Runs the command.
pub fn run(args: &LessonArgs, store: &Path, signals: &Signals) -> Result<(), CliError> {
    let question = Question {
        filter: args.movers.filter()?,
        min_sample: args.min_sample,
        cutoffs: trap::cutoffs(args.common_from, args.occasional_from)?,
        ahead: args.ahead,
        ..Question::default()
    };
    let folder = Folder::new(&args.out);
    folder.keep_clear_of(&args.file)?;
    let [page_file, games_file] =
        [PAGE, GAMES].map(|name| OutFile::new(folder.path(name), args.way));
    let (page_file, games_file) = (page_file?, games_file?);
    let store_file = Store::open(store)?;
    let traps = trap::read_file(&args.file)?.into_iter();
    let materials = traps.map(|trap| Material::of(&store_file, trap, &question));
    let mut traps = materials.collect::<Result<Vec<_>, _>>()?;
    let lines: Vec<TrapLine> =
        traps.iter().map(|material| TrapLine::from(&material.trap)).collect();
    let reports = traps.iter_mut().map(|material| &mut material.report);
    ask_engine(&args.engine, reports.zip(&lines), signals)?;
    teaching_order(&mut traps);
    let lesson = Lesson {
        title: args.title.clone(),
        author: args.author.clone(),
        level: args.level.clone(),
        question,
        traps,
        basis: basis(store_file.header()),
        limits: store_file.limits().clone(),
    };
    folder.make()?;
    // Both files are written to their ends, or none is there.
    signals.ask_first();
    page_file.write(|out| page(out, &lesson, &ENGLISH).map_err(|error| page_file.failed(error)))?;
    games_file
        .write(|out| pgn(out, &lesson, &ENGLISH).map_err(|error| games_file.failed(error)))?;
    signals.end_at_once()?;
    let [page, games] = [PAGE, GAMES].map(|name| folder.path(name).display().to_string());
    output::note(&format!("{page}: the lesson, to print or to read\n{games}: the same as PGN"));
    Ok(())
}

fn basis(header: &Header) -> Basis {
    let sources = &header.sources;
    Basis {
        dumps: sources.len(),
        games: sources.iter().map(|source| source.games_counted).sum(),
        first: sources.iter().filter_map(|source| source.first.clone()).min(),
        last: sources.iter().filter_map(|source| source.last.clone()).max(),
    }
}

/// Where the lesson goes.
struct Folder<'a> {
    path: &'a Path,
}

impl<'a> Folder<'a> {
    fn new(path: &'a Path) -> Folder<'a> {
        Folder { path }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.path.join(name)
    }

    /// The traps of a teacher must not be overwritten by the lesson made of them.
    fn keep_clear_of(&self, source: &Path) -> Result<(), CliError> {
        let same = |name| match (self.path(name).canonicalize(), source.canonicalize()) {
            (Ok(ours), Ok(theirs)) => ours == theirs,
            _ => false,
        };
        match [PAGE, GAMES].into_iter().any(same) {
            true => Err(CliError::Usage(format!(
                "--out {}: the lesson would overwrite {}; choose another folder",
                self.path.display(),
                source.display()
            ))),
            false => Ok(()),
        }
    }

    fn make(&self) -> Result<(), CliError> {
        std::fs::create_dir_all(self.path)
            .map_err(|error| self.fails("make the folder", self.path, &error))
    }

    fn fails(&self, what: &str, path: &Path, error: &io::Error) -> CliError {
        CliError::File(format!("cannot {what} {}: {}", path.display(), plain(error)))
    }
}
