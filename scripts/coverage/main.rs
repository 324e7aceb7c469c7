//! Draws leagues whose truth is known, judges a trap in each, and writes how often the intervals
//! hold the truth.
//!
//! ```sh
//! cargo run --release --example coverage > tests/golden/coverage.md
//! ```

#[path = "../../tests/it/coverage/choices.rs"]
mod choices;
#[path = "../../tests/it/coverage/earlier.rs"]
mod earlier;
#[path = "../../tests/it/coverage/further.rs"]
mod further;
#[path = "../../tests/it/coverage/habits.rs"]
mod habits;
#[path = "../../tests/it/coverage/habits_table.rs"]
mod habits_table;
#[path = "../../tests/it/coverage/league.rs"]
mod league;
#[path = "../../tests/it/coverage/month.rs"]
mod month;
#[path = "../../tests/it/coverage/players.rs"]
mod players;
#[path = "../../tests/it/coverage/printed.rs"]
mod printed;
#[path = "../../tests/it/coverage/sampling.rs"]
mod sampling;
#[path = "../../tests/it/coverage/table.rs"]
mod table;
#[path = "../../tests/it/coverage/tally.rs"]
mod tally;

use std::io::{self, Write};

fn main() -> io::Result<()> {
    io::stdout().write_all((table::section() + &habits_table::section()).as_bytes())
}
