//! A dump of any bytes: opened, decompressed, cut into batches.

use std::fs;

use deadfall::source::{Batches, Dump, Opening, Place};
use tempfile::TempDir;

use super::reader::games;

/// Bytes of text after which enough is seen: few bytes may decompress to very many.
const ENOUGH: usize = 1 << 20;
/// What a zstd frame may keep.
const WINDOW: u64 = 1 << 20;

/// No bytes make it panic; batches put together are the text, and hold its games.
pub fn check(bytes: &[u8]) {
    let folder = TempDir::new().expect("a temporary folder");
    let path = folder.path().join("dump");
    fs::write(&path, bytes).expect("the folder is writable");
    let place = Place::File(path);
    let Some(text) = text(&place) else { return };
    for (size, limit) in [(64, 512), (1 << 10, 1 << 22)] {
        batches(&place, &text, size, limit);
    }
}

fn open(place: &Place) -> Option<Dump> {
    Dump::open_with(place, Opening { window: WINDOW, ..Opening::default() }).ok()
}

/// The text of a dump, as far as it can be read and is looked at.
fn text(place: &Place) -> Option<Vec<u8>> {
    let mut dump = open(place)?;
    let (mut text, mut buffer) = (Vec::new(), [0; 4096]);
    while text.len() < ENOUGH {
        match dump.read(&mut buffer) {
            Ok(0) | Err(_) => break,
            Ok(count) => text.extend_from_slice(&buffer[..count]),
        }
    }
    assert_eq!(dump.fingerprint().bytes, text.len() as u64);
    Some(text)
}

fn batches(place: &Place, text: &[u8], size: usize, limit: usize) {
    let mut batches = Batches::new(open(place).expect("it opened before"), size, limit);
    let (mut at, mut index, mut whole, mut found) = (0, 0, true, Vec::new());
    let mut buffer = Vec::new();
    while at < text.len() {
        let Ok(Some(batch)) = batches.next_batch(std::mem::take(&mut buffer)) else { break };
        let start = usize::try_from(batch.offset).expect("little is read");
        assert!(start >= at && batch.index == index, "batches come in order");
        assert!(batch.text().len() <= limit.max(size), "no batch is longer than the limit");
        whole &= start == at;
        let common = text.len().min(start + batch.text().len());
        let shown = &text[start.min(common)..common];
        assert!(batch.text().starts_with(shown), "a batch holds the text at its place");
        found.extend(games(batch.text()).into_iter().map(|game| game.at(start)));
        at = start + batch.text().len();
        index += 1;
        buffer = batch.into_buffer();
    }
    // Nothing was passed over, no long game was cut, and the text was seen to its end.
    if whole && at == text.len() && text.len() < ENOUGH && limit > text.len() {
        assert_eq!(found, games(text), "the games of the batches are the games of the text");
    }
}
