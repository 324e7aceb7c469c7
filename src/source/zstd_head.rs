//! The head of a zstd frame and of its blocks (RFC 8878).

/// Bytes that hold a frame's head.
pub(super) const HEAD_BYTES: usize = 18;
/// Bytes of a block's head.
pub(super) const BLOCK_HEAD: usize = 3;
/// The most text that a block holds (3.1.1.2.4).
const MOST_BLOCK: u64 = 128 << 10;

/// What is in the head of a frame (3.1.1.1).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Head {
    /// How much text it wants to be kept in memory, in bytes.
    pub window: u64,
    /// How much text it holds, if it says so.
    pub content: Option<u64>,
    /// Bytes behind its last block.
    pub behind: usize,
}

impl Head {
    /// How many bytes the head is long that begins like this, as far as that is known.
    pub fn len(start: &[u8; 5]) -> usize {
        let descriptor = start[4];
        let is_single = descriptor & 0x20 != 0;
        start.len() + usize::from(!is_single) + dictionary(descriptor) + content(descriptor)
    }

    /// From the first bytes of a frame; `None` if there is no whole head.
    pub fn read(start: &[u8]) -> Option<Head> {
        let (magic, behind) = start.split_first_chunk::<5>()?;
        if magic[..4] != MAGIC {
            return None;
        }
        let descriptor = magic[4];
        let is_single = descriptor & 0x20 != 0;
        let field = behind.get(usize::from(!is_single) + dictionary(descriptor)..)?;
        let field = field.get(..content(descriptor))?;
        let number = field.iter().rev().fold(0, |size, &byte| size << 8 | u64::from(byte));
        let size = match field.len() {
            0 => None,
            2 => Some(number + 256),
            _ => Some(number),
        };
        let window = match size {
            // A single segment: the window is the content.
            Some(size) if is_single => size,
            _ => {
                let base = 1u64 << (10 + (behind[0] >> 3));
                base + base / 8 * u64::from(behind[0] & 7)
            }
        };
        Some(Head { window, content: size, behind: if descriptor & 4 == 0 { 0 } else { 4 } })
    }
}

const MAGIC: [u8; 4] = [0x28, 0xb5, 0x2f, 0xfd];

/// Bytes of the number of a dictionary.
fn dictionary(descriptor: u8) -> usize {
    [0, 1, 2, 4][usize::from(descriptor & 3)]
}

/// Bytes of the size of the content.
fn content(descriptor: u8) -> usize {
    match descriptor >> 6 {
        0 => usize::from(descriptor & 0x20 != 0),
        flag => 1 << flag,
    }
}

/// Whether a frame that begins like this is to be passed over (3.1.2).
pub(super) fn is_skippable(magic: &[u8]) -> bool {
    matches!(magic, [0x50..=0x5f, 0x2a, 0x4d, 0x18, ..])
}

/// A block of a frame (3.1.1.2).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Block {
    /// Bytes behind its head.
    pub bytes: usize,
    /// No more text than this is in it.
    pub most: u64,
    /// Whether none comes after it.
    pub is_last: bool,
}

impl Block {
    /// From its head; `None` if there is no such block.
    pub fn read(head: [u8; BLOCK_HEAD], window: u64) -> Option<Block> {
        let word = u32::from_le_bytes([head[0], head[1], head[2], 0]);
        let (is_last, size) = (word & 1 == 1, word >> 3);
        let (bytes, most) = match word >> 1 & 3 {
            0 => (size as usize, size.into()),
            1 => (1, size.into()),
            2 => (size as usize, window.min(MOST_BLOCK)),
            _ => return None,
        };
        Some(Block { bytes, most, is_last })
    }
}

/// How much text a zstd frame that starts here wants to be kept in memory, in bytes
/// (RFC 8878, 3.1.1.1); `None` if there is no whole frame header.
pub(super) fn zstd_window(start: &[u8]) -> Option<u64> {
    Head::read(start).map(|head| head.window)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write;

    #[test]
    fn the_window_of_a_frame_is_read_from_its_head() {
        for log in [17, 24, 27] {
            let mut encoder = zstd::Encoder::new(Vec::new(), 1).expect("memory");
            encoder.window_log(log).expect("a window");
            encoder.write_all(b"1. e4 e5 1-0").expect("memory");
            let frame = encoder.finish().expect("memory");
            assert_eq!(zstd_window(&frame), Some(1 << log));
            assert_eq!(zstd_window(&frame[..5]), None);
        }
        assert_eq!(zstd_window(b"[Event \"a\"]"), None);
    }

    #[test]
    fn head_and_blocks_tell_the_length_of_a_frame_and_of_its_text() {
        for length in [0, 3, 700, 70_000, 1_000_000] {
            let text: Vec<u8> = (0..length).map(|place: u64| (place * place % 251) as u8).collect();
            let frame = zstd::bulk::compress(&text, 1).expect("memory");
            let head = Head::read(&frame).expect("a frame");
            assert_eq!(head.content, Some(length));
            let start = frame.first_chunk().expect("a head");
            let (mut at, mut most) = (Head::len(start), 0);
            loop {
                let block = frame[at..].first_chunk().expect("a block");
                let block = Block::read(*block, head.window).expect("a block");
                at += BLOCK_HEAD + block.bytes;
                most += block.most;
                if block.is_last {
                    break;
                }
            }
            assert_eq!(at + head.behind, frame.len());
            assert!((length..=length + MOST_BLOCK).contains(&most));
        }
        assert_eq!(Block::read([7, 0, 0], 1), None);
    }
}
