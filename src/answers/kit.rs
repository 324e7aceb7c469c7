//! A tiny in-memory model of counts, filled from hand-written games.
