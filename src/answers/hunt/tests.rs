//! Tests of the hunt as a whole.
