//! The hearsheet command.
#![allow(clippy::print_stdout, clippy::print_stderr, reason = "the binary talks to a person")]
mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
