//! A dump of any bytes: opened, decompressed, cut into batches.

use std::fs;
use std::sync::Arc;

use deadfall::games::{GameReader, Measures};
use deadfall::source::{Batches, Dump, Opening, Place, Windows};
use tempfile::TempDir;

use super::naive;
use super::reader::{Seen, seen};

/// Bytes of text after which enough is seen: few bytes may decompress to very many.
const ENOUGH: usize = 1 << 20;
/// What a zstd frame may keep.
const WINDOW: u64 = 1 << 20;
/// Lengths that short texts come to: of a game, and of what is looked at to decide anything.
const SHORT: [Measures; 2] =
    [Measures { longest: 300, reach: 64 }, Measures { longest: 2000, reach: 400 }];

/// No bytes make it panic; whatever the batches, they hold the games of the text, which a reader finds
/// that goes by the definition step by step.
pub fn check(bytes: &[u8]) {
    let folder = TempDir::new().expect("a temporary folder");
    let path = folder.path().join("dump");
    fs::write(&path, bytes).expect("the folder is writable");
    let place = Place::File(path);
    let Some(text) = text(&place) else { return };
    if text.len() >= ENOUGH {
        return;
    }
    for measures in [Measures::FIXED, SHORT[0], SHORT[1]] {
        let found = seen(GameReader::of_part(&text, 0, false, measures));
        let spans: Vec<_> = found.iter().map(|game| naive::clipped(game.span, &text)).collect();
        assert_eq!(spans, naive::games(&text, measures), "{measures:?}: {}", text.escape_ascii());
        let wanted: Vec<Seen> = found.into_iter().map(|game| first_part(game, measures)).collect();
        for size in [1, 100, 1 << 10, 1 << 21] {
            let found = batches(&place, size, measures);
            assert_eq!(found, wanted, "{size}, {measures:?}: {}", text.escape_ascii());
        }
    }
}

/// Of a game that is too long only so much is known in every batch.
fn first_part(mut game: Seen, measures: Measures) -> Seen {
    if game.span.end - game.span.start > measures.longest {
        game.span.end = game.span.start + measures.longest + 1;
        game.span.movetext = game.span.movetext.min(game.span.end);
    }
    game
}

fn open(place: &Place) -> Option<Dump> {
    let windows = Windows { allowed: WINDOW, largest: Arc::default() };
    Dump::open_with(place, Opening { windows, ..Opening::default() }).ok()
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

/// The games of all batches.
fn batches(place: &Place, size: usize, measures: Measures) -> Vec<Seen> {
    let mut batches = Batches::measured(open(place).expect("it opened before"), size, measures);
    let (mut index, mut found, mut buffer) = (0, Vec::new(), Vec::new());
    // What breaks off holds the games before.
    while let Ok(Some(batch)) = batches.next_batch(std::mem::take(&mut buffer)) {
        let start = usize::try_from(batch.offset).expect("little is read");
        assert_eq!(batch.index, index, "batches come in order");
        let most = size.max(measures.longest + 4 * measures.reach);
        assert!(batch.text().len() <= most, "a batch has its limit");
        let games = seen(batch.games()).into_iter();
        found.extend(games.map(|game| first_part(game.at(start), measures)));
        index += 1;
        buffer = batch.into_buffer();
    }
    found
}
