//! The `deadfall` command.

#![forbid(unsafe_code)]

use std::process::ExitCode;

/// The allocator of musl has one lock for all threads.
#[cfg(target_env = "musl")]
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    deadfall::cli::main()
}
