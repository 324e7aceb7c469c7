//! How much the games of the line are worth about scores and edges.

use super::asked::Asked;
use super::behind::Behind;
use super::evidence::{Evidence, Reply, ScoreEffects};
use crate::answers::stats::DesignEffect;

/// Under the whole filter, also where one band of it is counted.
pub(super) fn score_effects(evidence: &Evidence, asked: &Asked<'_>) -> ScoreEffects {
    // Each band of a table asks for the same ones.
    if let Some((filter, effects)) = evidence.score_effects.get()
        && filter == asked.whole()
    {
        return effects;
    }
    let effects = work_out(evidence, asked);
    evidence.score_effects.set(Some((asked.whole(), effects)));
    effects
}

fn work_out(evidence: &Evidence, asked: &Asked<'_>) -> ScoreEffects {
    let whole = asked.whole();
    let victims = asked.effect(&evidence.slip);
    let setters = asked.effect_of_replies(&evidence.replies);
    let after = |reply: &Reply<'_>| {
        let node = &reply.node;
        (reply.slipped(whole).games(), asked.answers(node.key, node.counts.as_deref()))
    };
    let replies: Vec<_> = evidence.replies.iter().map(after).collect();
    let slipped = evidence.by_victims(true, whole).games();
    let refuted = evidence.replies(true, whole).games();
    let behind = evidence.replies.iter().flat_map(|reply| &reply.behind);
    let held = evidence.by_victims(false, whole).games();
    let usual = evidence.usual(whole).games();
    let bait = evidence.bait.as_ref().map(|bait| asked.effect(bait));
    ScoreEffects {
        slipped: victims.of_scores(slipped, &replies),
        replies: setters.of_scores(slipped, &replies),
        refuted: of_moves(setters, refuted, behind, asked),
        held: of_moves(victims, held, &evidence.behind_held, asked),
        usual: bait.map_or(1.0, |bait| of_moves(bait, usual, &evidence.behind_usual, asked)),
    }
}

/// D of the scores of so many games in a position of these `movers`, with what is known of the
/// positions behind their moves.
pub(super) fn of_moves<'b>(
    movers: DesignEffect,
    all: u64,
    behind: impl IntoIterator<Item = &'b Behind>,
    asked: &Asked<'_>,
) -> f64 {
    let whole = asked.whole();
    let known = |behind: &'b Behind| {
        (behind.games(whole), asked.answers(behind.key, behind.counts.as_deref()))
    };
    movers.of_scores(all, &behind.into_iter().map(known).collect::<Vec<_>>())
}
