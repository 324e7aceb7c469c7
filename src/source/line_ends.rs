//! Line ends settled as the text comes.

use std::io::{self, Read};

use crate::games::{BYTE_ORDER_MARK, settle_line_ends, settled_mark};

/// Settles the line ends of a text as [`settle_line_ends`] does; not a byte more or less.
#[derive(Debug, Default)]
pub(super) struct LineEnds {
    /// Bytes that were read.
    taken: u64,
    /// How many bytes were read of which it is not known what they are before the next one is.
    held: u64,
    /// Whether they are the beginning of a byte order mark, not carriage returns.
    are_mark: bool,
    /// What is known by now and not yet given: these bytes, again and again, from one
    /// place to another.
    owed: Option<([u8; 3], u64, u64)>,
    /// The byte behind, which was read but not looked at.
    next: Option<u8>,
}

impl LineEnds {
    /// Reads text with its line ends settled from `source`, which has the `last` of it or not; 0 if
    /// it gives no more.
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
            let before = usize::from(self.next.is_some());
            let read = source.read(&mut buffer[before..])?;
            if let Some(byte) = self.next.take() {
                buffer[0] = byte;
            }
            let count = before + read;
            self.taken += read as u64;
            let held = settle_line_ends(&mut buffer[..count]);
            self.hold(&buffer[count - held..count]);
            if count == 0 || held < count {
                return Ok(count - held);
            }
        }
    }

    /// Passes over bytes that were settled otherwise, but for those `open` at their end.
    pub fn pass(&mut self, count: usize, open: &[u8]) {
        self.taken += count as u64;
        self.hold(open);
    }

    fn hold(&mut self, open: &[u8]) {
        self.held = open.len() as u64;
        self.are_mark = open.first() == Some(&BYTE_ORDER_MARK[0]);
    }

    /// Bytes that were read.
    pub fn taken(&self) -> u64 {
        self.taken
    }

    /// Whether all that was read was given.
    pub fn are_settled(&self) -> bool {
        self.held == 0 && self.owed.is_none() && self.next.is_none()
    }

    /// Reads a byte behind those that are held; false if there is none yet.
    fn decide(&mut self, source: &mut dyn Read, last: bool) -> io::Result<bool> {
        let mut next = [0];
        let count = source.read(&mut next)?;
        self.taken += count as u64;
        let next = (count == 1).then_some(next[0]);
        let more = match self.are_mark {
            true => BYTE_ORDER_MARK.get(self.held as usize).copied(),
            false => Some(b'\r'),
        };
        if next.is_some() && next == more {
            self.held += 1;
            return Ok(true);
        }
        let bytes = match (next, self.are_mark) {
            (None, _) if !last => return Ok(false),
            (None, _) => [b'\n'; 3],
            (Some(_), true) if more.is_some() => BYTE_ORDER_MARK,
            (Some(next), true) => [settled_mark(next); 3],
            (Some(b'\n'), false) => [b'\r'; 3],
            (Some(_), false) => [b'\n'; 3],
        };
        self.owed = Some((bytes, 0, std::mem::take(&mut self.held)));
        self.next = next;
        Ok(true)
    }

    fn give(&mut self, buffer: &mut [u8]) -> usize {
        let Some((bytes, from, to)) = self.owed.take() else { return 0 };
        let given = usize::try_from(to - from).unwrap_or(usize::MAX).min(buffer.len());
        for (place, at) in buffer[..given].iter_mut().zip(from..) {
            *place = bytes[(at % 3) as usize];
        }
        let from = from + given as u64;
        self.owed = (from < to).then_some((bytes, from, to));
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
            text in "([\r\n\r\na\\[%]|\u{feff}|\u{feff}|\u{f000}){0,40}",
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
