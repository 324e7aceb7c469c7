//! A dump of any bytes: opened, decompressed, cut into batches.

use std::fs;
use std::io::{Read, Write};
use std::sync::{Arc, Mutex};

use deadfall::games::{GameReader, Measures, settle_line_ends};
use deadfall::source::{Batches, Dump, Opening, Part, Place, Windows};
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

/// No bytes make it panic; whatever the batches and the frames, they hold the games of the text,
/// which a reader finds that goes by the definition step by step.
pub fn check(bytes: &[u8]) {
    let folder = TempDir::new().expect("a temporary folder");
    let path = folder.path().join("dump");
    fs::write(&path, bytes).expect("the folder is writable");
    let place = Place::File(path);
    let Some(raw) = text(&place) else { return };
    if raw.len() >= ENOUGH {
        return;
    }
    let mut text = raw.clone();
    let open = settle_line_ends(&mut text);
    text[raw.len() - open..].fill(b'\n');
    let framed = Place::File(folder.path().join("framed"));
    let mut chance = Chance(raw.len() as u64);
    for measures in [Measures::FIXED, SHORT[0], SHORT[1]] {
        let found = seen(GameReader::of_part(&text, 0, false, measures));
        let spans: Vec<_> = found.iter().map(|game| naive::clipped(game.span, &text)).collect();
        assert_eq!(spans, naive::games(&text, measures), "{measures:?}: {}", text.escape_ascii());
        let wanted: Vec<Seen> = found.into_iter().map(|game| first_part(game, measures)).collect();
        for size in [1, 100, 1 << 10, 1 << 21] {
            let found = batches(&place, size, measures);
            assert_eq!(found, wanted, "{size}, {measures:?}: {}", text.escape_ascii());
        }
        let (frames, ends) = in_frames(&raw, &mut chance);
        fs::write(folder.path().join("framed"), &frames).expect("the folder is writable");
        let whole_frames = [0, 1, 200, 1 << 20][chance.below(4)];
        let size = [1, 300, 1 << 21][chance.below(3)];
        let found = side_by_side(&framed, size, whole_frames, measures);
        let first = found.iter().zip(&wanted).position(|(found, wanted)| found != wanted);
        let first = first.unwrap_or(found.len().min(wanted.len()));
        let of = format!("{size}, {whole_frames}, {measures:?}, frames end at {ends:?}");
        assert_eq!(found.get(first), wanted.get(first), "{of}: {}", text.escape_ascii());
    }
}

/// Numbers that seem drawn by chance.
pub struct Chance(pub u64);

impl Chance {
    /// One of the first `count`.
    pub fn below(&mut self, count: usize) -> usize {
        self.0 = self.0.wrapping_mul(0x5851_f42d_4c95_7f2d).wrapping_add(0x1405_7b7e_f767_814f);
        (self.0 >> 33) as usize % count
    }
}

/// A text in zstd frames that end anywhere, empty and skippable ones among them, and
/// where they end.
pub fn in_frames(text: &[u8], chance: &mut Chance) -> (Vec<u8>, Vec<usize>) {
    let (mut frames, mut ends, mut at) = (Vec::new(), Vec::new(), 0);
    let mut compressor = zstd::bulk::Compressor::new(1).expect("memory");
    // A few long ones, or many of some bytes.
    let most = [3, 40, 400, text.len() / 2][chance.below(4)].max(text.len() / 1000);
    while at < text.len() || frames.is_empty() {
        let end = (at + chance.below(most + 2)).min(text.len());
        let part = &text[at..end];
        if chance.below(8) == 0 {
            frames.extend([0x53, 0x2a, 0x4d, 0x18, 2, 0, 0, 0, b'[', b'E']);
        }
        if chance.below(30) == 0 {
            // In several blocks.
            let mut encoder = zstd::Encoder::new(Vec::new(), 1).expect("memory");
            for part in part.chunks(1 + part.len() / 3) {
                encoder.write_all(part).expect("memory");
                encoder.flush().expect("memory");
            }
            frames.extend(encoder.finish().expect("memory"));
        } else {
            compressor.include_contentsize(chance.below(2) == 0).expect("a setting");
            compressor.include_checksum(chance.below(2) == 0).expect("a setting");
            frames.extend(compressor.compress(part).expect("memory"));
        }
        ends.push(end);
        at = end;
    }
    (frames, ends)
}

/// The games of all batches, as three find them who unpack parts whenever they have one.
fn side_by_side(place: &Place, size: usize, whole_frames: usize, measures: Measures) -> Vec<Seen> {
    let dump = open(place, whole_frames).expect("it is there");
    let batches = Mutex::new(Batches::measured(dump, size, measures));
    let found = Mutex::new(Vec::new());
    std::thread::scope(|scope| {
        for _ in 0..3 {
            scope.spawn(|| {
                let next = || {
                    let next = batches.lock().expect("nobody panics").next_part(Vec::new());
                    next.expect("whole frames")
                };
                while let Some(part) = next() {
                    for batch in part.unpack() {
                        let start = usize::try_from(batch.offset).expect("little is read");
                        let games = seen(batch.games()).into_iter();
                        let games: Vec<Seen> =
                            games.map(|game| first_part(game.at(start), measures)).collect();
                        found.lock().expect("nobody panics").push((batch.index, games));
                    }
                }
            });
        }
    });
    let mut found = found.into_inner().expect("nobody panicked");
    found.sort_by_key(|(index, _)| *index);
    assert!(found.iter().zip(0..).all(|((index, _), place)| *index == place), "none is missing");
    found.into_iter().flat_map(|(_, games)| games).collect()
}

/// Of a game that is too long only so much is known in every batch.
fn first_part(mut game: Seen, measures: Measures) -> Seen {
    if game.span.end - game.span.start > measures.longest {
        game.span.end = game.span.start + measures.longest + 1;
        // Nobody reads the movetext, and where it begins may be behind what was read.
        game.span.movetext = game.span.end;
        game.words.clear();
    }
    game
}

fn open(place: &Place, whole_frames: usize) -> Option<Dump> {
    let windows = Windows { allowed: WINDOW, largest: Arc::default() };
    Dump::open_with(place, Opening { windows, whole_frames, ..Opening::default() }).ok()
}

/// The text of a dump, as far as it can be read and is looked at.
fn text(place: &Place) -> Option<Vec<u8>> {
    let mut text = Vec::new();
    // What breaks off holds the text before.
    let _ = open(place, 0)?.take(ENOUGH as u64).read_to_end(&mut text);
    Some(text)
}

/// The games of all batches.
fn batches(place: &Place, size: usize, measures: Measures) -> Vec<Seen> {
    let mut batches = Batches::measured(open(place, 0).expect("it opened before"), size, measures);
    let (mut index, mut found, mut buffer) = (0, Vec::new(), Vec::new());
    // What breaks off holds the games before.
    while let Ok(Some(Part::Batch(batch))) = batches.next_part(std::mem::take(&mut buffer)) {
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
