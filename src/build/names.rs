//! One list of opening tags for all threads.

use std::collections::HashMap;
use std::sync::{Mutex, MutexGuard};

use crate::counts::{NameId, OpeningTag};
use crate::games::Game;

/// The distinct opening tags met so far.
///
/// If there are more than a [`NameId`] can tell apart, the tags are no opening names, and the
/// build gives up on learning any: the same for every order of games.
#[derive(Debug, Default)]
pub(super) struct Names(Mutex<List>);

#[derive(Debug, Default)]
struct List {
    ids: HashMap<OpeningTag, NameId>,
    tags: Vec<OpeningTag>,
    given_up: bool,
}

impl Names {
    fn list(&self) -> MutexGuard<'_, List> {
        self.0.lock().expect("no thread panics while it holds the list")
    }

    fn id(&self, tag: OpeningTag) -> NameId {
        let mut list = self.list();
        if let Some(&id) = list.ids.get(&tag) {
            return id;
        }
        match NameId::new(list.tags.len() as u32 + 1) {
            Some(id) if !list.given_up => {
                list.tags.push(tag.clone());
                list.ids.insert(tag, id);
                id
            }
            _ => {
                *list = List { given_up: true, ..List::default() };
                NameId::NONE
            }
        }
    }

    /// The tags, the one of id 1 first; none at all if the build gave up.
    pub(super) fn take_tags(&self) -> (Vec<OpeningTag>, bool) {
        let list = std::mem::take(&mut *self.list());
        (list.tags, list.given_up)
    }
}

/// A worker's memory of the ids it has asked for, by the bytes of the tags.
pub(super) struct KnownNames<'n> {
    names: &'n Names,
    ids: HashMap<Box<[u8]>, NameId, xxhash_rust::xxh3::Xxh3Builder>,
    key: Vec<u8>,
}

impl<'n> KnownNames<'n> {
    pub(super) fn new(names: &'n Names) -> KnownNames<'n> {
        KnownNames { names, ids: HashMap::default(), key: Vec::new() }
    }

    /// The id of the game's opening tag.
    pub(super) fn id(&mut self, game: &Game<'_>) -> NameId {
        let (eco, name) = game.opening_bytes();
        self.key.clear();
        self.key.extend_from_slice(eco);
        self.key.push(b'"');
        self.key.extend_from_slice(name);
        if let Some(&id) = self.ids.get(self.key.as_slice()) {
            return id;
        }
        let Some(tag) = game.opening_tag() else { return NameId::NONE };
        let id = self.names.id(tag);
        // Once the build has given up, each game may have a tag of its own.
        if id != NameId::NONE {
            self.ids.insert(self.key.as_slice().into(), id);
        }
        id
    }
}
