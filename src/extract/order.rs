//! In which order games are written, and where to stop.

use std::collections::BTreeMap;
use std::io::{self, Write};

use super::wanted::FoundGame;

/// The order of the games.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// As they are in the dumps.
    AsTheyCome,
    /// By the two ratings together, lowest first; games of equal ratings as they come.
    Lowest,
    /// By the two ratings together, highest first; games of equal ratings as they come.
    Highest,
}

/// Takes games as they come and writes at most so many of them.
pub(super) struct Shelf<W: Write> {
    out: W,
    order: Order,
    limit: u64,
    written: u64,
    /// Games that wait to be written, by rank: never more than `limit`.
    waiting: BTreeMap<(u32, u64), String>,
    come: u64,
}

impl<W: Write> Shelf<W> {
    pub fn new(out: W, order: Order, limit: Option<u64>) -> Shelf<W> {
        let limit = limit.unwrap_or(u64::MAX);
        Shelf { out, order, limit, written: 0, waiting: BTreeMap::new(), come: 0 }
    }

    /// Takes the next game.
    pub fn put(&mut self, found: FoundGame) -> io::Result<()> {
        self.come += 1;
        let rank = match self.order {
            Order::AsTheyCome if self.written < self.limit => return self.write(&found.text),
            Order::AsTheyCome => return Ok(()),
            Order::Lowest => found.ratings,
            Order::Highest => u32::MAX - found.ratings,
        };
        self.waiting.insert((rank, self.come), found.text);
        if self.waiting.len() as u64 > self.limit {
            self.waiting.pop_last();
        }
        Ok(())
    }

    /// Whether no game that may come will be written.
    pub fn is_full(&self) -> bool {
        self.limit == 0 || self.order == Order::AsTheyCome && self.written == self.limit
    }

    /// Writes what waits; how many games were written and how many came.
    pub fn finish(mut self) -> io::Result<(u64, u64)> {
        for (_, text) in std::mem::take(&mut self.waiting) {
            self.write(&text)?;
        }
        self.out.flush()?;
        Ok((self.written, self.come))
    }

    fn write(&mut self, text: &str) -> io::Result<()> {
        self.written += 1;
        self.out.write_all(text.as_bytes())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shelved(order: Order, limit: Option<u64>) -> String {
        let mut out = Vec::new();
        let mut shelf = Shelf::new(&mut out, order, limit);
        for (ratings, text) in [(30, "a"), (10, "b"), (30, "c"), (20, "d"), (10, "e")] {
            shelf.put(FoundGame { ratings, text: text.into() }).expect("a vector takes it");
        }
        shelf.finish().expect("a vector takes it");
        String::from_utf8(out).expect("text")
    }

    #[test]
    fn games_come_in_the_order_asked_and_equal_ones_as_they_came() {
        assert_eq!(shelved(Order::AsTheyCome, None), "abcde");
        assert_eq!(shelved(Order::Lowest, None), "bedac");
        assert_eq!(shelved(Order::Highest, None), "acdbe");
    }

    #[test]
    fn a_limit_keeps_the_first_of_the_order() {
        assert_eq!(shelved(Order::AsTheyCome, Some(2)), "ab");
        assert_eq!(shelved(Order::Lowest, Some(3)), "bed");
        assert_eq!(shelved(Order::Highest, Some(1)), "a");
        assert_eq!(shelved(Order::Highest, Some(0)), "");
    }
}
