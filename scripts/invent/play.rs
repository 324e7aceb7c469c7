//! One game, move by move: planted choices first, then the opening tree, then the chooser.

use shakmaty::san::{San, SanPlus, Suffix};
use shakmaty::{Chess, Color, Move, MoveList, Position};

use crate::chance::{Outcome, draw_outcome, ordinary};
use crate::chooser::{Care, choose};
use crate::comments::{Clocks, Evaluation, Thinking};
use crate::dice::Dice;
use crate::habits::Hand;
use crate::league::League;
use crate::openings::{Opening, key};
use crate::planted::{Spot, Trap, rate};
use crate::setting::Setting;
use crate::truth::State;

/// Planted positions count up to here; none of them can arise later.
const PLANTED_PLIES: usize = 60;
/// Up to here players have habits in any position; beyond only in planted ones.
const HABITUAL_PLIES: usize = 30;
/// From here on the players know who is going to win.
const PLAN_FROM: usize = 16;

/// Up to here players look twice at what they leave hanging.
const CAREFUL_PLIES: usize = 36;
/// Noise of a move that leaves the book, in centipawns.
const STRAY: f64 = 55.0;

/// Nobody runs out of time before this half-move.
const FORFEIT_FROM: usize = 40;

pub struct Ply {
    pub san: SanPlus,
    pub clock: Option<u32>,
    /// Centipawns, White's view; 30,000 less n is a mate in n.
    pub eval: Option<i32>,
}

/// A planted choice in a game, the first at its trap position.
#[derive(Clone, Copy)]
pub struct Met {
    pub trap: usize,
    pub ply: usize,
    pub state: State,
    /// The mean of the victim's time that an import reads, in millionths of a second, if
    /// there are clocks.
    pub micros: Option<u64>,
}

/// A planted choice of the setter, the first after this slip: another order of moves may lead there
/// without the trap position.
#[derive(Clone, Copy)]
pub struct Replied {
    pub trap: usize,
    pub ply: usize,
    pub finds: bool,
}

pub struct Played {
    pub plies: Vec<Ply>,
    pub outcome: Outcome,
    /// The score for White from which the outcome was drawn.
    pub score: f64,
    pub on_time: bool,
    /// Mate, or no legal move: the last move ended the game.
    pub over: bool,
    pub opening: Option<Opening>,
    pub met: Vec<Met>,
    pub replied: Vec<Replied>,
}

/// A drawn result that the rest of the game leads to.
#[derive(Clone, Copy)]
struct Plan {
    score: f64,
    outcome: Outcome,
}

/// What was chosen, and what the comments need to know about it.
struct Choice {
    chosen: Move,
    book: bool,
    percent: Option<u32>,
    /// Evaluation to jump to, setter's view, and the setter.
    jump: Option<(i32, Color)>,
}

struct Player<'a> {
    league: &'a League,
    setting: &'a Setting,
    position: Chess,
    moves: MoveList,
    lasts: [Option<Move>; 2],
    plan: Option<Plan>,
    met: Vec<Met>,
    replied: Vec<Replied>,
}

/// Plays `length` half-moves or fewer from `start`.
pub fn play(
    league: &League,
    setting: &Setting,
    start: Chess,
    length: usize,
    dice: &mut Dice,
) -> Played {
    let mut player = Player {
        league,
        setting,
        moves: start.legal_moves(),
        position: start,
        lasts: [None; 2],
        plan: None,
        met: Vec::new(),
        replied: Vec::new(),
    };
    let loses_on_time = dice.chance(setting.time_forfeits) && length >= FORFEIT_FROM;
    let mut clocks = setting.clocks.then(|| Clocks::new(setting.pace));
    let mut evaluation = setting.evals.then_some(Evaluation(20));
    let mut plies: Vec<Ply> = Vec::with_capacity(length);
    let mut opening = None;
    while !player.moves.is_empty() {
        let ply = plies.len();
        let key = (ply < PLANTED_PLIES).then(|| key(&player.position));
        let node = key.and_then(|key| league.book.get(key));
        opening = node.and_then(|node| node.opening).or(opening);
        let spot = key.and_then(|key| league.traps.at(key));
        if ply >= length && !matches!(spot, Some(Spot::Slip(_))) {
            break;
        }
        let mover = player.position.turn();
        let habitual = key.filter(|_| ply < HABITUAL_PLIES || spot.is_some());
        let own = habitual.and_then(|key| league.habits.dice(setting.character(mover), key, dice));
        let hand = Hand { own, game: dice };
        let Some(choice) = player.choose(spot, ply, length, hand) else {
            break;
        };
        let san = San::disambiguate(choice.chosen, &player.moves);
        player.make(choice.chosen);
        if let (Some(clocks), Some(percent)) = (&clocks, choice.percent)
            && let Some(met) = player.met.last_mut().filter(|met| met.ply == ply)
        {
            let slowness = setting.character(mover).slowness;
            met.micros = Some(clocks.planted_micros(mover, slowness * f64::from(percent)));
        }
        let clock = clocks.as_mut().map(|clocks| {
            let losing = loses_on_time && player.plan.is_some_and(|plan| loses(plan, mover));
            let thinking = Thinking {
                book: choice.book,
                percent: choice.percent.map(f64::from),
                slowness: setting.character(mover).slowness,
                losing_on_time: losing.then(|| (length.saturating_sub(ply) / 2) as u32),
            };
            clocks.spend(mover, ply, &thinking, dice)
        });
        let suffix = player.suffix();
        let eval =
            evaluation.as_mut().filter(|_| suffix != Some(Suffix::Checkmate)).map(|evaluation| {
                evaluate(evaluation, &choice, player.plan, ply, length, dice);
                evaluation.0
            });
        plies.push(Ply { san: SanPlus { san, suffix }, clock, eval });
    }
    let plan = player.finish(dice);
    let mated = plies.last().is_some_and(|ply| ply.san.suffix == Some(Suffix::Checkmate));
    Played {
        on_time: loses_on_time
            && !mated
            && plan.outcome != Outcome::Draw
            && !player.moves.is_empty(),
        over: player.moves.is_empty(),
        outcome: plan.outcome,
        score: plan.score,
        plies,
        opening,
        met: player.met,
        replied: player.replied,
    }
}

fn loses(plan: Plan, side: Color) -> bool {
    plan.outcome == side.fold_wb(Outcome::Black, Outcome::White)
}

fn wins(plan: Plan, side: Color) -> bool {
    plan.outcome == side.fold_wb(Outcome::White, Outcome::Black)
}

fn evaluate(
    evaluation: &mut Evaluation,
    choice: &Choice,
    plan: Option<Plan>,
    ply: usize,
    length: usize,
    dice: &mut Dice,
) {
    if let Some((cp, setter)) = choice.jump {
        evaluation.0 = setter.fold_wb(cp, -cp);
    } else if choice.book {
        evaluation.in_book(dice);
    } else {
        let top = 100 + 900 * ply as i32 / length.max(20) as i32;
        let goal = match plan.map(|plan| plan.outcome) {
            Some(Outcome::White) => top,
            Some(Outcome::Black) => -top,
            Some(Outcome::Draw) => 0,
            None => 20,
        };
        let noise = if ply < PLAN_FROM { 18.0 } else { 45.0 };
        evaluation.walk(goal, noise, dice);
    }
}

impl Player<'_> {
    fn rating(&self) -> i32 {
        self.setting.rating(self.position.turn())
    }

    fn choose(
        &mut self,
        spot: Option<Spot>,
        ply: usize,
        length: usize,
        mut hand: Hand<'_>,
    ) -> Option<Choice> {
        match spot {
            Some(Spot::Trap(index)) => return Some(self.victim(index, ply, hand)),
            Some(Spot::Slip(index)) => return Some(self.setter(index, ply, hand)),
            Some(Spot::Follow(usual, setter)) => {
                let often = if setter { 8800 } else { 7200 };
                if hand.choosing().chance(often) && self.agrees(usual) {
                    return Some(Choice { chosen: usual, book: false, percent: None, jump: None });
                }
            }
            None => {}
        }
        let fashionable = self.fashionable(ply);
        if let Some(chosen) = fashionable.or_else(|| self.book_move(ply, hand.choosing())) {
            return Some(Choice { chosen, book: true, percent: None, jump: None });
        }
        if ply >= PLAN_FROM && self.plan.is_none() {
            self.plan = Some(self.ordinary_plan(hand.game));
        }
        let chosen = self
            .mate(ply, length)
            .or_else(|| self.sensible(&[], ply, self.steady(), hand.choosing()))?;
        Some(Choice { chosen, book: false, percent: None, jump: None })
    }

    /// The victim in a trap position.
    fn victim(&mut self, index: usize, ply: usize, mut hand: Hand<'_>) -> Choice {
        let trap = &self.league.traps.traps[index];
        let row = trap.row;
        let slips = hand.choosing().chance(rate(&row.slip_rate, self.rating()));
        let state = if slips { State::Missed } else { State::NoSlip };
        if self.met.iter().all(|met| met.trap != index) {
            self.met.push(Met { trap: index, ply, state, micros: None });
        }
        if slips {
            return Choice {
                chosen: trap.slip,
                book: false,
                percent: Some(row.hurry),
                jump: Some((row.cp_slip, trap.setter)),
            };
        }
        self.plan = Some(self.shifted_plan(trap, row.no_slip, hand.game));
        Choice {
            chosen: self.other(&trap.others, trap.slip, ply, hand.choosing()),
            book: false,
            percent: Some(150),
            jump: Some((row.cp_no_slip, trap.setter)),
        }
    }

    /// The setter after the slip.
    fn setter(&mut self, index: usize, ply: usize, mut hand: Hand<'_>) -> Choice {
        let trap = &self.league.traps.traps[index];
        let row = trap.row;
        let finds = hand.choosing().chance(rate(&row.find_rate, self.rating()));
        if self.replied.iter().all(|replied| replied.trap != index) {
            self.replied.push(Replied { trap: index, ply, finds });
        }
        if finds && let Some(met) = self.met.iter_mut().find(|met| met.trap == index) {
            met.state = State::Refuted;
        }
        let (chosen, cp) = if finds {
            let score = f64::from(row.refuted) / 1000.0;
            let score = trap.setter.fold_wb(score, 1.0 - score);
            self.plan = Some(self.plan(score, hand.game));
            (trap.refutation, row.cp_slip)
        } else {
            self.plan = Some(self.shifted_plan(trap, row.missed, hand.game));
            let declined = self.other(&trap.declines, trap.refutation, 0, hand.choosing());
            (declined, row.cp_missed)
        };
        Choice { chosen, book: false, percent: None, jump: Some((cp, trap.setter)) }
    }

    /// A planted alternative, or now and then any sensible move but `never`.
    fn other(&self, weights: &[(Move, u32)], never: Move, ply: usize, dice: &mut Dice) -> Move {
        let any = dice.chance(667).then(|| self.sensible(&[never], ply, STRAY, dice)).flatten();
        any.unwrap_or_else(|| {
            let drawn = dice.weighted(weights.iter().map(|(_, weight)| *weight));
            weights[drawn.expect("every planted row has weights")].0
        })
    }

    fn fashionable(&self, ply: usize) -> Option<Move> {
        let trap = &self.league.traps.traps[self.setting.fashion?];
        let usual = *trap.line.get(ply)?;
        self.moves.contains(&usual).then_some(usual)
    }

    fn book_move(&self, ply: usize, dice: &mut Dice) -> Option<Move> {
        let node = self.league.book.get(key(&self.position)).filter(|_| ply < PLANTED_PLIES)?;
        let rating = self.rating();
        let strays = self.setting.strays(rating, ply);
        if dice.chance(strays) {
            return self.sensible(&[], ply, STRAY, dice);
        }
        node.draw(rating, dice).filter(|&chosen| self.agrees(chosen))
    }

    /// A mate in one for the side that is going to win, looked for towards the end of the game.
    fn mate(&self, ply: usize, length: usize) -> Option<Move> {
        let mover = self.position.turn();
        if ply + 18 < length || !self.plan.is_some_and(|plan| wins(plan, mover)) {
            return None;
        }
        self.moves.iter().copied().find(|&candidate| {
            let mut next = self.position.clone();
            next.play_unchecked(candidate);
            next.is_checkmate()
        })
    }

    /// A move of the chooser that does not end the game against the plan. `noise` is in centipawns.
    fn sensible(&self, banned: &[Move], ply: usize, noise: f64, dice: &mut Dice) -> Option<Move> {
        let mover = self.position.turn();
        let weakness = (2600 - self.rating()).max(0) as u32;
        let mut care = Care {
            noise,
            looks_twice: ply < CAREFUL_PLIES && !dice.chance(100 + weakness),
            last: self.lasts[mover as usize],
        };
        if ply >= PLAN_FROM
            && let Some(plan) = self.plan
        {
            care.noise *= match () {
                () if wins(plan, mover) => 0.8,
                () if loses(plan, mover) => 1.8,
                () => 1.0,
            };
        }
        let mut banned = banned.to_vec();
        loop {
            let chosen = choose(&self.position, &self.moves, &banned, &care, dice)?;
            if self.agrees(chosen) {
                return Some(chosen);
            }
            banned.push(chosen);
        }
    }

    /// Noise of somebody who just plays on.
    fn steady(&self) -> f64 {
        12.0 + f64::from(2600 - self.rating()) / 60.0
    }

    /// Whether a move fits the plan: only the winner mates, and only a draw ends in stalemate.
    fn agrees(&self, chosen: Move) -> bool {
        let mut next = self.position.clone();
        next.play_unchecked(chosen);
        if next.is_insufficient_material() {
            return self.plan.is_some_and(|plan| plan.outcome == Outcome::Draw);
        }
        if next.legal_moves().is_empty() {
            let mover = self.position.turn();
            return self.plan.is_some_and(|plan| {
                if next.is_check() { wins(plan, mover) } else { plan.outcome == Outcome::Draw }
            });
        }
        true
    }

    fn make(&mut self, chosen: Move) {
        self.lasts[self.position.turn() as usize] = Some(chosen);
        self.position.play_unchecked(chosen);
        self.moves = self.position.legal_moves();
    }

    fn suffix(&self) -> Option<Suffix> {
        if !self.position.is_check() {
            None
        } else if self.moves.is_empty() {
            Some(Suffix::Checkmate)
        } else {
            Some(Suffix::Check)
        }
    }

    /// A result whose mean score for White over all players is `score`: some are better than their
    /// rating, as many are worse.
    fn plan(&self, score: f64, dice: &mut Dice) -> Plan {
        let room = 0.5 * score.min(1.0 - score);
        let [white, black] = self.setting.characters.map(|who| who.strength.clamp(-room, room));
        let rating = (self.setting.white + self.setting.black) / 2;
        let outcome = draw_outcome(score + white - black, rating, dice);
        Plan { score, outcome }
    }

    fn ordinary_plan(&self, dice: &mut Dice) -> Plan {
        self.plan(ordinary(self.setting.white, self.setting.black), dice)
    }

    /// The ordinary expectation with the planted edge of the setter on top.
    fn shifted_plan(&self, trap: &Trap, thousandths: i32, dice: &mut Dice) -> Plan {
        let shift = f64::from(trap.setter.fold_wb(thousandths, -thousandths)) / 1000.0;
        let score = ordinary(self.setting.white, self.setting.black) + shift;
        self.plan(score.clamp(0.01, 0.99), dice)
    }

    /// The plan at the end; games cut short in the opening draw theirs now.
    fn finish(&self, dice: &mut Dice) -> Plan {
        self.plan.unwrap_or_else(|| self.ordinary_plan(dice))
    }
}
