//! Traps from both sides: met and laid.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use serde::Serialize;
use shakmaty::{Chess, Color, Move};

use super::level::{LevelMove, TOLD, level_moves};
use super::played::fen;
use super::unadvised::Unadvised;
use crate::answers::moves::{MoveRow, color_name};
use crate::answers::trap::{Cache, TrapReport, left_worse};
use crate::answers::{Figure, Question};
use crate::counts::{Counts, PositionCounts};
use crate::lines::{OwnGame, Trap};
use crate::terms::{Key, KeyMap, MoveCode};

/// A trap as the student met it on one side.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TrapRow {
    pub name: String,
    pub role: Role,
    #[serde(rename = "as", serialize_with = "color_name")]
    pub colour: Color,
    pub line: String,
    pub trap_fen: String,
    pub slip: String,
    /// The same with its number, as in `3... Nd4`.
    #[serde(skip)]
    pub numbered_slip: String,
    pub refutation: String,
    pub times: u64,
    pub slipped: u64,
    pub escaped: u64,
    pub refuted: u64,
    pub missed: u64,
    pub level_slip_rate: Figure,
    pub level_find_rate: Figure,
    /// Points lost in 100 of the student's games: of who faces it by slipping, against the moves
    /// that are no slip; of who lays it by missing the refutation, against what follows the slip on
    /// the average. Where the slip allows a mate that is proved, what it costs is the game: the
    /// score that is expected without it, and of a refutation missed, all that is not scored.
    pub cost_per_100_games: Figure,
    /// Of who faces it: what players of the level play instead of the slip, most played first.
    pub instead: Vec<LevelMove>,
    /// Of who faces it: the most played move of the level that scores better than the slip.
    #[serde(skip)]
    pub better: Option<String>,
    pub games: Vec<NamedGame>,
    /// The trap position or, of who lays it, the one after the slip, with the last move.
    #[serde(skip)]
    pub shown: (Chess, Option<Move>),
}

/// On which side of a trap the student stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// The student may slip.
    Faced,
    /// The student's opponent may.
    Laid,
}

/// A game, told from others by its event, its date and the opponent's colour, and by no name.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct NamedGame {
    /// Its number in the file, from 1.
    pub number: u64,
    /// Its address, if the Site tag has one.
    pub address: Option<String>,
    /// The Event tag, empty if it says nothing.
    pub event: String,
    pub date: Option<String>,
    #[serde(serialize_with = "color_name")]
    pub opponent: Color,
    pub slipped: bool,
    pub refuted: bool,
}

/// What happened in one game.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Met {
    game: usize,
    slipped: bool,
    refuted: bool,
    /// Whether the slip was answered at all.
    answered: bool,
}

/// Each trap from both sides, in the order given.
pub(super) fn traps<C: Counts>(
    cache: &Cache<'_, C>,
    games: &[OwnGame],
    (traps, reports): (&[Trap], &[TrapReport]),
    unadvised: &Unadvised,
    question: &Question,
) -> Result<Vec<TrapRow>, C::Error> {
    let met = met(games, traps);
    let mut rows = Vec::with_capacity(2 * traps.len());
    for ((trap, report), met) in traps.iter().zip(reports).zip(met) {
        for (role, colour) in [(Role::Faced, trap.victim()), (Role::Laid, trap.setter())] {
            let own = met.iter().copied().filter(|met| games[met.game].colour == colour);
            let row = row(trap, report, games, (role, colour), &own.collect::<Vec<_>>());
            rows.push(match role {
                Role::Faced => {
                    let found = cache.position(Key::of(trap.position()))?;
                    let moves = level_moves(cache, trap.position(), question)?;
                    faced(row, trap, moves, (found.as_deref(), unadvised))
                }
                Role::Laid => row,
            });
        }
    }
    Ok(rows)
}

/// The row with the moves of the level that are no slip, and the one to play: the most played that
/// does better than every slip; where no edge of a slip is known, better than the ratings promise;
/// never one that is not advised.
fn faced(
    row: TrapRow,
    trap: &Trap,
    moves: Vec<MoveRow>,
    (found, unadvised): (Option<&PositionCounts>, &Unadvised),
) -> TrapRow {
    let (position, key) = (trap.position(), Key::of(trap.position()));
    let codes = found.iter().flat_map(|found| &found.moves).map(|mv| mv.code);
    let lays =
        |code: MoveCode| code.to_move(position).is_some_and(|mv| unadvised.lays(key, position, mv));
    let slips: Vec<MoveCode> = trap.slips().iter().map(|slip| MoveCode::of(slip.slip())).collect();
    let worse = left_worse(found.iter().flat_map(|found| &found.moves), &slips);
    let barred = codes.filter(|&code| lays(code)).chain(worse);
    let barred: Vec<String> = barred.map(|code| code.to_string()).collect();
    let slips: Vec<String> = slips.iter().map(MoveCode::to_string).collect();
    let (slipped, held): (Vec<MoveRow>, Vec<MoveRow>) =
        moves.into_iter().partition(|row| slips.contains(&row.uci));
    let least = slipped.iter().filter_map(|row| row.edge.value).reduce(f64::max).unwrap_or(0.0);
    let better = held.iter().filter(|row| !barred.contains(&row.uci));
    let better =
        better.into_iter().find(|row| row.edge.value > Some(least)).map(|row| row.san.clone());
    TrapRow { instead: held.into_iter().take(TOLD).map(LevelMove::from).collect(), better, ..row }
}

/// Where the games met each trap.
fn met(games: &[OwnGame], traps: &[Trap]) -> Vec<Vec<Met>> {
    let mut places: KeyMap<Vec<usize>> = KeyMap::default();
    for (place, trap) in traps.iter().enumerate() {
        places.entry(Key::of(trap.position())).or_default().push(place);
    }
    let mut met = vec![Vec::new(); traps.len()];
    for (game, own) in games.iter().enumerate() {
        for (ply, played) in own.plies.iter().enumerate().filter(|(_, ply)| ply.first_visit) {
            for &place in places.get(&played.key).into_iter().flatten() {
                let trap = &traps[place];
                let mut slips = trap.slips().iter();
                let slip = slips.find(|slip| MoveCode::of(slip.slip()) == played.code);
                let reply = own.plies.get(ply + 1).map(|ply| ply.code);
                let refutes = |mv: &Move| Some(MoveCode::of(*mv)) == reply;
                met[place].push(Met {
                    game,
                    slipped: slip.is_some(),
                    refuted: slip.is_some_and(|slip| slip.refutations().iter().any(refutes)),
                    answered: slip.is_some() && reply.is_some(),
                });
            }
        }
    }
    met
}

fn row(
    trap: &Trap,
    report: &TrapReport,
    games: &[OwnGame],
    (role, colour): (Role, Color),
    met: &[Met],
) -> TrapRow {
    let count = |is: fn(&Met) -> bool| met.iter().filter(|met| is(met)).count() as u64;
    let (times, slipped, refuted) =
        (count(|_| true), count(|met| met.slipped), count(|met| met.refuted));
    let missed = count(|met| met.answered && !met.refuted);
    let figures = &report.figures;
    let lost = if role == Role::Faced { slipped } else { missed };
    let often = 100.0 * lost as f64 / games.len().max(1) as f64;
    let after = ("edge_after_slip", &figures.edge_after_slip);
    let differs = |pieces| Figure::combined(pieces, |[a, b]| (often * (a - b), [often, -often]));
    let cost = match (role, &report.at_stake) {
        // What is mated by force has lost the game, whatever was played on.
        (Role::Faced, Some(stake)) => {
            Figure::combined([("score_no_slip", stake)], |[score]| (often * score, [often]))
        }
        (Role::Laid, Some(_)) => {
            let scored = ("score_after_slip", &figures.score_after_slip);
            Figure::combined([scored], |[score]| (often * (1.0 - score), [-often]))
        }
        (Role::Faced, None) => differs([after, ("edge_no_slip", &figures.edge_no_slip)]),
        (Role::Laid, None) => differs([("edge_refuted", &figures.edge_refuted), after]),
    };
    let (board, ply) = match role {
        Role::Faced => (trap.position(), trap.bait_ply()),
        Role::Laid => (trap.position_after_slip(), Some(trap.slip_ply())),
    };
    TrapRow {
        name: trap.name().to_owned(),
        role,
        colour,
        line: report.line.clone(),
        trap_fen: fen(trap.position()),
        slip: report.slip.clone(),
        numbered_slip: trap.line().text(trap.slip_ply()..trap.slip_ply() + 1),
        refutation: report.refutation.clone(),
        times,
        slipped,
        escaped: times - slipped,
        refuted,
        missed,
        level_slip_rate: figures.slip_rate.clone(),
        level_find_rate: figures.find_rate.clone(),
        cost_per_100_games: cost,
        instead: Vec::new(),
        better: None,
        games: met.iter().map(|met| named(&games[met.game], met)).collect(),
        shown: (board.clone(), ply.map(|ply| trap.line().moves()[ply])),
    }
}

fn named(game: &OwnGame, met: &Met) -> NamedGame {
    let is_address = ["https://", "http://"].iter().any(|begin| game.site.starts_with(begin));
    NamedGame {
        number: game.number,
        address: is_address.then(|| game.site.clone()),
        event: game.event.clone(),
        date: game.date.clone(),
        opponent: game.colour.other(),
        slipped: met.slipped,
        refuted: met.refuted,
    }
}
