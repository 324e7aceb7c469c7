//! Invents a monthly dump of rated games of the Harbour League, an online chess club that does not
//! exist. The same options give the same bytes on every machine and with any number of threads.
//!
//! ```sh
//! cargo run --release --example invent -- --games 20000 --seed 1 \
//!     --out month.pgn.zst --truth truth.csv
//! ```
//!
//! Openings come from the weighted tree in `openings.txt`, planted traps from `traps.rs`, which
//! also says what "true" means; everything after the opening is made up move by move in `play.rs`.

mod chance;
mod chooser;
mod comments;
mod dice;
mod game;
mod habits;
mod kinds;
mod league;
mod openings;
mod output;
mod planted;
mod play;
mod players;
mod setting;
mod shape;
mod traps;
mod truth;
mod write;

use std::path::PathBuf;

use anyhow::{Result, ensure};
use clap::Parser;

/// Invent a monthly dump of rated chess games.
#[derive(Parser, Debug)]
#[command(name = "invent")]
struct Options {
    /// Number of games, those that an import leaves out included.
    #[arg(long, default_value_t = 20_000)]
    games: u64,
    /// Everything random follows from this number.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// The players and their habits follow from this number (default: the seed). Months of one
    /// league have different seeds and the same number of games.
    #[arg(long)]
    league: Option<u64>,
    /// Correlation of a player's free choices in one position, 0 to 1; over all games it is an
    /// eighth lower, since fashions break habits. With 0 nobody has habits, nor a strength or a
    /// speed of their own: each game is that of a new person.
    #[arg(long, default_value_t = 0.8)]
    habits: f64,
    /// Write only the games of this player, as a student would collect them: casual ones, which no
    /// build counts.
    #[arg(long)]
    player: Option<String>,
    /// Where the games go: NAME.pgn, NAME.pgn.zst, or - for plain text on stdout.
    #[arg(long, default_value = "-")]
    out: PathBuf,
    /// Compression level for .zst.
    #[arg(long, default_value_t = 9)]
    level: i32,
    /// The month of the games.
    #[arg(long, default_value = "2031-05")]
    month: shape::Month,
    /// Share of games with clock comments, 0 to 1.
    #[arg(long, default_value_t = 0.25)]
    clocks: f64,
    /// Share of games with evaluation comments, 0 to 1.
    #[arg(long, default_value_t = 0.08)]
    evals: f64,
    /// Write the planted truth and what was drawn from it as CSV.
    #[arg(long)]
    truth: Option<PathBuf>,
    /// Write what was drawn by trap, pace, band and player, with the planted thinking
    /// times, as CSV.
    #[arg(long)]
    paces: Option<PathBuf>,
    /// Worker threads (default: one a core). They do not change the result.
    #[arg(long)]
    threads: Option<usize>,
}

fn main() -> Result<()> {
    let options = Options::parse();
    let shares = [("clocks", options.clocks), ("evals", options.evals), ("habits", options.habits)];
    for (name, share) in shares {
        ensure!((0.0..=1.0).contains(&share), "--{name} is a share: 0 to 1, not {share}");
    }
    let league_seed = options.league.unwrap_or(options.seed);
    let habits = habits::Habits::new(league_seed, options.habits);
    let league = league::League {
        seed: options.seed,
        games: options.games,
        month: options.month,
        clocks: (options.clocks * 10_000.0) as u32,
        evals: (options.evals * 10_000.0) as u32,
        book: openings::Book::read()?,
        traps: planted::Planted::read()?,
        players: players::Players::new(league_seed, options.games, habits),
        habits,
        only: options.player.clone(),
    };
    let threads = options
        .threads
        .or_else(|| std::thread::available_parallelism().ok().map(usize::from))
        .unwrap_or(1);
    let truth = output::run(&league, &options.out, options.level, threads)?;
    if let Some(path) = &options.truth {
        truth::write_csv(path, &league.traps, &truth)?;
    }
    if let Some(path) = &options.paces {
        truth::write_paces(path, &league.traps, &truth)?;
    }
    Ok(())
}
