//! What `trap` and `lesson` may be asked besides, as typed, how `trap` lays it out, and the help that explains its columns.

use std::env;

use clap::{Args, ValueEnum};

use super::error::CliError;
use super::share::share;
use crate::answers::Question;
use crate::pages::BoardStyle;
use crate::pages::trap::{View, glossary};

/// How `trap` lays its answer out.
#[derive(Debug, Args)]
pub struct ViewArgs {
    /// Print a sheet on each trap, behind the tables that compare several
    #[arg(long)]
    each: bool,
    /// Draw boards with figures or letters [default: figures where the terminal says it has them]
    #[arg(long, value_enum, value_name = "SIGNS")]
    board: Option<Signs>,
}

/// Further questions about traps.
#[derive(Debug, Args)]
pub struct JudgeArgs {
    /// Answer for the student who lays the trap or for the one who faces it
    #[arg(long, value_enum, default_value_t = Whose::Setter)]
    pub side: Whose,
    /// Tell from which rating on fewer than this share slip, such as 20%
    #[arg(long, value_name = "SHARE", value_parser = part)]
    slip_below: Option<f64>,
    /// Show bullet, blitz, rapid and classical side by side
    #[arg(long, value_enum)]
    by: Option<By>,
    /// Show how each figure is worked out from the counts
    #[arg(long)]
    pub explain: bool,
}

/// With what to draw boards.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Signs {
    /// Chess figures
    Unicode,
    /// Letters
    Ascii,
}

/// From whose view to answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Whose {
    /// Who lays the trap
    Setter,
    /// Who faces it
    Victim,
}

/// What to answer apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum By {
    /// Bullet, blitz, rapid and classical
    Pace,
}

impl JudgeArgs {
    /// The question with what is asked here.
    pub fn of(&self, question: Question) -> Result<Question, CliError> {
        let only_setter =
            [("--slip-below", self.slip_below.is_some()), ("--by", self.by.is_some())];
        let misplaced = only_setter.into_iter().find(|(_, given)| *given);
        if let (Whose::Victim, Some((option, _))) = (self.side, misplaced) {
            return Err(CliError::Usage(format!(
                "{option} is answered from the setter's side only"
            )));
        }
        Ok(self.for_lesson(question))
    }

    /// The same for a lesson, whose pages are about both sides.
    pub fn for_lesson(&self, question: Question) -> Question {
        Question {
            slip_below: self.slip_below,
            by_pace: self.is_by_pace(),
            explain: self.explain,
            ..question
        }
    }

    /// Whether something is asked that only sheets show.
    pub fn is_deeper(&self) -> bool {
        self.explain || self.is_by_pace() || self.slip_below.is_some()
    }

    /// Whether the paces are asked side by side.
    pub fn is_by_pace(&self) -> bool {
        self.by == Some(By::Pace)
    }
}

impl ViewArgs {
    /// Sheets with letters, for a file.
    pub fn letters() -> View {
        View { each: true, board: BoardStyle::Ascii }
    }

    /// How the page is laid out. A single trap, and one looked into deeper, has its sheet in any case.
    pub fn view(&self, deeper: bool) -> View {
        let board = match self.board {
            Some(Signs::Unicode) => BoardStyle::Unicode,
            Some(Signs::Ascii) => BoardStyle::Ascii,
            None => of_locale(|name| env::var(name).ok()),
        };
        View { each: self.each || deeper, board }
    }
}

/// Figurines if the first of the locale variables that is set names UTF-8.
fn of_locale(variable: impl Fn(&str) -> Option<String>) -> BoardStyle {
    let set = |name| variable(name).filter(|value| !value.is_empty());
    let locale = ["LC_ALL", "LC_CTYPE", "LANG"].into_iter().find_map(set).unwrap_or_default();
    let locale = locale.to_ascii_lowercase();
    match locale.contains("utf-8") || locale.contains("utf8") {
        true => BoardStyle::Unicode,
        false => BoardStyle::Ascii,
    }
}

/// A share that is neither none nor all.
fn part(text: &str) -> Result<f64, String> {
    let share = share(text)?;
    let is_part = share > 0.0 && share < 1.0;
    is_part.then_some(share).ok_or_else(|| "give a share between 0 and 1, such as 20%".to_owned())
}

/// What stands below the options. Every column of every table is explained here; a test looks for each.
pub fn trap_help() -> String {
    format!("{HELP_HEAD}Figures:\n{}\n{HELP_TAIL}", glossary())
}

const HELP_HEAD: &str = "\
A trap is a line with a slip in it, the losing move, and the refutation behind it. The slip is the \
move marked ?? (or $4); if there is none, the last one marked ? (or $2). The other side is the setter.

In a PGN file each game is a trap, named by its Event tag; a [Setter \"White\"] tag tells the setter \
where both sides slip. Variations are read: all moves marked ?? in one position are one trap, also those of several games, and every \
further reply to one of them is a further refutation. They are counted together, and each is told as well.

The ratings hold for whoever moves: victims in the trap position, setters behind the slip. Every \
figure stands with its 95 % interval [low, high] and its games, as k of n or n; - means withheld, with the reason. \
Players come again: 97 of 218 (as good as 160) has the margin of 160 games of different players, and --min-sample goes by these. A share \
of fewer shows its count and interval and no value, a whisker without the o.

Several traps (trap: its name and line) are compared in tables; one trap, or --each, has a sheet. They come in the order of the advice \
(teach and warn, undecided, skip), then of the lower limit of net where it is known, else of that of slips per 1000, else of games.

";

const HELP_TAIL: &str = "\
Further columns of a sheet:
  figure, value, interval
                     of each figure; its meaning stands below its name
  source             who tells about soundness: the dumps' evaluations, the
                     rules (a forced mate), an engine
  after slip, without, slip loses
                     pawns for the setter after the slip, after the victim's
                     best other move, and the difference; rests on: the
                     evaluations or positions behind them
  on the way the victim plays
                     the moves that the line needs, each with its share of all
                     moves there
  earlier choice     the setter's moves before the bait, which net leaves out:
                     edge % of each, the usual one with edge % of all others,
                     and the difference %: below 0 the move costs points
  share %            share of a move among all moves of its position
  rated              a band of ratings; + marks neighbouring bands joined until
                     50 games are together
  0 50 % 100 %       the rate as o on a scale, its interval as |---|
  n                  games that the figure before it rests on
  slips here, refutations
                     several marked moves, with the setter's edge after each;
                     after: the slip that a refutation answers; all together:
                     their common share
  by pace            one column each for bullet, blitz, rapid and classical

With --explain: the sums behind the figures, each with the key of its position, moves (the needed one or others), bands, games, \
wins, draws and losses, expected points by the ratings, ordinary points above these, and clock, the games with clocks; then for each position games, games a player (of the player of an average game), and D of \
shares, D of scores and D of seconds, by which counts are divided for an interval.

With --side victim (traps by the lower limit of own slips, else by games): comes up, how often a player whose own moves follow the line meets the trap position; own slips, as above; on the way the setter plays, the moves that this needs; and each move that may be played instead, with \
share %, score % and edge % of the victim.

CSV has the same names with _ for a blank (edge_no_slip: without slip; edge_usual: of the usual, usual: the most played of \
them; worth_per_1000, net_per_1000: worth, net; ahead_games: N, ahead_expected: in N games; slip_s, others_s, difference_s: seconds). NAME_low and NAME_high are the ends of an \
interval, NAME_k and NAME_n its games, NAME_n_eff how many games of different players these are as good as. steered_rarest, comes_up_rarest: the \
rarest step, whose games steered_k, _n and comes_up_k, _n are. ahead_range_low, ahead_range_high: the slips that 19 of 20 students will see. name, setter, line, trap_fen, bait, slip and refutation name the trap; slips are all that are marked, refutations all replies, each behind its slip. advice: \
its codes, advice_reasons: why (comes_up, rare, how_often_open: slips per 1000; pays, does_not_pay, gain_open: net; sound, gamble, no_slip, ask_engine: soundness; own_slips; cost_open: what these cost; \
more_games, too_near, no_games, wider_filter: what would decide), games_to_decide: about how many games of the level as the colour that slips would. scope tells what a row is about: \
all, a band (from, below), a pace, a stretch of a curve (curve_..., joined: whether bands were joined), earlier_choice (earlier_move, a choice of the setter before the bait, its edge_earlier, that of the usual moves there, and \
edge_earlier_difference), or slip_below, the rating from which fewer \
slip. steered_mixed: bands with few games were taken together; steered_never: a move that nobody played. soundness_slip_loses_cp, soundness_without_slip_cp: its numbers in centipawns; soundness_because: why. withheld: which \
figures are withheld, and why. With --side victim a row is a move (san, uci) of the victim, before: how many choices before the trap \
position, line_move: what the line plays there, is_slip: whether it is marked; own_slips_per_1000: own slips.";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_is_neither_none_nor_all() {
        assert_eq!((part("20%"), part("0.2"), part("1/5")), (Ok(0.2), Ok(0.2), Ok(0.2)));
        assert!(["20", "0", "1", "100%", "x"].iter().all(|text| part(text).is_err()));
    }

    #[test]
    fn the_first_locale_variable_that_is_set_decides() {
        let of = |all: &str, lang: &str| {
            of_locale(|name| match name {
                "LC_ALL" => Some(all.to_owned()),
                "LANG" => Some(lang.to_owned()),
                _ => None,
            })
        };
        assert_eq!(of("C", "de_DE.UTF-8"), BoardStyle::Ascii);
        assert_eq!(of("", "de_DE.utf8"), BoardStyle::Unicode);
    }
}
