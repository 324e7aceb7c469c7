//! A walk over all positions, in their bytes.

use std::borrow::Cow;
use std::cell::Cell;

use redb::Range;

use super::codec::{Decoder, decode_body};
use super::entry::{self, OpeningRef};
use super::fence::{damaged, fenced};
use super::{Store, StoreError};
use crate::counts::{GroupGames, GroupsOf, MoveCounts, Opening, OpeningTally, PositionCounts};
use crate::terms::{Key, MoverFilter};

impl Store {
    /// All positions, ascending by key; ends with the first error.
    pub fn positions(&self) -> impl Iterator<Item = Result<PositionCounts, StoreError>> + '_ {
        self.positions_raw().map(|raw| raw?.counts())
    }

    /// All positions in their bytes.
    pub fn positions_raw(&self) -> RawPositions<'_> {
        RawPositions { store: self, range: None, last: None, read: 0, done: false }
    }
}

/// One position as it is stored, checked but not decoded.
pub struct RawPosition<'s> {
    /// Which position.
    pub key: Key,
    /// The learned opening name with its tally.
    pub opening: Option<OpeningTally<'s>>,
    store: &'s Store,
    entry: Cow<'s, [u8]>,
    body: usize,
}

impl<'s> RawPosition<'s> {
    /// Checks the entry against its key and the key before it.
    pub(super) fn unseal(
        store: &'s Store,
        before: Option<Key>,
        key: Key,
        entry: Cow<'s, [u8]>,
    ) -> Result<RawPosition<'s>, StoreError> {
        let (opening, body) =
            entry::unseal(before, key, &entry).map_err(|error| store.broken(key, error))?;
        let opening = Self::look_up(store, key, opening)?;
        Ok(RawPosition { key, opening, store, entry, body })
    }

    fn look_up(
        store: &'s Store,
        key: Key,
        opening: OpeningRef,
    ) -> Result<Option<OpeningTally<'s>>, StoreError> {
        let Some((place, tally)) = opening else { return Ok(None) };
        match store.openings()?.get(place as usize) {
            Some(tag) => Ok(Some((tag, tally))),
            None => Err(damaged(store.path(), format!("position {key}: an unknown opening"))),
        }
    }

    /// What [`super::codec::encode_body`] wrote.
    pub fn body(&self) -> &[u8] {
        &self.entry[self.body..]
    }

    /// What `make` makes of the moves played there and, if it asks for them, of their
    /// games by group.
    ///
    /// # Errors
    /// As [`RawPosition::counts`]; of games by group only if they are asked for.
    pub(super) fn show<T>(
        &self,
        decoder: &mut Decoder,
        make: impl FnOnce(&[MoveCounts], &GroupsOf<'_>) -> T,
    ) -> Result<T, StoreError> {
        let broken = |error| self.store.broken(self.key, error);
        let (_, rest) = decoder.decode(self.body()).map_err(broken)?;
        let error = Cell::new(None);
        let groups = |filter| {
            decoder.groups_by_move(rest, filter).unwrap_or_else(|found| {
                error.set(Some(found));
                vec![GroupGames::default(); decoder.moves.len()]
            })
        };
        let made = make(&decoder.moves, &groups);
        error.take().map_or(Ok(made), |error| Err(broken(error)))
    }

    /// The counts in full.
    ///
    /// # Errors
    /// [`StoreError::Damaged`] when they break an invariant.
    pub fn counts(&self) -> Result<PositionCounts, StoreError> {
        decode_body(self.key, self.named(), self.body())
            .map_err(|error| self.store.broken(self.key, error))
    }

    /// The counts but for the games by group, and these by move of the movers that the filter
    /// lets through.
    ///
    /// # Errors
    /// As [`RawPosition::counts`].
    pub(super) fn counts_under(
        &self,
        filter: MoverFilter,
    ) -> Result<(PositionCounts, Vec<GroupGames>), StoreError> {
        let broken = |error| self.store.broken(self.key, error);
        let mut decoder = Decoder::default();
        let (head, rest) = decoder.decode(self.body()).map_err(broken)?;
        let groups = decoder.groups_by_move(rest, filter).map_err(broken)?;
        let counts = PositionCounts {
            may_lack: head.may_lack,
            opening: self.named(),
            moves: decoder.moves,
            ..PositionCounts::empty(self.key)
        };
        Ok((counts, groups))
    }

    fn named(&self) -> Option<Opening> {
        self.opening.map(|(tag, tally)| Opening { tag: tag.clone(), tally })
    }
}

/// All positions in ascending order of their keys, in their bytes; ends with the first error.
pub struct RawPositions<'s> {
    store: &'s Store,
    range: Option<Range<'static, u64, &'static [u8]>>,
    last: Option<Key>,
    read: u64,
    done: bool,
}

impl<'s> RawPositions<'s> {
    /// The next position. After an error it goes on where the error is confined to one entry; so it
    /// always comes to an end.
    pub(super) fn advance(&mut self) -> Option<Result<RawPosition<'s>, StoreError>> {
        if self.done {
            return None;
        }
        let (key, entry) = match self.fetch() {
            Ok(Some(found)) => found,
            Ok(None) => {
                self.done = true;
                return self.missing().map(Err);
            }
            Err(error) => {
                self.done = true;
                return Some(Err(error));
            }
        };
        let before = self.last.replace(key);
        self.read += 1;
        if before.is_some_and(|before| before >= key) || self.read > self.store.summary().positions
        {
            self.done = true;
            let what = format!("position {key}: out of order, {} read", self.read);
            return Some(Err(damaged(self.store.path(), what)));
        }
        Some(RawPosition::unseal(self.store, before, key, entry.into()))
    }

    fn fetch(&mut self) -> Result<Option<(Key, Vec<u8>)>, StoreError> {
        let (store, range) = (self.store, &mut self.range);
        fenced(store.path(), "read", || {
            let range = match range {
                Some(range) => range,
                None => range.insert(store.table().range::<u64>(..)?),
            };
            let Some(item) = range.next() else { return Ok(None) };
            let (key, entry) = item?;
            Ok(Some((Key(key.value()), entry.value().to_vec())))
        })
    }

    /// Whether the walk has missed some at its end.
    fn missing(&self) -> Option<StoreError> {
        let summary = self.store.summary();
        let whole = self.read == summary.positions && self.last == summary.last_key.map(Key);
        (!whole).then(|| {
            let what = format!("{} of {} positions can be reached", self.read, summary.positions);
            damaged(self.store.path(), what)
        })
    }
}

impl<'s> Iterator for RawPositions<'s> {
    type Item = Result<RawPosition<'s>, StoreError>;

    fn next(&mut self) -> Option<Self::Item> {
        let next = self.advance();
        self.done |= matches!(next, Some(Err(_)));
        next
    }
}
