//! Tests of the store as a whole.

mod bytes;
mod damage;
mod kit;
mod refused;
mod round_trip;
