//! zstd frames one after another, each looked at before it is decoded.
//!
//! Its window counts against `--memory`. A window that leaves no room is refused; one that was
//! not foreseen, of a later frame or in a pipe, makes the share of the records smaller from then
//! on. All text before a damage is read: a decoder drops what it has decoded in the call in
//! which it meets damage, so it is given one block at a time, and the next when all text of the
//! last was taken.

use std::io::{self, BufRead, Read};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use zstd::stream::raw::{DParameter, Decoder, Operation};

use super::zstd_head::{BLOCK_HEAD, Block, Head, is_skippable, zstd_window};

/// The logarithm of the largest window that libzstd knows; what is allowed is seen to here.
const MOST_LOG: u32 = 31;
/// Dumps shrink to about a fifth or less; so many times the text is enough, in a way.
const SHRINKS: usize = 8;

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

/// What comes next of a compressed text.
pub(super) enum Coming {
    /// Whole frames, still compressed.
    Frames(WholeFrames),
    /// Text that is to be read.
    Text,
    /// Nothing.
    Nothing,
}

/// Frames that anybody can decompress.
#[derive(Debug, Default)]
pub(super) struct WholeFrames {
    /// One behind the other.
    pub bytes: Vec<u8>,
    /// They hold no more text than this.
    pub most: usize,
}

/// Decodes frames (RFC 8878), or hands them out whole; skippable ones are passed over.
pub(super) struct Frames<R> {
    raw: R,
    decoder: Decoder<'static>,
    windows: Windows,
    /// Frames with no more text than this are handed out.
    most: usize,
    /// Compressed bytes that were looked at.
    ahead: Vec<u8>,
    /// How many of them are decoded.
    decoded: usize,
    /// What they are, if that is known.
    walked: Option<Walked>,
    /// The frame that is being decoded.
    frame: Option<InFrame>,
    /// Whether a frame was handed out or decoded.
    begun: bool,
    failed: Option<io::Error>,
}

/// How far a frame was decoded. What a decoder has decoded is lost if it meets damage in the same
/// call: so it gets one block at a time, and the next once all text of the last was taken. All text
/// before the damage can be read then, whatever is asked for at a time.
#[derive(Clone, Copy)]
struct InFrame {
    window: u64,
    /// Compressed bytes that are one step: what is left of a block, or all the rest.
    step: usize,
    /// Whether there may be more text of what was given already.
    more: bool,
}

/// What was found ahead.
#[derive(Clone, Copy)]
enum Walked {
    /// A whole frame, with no more text than this.
    Frame(usize),
    /// What only a decoder can judge, or a frame with too much text.
    Other,
    End,
}

impl<R: BufRead> Frames<R> {
    /// Hands out frames of at most `most` bytes of text.
    pub fn new(raw: R, windows: Windows, most: usize) -> io::Result<Frames<R>> {
        let mut decoder = Decoder::new()?;
        decoder.set_parameter(DParameter::WindowLogMax(MOST_LOG))?;
        Ok(Frames {
            raw,
            decoder,
            windows,
            most,
            ahead: Vec::new(),
            decoded: 0,
            walked: None,
            frame: None,
            begun: false,
            failed: None,
        })
    }

    /// What comes next; of small frames so many that they hold `enough` text.
    ///
    /// A frame that is all there is is not handed out: it is decoded piece by piece, so that
    /// several threads look into it.
    pub fn coming(&mut self, enough: usize) -> io::Result<Coming> {
        if self.frame.is_some() {
            return Ok(Coming::Text);
        }
        let (mut frames, mut count) = (WholeFrames::default(), 0);
        loop {
            let is_enough = frames.most >= enough || frames.bytes.len() >= enough / SHRINKS;
            if is_enough && count > 0 && self.begun {
                return Ok(Coming::Frames(frames));
            }
            match self.look() {
                Ok(Walked::Frame(more))
                    if count == 0 || !is_enough && frames.most + more <= self.most =>
                {
                    match count {
                        0 => std::mem::swap(&mut frames.bytes, &mut self.ahead),
                        _ => frames.bytes.append(&mut self.ahead),
                    }
                    frames.most += more;
                    count += 1;
                    self.walked = None;
                }
                Ok(Walked::End) if count == 0 => return Ok(Coming::Nothing),
                Ok(Walked::Other) if count == 0 => return Ok(Coming::Text),
                Err(error) if count == 0 => return Err(error),
                Ok(Walked::End) if count == 1 && !self.begun => {
                    self.ahead = frames.bytes;
                    self.walked = Some(Walked::Other);
                    self.note_window(zstd_window(&self.ahead).unwrap_or(0));
                    return Ok(Coming::Text);
                }
                looked => {
                    self.failed = looked.err();
                    self.begun = true;
                    return Ok(Coming::Frames(frames));
                }
            }
        }
    }

    /// Looks at what is ahead.
    fn look(&mut self) -> io::Result<Walked> {
        if let Some(error) = self.failed.take() {
            return Err(error);
        }
        if let Some(walked) = self.walked {
            return Ok(walked);
        }
        let walked = self.walk()?;
        self.walked = Some(walked);
        Ok(walked)
    }

    fn walk(&mut self) -> io::Result<Walked> {
        self.ahead.drain(..std::mem::take(&mut self.decoded));
        loop {
            if !self.gather(4)? {
                return Ok(if self.ahead.is_empty() { Walked::End } else { Walked::Other });
            }
            if !is_skippable(&self.ahead) {
                break;
            }
            if !self.gather(8)? {
                return Ok(Walked::Other);
            }
            let size = self.ahead.drain(..8).skip(4);
            let size = size.rev().fold(0, |size, byte| size << 8 | u64::from(byte));
            let inside = size.min(self.ahead.len() as u64);
            self.ahead.drain(..inside as usize);
            let behind = size - inside;
            if io::copy(&mut (&mut self.raw).take(behind), &mut io::sink())? < behind {
                return Err(io::ErrorKind::UnexpectedEof.into());
            }
        }
        if !self.gather(5)? {
            return Ok(Walked::Other);
        }
        let len = self.ahead.first_chunk().map_or(0, Head::len);
        self.gather(len)?;
        let Some(head) = Head::read(&self.ahead) else { return Ok(Walked::Other) };
        if head.window > self.windows.allowed {
            return Err(io::Error::other(TooLarge(head.window)));
        }
        let walked = self.walk_blocks(len, head)?;
        if matches!(walked, Walked::Other) {
            self.note_window(head.window);
        }
        Ok(walked)
    }

    /// A window is going to be needed.
    fn note_window(&self, window: u64) {
        self.windows.largest.fetch_max(window, Ordering::Relaxed);
    }

    /// Gathers the rest of a frame, as long as it may be handed out.
    fn walk_blocks(&mut self, head_bytes: usize, head: Head) -> io::Result<Walked> {
        let most = self.most as u64;
        if most == 0 || head.content.is_some_and(|content| content > most) {
            return Ok(Walked::Other);
        }
        let (mut at, mut text) = (head_bytes, 0);
        loop {
            if !self.gather(at + BLOCK_HEAD)? {
                return Ok(Walked::Other);
            }
            let block = self.ahead[at..].first_chunk().expect("it was gathered");
            let Some(block) = Block::read(*block, head.window) else { return Ok(Walked::Other) };
            at += BLOCK_HEAD + block.bytes;
            text += block.most;
            let is_small = head.content.unwrap_or(text) <= most && at <= self.most + HEADS;
            if !is_small || !self.gather(at)? {
                return Ok(Walked::Other);
            }
            if block.is_last {
                let is_whole = self.gather(at + head.behind)?;
                let text = head.content.unwrap_or(text) as usize;
                return Ok(if is_whole { Walked::Frame(text) } else { Walked::Other });
            }
        }
    }

    /// Reads until so many bytes are ahead; false if there are fewer.
    fn gather(&mut self, count: usize) -> io::Result<bool> {
        let missing = count.saturating_sub(self.ahead.len());
        (&mut self.raw).take(missing as u64).read_to_end(&mut self.ahead)?;
        Ok(self.ahead.len() >= count)
    }
}

/// A frame may be longer than its text by this: the heads of its blocks.
const HEADS: usize = 64 << 10;

impl<R: BufRead> Frames<R> {
    /// Begins to decode what is ahead.
    fn begin(&mut self) {
        let head = Head::read(&self.ahead);
        let step = match (head, self.ahead.first_chunk()) {
            (Some(_), Some(start)) => Head::len(start),
            _ => usize::MAX,
        };
        let window = head.map_or(0, |head| head.window);
        self.frame = Some(InFrame { window, step, more: false });
        (self.walked, self.begun) = (None, true);
    }

    /// How long the block is that begins here, with its head, and all the rest if none does.
    fn next_step(&mut self, window: u64) -> io::Result<usize> {
        if self.decoded == self.ahead.len() {
            self.ahead.clear();
            self.decoded = 0;
        }
        self.gather(self.decoded + BLOCK_HEAD)?;
        let head = self.ahead[self.decoded..].first_chunk();
        let block = head.and_then(|head| Block::read(*head, window));
        Ok(block.map_or(usize::MAX, |block| BLOCK_HEAD + block.bytes))
    }
}

impl<R: BufRead> Read for Frames<R> {
    /// Decodes up to the next frame that is handed out.
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if buffer.is_empty() {
            return Ok(0);
        }
        loop {
            let Some(frame) = &self.frame else {
                if !matches!(self.look()?, Walked::Other) {
                    return Ok(0);
                }
                self.begin();
                continue;
            };
            let InFrame { window, mut step, more } = *frame;
            if step == 0 && !more {
                step = self.next_step(window)?;
            }
            let is_ahead = self.decoded < self.ahead.len();
            let input = match (more, is_ahead) {
                (true, _) => &[][..],
                (false, true) => &self.ahead[self.decoded..],
                (false, false) => self.raw.fill_buf()?,
            };
            let is_end = !more && input.is_empty();
            let input = &input[..input.len().min(step)];
            let done = self.decoder.run_on_buffers(input, buffer)?;
            match is_ahead {
                true => self.decoded += done.bytes_read,
                false => self.raw.consume(done.bytes_read),
            }
            step -= done.bytes_read;
            let more = done.bytes_written == buffer.len();
            self.frame = (done.remaining > 0).then_some(InFrame { window, step, more });
            if done.bytes_written > 0 {
                return Ok(done.bytes_written);
            }
            if is_end && self.frame.is_some() {
                return Err(io::ErrorKind::UnexpectedEof.into());
            }
        }
    }
}

impl WholeFrames {
    /// The text, behind `room` bytes of room in the memory of `buffer`, and where it ends; an error
    /// is behind as much of the text as can be had.
    pub fn decompress(&self, mut buffer: Vec<u8>, room: usize) -> (Vec<u8>, usize, io::Result<()>) {
        if buffer.len() < room + self.most {
            buffer = vec![0; room + self.most];
        }
        let at_once = zstd::bulk::Decompressor::new().and_then(|mut decompressor| {
            decompressor.decompress_to_buffer(&self.bytes, &mut buffer[room..room + self.most])
        });
        if let Ok(length) = at_once {
            return (buffer, room + length, Ok(()));
        }
        buffer.truncate(room);
        let read = self.decompress_slowly(&mut buffer);
        let end = buffer.len();
        (buffer, end, read)
    }

    /// Appends the text up to where the frames are damaged.
    fn decompress_slowly(&self, text: &mut Vec<u8>) -> io::Result<()> {
        let windows = Windows { allowed: u64::MAX, largest: Arc::default() };
        Frames::new(&self.bytes[..], windows, 0)?.read_to_end(text).map(drop)
    }
}
