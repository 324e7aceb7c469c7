//! A question about positions of a line, and how much their games tell.

use shakmaty::Color;

use super::effects::Effects;
use super::evidence::{Node, Reply};
use crate::answers::stats::{Answers, DesignEffect, Factor, SCORE_CORRELATION, TIME_CORRELATION};
use crate::answers::{Figure, Question, Sampling, Withheld};
use crate::counts::{Lacking, PositionCounts};
use crate::terms::{BandRange, Key, MoverFilter};

/// A question with the design effects that its answers are given with.
#[derive(Clone, Copy)]
pub(super) struct Asked<'e> {
    /// Whose choices are counted, and all else that is asked.
    pub question: Question,
    /// Whose games tell the design effects: the whole filter, also where one band of it is counted.
    whole: MoverFilter,
    effects: &'e Effects<'e>,
}

impl<'e> Asked<'e> {
    pub fn new(question: &Question, effects: &'e Effects<'e>) -> Asked<'e> {
        Asked { question: *question, whole: question.filter, effects }
    }

    /// The same about some of the bands, with the design effects of all of them.
    pub fn of_bands(self, bands: BandRange) -> Asked<'e> {
        let filter = MoverFilter { bands, ..self.question.filter };
        Asked { question: self.question.about(filter), ..self }
    }

    /// The same about other movers, with design effects of their own.
    pub fn about(self, filter: MoverFilter) -> Asked<'e> {
        Asked::new(&self.question.about(filter), self.effects)
    }

    /// Whose games tell the design effects.
    pub fn whole(&self) -> MoverFilter {
        self.whole
    }

    pub fn filter(&self) -> MoverFilter {
        self.question.filter
    }

    /// How much the games of a position tell.
    pub fn effect(&self, node: &Node<'_>) -> DesignEffect {
        // Each band of a table asks for the same ones.
        if let Some((filter, effect)) = node.effect.get()
            && filter == self.whole
        {
            return effect;
        }
        let effect = self.effect_at(node.key, node.counts.as_deref());
        node.effect.set(Some((self.whole, effect)));
        effect
    }

    /// [`effect`](Self::effect) of a position beside the line.
    pub fn effect_at(&self, key: Key, counts: Option<&PositionCounts>) -> DesignEffect {
        self.effects.positions(&[(key, counts)], self.whole)
    }

    /// How much the games of the positions after the slips tell, taken together.
    pub fn effect_of_replies(&self, replies: &[Reply<'_>]) -> DesignEffect {
        if let [only] = replies {
            return self.effect(&only.node);
        }
        let places = replies.iter().map(|reply| (reply.node.key, reply.node.counts.as_deref()));
        self.effects.positions(&places.collect::<Vec<_>>(), self.whole)
    }

    /// What those who answer in a position add to scores before it.
    pub fn answers(&self, key: Key, counts: Option<&PositionCounts>) -> Answers {
        self.effects.answers(key, counts, self.whole)
    }

    /// For figures of games of which so many are worth one.
    pub fn sampling(&self, design_effect: f64) -> Sampling {
        self.question.sampling().with_effect(design_effect)
    }

    /// For shares of the moves of a position.
    pub fn shares(&self, node: &Node<'_>) -> Sampling {
        self.sampling(self.effect(node).share).lacking(node.lacking)
    }

    /// The share of the refutations among the replies to the slips.
    pub fn find_rate(&self, replies: &[Reply<'_>]) -> Figure {
        let splits = replies.iter().map(|reply| reply.node.split(self.filter()));
        let Factor { k, n, .. } = splits.fold(Factor::default(), Factor::plus);
        let sampling = self.sampling(self.effect_of_replies(replies).share);
        sampling.lacking(after(replies)).share(k, n)
    }

    /// For scores and edges after the slips, as far as they hang together by the setters'
    /// strength alone.
    pub fn scores_after(&self, replies: &[Reply<'_>]) -> Sampling {
        let effect = self.effect_of_replies(replies).of_residuals(SCORE_CORRELATION);
        self.sampling(effect).lacking(after(replies))
    }

    /// For seconds there.
    pub fn times(&self, node: &Node<'_>) -> Sampling {
        self.sampling(self.effect(node).of_residuals(TIME_CORRELATION)).lacking(node.lacking)
    }

    /// The needed move among all moves of the position.
    pub fn split(&self, node: &Node<'_>) -> Factor {
        node.split(self.filter()).with_effect(self.effect(node).share)
    }

    /// The share of the needed move.
    pub fn share(&self, node: &Node<'_>) -> Figure {
        let Factor { k, n, .. } = node.split(self.filter());
        self.shares(node).share(k, n)
    }

    /// The share of the games with a choice here among `all` games of the mover's colour.
    pub fn occurrence(&self, node: &Node<'_>, mover: Color, all: u64) -> Figure {
        // Games that come by a shorter way are not all of them, however many they are.
        if let Some(beyond) = node.lacking.beyond() {
            let k = node.split(self.filter()).n;
            return Figure::withheld(all, Withheld::NotCounted(beyond)).with_k(k);
        }
        let margin = self.effects.occurrence(node.key, node.counts.as_deref(), mover, self.whole);
        self.question.sampling().with_margin(margin).share(node.split(self.filter()).n, all)
    }
}

/// What is missing from the positions after the slips.
pub(super) fn after(replies: &[Reply<'_>]) -> Lacking {
    replies.first().map_or(Lacking::NOTHING, |reply| reply.node.lacking)
}
