//! zstd frames one after another, each looked at before it is decoded.

use std::io::{self, BufRead, Read};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use zstd::stream::raw::{DParameter, Decoder, Operation};

/// Bytes that hold a frame's head.
pub(super) const HEAD_BYTES: usize = 18;
/// The logarithm of the largest window that libzstd knows; what is allowed is seen to here.
const MOST_LOG: u32 = 31;

/// A frame that wants more text kept than is allowed, in bytes.
#[derive(Debug, thiserror::Error)]
#[error("a window of {0} bytes is not allowed")]
pub(super) struct TooLarge(pub u64);

/// How much text decoders may keep, and keep.
#[derive(Clone, Debug)]
pub struct Windows {
    /// The most that a frame may want kept, in bytes.
    pub allowed: u64,
    /// The most that one wanted yet, known before it is decoded.
    pub largest: Arc<AtomicU64>,
}

/// Decodes frames (RFC 8878), skippable ones included.
pub(super) struct Frames<R> {
    raw: R,
    decoder: Decoder<'static>,
    windows: Windows,
    /// Compressed bytes that were looked at and not yet decoded.
    head: Vec<u8>,
    in_frame: bool,
}

impl<R: BufRead> Frames<R> {
    pub fn new(raw: R, windows: Windows) -> io::Result<Frames<R>> {
        let mut decoder = Decoder::new()?;
        decoder.set_parameter(DParameter::WindowLogMax(MOST_LOG))?;
        Ok(Frames { raw, decoder, windows, head: Vec::new(), in_frame: false })
    }

    /// Looks at the head of the next frame; false if there is none.
    fn begin(&mut self) -> io::Result<bool> {
        let missing = HEAD_BYTES - self.head.len();
        (&mut self.raw).take(missing as u64).read_to_end(&mut self.head)?;
        if let Some(window) = zstd_window(&self.head) {
            if window > self.windows.allowed {
                return Err(io::Error::other(TooLarge(window)));
            }
            self.windows.largest.fetch_max(window, Ordering::Relaxed);
        }
        Ok(!self.head.is_empty())
    }
}

impl<R: BufRead> Read for Frames<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if buffer.is_empty() {
            return Ok(0);
        }
        loop {
            if !self.in_frame {
                if !self.begin()? {
                    return Ok(0);
                }
                self.in_frame = true;
            }
            let in_head = !self.head.is_empty();
            let input = if in_head { &self.head[..] } else { self.raw.fill_buf()? };
            let is_end = input.is_empty();
            let done = self.decoder.run_on_buffers(input, buffer)?;
            match in_head {
                true => drop(self.head.drain(..done.bytes_read)),
                false => self.raw.consume(done.bytes_read),
            }
            self.in_frame = done.remaining > 0;
            if done.bytes_written > 0 {
                return Ok(done.bytes_written);
            }
            if is_end && self.in_frame {
                return Err(io::ErrorKind::UnexpectedEof.into());
            }
        }
    }
}

/// How much text a zstd frame that starts here wants to be kept in memory, in bytes
/// (RFC 8878, 3.1.1.1); `None` if no whole frame header stands here.
pub fn zstd_window(start: &[u8]) -> Option<u64> {
    let header = start.strip_prefix(&[0x28, 0xb5, 0x2f, 0xfd])?;
    let (&descriptor, behind) = header.split_first()?;
    if descriptor & 0x20 == 0 {
        let window = *behind.first()?;
        let base = 1u64 << (10 + (window >> 3));
        return Some(base + base / 8 * u64::from(window & 7));
    }
    // A single segment: the window is the content, whose size stands behind the dictionary's number.
    let dictionary = [0, 1, 2, 4][usize::from(descriptor & 3)];
    let field = behind.get(dictionary..)?;
    let size = |bytes: usize| {
        let field = field.get(..bytes)?;
        Some(field.iter().rev().fold(0, |size, &byte| size << 8 | u64::from(byte)))
    };
    match descriptor >> 6 {
        0 => size(1),
        1 => Some(size(2)? + 256),
        2 => size(4),
        _ => size(8),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::{BufReader, Write};

    fn frame(text: &[u8], log: u32) -> Vec<u8> {
        let mut encoder = zstd::Encoder::new(Vec::new(), 1).expect("memory");
        encoder.window_log(log).expect("a window");
        encoder.write_all(text).expect("memory");
        encoder.finish().expect("memory")
    }

    #[test]
    fn the_window_of_a_frame_is_read_from_its_head() {
        for log in [17, 24, 27] {
            let frame = frame(b"1. e4 e5 1-0", log);
            assert_eq!(zstd_window(&frame), Some(1 << log));
            assert_eq!(zstd_window(&frame[..5]), None);
        }
        for length in [3, 700, 70_000] {
            let frame = zstd::bulk::compress(&vec![b'x'; length], 1).expect("memory");
            assert_eq!(zstd_window(&frame), Some(length as u64));
        }
        assert_eq!(zstd_window(b"[Event \"a\"]"), None);
    }

    /// What can be read, in pieces of few bytes, and what ends it.
    fn read(frames: &[u8], allowed: u64) -> (Vec<u8>, Option<io::Error>, u64) {
        let windows = Windows { allowed, largest: Arc::default() };
        let raw = BufReader::with_capacity(7, frames);
        let mut reader = Frames::new(raw, windows.clone()).expect("memory");
        let mut text = Vec::new();
        let error = reader.read_to_end(&mut text).err();
        (text, error, windows.largest.load(Ordering::Relaxed))
    }

    #[test]
    fn frames_follow_each_other_and_their_windows_are_known_beforehand() {
        let skippable = [0x50, 0x2a, 0x4d, 0x18, 3, 0, 0, 0, 1, 2, 3];
        let long = vec![b'x'; 300_000];
        let frames =
            [&frame(b"one ", 17)[..], &skippable, &frame(b"", 17), &frame(&long, 22), &skippable]
                .concat();
        let (text, error, largest) = read(&frames, 1 << 22);
        assert!(error.is_none() && text == [&b"one "[..], &long].concat());
        assert_eq!(largest, 1 << 22);
        let (text, error, largest) = read(&frames, (1 << 22) - 1);
        let error = error.expect("the last window is too large");
        assert!(error.get_ref().is_some_and(|inner| inner.is::<TooLarge>()));
        assert_eq!((&text[..], largest), (&b"one "[..], 1 << 17));
    }

    #[test]
    fn what_breaks_off_is_no_end() {
        let frames = [frame(b"one", 17), frame(b"two", 17)].concat();
        let first = frame(b"one", 17).len();
        for end in 0..frames.len() {
            let (text, error, _) = read(&frames[..end], 1 << 20);
            let whole = end == 0 || end == first;
            assert_eq!(error.is_none(), whole, "{end}");
            assert!(b"onetwo".starts_with(&text[..]));
        }
        let (_, error, _) = read(&[&frames[..], b"garbage"].concat(), 1 << 20);
        assert!(error.is_some_and(|error| error.kind() != io::ErrorKind::UnexpectedEof));
    }
}
