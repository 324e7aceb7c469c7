//! The model that the integration tests are judged by.

#[path = "../it/kit/model.rs"]
mod model;

pub use model::{HalfMove, ModelCounts, Played, groups};
