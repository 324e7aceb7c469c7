//! `student`: a student's own games held against the level.

use std::path::{Path, PathBuf};

use clap::Args;
use shakmaty::Color;

use super::answer_args::{AnswerArgs, Format};
use super::error::CliError;
use super::files::{OutFiles, OverwriteArgs, input, source};
use super::language::{self, language};
use super::level_args::usually;
use super::movers::MoverArgs;
use super::output::{self, Output};
use super::repertoire_args::RepertoireArgs;
use super::signals::Signals;
use super::student_names::StudentNames;
use super::trap;
use crate::answers::Question;
use crate::answers::hunt::{Hunt, hunt};
use crate::answers::student::{Asked, Settings, Students, TIMES, TrapSource, student};
use crate::counts::Counts;
use crate::extract::{StudentsRead, read_students};
use crate::lines::{Line, Prepared, Trap};
use crate::pages::lesson::Basis;
use crate::pages::{json, student as pages};
use crate::store::{Store, StoreError};

const PAGE: &str = "student.html";
/// Findings of a hunt for each colour, where no file of traps is given.
const FINDINGS: usize = 10;
/// Rows of each table, unless others are asked for.
const ROWS: usize = 20;

/// `student`.
#[derive(Debug, Args)]
#[command(after_help = "\
GAMES is any PGN with the student's games, rated or not, from any place, compressed or not; - is standard input. Names \
are compared without regard to blanks around them, to upper and lower case and to how a letter with an accent is stored. Games go into no store and no file, and \
opponents are never named.

The student is compared with players of the store: those of --from and --below, otherwise those around the \
median of the student's own ratings; the answer says which.

A habit is the move that the student plays most in a position, twice or more. It is costly if another move scores \
better at the level beyond chance: every usual move is tested against each other move that the \
level has played often enough, and the answer says how often that is and how many findings may be false. The cost is points lost in 100 of the student's games; habits are in \
the order of its lower limit. The student's own results choose nothing: they are few. A repeated move that is the slip of a known trap, \
or that allows mate in one, is listed whatever the games of the level say.

Traps come from --traps, otherwise from a hunt over all ratings. A refutation is found or missed \
only where the slip was answered. Prepared lines are left with the first move that leads out of them; one that leads \
back in leaves nothing. The page (--out) begins with three things to learn first.")]
pub struct StudentArgs {
    /// A PGN file with the student's games
    #[arg(value_name = "GAMES.pgn")]
    pub games: PathBuf,
    #[command(flatten)]
    pub names: StudentNames,
    /// A PGN file of traps, as for the command trap [default: what a hunt finds]
    #[arg(long, value_name = "FILE.pgn")]
    pub traps: Option<PathBuf>,
    #[command(flatten)]
    pub lines: RepertoireArgs,
    #[command(flatten)]
    pub movers: MoverArgs,
    /// Look at positions that the student had in N games or more
    #[arg(long, value_name = "N", default_value_t = TIMES, value_parser = clap::value_parser!(u64).range(1..))]
    pub times: u64,
    /// How many rows of each table to show.
    #[arg(long, value_name = "N", help = usually("Show at most N rows of each table", ROWS))]
    pub top: Option<usize>,
    /// Also write a page for the student into this folder
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// The language of that page.
    #[arg(long, value_name = "LANGUAGE", default_value = "en", requires = "out", help = language::help("that page"))]
    pub language: String,
    #[command(flatten)]
    pub overwrite: OverwriteArgs,
    #[command(flatten)]
    pub answer: AnswerArgs,
}

pub fn run(
    args: &StudentArgs,
    store: &Path,
    output: &mut Output,
    signals: &Signals,
) -> Result<(), CliError> {
    let question = Question {
        filter: args.movers.filter()?,
        min_sample: args.answer.min_sample,
        ..Question::default()
    };
    args.answer.only_in(&[Format::Table], &[("--top", args.top.is_some())])?;
    if args.top.is_some() && args.names.0.len() > 1 {
        let why = "--top is for the tables of one student: give one --name, or leave it out";
        return Err(CliError::Usage(why.into()));
    }
    let words = language(&args.language)?;
    let files = out_file(args, store)?;
    let traps = args.traps.as_deref().map(trap::read_file).transpose()?;
    let prepared = args.lines.prepared()?;
    let store = Store::open(store)?;
    let depth = depth(&store, traps.as_deref().unwrap_or_default(), prepared.as_ref());
    let StudentsRead { games: students, unseen } =
        read_students(&source(&args.games)?, &args.names.0, depth)?;
    unseen.iter().for_each(|error| output::note(&format!("deadfall: --also: {error}")));
    let (traps_from, traps) = match traps {
        Some(traps) => (TrapSource::File, traps),
        None => (TrapSource::Hunt, findings(&store, &question)?),
    };
    let settings = Settings { times: args.times, ..Settings::of(depth) };
    let asked = Asked {
        settings: &settings,
        given_level: args.movers.has_level(),
        traps: &traps,
        traps_from,
        prepared: prepared.as_ref().map(|(file, side)| (file, *side)),
    };
    let answers = students.iter().map(|games| student(&store, games, &asked, &question));
    let answers = Students { students: answers.collect::<Result<Vec<_>, _>>()? };
    if let (Some(files), [answer]) = (&files, &answers.students[..]) {
        let basis = Basis::of(store.header().sources.len(), &store.header().games());
        files.write_texts(signals, [pages::page(answer, &basis, words)])?;
        output::note(&format!("{}: the page for the student", files.paths()[0].display()));
    }
    print(args, output, &answers)
}

fn print(args: &StudentArgs, output: &mut Output, answers: &Students) -> Result<(), CliError> {
    match (args.answer.format, &answers.students[..]) {
        (Format::Table, [answer]) => {
            pages::text(output.answer(), answer, args.top.unwrap_or(ROWS))?;
        }
        (Format::Table, _) => pages::several(output.answer(), answers)?,
        (Format::Json, [answer]) => json(output.answer(), answer)?,
        (Format::Json, _) => json(output.answer(), answers)?,
        (Format::Csv, _) => pages::csv(output.data(), answers)?,
    }
    Ok(())
}

fn out_file(args: &StudentArgs, store: &Path) -> Result<Option<OutFiles>, CliError> {
    args.overwrite.needs_a_file(args.out.is_some())?;
    let Some(dir) = &args.out else { return Ok(None) };
    if args.names.0.len() > 1 {
        let why =
            "--out makes the page of one student: give one --name, and other spellings with --also";
        return Err(CliError::Usage(why.into()));
    }
    let files =
        [Some(args.games.as_path()), args.traps.as_deref(), args.lines.repertoire.as_deref()];
    let inputs: Vec<_> = files.into_iter().flatten().map(input).collect();
    OutFiles::in_folder(dir, [PAGE], args.overwrite, store, &inputs).map(Some)
}

/// How far into the games to look: as far as the counts reach, and to the ends of traps and
/// prepared lines.
fn depth(store: &Store, traps: &[Trap], prepared: Option<&(Prepared, Color)>) -> usize {
    let lines = traps.iter().map(|trap| trap.slip_ply() + 2);
    let positions = prepared.into_iter().flat_map(|(file, _)| file.positions());
    let deepest = lines.chain(positions.map(|position| usize::from(position.ply) + 1)).max();
    deepest.unwrap_or(0).max(store.limits().half_moves.into())
}

/// The best findings of a hunt for each colour, over all ratings, as traps.
fn findings(store: &Store, question: &Question) -> Result<Vec<Trap>, CliError> {
    let question = question.about(crate::terms::MoverFilter {
        bands: crate::terms::BandRange::ALL,
        ..question.filter
    });
    let of = |setter| -> Result<Vec<Trap>, StoreError> {
        let wanted = Hunt { top: FINDINGS, ..Hunt::new(setter, Line::default()) };
        let answer = hunt(store, &wanted, &question, |_| {})?;
        Ok(answer.found.into_iter().map(|found| found.laid).collect())
    };
    let (white, black) = rayon::join(|| of(Color::White), || of(Color::Black));
    Ok([white?, black?].concat())
}
