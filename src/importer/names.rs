//! One list of opening tags for all threads.

use std::collections::HashMap;
use std::sync::{Mutex, MutexGuard};

use crate::counts::{NameId, OpeningTag};
use crate::games::Game;

/// The distinct opening tags met so far.
///
/// If there are more than a [`NameId`] can tell apart, or than [`MOST_BYTES`] hold, the tags are no
/// opening names, and the build gives up on learning any: the same for every order of games,
/// whatever the memory and the threads.
#[derive(Debug, Default)]
pub(super) struct Names(Mutex<List>);

#[derive(Debug, Default)]
struct List {
    ids: HashMap<OpeningTag, NameId>,
    tags: Vec<OpeningTag>,
    bytes: usize,
    given_up: bool,
}

/// Memory for the list of tags.
pub(super) const MOST_BYTES: usize = 32 << 20;
/// Memory for the tags that one worker remembers; it asks for the others each time.
const REMEMBERED_BYTES: usize = 4 << 20;
/// What a tag takes besides its letters: places in a list and in a map that may be half empty.
const TAG_BYTES: usize = 200;

impl Names {
    fn list(&self) -> MutexGuard<'_, List> {
        self.0.lock().expect("no thread panics while it holds the list")
    }

    fn id(&self, tag: OpeningTag) -> NameId {
        let mut list = self.list();
        if let Some(&id) = list.ids.get(&tag) {
            return id;
        }
        // The list and the map have a copy each.
        let bytes = list.bytes + 2 * (tag.eco.len() + tag.name.len()) + TAG_BYTES;
        match NameId::new(list.tags.len() as u32 + 1) {
            Some(id) if !list.given_up && bytes <= MOST_BYTES => {
                list.bytes = bytes;
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
    bytes: usize,
    key: Vec<u8>,
}

impl<'n> KnownNames<'n> {
    pub(super) fn new(names: &'n Names) -> KnownNames<'n> {
        KnownNames { names, ids: HashMap::default(), bytes: 0, key: Vec::new() }
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
        let bytes = self.bytes + self.key.len() + TAG_BYTES;
        if id != NameId::NONE && bytes <= REMEMBERED_BYTES {
            self.bytes = bytes;
            self.ids.insert(self.key.as_slice().into(), id);
        }
        id
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tag(number: usize, length: usize) -> OpeningTag {
        OpeningTag { eco: String::new(), name: format!("{number:0length$}") }
    }

    #[test]
    fn tags_that_take_too_much_memory_are_no_names() {
        let names = Names::default();
        let fit = MOST_BYTES / (2 * 5_000 + TAG_BYTES);
        for number in (0..fit).chain(0..fit) {
            assert_eq!(names.id(tag(number, 5_000)), NameId::new(number as u32 + 1).expect("few"));
        }
        assert_eq!(names.id(tag(fit, 5_000)), NameId::NONE);
        assert_eq!(names.id(tag(0, 5_000)), NameId::NONE);
        let (tags, given_up) = names.take_tags();
        assert!(tags.is_empty() && given_up);
    }
}
