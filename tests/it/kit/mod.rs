//! What the tests are made of: a fresh folder, the program run in it, games to feed it, and a model
//! to judge it by.

pub mod contract;
mod folder;
mod games;
mod greedy;
mod inventor;
mod model;
mod packed;
mod random;
mod real;
mod run;

pub use folder::Folder;
pub use games::{Game, dump};
pub use greedy::greedy;
pub use inventor::inventor;
pub use model::{HalfMove, ModelCounts, Played, groups};
pub use packed::{bzip2, gzip};
pub use random::random_games;
pub use real::{golden, pieces, real_dump};
pub use run::{Run, near};
