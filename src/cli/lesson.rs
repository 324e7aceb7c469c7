//! `lesson`: judged traps as a page, a handout, annotated PGN and flash cards.

use std::path::{Path, PathBuf};

use clap::Args;

use super::error::CliError;
use super::files::{InTheWay, OutFiles, input};
use super::judge_args::Whose;
use super::language::language;
use super::level_args::LevelArgs;
use super::signals::Signals;
use super::soundness::{EngineArgs, ask_engine};
use super::{output, trap};
use crate::answers::lesson::Material;
use crate::counts::Counts;
use crate::files::failed;
use crate::ledger::GameTally;
use crate::pages::lesson::{Basis, Lesson, cards, handout, page, pgn, teaching_order};
use crate::store::{Header, Store};

/// The teacher's page, the pupils' handout, the games, the cards.
const FILES: [&str; 4] = ["lesson.html", "handout.html", "lesson.pgn", "cards.csv"];

/// `lesson`.
#[derive(Debug, Args)]
#[command(after_help = "\
Writes into the folder, which is made if it is not there: lesson.html, the teacher's page; handout.html for the pupils, with the quiz \
and without its solutions; lesson.pgn, the same as annotated games; cards.csv, flash cards in two columns of HTML, front and back, \
without a head. The pages need no network and no other file: open them in any browser, print them, or take them along. The traps are read as by \
the command trap, and the figures are the same. Comments, variations and marks of the file stay as they are.")]
pub struct LessonArgs {
    /// A PGN file of traps, or one line with the losing move marked ??, in quotes
    #[arg(required = true, value_name = "FILE or LINE")]
    pub trap: Vec<String>,
    /// The folder to write into
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
    /// What becomes of files that are there.
    #[command(flatten)]
    pub way: InTheWay,
    /// Make it for students who lay the traps or for those who face them
    #[arg(long, value_enum, default_value_t = Whose::Setter)]
    pub side: Whose,
    /// The title of the page
    #[arg(long, value_name = "TEXT")]
    pub title: Option<String>,
    /// Who made the lesson
    #[arg(long, value_name = "TEXT")]
    pub author: Option<String>,
    /// Whom the lesson is for, in your words; whose games are counted, --from and --below say
    #[arg(long, value_name = "TEXT")]
    pub level: Option<String>,
    /// Write it in English (en), German (de), Spanish (es) or French (fr)
    #[arg(long, value_name = "LANGUAGE", default_value = "en")]
    pub language: String,
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
pub fn run(args: &LessonArgs, store: &Path, signals: &Signals) -> Result<(), CliError> {
    let question = args.asked.question(args.min_sample)?;
    let words = language(&args.language)?;
    let for_victims = args.side == Whose::Victim;
    let read = [Some(store), trap::file_of(&args.trap)];
    let inputs: Vec<_> = read.into_iter().flatten().map(input).collect();
    let files = OutFiles::new(FILES.map(|name| args.out.join(name)).to_vec(), args.way, &inputs)?;
    let store_file = Store::open(store)?;
    let traps = trap::read(&args.trap)?.into_iter();
    let materials = traps.map(|trap| Material::of(&store_file, trap, &question, for_victims));
    let mut traps = materials.collect::<Result<Vec<_>, _>>()?;
    ask_engine(&args.engine, traps.iter_mut().map(|m| (&mut m.report, &m.trap)), signals)?;
    teaching_order(&mut traps);
    let lesson = Lesson {
        title: args.title.clone(),
        author: args.author.clone(),
        level: args.level.clone(),
        for_victims,
        question,
        traps,
        basis: basis(store_file.header()),
        limits: store_file.limits().clone(),
    };
    let folder = Folder::make(&args.out)?;
    files.write_unless_stopped(signals, |outs| {
        page(&mut outs[0], &lesson, words).map_err(|error| outs[0].failed(error))?;
        handout(&mut outs[1], &lesson, words).map_err(|error| outs[1].failed(error))?;
        pgn(&mut outs[2], &lesson, words).map_err(|error| outs[2].failed(error))?;
        cards(&mut outs[3], &lesson, words).map_err(|error| outs[3].failed(error))
    })?;
    folder.keep();
    let [page, handout, games, cards] = [0, 1, 2, 3].map(|place| files.paths()[place].display());
    output::note(&format!(
        "{page}: the lesson, to print or to read\n{handout}: what the pupils get\n{games}: the lesson as PGN\n{cards}: flash cards"
    ));
    Ok(())
}

pub(super) fn basis(header: &Header) -> Basis {
    let GameTally { games_counted, first, last, .. } = header.games();
    let [first, last] = [first, last].map(|date| date.map(|date| date.to_string()));
    Basis { dumps: header.sources.len(), games: games_counted, first, last }
}

/// The folder that a page goes into. What of it was made goes again, unless it is kept.
pub(super) struct Folder<'a> {
    /// The folders that were not there, inner ones first.
    made: Vec<&'a Path>,
}

impl<'a> Folder<'a> {
    pub(super) fn make(path: &'a Path) -> Result<Folder<'a>, CliError> {
        let missing = path
            .ancestors()
            .take_while(|path| !path.as_os_str().is_empty() && path.symlink_metadata().is_err());
        let folder = Folder { made: missing.collect() };
        std::fs::create_dir_all(path).map_err(failed("make the folder", path))?;
        Ok(folder)
    }

    pub(super) fn keep(mut self) {
        self.made.clear();
    }
}

impl Drop for Folder<'_> {
    fn drop(&mut self) {
        self.made.iter().for_each(|path| drop(std::fs::remove_dir(path)));
    }
}
