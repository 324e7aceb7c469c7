//! `games`: whole games that pass through a position or a trap, as PGN.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::{Args, ValueEnum};
use shakmaty::san::SanPlus;
use shakmaty::{Chess, Color, Position};

use super::error::CliError;
use super::files::{OutFiles, OverwriteArgs, each_once, names_file};
use super::import_args::threads;
use super::movers::MoverArgs;
use super::output::{self, Output};
use super::signals::Signals;
use crate::extract::{ExtractError, Extracted, Job, Order, Remark, Wanted, extract};
use crate::games::{GameResult, LeftOut, LeftOutTally, Rules};
use crate::lines::{GameReason, Line, MarkedSlip, Trap, san_text};
use crate::pages::{one_line, why_left_out};
use crate::plies::Trail;
use crate::source::{SourceError, find_dumps};
use crate::terms::{Key, MoveCode};

/// `games`.
#[derive(Debug, Args)]
#[command(after_help = "\
LINE is a line of moves, or a trap: a line with its slip marked ??. Of a trap, games that reach the position before \
the slip are written; with --slip only those in which it was played; with --refuted only those in which the refutation \
followed at once and the setter won, unless --won-by or --result says otherwise. Other orders of moves count as well. \
A comment after the slip names it.

Ratings and pace are those of the player to move there. Games that a build would leave out are left out here, too. \
Sources are as in build: files, folders, or - for standard input.")]
pub struct GamesArgs {
    /// The moves that lead to the position, or a trap with the losing move marked ??, in quotes
    #[arg(value_name = "LINE")]
    pub line: String,
    /// Dumps: files, folders of them, or - for standard input
    #[arg(required = true, value_name = "SOURCE")]
    pub sources: Vec<PathBuf>,
    /// Begin LINE in this position, a FEN in quotes, instead of the start position
    #[arg(long, value_name = "FEN")]
    pub fen: Option<String>,
    /// Only games in which the losing move was played
    #[arg(long)]
    pub slip: bool,
    /// Only games in which the losing move was played and refuted
    #[arg(long)]
    pub refuted: bool,
    #[command(flatten)]
    pub movers: MoverArgs,
    /// Only games that this side of the trap won [default: setter with --refuted, else any]
    #[arg(long, value_enum, value_name = "SIDE", conflicts_with = "result")]
    pub won_by: Option<Winner>,
    /// Keep the clock comments of the games
    #[arg(long)]
    pub clocks: bool,
    /// Only games with these results, such as 1-0,1/2-1/2
    #[arg(long, value_name = "RESULT", value_delimiter = ',', value_parser = result)]
    pub result: Vec<GameResult>,
    /// Look at the first N half-moves of each game; a move of each side makes two
    #[arg(long, value_name = "N", default_value_t = 30,
        value_parser = clap::value_parser!(u16).range(1..=1000))]
    pub half_moves: u16,
    /// Write at most N games
    #[arg(long, value_name = "N")]
    pub limit: Option<u64>,
    /// Write the games with the lowest or highest rated players first [default: as they come]
    #[arg(long, value_enum, requires = "limit")]
    pub order: Option<ByRating>,
    /// Write the games to FILE; - shows them
    #[arg(long, value_name = "FILE", default_value = "-")]
    pub out: PathBuf,
    #[command(flatten)]
    pub overwrite: OverwriteArgs,
    /// Use N processors [default: all]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub threads: Option<u16>,
    /// Read a dump that breaks off as far as it goes
    #[arg(long)]
    pub keep_going: bool,
}

/// Who won.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Winner {
    /// The side that lays the trap
    Setter,
    /// The side that faces it
    Victim,
    /// Either, or a draw
    Any,
}

/// Which players first, by the two ratings of a game together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ByRating {
    /// Lowest rated first
    Lowest,
    /// Highest rated first
    Highest,
}

fn result(text: &str) -> Result<GameResult, String> {
    GameResult::from_marker(text.trim().as_bytes()).ok_or_else(|| "give 1-0, 0-1 or 1/2-1/2".into())
}

pub fn run(
    args: &GamesArgs,
    store: &Path,
    output: &mut Output,
    signals: &Signals,
) -> Result<(), CliError> {
    let is_shown = args.out.as_os_str() == "-";
    args.overwrite.needs_a_file(!is_shown)?;
    let job = job(args)?;
    let extracted = if is_shown {
        extract(&job, output.answer(), &Arc::default())?
    } else {
        let file = OutFiles::new(vec![args.out.clone()], args.overwrite, store, &job.sources)?;
        to_file(&job, &file, signals)?
    };
    output::note(&summary(&extracted));
    Ok(())
}

fn job(args: &GamesArgs) -> Result<Job, CliError> {
    let movers = args.movers.filter()?;
    let aim = Aim::of(args).map_err(|error| line_first(args).unwrap_or(error))?;
    // The counters of a FEN do not tell how soon a game may come there.
    if args.fen.is_none() {
        reaches(args.half_moves, &aim)?;
    }
    let mover = aim.paths[0][0].turn();
    let trails = aim.paths.iter().map(Trail::new).collect();
    let rules = Rules { half_moves: args.half_moves, ..Rules::default() };
    let results = results(args, &aim)?;
    let (clocks, remarks) = (args.clocks, aim.remarks);
    let wanted = Wanted { trails, mover, movers, results, rules, clocks, remarks };
    let order = match args.order {
        None => Order::AsTheyCome,
        Some(ByRating::Lowest) => Order::Lowest,
        Some(ByRating::Highest) => Order::Highest,
    };
    Ok(Job {
        sources: each_once(find_dumps(&args.sources).map_err(or_quotes)?)?,
        wanted,
        order,
        limit: args.limit,
        threads: threads(args.threads),
        keep_going: args.keep_going,
    })
}

/// Games that are not looked at so far are not found.
fn reaches(half_moves: u16, aim: &Aim) -> Result<(), CliError> {
    let before = |position: &Chess| {
        2 * (position.fullmoves().get() - 1) + u32::from(position.turn().is_black())
    };
    let deepest = aim.paths.iter().flatten().map(before).max().unwrap_or(0);
    if deepest <= half_moves.into() {
        return Ok(());
    }
    let looked_at = match half_moves {
        1 => "the first half-move".to_owned(),
        more => format!("the first {more} half-moves"),
    };
    Err(CliError::Usage(format!(
        "LINE is {deepest} half-moves long, and only {looked_at} of each game are looked at: add --half-moves {deepest} or more"
    )))
}

/// Files before the line are reported as such.
fn line_first(args: &GamesArgs) -> Option<CliError> {
    if !names_file(&args.line) || args.line.parse::<Line>().is_ok() {
        return None;
    }
    let file = one_line(&args.line);
    let mut line = args.sources.iter().filter_map(|source| source.to_str());
    let line = line.rfind(|source| !names_file(source)).unwrap_or("1. e4 e5");
    let line = one_line(line);
    Some(CliError::Usage(format!(
        "'{file}' is a file, and the line comes first: type games \"{line}\" '{file}'"
    )))
}

/// A line of several words without quotes leaves moves among the sources.
fn or_quotes(error: SourceError) -> CliError {
    match &error {
        SourceError::Open { name, .. } if name.parse::<SanPlus>().is_ok() => CliError::Input(
            format!("{error}; is it a move? A line needs quotes here, as in \"1. e4 e5\""),
        ),
        _ => error.into(),
    }
}

/// The results that are wanted; none for any.
fn results(args: &GamesArgs, aim: &Aim) -> Result<Vec<GameResult>, CliError> {
    let by_default =
        if args.refuted && args.result.is_empty() { Winner::Setter } else { Winner::Any };
    let winner = match (args.won_by.unwrap_or(by_default), aim.setter) {
        (Winner::Any, _) => return Ok(args.result.clone()),
        (_, None) => {
            let why = "--won-by needs a trap: mark the slip in LINE with ??";
            return Err(CliError::Usage(why.into()));
        }
        (Winner::Setter, Some(setter)) => setter,
        (Winner::Victim, Some(setter)) => setter.other(),
    };
    Ok(vec![winner.fold_wb(GameResult::WhiteWins, GameResult::BlackWins)])
}

/// What a line asks for.
struct Aim {
    /// The positions to pass through, one list for each way; all begin with the same side to move.
    paths: Vec<Vec<Chess>>,
    /// Who lays the trap, if it is one.
    setter: Option<Color>,
    /// What is said of the slips.
    remarks: Vec<Remark>,
}

impl Aim {
    fn of(args: &GamesArgs) -> Result<Aim, CliError> {
        let asks_for_slip = args.slip || args.refuted;
        let position = |line: &Line| Aim {
            paths: vec![vec![line.end().clone()]],
            setter: None,
            remarks: Vec::new(),
        };
        if let Some(fen) = &args.fen {
            if asks_for_slip {
                let why = "--slip and --refuted need a trap, without --fen";
                return Err(CliError::Usage(why.into()));
            }
            let line = Line::from_fen(fen, &args.line).map_err(CliError::input)?;
            return Ok(position(&line));
        }
        let is_marked = args.line.contains(['?', '$']);
        let traps: Result<Vec<Trap>, _> = match is_marked {
            true => Trap::from_text(&args.line).into_iter().collect(),
            false => Ok(Vec::new()),
        };
        match traps {
            Ok(traps) if !traps.is_empty() => {
                return Ok(Aim {
                    paths: traps.iter().flat_map(|trap| ways(trap, args)).collect(),
                    setter: Some(traps[0].setter()),
                    remarks: traps.iter().flat_map(remarks).collect(),
                });
            }
            // Other marks than those of a slip are remarks.
            Err(error) if !matches!(error.reason, GameReason::NoSlip { .. }) => {
                return Err(CliError::input(error));
            }
            _ if asks_for_slip => {
                let why = "--slip and --refuted need a trap: mark the slip in LINE with ??";
                return Err(CliError::Usage(why.into()));
            }
            _ => {}
        }
        Ok(position(&args.line.parse().map_err(CliError::input)?))
    }
}

fn remarks(trap: &Trap) -> impl Iterator<Item = Remark> {
    trap.slips().iter().map(|slip| remark(trap, slip))
}

/// `The slip: Qh5+ refutes it.`
fn remark(trap: &Trap, slip: &MarkedSlip) -> Remark {
    let replies = slip.refutations().iter().map(|&reply| san_text(slip.position_after(), reply));
    let replies: Vec<String> = replies.collect();
    let text = match &replies[..] {
        [one] => format!("The slip: {one} refutes it."),
        several => format!("The slip, refuted by {}.", several.join(" or ")),
    };
    Remark { position: Key::of(trap.position()), code: MoveCode::of(slip.slip()), text }
}

fn ways(trap: &Trap, args: &GamesArgs) -> Vec<Vec<Chess>> {
    let before = trap.position();
    if !args.slip && !args.refuted {
        return vec![vec![before.clone()]];
    }
    let of_slip = |slip: &MarkedSlip| -> Vec<Vec<Chess>> {
        let slipped = vec![before.clone(), slip.position_after().clone()];
        if !args.refuted {
            return vec![slipped];
        }
        let path = |&reply: &shakmaty::Move| {
            let mut refuted = slip.position_after().clone();
            refuted.play_unchecked(reply);
            slipped.iter().cloned().chain([refuted]).collect()
        };
        slip.refutations().iter().map(path).collect()
    };
    trap.slips().iter().flat_map(of_slip).collect()
}

fn to_file(job: &Job, file: &OutFiles, signals: &Signals) -> Result<Extracted, CliError> {
    // Not the flag of the output: reading sets its own at the end, when some may still have
    // to be written.
    let stop = signals.flag();
    let mut nothing = None;
    let written = file.write(signals, |outs| {
        let extracted = extract(job, &mut outs[0], &stop).map_err(|error| match error {
            ExtractError::Output(error) => outs[0].failed(error),
            other => other.into(),
        })?;
        if extracted.written > 0 {
            return Ok(extracted);
        }
        // What fails puts no file in its place, and empties none.
        nothing = Some(extracted);
        Err(CliError::File("there is nothing to write".into()))
    });
    let Some(extracted) = nothing else { return written };
    signals.check()?;
    output::note(&format!("deadfall: nothing found, {} is not written", file.paths()[0].display()));
    Ok(extracted)
}

fn summary(extracted: &Extracted) -> String {
    let Extracted { read, found, written, stopped_early, ref left_out } = *extracted;
    let games = |count: u64| if count == 1 { "1 game".into() } else { format!("{count} games") };
    if stopped_early {
        return format!("Wrote {} and stopped there, the limit.", games(written));
    }
    let wrote = if written == found { String::new() } else { format!(", wrote {written}") };
    let said = format!("Found {} among {} read{wrote}.", games(found), games(read));
    match left_out.total() {
        left if left > 0 && found == 0 => {
            format!("{said} Left out {}, as in a build: {}.", games(left), reasons(left_out))
        }
        _ => said,
    }
}

/// `150 casual or unrated; 40 no result`, the most frequent first.
fn reasons(left_out: &LeftOutTally) -> String {
    let mut rows: Vec<(LeftOut, u64)> = left_out.rows().filter(|(_, games)| *games > 0).collect();
    rows.sort_by_key(|(_, games)| std::cmp::Reverse(*games));
    let said = rows.iter().map(|(reason, games)| format!("{games} {}", why_left_out(*reason)));
    said.collect::<Vec<_>>().join("; ")
}
