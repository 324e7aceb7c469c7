//! The shares behind a trap's figures, by group of players.

use shakmaty::{Chess, Color, Move, Position};

use crate::answers::effect::design_effect;
use crate::answers::stats::{
    ByGroup, DesignEffect, GROUPS, GroupErrors, GroupedShare, occurrence_effect,
};
use crate::counts::{Counts, PositionCounts};
use crate::lines::Trap;
use crate::terms::{Key, MoveCode, MoverFilter};

/// The errors of each figure of a trap in one store.
pub(super) struct Errors {
    pub occurrence: GroupErrors,
    pub slip_rate: GroupErrors,
    pub find_rate: GroupErrors,
    pub slips_per_1000: GroupErrors,
}

impl Errors {
    /// Looks the positions of the trap up.
    pub fn of<C: Counts>(counts: &C, trap: &Trap, filter: MoverFilter) -> Result<Errors, C::Error> {
        let at = |position: &Chess| counts.position(Key::of(position));
        let here = at(trap.position())?;
        let slips = slips(trap);
        let codes: Vec<MoveCode> = slips.iter().map(|(slip, ..)| MoveCode::of(*slip)).collect();
        let slip = share(here.as_ref(), filter, |code| codes.contains(&code));
        let mut way = vec![slip];
        for ply in 0..trap.slip_ply() {
            let position = trap.line().position(ply);
            if position.turn() == trap.victim() {
                let code = MoveCode::of(trap.line().moves()[ply]);
                way.push(share(at(position)?.as_ref(), filter, |other| other == code));
            }
        }
        let mut replies = Replies::default();
        for (_, after, refutations) in &slips {
            let codes: Vec<MoveCode> = refutations.iter().map(|mv| MoveCode::of(*mv)).collect();
            replies.add(at(after)?.as_ref(), filter, &codes);
        }
        let of = |shares: &[GroupedShare]| GroupErrors::of_product(shares);
        Ok(Errors {
            occurrence: of(&[occurrence(counts, here.as_ref(), trap.victim(), filter)]),
            slip_rate: of(&[slip]),
            find_rate: of(&[replies.share()]),
            slips_per_1000: of(&way),
        })
    }
}

/// The slips, the positions after them and their refutations.
fn slips(trap: &Trap) -> Vec<(Move, Chess, Vec<Move>)> {
    let slips = trap.slips().iter();
    slips
        .map(|slip| (slip.slip(), slip.position_after().clone(), slip.refutations().to_vec()))
        .collect()
}

fn occurrence<C: Counts>(
    counts: &C,
    here: Option<&PositionCounts>,
    victim: Color,
    filter: MoverFilter,
) -> GroupedShare {
    let k = here.map(|here| *here.groups.sum(filter).as_array()).unwrap_or([0; GROUPS]);
    let n = *counts.totals().groups(victim, filter).as_array();
    GroupedShare { k, n, design_effect: occurrence_effect(&k, &n) }
}

/// The share of the moves that are wanted among all moves of a position.
fn share(
    counts: Option<&PositionCounts>,
    filter: MoverFilter,
    wanted: impl Fn(MoveCode) -> bool,
) -> GroupedShare {
    let (mut k, mut n) = ([0; GROUPS], [0; GROUPS]);
    for (code, games) in counts.into_iter().flat_map(|counts| counts.groups.by_move(filter)) {
        add(&mut n, games.as_array());
        if wanted(code) {
            add(&mut k, games.as_array());
        }
    }
    GroupedShare { k, n, design_effect: design_effect(counts, filter).share }
}

fn add(to: &mut ByGroup, games: &ByGroup) {
    to.iter_mut().zip(games).for_each(|(to, games)| *to += games);
}

/// The replies to all slips together.
struct Replies {
    k: ByGroup,
    n: ByGroup,
    moves: Vec<ByGroup>,
}

impl Default for Replies {
    fn default() -> Replies {
        Replies { k: [0; GROUPS], n: [0; GROUPS], moves: Vec::new() }
    }
}

impl Replies {
    fn add(&mut self, after: Option<&PositionCounts>, filter: MoverFilter, wanted: &[MoveCode]) {
        let part = share(after, filter, |code| wanted.contains(&code));
        add(&mut self.k, &part.k);
        add(&mut self.n, &part.n);
        let moves = after.into_iter().flat_map(|after| after.groups.by_move(filter));
        self.moves.extend(moves.map(|(_, games)| *games.as_array()));
    }

    fn share(&self) -> GroupedShare {
        let design_effect = DesignEffect::of(&self.moves).share;
        GroupedShare { k: self.k, n: self.n, design_effect }
    }
}
