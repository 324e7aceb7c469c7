//! The counts behind the figures, so that each can be worked out by hand.

use shakmaty::{Color, Position};

use super::asked::{Asked, after};
use super::evidence::{Evidence, Node};
use super::explanation::{
    BandProduct, CellSum, Clock, Explanation, Order, Place, PositionEffect, RefutedShare, UsedShare,
};
use super::reach::Steering;
use super::scores::score_effects;
use super::worth::{Stratum, strata};
use crate::answers::Sample;
use crate::answers::stats::{SCORE_CORRELATION, TIME_CORRELATION};
use crate::counts::Cell;
use crate::lines::san_text;
use crate::terms::{CellId, MoverFilter, Pace};

/// Explains the figures over the whole filter; `steering` is what steering is made of.
pub(super) fn explain(
    evidence: &Evidence,
    asked: &Asked<'_>,
    steering: &Steering,
    orders: Vec<Order>,
) -> Explanation {
    let filter = asked.filter();
    let mut book = Book { evidence, filter, sums: Vec::new() };
    for node in &evidence.choices {
        book.add(node, true, Place::Choice);
        book.add(node, false, Place::OtherChoices);
    }
    book.add(&evidence.slip, true, Place::Slip);
    book.add(&evidence.slip, false, Place::OtherMoves);
    for reply in &evidence.replies {
        book.add(&reply.node, true, Place::Refutation);
        book.add(&reply.node, false, Place::OtherReplies);
    }
    if let Some(bait) = &evidence.bait {
        book.add(bait, false, Place::InsteadOfBait);
    }
    book.add_totals();
    let replies = evidence.replies(true, filter).plus(evidence.replies(false, filter));
    Explanation {
        sums: book.sums,
        steered: products(steering),
        refuted: refuted(evidence, asked),
        edge_replies: replies.edge(
            asked
                .sampling(score_effects(evidence, asked).replies)
                .lacking(after(&evidence.replies)),
        ),
        orders,
        effects: evidence.nodes().map(|node| effect_of(node, asked)).collect(),
    }
}

/// The product of each band of the steering.
pub(super) fn products(steering: &Steering) -> Vec<BandProduct> {
    let pools: Vec<Vec<Vec<usize>>> =
        steering.line.choices.iter().map(|choice| choice.pools()).collect();
    let used = |band: usize, choice: usize| {
        let pool = pools[choice].iter().find(|pool| pool.contains(&band));
        let pool = pool.expect("every band is in a pool");
        let share = steering.line.choices[choice].pool(pool);
        UsedShare { k: share.k, n: share.n, pooled: pool.len() > 1 }
    };
    let weighed = steering.bands.iter().zip(&steering.line.weights).enumerate();
    let bands = weighed.map(|(index, (range, &games))| BandProduct {
        from: range.from,
        below: range.below,
        games,
        shares: (0..pools.len()).map(|choice| used(index, choice)).collect(),
    });
    bands.collect()
}

/// How much the games of a position are worth.
pub(super) fn effect_of(node: &Node<'_>, asked: &Asked<'_>) -> PositionEffect {
    let effect = asked.effect(node);
    PositionEffect {
        key: node.key.to_string(),
        n: effect.games,
        games_a_player: effect.games_a_player,
        shares: effect.share,
        scores: effect.of_residuals(SCORE_CORRELATION),
        seconds: effect.of_residuals(TIME_CORRELATION),
    }
}

fn refuted(evidence: &Evidence, asked: &Asked<'_>) -> Vec<RefutedShare> {
    if evidence.replies.len() < 2 {
        return Vec::new();
    }
    let share = |part: Stratum| RefutedShare {
        slips: part.slips.iter().map(|&slip| evidence.replies[slip].slip.san()).collect(),
        slipped: part.slipped,
        refuted: part.refuted.games(),
        edge: part.refuted.edge(1).value,
    };
    strata(evidence, asked.filter()).into_iter().map(share).collect()
}

/// Sums under way.
struct Book<'a> {
    evidence: &'a Evidence<'a>,
    filter: MoverFilter,
    sums: Vec<CellSum>,
}

impl Book<'_> {
    /// The line's own move in the position of `node`, or all others.
    fn add(&mut self, node: &Node<'_>, own: bool, place: Place) {
        let moves = node.counts.iter().flat_map(|counts| &counts.moves);
        let moves = moves.filter(|mv| node.has(mv.code) == own).flat_map(|mv| &mv.cells);
        let cells: Vec<(CellId, &Cell)> = moves.map(|(id, cell)| (*id, cell)).collect();
        let named = match (own, place) {
            (true, _) => sans(node),
            (_, Place::InsteadOfBait) => format!("all but {}", node.san),
            _ => "all others".into(),
        };
        let key = Some(node.key.to_string());
        let position = self.line_to(node);
        self.note(place, (position, key, node.position.turn()), named, &cells);
    }

    /// The line to a position; after a slip it is that slip.
    fn line_to(&self, node: &Node<'_>) -> String {
        let trap = self.evidence.trap;
        let reply = self.evidence.replies.iter().find(|reply| std::ptr::eq(&reply.node, node));
        match reply {
            Some(reply) => reply.slip.line().text(0..node.ply) + "??",
            None => trap.marked(node.ply),
        }
    }

    fn add_totals(&mut self) {
        let victim = self.evidence.trap.victim();
        let rows = self.evidence.totals.rows().filter(|(side, ..)| *side == victim);
        let cells: Vec<(CellId, &Cell)> = rows.map(|(_, id, cell)| (id, cell)).collect();
        self.note(Place::AllGames, ("all games".into(), None, victim), "all".into(), &cells);
    }

    fn note(
        &mut self,
        place: Place,
        (position, key, mover): (String, Option<String>, Color),
        moves: String,
        cells: &[(CellId, &Cell)],
    ) {
        let admitted = cells.iter().copied().filter(|(id, _)| self.filter.admits(*id));
        let cells: Vec<(CellId, &Cell)> = admitted.collect();
        let sample = Sample::of(cells.iter().copied(), mover, &self.evidence.baseline);
        let sum: Cell = cells.iter().map(|(_, cell)| *cell).sum();
        let played = |pace: &Pace| cells.iter().any(|(id, _)| id.pace() == *pace);
        self.sums.push(CellSum {
            label: label(self.sums.len()),
            place,
            position,
            key,
            mover,
            moves,
            from: cells.iter().map(|(id, _)| id.band().from()).min(),
            below: cells.iter().map(|(id, _)| id.band().below()).max(),
            paces: Pace::ALL.into_iter().filter(played).collect(),
            games: sum.games,
            wins: sum.wins,
            draws: sum.draws,
            losses: sum.losses(),
            expected_milli: sum.expected_milli,
            ordinary: sample.ordinary,
            clock: Clock {
                games: sum.clock_games,
                tenths: sum.clock_tenths,
                tenths_sq: sum.clock_tenths_sq,
            },
        });
    }
}

/// The needed moves of a position in SAN.
fn sans(node: &Node<'_>) -> String {
    let moves = node.codes.iter().filter_map(|code| code.to_move(node.position));
    moves.map(|mv| san_text(node.position, mv)).collect::<Vec<_>>().join(", ")
}

/// A, B, ... Z, A1, B1, ...
fn label(index: usize) -> String {
    let letter = char::from(b'A' + (index % 26) as u8);
    if index < 26 { letter.to_string() } else { format!("{letter}{}", index / 26) }
}
