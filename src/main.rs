//! The kithbag program: hands the words of the command line to the library.

use mimalloc::MiMalloc;
use std::process::ExitCode;

/// A record is millions of small pieces, made on one thread and let go on another.
#[global_allocator]
static MEMORY: MiMalloc = MiMalloc;

fn main() -> ExitCode {
    kithbag::cli::run(std::env::args_os())
}
