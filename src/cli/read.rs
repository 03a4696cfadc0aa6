//! `hearsheet read`: one note, no folder needed.
use anyhow::Context;
use hearsheet::{lexicon::Lexicon, read, recognize::Transcript, record::Record};
use std::io::Read;
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet read` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet read samples/garage.wav --json")]
pub struct Args {
    /// A text or a recording; - is text on standard input
    input: PathBuf,
    /// Print the record as JSON
    #[arg(long)]
    json: bool,
}

/// Reads the note and prints its record.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let text = if args.input.as_os_str() == "-" {
        let mut text = String::new();
        std::io::stdin().read_to_string(&mut text).context("cannot read standard input")?;
        text
    } else {
        std::fs::read_to_string(&args.input).with_context(|| format!("cannot read '{}'", args.input.display()))?
    };
    let lexicon = Lexicon::shipped();
    let reading = read::facts(&Transcript::from_text(&text), &lexicon, &args.input.to_string_lossy());
    let record = Record { version: 1, facts: reading.facts, ..Record::default() };
    if args.json {
        println!("{}", serde_json::to_string_pretty(&record)?);
    }
    Ok(ExitCode::SUCCESS)
}
