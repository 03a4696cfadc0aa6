//! One file a command; this one only names them.
mod batch;
mod board;
mod clip;
mod confirm;
mod crew;
mod draft;
mod ears;
mod figure;
mod hear;
mod history;
mod judge;
mod learn;
mod lexicon;
mod listen;
mod memory;
mod model;
mod photo;
mod quantity;
mod queue;
mod read;
mod report;
mod scope;
mod score;
mod show;
mod sound;
mod store;
mod tell;
mod terminal;
mod verify;
mod visit;
mod worker;

use clap::{Parser, Subcommand};
use std::io::Write;
use std::process::ExitCode;

/// Turns an inspector's spoken notes into a record to sign and a report to hand over.
#[derive(Parser)]
#[command(version, after_help = "Exit codes: 0 done, 1 done but something is still unconfirmed or open, 2 error.")]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Make a visit's folder, put notes and photographs into it, or list the photographs
    Visit(visit::Args),
    /// Hear and read a visit's new notes, and write its record
    Draft(draft::Args),
    /// Listen while you work: the sound is kept, the facts come up as they are spoken
    Listen(listen::Args),
    /// Show a visit's record, or what is still open
    Show(show::Args),
    /// Settle, as a person, what was heard
    Confirm(confirm::Args),
    /// Write the client's report, or tables for other programs
    Report(report::Args),
    /// Compute one figure: expansion, circuit, recovery, scald, air, vent, age, pressure, discharge end
    Figure(figure::Args),
    /// Draw concerns and open questions from a file of facts
    Judge(judge::Args),
    /// Print the words of recordings
    Hear(hear::Args),
    /// Fetch and list the speech models
    Model(model::Args),
    /// Check the lexicon and its examples, print what it knows, or learn from decisions
    Lexicon(lexicon::Args),
    /// Find the numbers with their units in lines of text
    Quantity(quantity::Args),
    /// Show who decided what, when and why
    History(history::Args),
    /// Write the sound behind a fact to a file
    Clip(clip::Args),
    /// Check that a signed visit is as it was signed
    Verify(verify::Args),
    /// Draft a folder of recordings, unattended, or whatever arrives there
    Batch(batch::Args),
    /// Take a share of the work that several machines do through a database
    Worker(worker::Args),
    /// List the visits that wait for a person, or give the office's figures
    Queue(queue::Args),
    /// Read one note, text or recording, and print what it says
    Read(read::Args),
    /// Say how a phrase is meant: affirmed, negated, doubtful, hypothetical or hearsay
    Scope(scope::Args),
    /// Measure the program against labelled dictations
    Score(score::Args),
}

/// Runs the command that was typed and turns its outcome into an exit code.
pub fn run() -> ExitCode {
    memory::give_back();
    let done = match Cli::parse().command {
        Command::Visit(args) => visit::run(args),
        Command::Draft(args) => draft::run(args),
        Command::Listen(args) => listen::run(args),
        Command::Show(args) => show::run(args),
        Command::Confirm(args) => confirm::run(args),
        Command::Report(args) => report::run(args),
        Command::Figure(args) => figure::run(args),
        Command::Judge(args) => judge::run(args),
        Command::Hear(args) => hear::run(args),
        Command::Model(args) => model::run(args),
        Command::Lexicon(args) => lexicon::run(args),
        Command::Quantity(args) => quantity::run(args),
        Command::History(args) => history::run(args),
        Command::Clip(args) => clip::run(args),
        Command::Verify(args) => verify::run(args),
        Command::Batch(args) => batch::run(args),
        Command::Worker(args) => worker::run(args),
        Command::Queue(args) => queue::run(args),
        Command::Read(args) => read::run(args),
        Command::Scope(args) => scope::run(args),
        Command::Score(args) => score::run(args),
    };
    done.unwrap_or_else(|error| {
        eprintln!("hearsheet: {error:#}");
        ExitCode::from(2)
    })
}

/// Prints a whole page; a reader that has seen enough, such as `head`, is no error.
fn print(page: &str) -> std::io::Result<()> {
    match std::io::stdout().lock().write_all(page.as_bytes()) {
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(()),
        done => done,
    }
}
