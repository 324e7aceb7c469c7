//! zstd frames one after another, whole, damaged and broken off.

use std::io::{self, BufReader, Read, Write};
use std::sync::Arc;
use std::sync::atomic::Ordering;

use super::zstd_frames::{Coming, Frames, TooLarge, WholeFrames, Windows};
use super::zstd_head::{BLOCK_HEAD, Block, Head};

fn frame(text: &[u8], log: u32) -> Vec<u8> {
    let mut encoder = zstd::Encoder::new(Vec::new(), 1).expect("memory");
    encoder.window_log(log).expect("a window");
    encoder.write_all(text).expect("memory");
    encoder.finish().expect("memory")
}

/// What can be read, in pieces of few bytes, what ends it, and the largest window; frames of up to
/// `most` bytes are handed out.
fn read(frames: &[u8], allowed: u64, most: usize) -> (Vec<u8>, Option<io::Error>, u64) {
    let windows = Windows { allowed, largest: Arc::default() };
    let raw = BufReader::with_capacity(7, frames);
    let mut reader = Frames::new(raw, windows.clone(), most).expect("memory");
    let mut text = Vec::new();
    let error = loop {
        match reader.coming(1) {
            Ok(Coming::Frames(frames)) => {
                let (buffer, end, read) = frames.decompress(Vec::new(), 3);
                read.expect("whole frames");
                text.extend_from_slice(&buffer[3..end]);
            }
            Ok(Coming::Text) => {
                if let Err(error) = reader.read_to_end(&mut text) {
                    break Some(error);
                }
            }
            Ok(Coming::Nothing) => break None,
            Err(error) => break Some(error),
        }
    };
    (text, error, windows.largest.load(Ordering::Relaxed))
}

#[test]
fn frames_follow_each_other_and_their_windows_are_known_beforehand() {
    let skippable = [0x50, 0x2a, 0x4d, 0x18, 3, 0, 0, 0, 1, 2, 3];
    let long = vec![b'x'; 300_000];
    let frames =
        [&frame(b"one ", 17)[..], &skippable, &frame(b"", 17), &frame(&long, 22), &skippable]
            .concat();
    for most in [0, 1, 300, 140_000, 1 << 20] {
        let (text, error, largest) = read(&frames, 1 << 22, most);
        assert!(error.is_none() && text == [&b"one "[..], &long].concat());
        // A frame that is handed out needs no window.
        assert_eq!(largest, if most == 1 << 20 { 0 } else { 1 << 22 });
        let (text, error, _) = read(&frames, (1 << 22) - 1, most);
        let error = error.expect("the last window is too large");
        assert!(error.get_ref().is_some_and(|inner| inner.is::<TooLarge>()));
        assert_eq!(&text[..], b"one ");
    }
}

#[test]
fn what_breaks_off_is_no_end() {
    let frames = [frame(b"one", 17), frame(b"two", 17)].concat();
    let first = frame(b"one", 17).len();
    for most in [0, 1 << 20] {
        for end in 0..frames.len() {
            let (text, error, _) = read(&frames[..end], 1 << 20, most);
            let whole = end == 0 || end == first;
            assert_eq!(error.is_none(), whole, "{end}");
            assert!(b"onetwo".starts_with(&text[..]));
        }
        let (text, error, _) = read(&[&frames[..], b"garbage"].concat(), 1 << 20, most);
        assert!(error.is_some_and(|error| error.kind() != io::ErrorKind::UnexpectedEof));
        assert_eq!(text, b"onetwo");
    }
}

/// Random text in so many blocks of 20,000 bytes, the last of them damaged.
fn damaged(blocks: usize) -> (Vec<u8>, Vec<u8>) {
    let mut encoder = zstd::Encoder::new(Vec::new(), 1).expect("memory");
    let (mut text, mut number) = (Vec::new(), 7u32);
    for _ in 0..blocks {
        let block = Vec::from_iter((0..20_000).map(|_| {
            number = number.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            b"abcdefgh"[(number >> 28) as usize / 2]
        }));
        encoder.write_all(&block).expect("memory");
        encoder.flush().expect("memory");
        text.extend(block);
    }
    let mut frame = encoder.finish().expect("memory");
    let mut at = Head::len(frame.first_chunk().expect("a head"));
    for _ in 1..blocks {
        let block = frame[at..].first_chunk().expect("a block");
        at += BLOCK_HEAD + Block::read(*block, 1 << 17).expect("a block").bytes;
    }
    // A type that no block has.
    frame[at] |= 6;
    (frame, text)
}

#[test]
fn of_a_damaged_frame_all_is_kept_that_is_before_the_damage_whoever_reads() {
    for blocks in [1, 4, 30] {
        let (bytes, text) = damaged(blocks);
        let kept = &text[..20_000 * (blocks - 1)];
        for (raw, step) in [(7, 1_000), (100_000, 3_333), (1 << 17, 1 << 20)] {
            let windows = Windows { allowed: 1 << 30, largest: Arc::default() };
            let raw = BufReader::with_capacity(raw, &bytes[..]);
            let mut reader = Frames::new(raw, windows, 0).expect("memory");
            let (mut found, mut buffer) = (Vec::new(), vec![0; step]);
            while let Ok(count @ 1..) = reader.read(&mut buffer) {
                found.extend_from_slice(&buffer[..count]);
            }
            assert!(found == kept, "{blocks} blocks, {step}: {} bytes", found.len());
        }
        let frames = WholeFrames { bytes, most: text.len() };
        let (buffer, end, read) = frames.decompress(Vec::new(), 5);
        assert!(read.is_err() && &buffer[5..end] == kept);
    }
}

#[test]
fn a_frame_by_itself_is_read_and_not_handed_out() {
    let coming = |frames: &[u8]| {
        let windows = Windows { allowed: 1 << 30, largest: Arc::default() };
        Frames::new(frames, windows, 1 << 20)?.coming(1)
    };
    let (one, skippable) = (frame(b"one", 17), [0x50, 0x2a, 0x4d, 0x18, 1, 0, 0, 0, 1]);
    assert!(matches!(coming(&one), Ok(Coming::Text)));
    let alone = [&skippable[..], &one, &skippable].concat();
    assert!(matches!(coming(&alone), Ok(Coming::Text)));
    let two = [&one[..], &skippable, &one].concat();
    assert!(matches!(coming(&two), Ok(Coming::Frames(_))));
    assert!(matches!(coming(&skippable), Ok(Coming::Nothing)));
}
