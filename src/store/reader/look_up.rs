//! Look-ups of positions by their keys, one or many.
//!
//! Many: a thread of its own fetches entries in the order of the keys, batch after batch; all
//! processors check and decode the entries of a batch, and what was made of them is taken in their
//! order. Only the one thread reads the file: pages that several threads read and drop side by side
//! cost more than they save, and so the first error is the same every time. No decoded position
//! outlives the call that it is shown to. A few are looked up one by one: threads would cost more.

use std::borrow::Cow;
use std::ops::{Bound, Range};
use std::thread;

use crossbeam_channel::{Sender, bounded};
use rayon::prelude::*;
use redb::ReadableTable;

use super::Store;
use crate::counts::{Counts, GroupGames, GroupsOf, Limits, MoveCounts, PositionCounts, Totals};
use crate::store::codec::Decoder;
use crate::store::fence::{damaged, fenced};
use crate::store::{RawPosition, StoreError};
use crate::terms::{Key, MoverFilter};

/// Positions in a batch.
const BATCH: usize = 4096;
/// Batches that may wait for being decoded.
const AHEAD: usize = 1;
/// Positions that are decoded one after the other at the least, and as many that need no threads.
const PIECE: usize = 64;

/// What lies at a key, not yet checked.
struct Fetched {
    key: Key,
    place: Place,
    /// Where, among the bytes that were fetched, the entry is that proves it.
    entry: Range<usize>,
}

/// Between which keys, and with which entry: that at the key, or that of the key behind the gap.
enum Place {
    Here { before: Option<Key> },
    Gap { before: Option<Key>, after: Option<Key> },
}

/// What lies at some keys, up to the first error.
#[derive(Default)]
struct Batch {
    found: Vec<Result<Fetched, StoreError>>,
    bytes: Vec<u8>,
}

impl Store {
    /// Looks for a key; the entry is appended to `bytes`.
    fn find(&self, key: Key, bytes: &mut Vec<u8>) -> Result<Fetched, StoreError> {
        let start = bytes.len();
        let place = fenced(&self.path, "read", || {
            let key_of = |guard: redb::AccessGuard<'_, u64>| Key(guard.value());
            let mut cursor = self.positions.upper_bound(Bound::Included(key.0))?;
            let before = cursor.prev()?.map(|(at, entry)| (key_of(at), entry));
            Ok(match before {
                Some((at, entry)) if at == key => {
                    bytes.extend_from_slice(entry.value());
                    Place::Here { before: cursor.peek_prev()?.map(|(at, _)| key_of(at)) }
                }
                before => {
                    let before = before.map(|(at, _)| at);
                    if before.is_some() {
                        cursor.next()?;
                    }
                    let after = cursor.peek_next()?.map(|(at, entry)| {
                        bytes.extend_from_slice(entry.value());
                        key_of(at)
                    });
                    Place::Gap { before, after }
                }
            })
        })?;
        Ok(Fetched { key, place, entry: start..bytes.len() })
    }

    /// Checks what was found, `None` if the position is not there.
    fn check<'a>(
        &'a self,
        Fetched { key, place, entry }: Fetched,
        bytes: &'a [u8],
    ) -> Result<Option<RawPosition<'a>>, StoreError> {
        let entry = Cow::Borrowed(&bytes[entry]);
        match place {
            Place::Here { before } => RawPosition::unseal(self, before, key, entry).map(Some),
            Place::Gap { before, after } => {
                self.prove_gap(key, before, after, entry).map(|()| None)
            }
        }
    }

    /// Whether the gap was there when the store was written.
    fn prove_gap(
        &self,
        key: Key,
        before: Option<Key>,
        after: Option<Key>,
        entry: Cow<'_, [u8]>,
    ) -> Result<(), StoreError> {
        let around = before.is_none_or(|at| at < key) && after.is_none_or(|at| key < at);
        match after {
            Some(after) if around => RawPosition::unseal(self, before, after, entry).map(drop),
            None if around && before == self.summary.last_key.map(Key) => Ok(()),
            _ => Err(damaged(&self.path, format!("the place of position {key} cannot be reached"))),
        }
    }

    /// Fetches what lies at the keys, until an error or until nobody wants it any more.
    fn fetch(&self, keys: &[Key], batches: &Sender<Batch>) {
        let mut failed = false;
        for keys in keys.chunks(BATCH) {
            let mut batch = Batch::default();
            for &key in keys {
                let found = self.find(key, &mut batch.bytes);
                failed |= found.is_err();
                batch.found.push(found);
                if failed {
                    break;
                }
            }
            if batches.send(batch).is_err() || failed {
                break;
            }
        }
    }
}

impl Counts for Store {
    type Error = StoreError;

    fn position(&self, key: Key) -> Result<Option<PositionCounts>, StoreError> {
        let mut bytes = Vec::new();
        let found = self.find(key, &mut bytes)?;
        self.check(found, &bytes)?.map(|raw| raw.counts()).transpose()
    }

    fn position_under(
        &self,
        key: Key,
        filter: MoverFilter,
    ) -> Result<Option<(PositionCounts, Vec<GroupGames>)>, StoreError> {
        let mut bytes = Vec::new();
        let found = self.find(key, &mut bytes)?;
        self.check(found, &bytes)?.map(|raw| raw.counts_under(filter)).transpose()
    }

    fn moves_of_many<T: Send>(
        &self,
        keys: &[Key],
        make: impl Fn(usize, &[MoveCounts], &GroupsOf<'_>) -> T + Sync,
        mut take: impl FnMut(usize, T),
    ) -> Result<(), StoreError> {
        if keys.len() <= PIECE {
            let (mut decoder, mut bytes) = (Decoder::default(), Vec::new());
            for (place, &key) in keys.iter().enumerate() {
                bytes.clear();
                let found = self.find(key, &mut bytes)?;
                if let Some(raw) = self.check(found, &bytes)? {
                    let made = |moves: &_, groups: &GroupsOf<'_>| make(place, moves, groups);
                    take(place, raw.show(&mut decoder, made)?);
                }
            }
            return Ok(());
        }
        thread::scope(|scope| {
            let (to_decode, batches) = bounded(AHEAD);
            scope.spawn(move || self.fetch(keys, &to_decode));
            let mut start = 0;
            for Batch { found, bytes } in batches {
                let made = |decoder: &mut Decoder, (place, found)| -> Result<_, StoreError> {
                    let Some(raw) = self.check(found?, &bytes)? else { return Ok(None) };
                    let made = raw.show(decoder, |moves, groups| make(place, moves, groups))?;
                    Ok(Some((place, made)))
                };
                let end = start + found.len();
                let places = (start..end).into_par_iter().with_min_len(PIECE);
                let made: Vec<_> = places.zip(found).map_init(Decoder::default, made).collect();
                for made in made {
                    if let Some((place, made)) = made? {
                        take(place, made);
                    }
                }
                start = end;
            }
            Ok(())
        })
    }

    fn totals(&self) -> &Totals {
        &self.header.totals
    }

    fn limits(&self) -> &Limits {
        &self.limits
    }
}
