//! The hearsheet command.
#![allow(clippy::print_stdout, clippy::print_stderr, reason = "the binary talks to a person")]
mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    quit_quietly();
    cli::run()
}

/// What a program ends with that writes to a reader who has gone: 128 and the number of SIGPIPE.
const READER_GONE: i32 = 141;

/// `hearsheet read note.txt | head` is no fault of the program: it ends without a word, as others do.
fn quit_quietly() {
    let default = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        let text = panic.payload().downcast_ref::<String>().map_or("", String::as_str);
        if text.starts_with("failed printing to std") && text.contains("Broken pipe") {
            std::process::exit(READER_GONE);
        }
        default(panic);
    }));
}
