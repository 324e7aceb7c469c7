//! The report on a trap: does it come up, do they fall for it, does it pay, what does it cost.

mod report;

pub use report::{
    Ahead, BandRow, Choice, Code, Figures, Steered, TrapAnswer, TrapLine, TrapReport, Usual,
    Verdict,
};
