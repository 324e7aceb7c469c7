//! What is told of a place with little room.

use std::path::PathBuf;

/// A place that has perhaps too little room.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tight {
    /// The folder.
    pub folder: PathBuf,
    /// Bytes free there.
    pub free: u64,
    /// Bytes that may be needed there.
    pub wanted: u64,
}
