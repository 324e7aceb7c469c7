//! x
mod line;
mod spelling;
mod words;

pub use line::{Line, LineError, MoveError, Place};
pub use spelling::{Misread, san_text};
