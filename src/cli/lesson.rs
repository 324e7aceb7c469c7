//! `lesson`: judged traps as a page, a handout, annotated PGN and flash cards.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use super::error::CliError;
use super::files::{OutFiles, OverwriteArgs, input};
use super::judge_args::{JudgeArgs, ViewArgs, Whose};
use super::language::{self, language};
use super::level_args::LevelArgs;
use super::over::over;
use super::signals::Signals;
use super::soundness::{EngineArgs, ask_engine};
use super::{output, trap};
use crate::answers::Question;
use crate::answers::lesson::Material;
use crate::answers::trap::{AdviceCode, TrapAnswer, VictimAnswer, order, victim_order};
use crate::counts::{Counts, Limits};
use crate::pages::lesson::{
    Basis, LONGEST_NAME, Lesson, cards, handout, page, pgn, teaching_order,
};
use crate::pages::trap as pages;
use crate::store::Store;

/// The teacher's page, the pupils' handout, the games, the cards; how the figures are worked out,
/// where that is asked.
const FILES: [&str; 5] = ["lesson.html", "handout.html", "lesson.pgn", "cards.csv", "workings.txt"];

/// `lesson`.
#[derive(Debug, Args)]
#[command(after_help = "\
Writes into the folder, which is made if it does not exist: lesson.html, the teacher's page; handout.html for the \
pupils, with the quiz first and the traps on a page of their own, to be given out after it; lesson.pgn, the same as annotated \
games; cards.csv, flash cards (front and back as HTML, no head); with --explain also workings.txt, what trap prints with \
--explain, in English in any case, since it is for checking. The pages need no network and no other file: open them in \
any browser, print them, or take them along.

The traps are read and judged as by the command trap. The teacher's page begins with all traps in teaching order and \
how many fit an hour: eleven minutes a trap, a quarter of an hour for the quiz. Traps that too few games tell about come \
last and share pages. Comments, variations and marks of the file stay as they are. With --side victim the lesson is for those who face the traps.")]
pub struct LessonArgs {
    /// A PGN file of traps, or one line with the losing move marked ??, in quotes
    #[arg(required = true, value_name = "FILE or LINE")]
    pub trap: Vec<String>,
    /// The folder to write into
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
    #[command(flatten)]
    pub overwrite: OverwriteArgs,
    /// The title of the page
    #[arg(long, value_name = "TEXT", value_parser = short)]
    pub title: Option<String>,
    /// Who made the lesson
    #[arg(long, value_name = "TEXT", value_parser = short)]
    pub author: Option<String>,
    /// Whom the lesson is for, in your words; --from and --below say whose games count
    #[arg(long, value_name = "TEXT", value_parser = no_ratings)]
    pub level: Option<String>,
    /// The language of what is written.
    #[arg(long, value_name = "LANGUAGE", default_value = "en", help = language::help("it"))]
    pub language: String,
    #[command(flatten)]
    pub asked: LevelArgs,
    #[command(flatten)]
    pub judge: JudgeArgs,
    /// Draw how the traps fare in several stores, one --over for each, in the order of their dates
    #[arg(long, value_name = "STORE")]
    pub over: Vec<PathBuf>,
    #[command(flatten)]
    pub engine: EngineArgs,
    /// Withhold figures that rest on fewer than N games of different players
    #[arg(long, value_name = "N", default_value_t = Question::default().min_sample)]
    pub min_sample: u64,
}

/// Words that are shown whole.
fn short(text: &str) -> Result<String, String> {
    match text.chars().count() {
        0..=LONGEST_NAME => Ok(text.to_owned()),
        letters => Err(format!("it has {letters} letters; the limit is {LONGEST_NAME}")),
    }
}

/// Words for a level. A rating or a range alone would look as if it chose the games.
fn no_ratings(text: &str) -> Result<String, String> {
    let words = text.replace(['-', '\u{2013}', '\u{2014}'], " to ").replace('+', " up ");
    let words = words.replace(['<', '\u{2264}'], " below ").replace(['>', '\u{2265}'], " from ");
    let words = words.to_lowercase();
    let (mut ratings, mut below, mut above) = (Vec::new(), false, false);
    for word in words.split_whitespace() {
        match (word.parse::<u16>(), word) {
            (Ok(rating @ 100..=3999), _) => ratings.push(rating),
            (_, "below" | "under") => below = true,
            (_, "from" | "over" | "above" | "up") => above = true,
            (_, "to") => {}
            _ => return short(text),
        }
    }
    let [floor, ceiling] =
        [|rating: u16| rating / 100 * 100, |rating: u16| rating.div_ceil(100) * 100];
    let options = match ratings[..] {
        [rating] if below => format!("--below {}", ceiling(rating)),
        [rating] if above => format!("--from {}", floor(rating)),
        [rating] => format!("--from {} --below {}", floor(rating), floor(rating) + 100),
        [from, to] if from < to => format!("--from {} --below {}", floor(from), ceiling(to)),
        _ => return short(text),
    };
    Err(format!(
        "it chooses no games, it is printed as it is: to ask about these ratings type {options}"
    ))
}

pub fn run(args: &LessonArgs, store: &Path, signals: &Signals) -> Result<(), CliError> {
    let words = language(&args.language)?;
    let question = args.asked.question(args.min_sample)?;
    let question = args.judge.for_lesson(question);
    let for_victims = args.judge.side == Whose::Victim;
    let stores = args.over.iter().map(PathBuf::as_path);
    let read = trap::file_of(&args.trap).into_iter().chain(stores);
    let inputs: Vec<_> = read.map(input).collect();
    let written = &FILES[..FILES.len() - usize::from(!args.judge.explain)];
    let files = OutFiles::in_folder(&args.out, written, args.overwrite, store, &inputs)?;
    let store_file = Store::open(store)?;
    let read = trap::read(&args.trap)?;
    let months = match args.over.is_empty() {
        true => None,
        false => Some(over(&args.over, &read, &question)?),
    };
    let materials =
        read.into_iter().map(|trap| Material::of(&store_file, trap, &question, for_victims));
    let mut traps = materials.collect::<Result<Vec<_>, _>>()?;
    let stores = months.map_or_else(Vec::new, |months| {
        traps.iter_mut().zip(months.traps).for_each(|(trap, over)| trap.months = Some(over));
        months.stores
    });
    ask_engine(&args.engine, traps.iter_mut().map(|m| (&mut m.report, &m.trap)), signals)?;
    let workings = match args.judge.explain {
        true => Some(workings(&traps, &question, store_file.limits(), for_victims)?),
        false => None,
    };
    teaching_order(&mut traps);
    let lesson = Lesson {
        title: args.title.clone(),
        author: args.author.clone(),
        level: args.level.clone(),
        for_victims,
        question,
        traps,
        stores,
        basis: Basis::of(store_file.header().sources.len(), &store_file.header().games()),
        limits: store_file.limits().clone(),
    };
    files.write(signals, |outs| {
        page(&mut outs[0], &lesson, words).map_err(|error| outs[0].failed(error))?;
        handout(&mut outs[1], &lesson, words).map_err(|error| outs[1].failed(error))?;
        pgn(&mut outs[2], &lesson, words).map_err(|error| outs[2].failed(error))?;
        cards(&mut outs[3], &lesson, words).map_err(|error| outs[3].failed(error))?;
        workings.iter().try_for_each(|text| {
            outs[4].write_all(text.as_bytes()).map_err(|error| outs[4].failed(error))
        })
    })?;
    let warn = |trap: &Material| trap.report.advice.codes.contains(&AdviceCode::Warn);
    let other_side = match !for_victims && lesson.traps.iter().any(warn) {
        true => {
            "\nFor the traps that players of this level fall for themselves, --side victim makes the lesson of the other side."
        }
        false => "",
    };
    let [page, handout, games, cards] = [0, 1, 2, 3].map(|place| files.paths()[place].display());
    output::note(&format!(
        "{page}: the lesson, to print or to read\n{handout}: what the pupils get\n{games}: the lesson as PGN\n{cards}: flash cards{other_side}"
    ));
    Ok(())
}

/// What `trap --explain` prints.
fn workings(
    traps: &[Material],
    question: &Question,
    limits: &Limits,
    for_victims: bool,
) -> Result<String, CliError> {
    let (mut out, view) = (Vec::new(), ViewArgs::letters());
    let (filter, min_sample, limits) = (question.filter, question.min_sample, limits.clone());
    if for_victims {
        let mut traps: Vec<_> = traps.iter().filter_map(Material::asked_by_victim).collect();
        traps.sort_by(victim_order);
        let answer = VictimAnswer { filter, min_sample, traps, limits };
        pages::victim_text(&mut out, &answer, view)?;
    } else {
        let mut traps: Vec<_> = traps.iter().map(|trap| trap.asked(question)).collect();
        traps.sort_by(order);
        let cutoffs = question.cutoffs;
        let answer = TrapAnswer { filter, cutoffs, min_sample, traps, limits };
        pages::text(&mut out, &answer, view)?;
    }
    Ok(String::from_utf8(out).expect("pages are text"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ratings_are_no_words_for_a_level() {
        for (typed, options) in [
            ("1400", "--from 1400 --below 1500"),
            ("1200-1600", "--from 1200 --below 1600"),
            ("1200 \u{2013} 1599", "--from 1200 --below 1600"),
            ("below 2000", "--below 2000"),
            ("<1450", "--below 1500"),
            ("1850+", "--from 1800"),
            ("1000 to 1400", "--from 1000 --below 1400"),
        ] {
            let error = no_ratings(typed).expect_err(typed);
            assert!(error.ends_with(&format!("type {options}")), "{typed}: {error}");
        }
        for words in [
            "the Monday group",
            "U12",
            "class of 2031",
            "group 3",
            "1",
            "ab 1400 Elo",
            "rated 1400",
            "1200 and 1600",
        ] {
            assert_eq!(no_ratings(words).as_deref(), Ok(words));
        }
    }
}
