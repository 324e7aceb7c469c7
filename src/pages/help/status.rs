//! The exit status of the program, said once.

use crate::pages::layout::{PAGE_WIDTH, wrapped};

/// How the program ends, and when.
pub(super) const EXIT_STATUS: [(u8, &str); 6] = [
    (0, "answered, also with \"no games here\" or an undecided claim"),
    (1, "a claim asked with --expect or --claims fails, or with --strict is undecided"),
    (2, "options and arguments that do not fit together"),
    (
        3,
        "bad input: a dump, PGN, line or position that is missing, unreadable or illegal; a dump that is already in",
    ),
    (4, "store, temporary or output files: missing, damaged, full, not writable"),
    (130, "stopped by a signal: Ctrl-C, an end of the system, a terminal that closes"),
];

/// The same as lines of the help.
pub fn exit_status() -> String {
    let entry = |&(status, when): &(u8, &str)| {
        let when = wrapped(when, PAGE_WIDTH - 7, 0).replace('\n', "\n       ");
        format!("  {status:<5}{when}\n")
    };
    EXIT_STATUS.iter().map(entry).collect()
}
