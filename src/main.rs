//! The kithbag program: hands the words of the command line to the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    kithbag::cli::run(std::env::args_os())
}
