//! Positions that several traps or figures ask for are looked up once.

use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

use super::effects::Effects;
use crate::answers::Baseline;
use crate::counts::{Counts, Limits, PositionCounts, Totals};
use crate::terms::Key;

/// Counts that remember what they were asked.
pub(in crate::answers) struct Cache<'a, C> {
    counts: &'a C,
    baseline: Rc<Baseline>,
    seen: RefCell<HashMap<Key, Option<Rc<PositionCounts>>>>,
    effects: Effects<'a>,
}

impl<'a, C: Counts> Cache<'a, C> {
    pub fn new(counts: &'a C) -> Cache<'a, C> {
        let totals = counts.totals();
        Cache {
            counts,
            baseline: Rc::new(Baseline::of(totals)),
            seen: RefCell::default(),
            effects: Effects::of(totals),
        }
    }

    /// The cells of one position, or `None` when it was not kept.
    pub fn position(&self, key: Key) -> Result<Option<Rc<PositionCounts>>, C::Error> {
        if let Some(known) = self.seen.borrow().get(&key) {
            return Ok(known.clone());
        }
        let found = self.counts.position(key)?.map(Rc::new);
        self.seen.borrow_mut().insert(key, found.clone());
        Ok(found)
    }

    /// The counts themselves, which remember nothing.
    pub fn counts(&self) -> &'a C {
        self.counts
    }

    /// The cells of one position without being remembered.
    pub fn uncached(&self, key: Key) -> Result<Option<PositionCounts>, C::Error> {
        self.counts.position(key)
    }

    pub fn totals(&self) -> &'a Totals {
        self.counts.totals()
    }

    pub fn baseline(&self) -> &Rc<Baseline> {
        &self.baseline
    }

    /// What the games of the positions tell.
    pub(super) fn effects(&self) -> &Effects<'a> {
        &self.effects
    }

    pub fn limits(&self) -> &'a Limits {
        self.counts.limits()
    }
}
