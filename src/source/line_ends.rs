//! Line ends settled as the text comes.

use std::io::{self, Read};

use crate::games::settle_line_ends;

/// Reads a text and makes each of its carriage returns that is a line end by itself a line feed; not a
/// byte more or less.
pub(super) struct LineEnds<R> {
    text: R,
    /// Carriage returns that were read; what they are is not known before the next byte is.
    held: u64,
    /// What is known by now and not yet given: a byte so many times, and the one behind.
    owed: Option<(u8, u64, Option<u8>)>,
}

impl<R: Read> LineEnds<R> {
    pub fn new(text: R) -> LineEnds<R> {
        LineEnds { text, held: 0, owed: None }
    }

    /// Reads on behind held carriage returns until it is known what they are.
    fn decide(&mut self) -> io::Result<()> {
        let mut next = [0];
        let next = match self.text.read(&mut next)? {
            0 => None,
            _ => Some(next[0]),
        };
        if next == Some(b'\r') {
            self.held += 1;
        } else {
            let byte = if next == Some(b'\n') { b'\r' } else { b'\n' };
            self.owed = Some((byte, std::mem::take(&mut self.held), next));
        }
        Ok(())
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

impl<R: Read> Read for LineEnds<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if buffer.is_empty() {
            return Ok(0);
        }
        loop {
            if self.owed.is_some() {
                return Ok(self.give(buffer));
            }
            if self.held > 0 {
                self.decide()?;
                continue;
            }
            let count = self.text.read(buffer)?;
            let held = settle_line_ends(&mut buffer[..count]);
            self.held = held as u64;
            if count == 0 || held < count {
                return Ok(count - held);
            }
        }
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
            let mut reader = LineEnds::new(Pieces(text.as_bytes(), pieces));
            let (mut read, mut buffer) = (Vec::new(), vec![0; size]);
            loop {
                match reader.read(&mut buffer).expect("memory") {
                    0 => break,
                    count => read.extend_from_slice(&buffer[..count]),
                }
            }
            prop_assert_eq!(read, wanted);
        }
    }

    #[test]
    fn millions_of_carriage_returns_take_no_memory() {
        let returns = |count| io::repeat(b'\r').take(count);
        let read = |behind: &'static [u8]| {
            let mut reader = LineEnds::new(returns(5_000_000).chain(behind));
            let (mut buffer, mut counts) = (vec![0; 1000], [0u64; 256]);
            loop {
                match reader.read(&mut buffer).expect("memory") {
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
