//! `lesson`: judged traps as a page and as annotated PGN.

use std::io;
use std::path::{Path, PathBuf};

use clap::Args;

use super::error::CliError;
use super::files::{InTheWay, OutFile};
use super::level_args::LevelArgs;
use super::soundness::{EngineArgs, ask_engine};
use super::{output, trap};
use crate::answers::lesson::Material;
use crate::answers::trap::TrapLine;
use crate::counts::Counts;
use crate::pages::lesson::{Basis, ENGLISH, Lesson, page, pgn, teaching_order};
use crate::source::plain;
use crate::store::{Header, Store};

const PAGE: &str = "lesson.html";
const GAMES: &str = "lesson.pgn";

/// `lesson`.
#[derive(Debug, Args)]
#[command(after_help = "\
Writes lesson.html and lesson.pgn into the folder, which is made if it is not there. The page needs no \
network and no other file: open it in any browser, print it, or take it along. The traps are read as by \
the command trap, and the figures are the same.")]
pub struct LessonArgs {
    /// A PGN file of traps
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// The folder to write into
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
    /// What becomes of files that are there.
    #[command(flatten)]
    pub way: InTheWay,
    /// The title of the page
    #[arg(long, value_name = "TEXT")]
    pub title: Option<String>,
    /// Who made the lesson
    #[arg(long, value_name = "TEXT")]
    pub author: Option<String>,
    /// Whom the lesson is for, in your words; whose games are counted, --from and --below say
    #[arg(long, value_name = "TEXT")]
    pub level: Option<String>,
    /// Of which level, and what is common.
    #[command(flatten)]
    pub asked: LevelArgs,
    /// Who judges soundness.
    #[command(flatten)]
    pub engine: EngineArgs,
    /// Show no figure that rests on fewer than N games
    #[arg(long, value_name = "N", default_value_t = 50)]
    pub min_sample: u64,
}

/// Runs the command.
pub fn run(args: &LessonArgs, store: &Path) -> Result<(), CliError> {
    let question = args.asked.question(args.min_sample)?;
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
    ask_engine(&args.engine, reports.zip(&lines))?;
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
    page_file.write(|out| page(out, &lesson, &ENGLISH).map_err(|error| page_file.failed(error)))?;
    games_file
        .write(|out| pgn(out, &lesson, &ENGLISH).map_err(|error| games_file.failed(error)))?;
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
