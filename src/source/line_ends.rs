//! Line ends settled as the text comes.

use std::io::{self, Read};

use crate::games::settle_line_ends;

/// Makes each carriage return of a text that is a line end by itself a line feed; not a byte more or less.
#[derive(Debug, Default)]
pub(super) struct LineEnds {
    /// Bytes that were read.
    taken: u64,
    /// Carriage returns that were read; what they are is not known before the next byte is.
    held: u64,
    /// What is known by now and not yet given: a byte so many times, and the one behind.
    owed: Option<(u8, u64, Option<u8>)>,
}

impl LineEnds {
    /// Reads text with its line ends settled from `source`, which has the `last` of it or not; 0 if it gives
    /// no more.
    pub fn read(
        &mut self,
        source: &mut dyn Read,
        last: bool,
        buffer: &mut [u8],
    ) -> io::Result<usize> {
        if buffer.is_empty() {
            return Ok(0);
        }
        loop {
            if self.owed.is_some() {
                return Ok(self.give(buffer));
            }
            if self.held > 0 {
                if !self.decide(source, last)? {
                    return Ok(0);
                }
                continue;
            }
            let count = source.read(buffer)?;
            self.taken += count as u64;
            let held = settle_line_ends(&mut buffer[..count]);
            self.held = held as u64;
            if count == 0 || held < count {
                return Ok(count - held);
            }
        }
    }

    /// Passes over bytes that were settled otherwise, but for so many carriage returns at their end.
    pub fn pass(&mut self, count: usize, open: usize) {
        self.taken += count as u64;
        self.held = open as u64;
    }

    /// Bytes that were read.
    pub fn taken(&self) -> u64 {
        self.taken
    }

    /// Whether all that was read was given.
    pub fn are_settled(&self) -> bool {
        self.held == 0 && self.owed.is_none()
    }

    /// Reads on behind held carriage returns until it is known what they are; false if it is not.
    fn decide(&mut self, source: &mut dyn Read, last: bool) -> io::Result<bool> {
        let mut next = [0];
        let count = source.read(&mut next)?;
        self.taken += count as u64;
        match (count, next) {
            (0, _) if !last => return Ok(false),
            (1, [b'\r']) => self.held += 1,
            (_, [next]) => {
                let byte = if count == 1 && next == b'\n' { b'\r' } else { b'\n' };
                let held = std::mem::take(&mut self.held);
                self.owed = Some((byte, held, (count == 1).then_some(next)));
            }
        }
        Ok(true)
    }

    fn give(&mut self, buffer: &mut [u8]) -> usize {
        let Some((byte, count, next)) = self.owed.take() else { return 0 };
        let given = usize::try_from(count).unwrap_or(usize::MAX).min(buffer.len());
        buffer[..given].fill(byte);
        let left = count - given as u64;
        match (next, buffer.get_mut(given)) {
            (Some(next), Some(place)) if left == 0 => {
                *place = next;
                return given + 1;
            }
            (None, _) if left == 0 => {}
            _ => self.owed = Some((byte, left, next)),
        }
        given
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Gives a text in pieces of these lengths, then one byte at a time.
    struct Pieces<'a>(&'a [u8], Vec<usize>);

    impl Read for Pieces<'_> {
        fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
            let count = self.1.pop().unwrap_or(1).min(buffer.len()).min(self.0.len());
            buffer[..count].copy_from_slice(&self.0[..count]);
            self.0 = &self.0[count..];
            Ok(count)
        }
    }

    proptest! {
        #[test]
        fn pieces_do_not_show(
            text in "[\r\n\r\na]{0,40}",
            pieces in prop::collection::vec(1..6usize, 0..30),
            size in 1..8usize,
        ) {
            let mut wanted = text.clone().into_bytes();
            let open = settle_line_ends(&mut wanted);
            let settled = wanted.len() - open;
            wanted[settled..].fill(b'\n');
            let (mut line_ends, mut read, mut buffer) = (LineEnds::default(), Vec::new(), vec![0; size]);
            let (first, second) = text.as_bytes().split_at(text.len() * size / 8);
            for (part, last) in [(first, false), (second, true)] {
                let mut source = Pieces(part, pieces.clone());
                loop {
                    match line_ends.read(&mut source, last, &mut buffer).expect("memory") {
                        0 => break,
                        count => read.extend_from_slice(&buffer[..count]),
                    }
                }
            }
            prop_assert_eq!(read, wanted);
            prop_assert_eq!(line_ends.taken(), text.len() as u64);
        }
    }

    #[test]
    fn millions_of_carriage_returns_take_no_memory() {
        let returns = |count| io::repeat(b'\r').take(count);
        let read = |behind: &'static [u8]| {
            let mut source = returns(5_000_000).chain(behind);
            let (mut line_ends, mut buffer) = (LineEnds::default(), vec![0; 1000]);
            let mut counts = [0u64; 256];
            loop {
                match line_ends.read(&mut source, true, &mut buffer).expect("memory") {
                    0 => break counts,
                    count => {
                        buffer[..count].iter().for_each(|&byte| counts[usize::from(byte)] += 1)
                    }
                }
            }
        };
        assert_eq!(read(b"\nx")[usize::from(b'\r')], 5_000_000);
        assert_eq!(read(b"x")[usize::from(b'\n')], 5_000_000);
        assert_eq!(read(b"")[usize::from(b'\n')], 5_000_000);
    }
}
