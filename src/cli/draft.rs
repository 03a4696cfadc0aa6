//! `hearsheet draft`: hear and read what is new, and write the visit's record.
use super::ears::{Ears, Live};
use hearsheet::confirm::order;
use hearsheet::draft::Draft;
use hearsheet::lexicon::Lexicon;
use hearsheet::record::{Record, Visit};
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet draft` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet draft larkspur-41\n\n\
    Exit codes: 0 everything is confirmed and nothing open, 1 the draft is made and needs a person, 2 a note or file \
    could not be used (the others are in the draft).")]
pub struct Args {
    /// The visit's folder
    dir: PathBuf,
    /// Print the record as JSON
    #[arg(long)]
    json: bool,
    /// An office's own words, copied into the visit as lexicon.toml and used from then on
    #[arg(long, value_name = "FILE")]
    lexicon: Option<PathBuf>,
    #[command(flatten)]
    ears: Ears,
}

/// Makes the draft and tells how it stands.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let visit = Visit::open(&args.dir)?;
    Lexicon::with_office(args.lexicon.as_slice())?;
    args.lexicon.map_or(Ok(()), |file| visit.take_lexicon(&file))?;
    super::tell::torn(&visit)?;
    let draft = Draft::make(&visit, &mut Live::new(&args.ears)?, &mut |note| eprintln!("{} ...", note.name))?;
    let record = draft.save()?;
    if args.json {
        println!("{}", serde_json::to_string_pretty(&record)?);
    } else {
        print!("{}", super::show::page(&visit, &record, &draft.bench.rules));
    }
    Ok(super::tell::problems(draft.problems).unwrap_or(standing(&record)))
}

/// 0 where nothing is left to do, 1 where a person is needed.
pub fn standing(record: &Record) -> ExitCode {
    let settled = order(&record.facts, |_| 1.0).is_empty() && record.open.is_empty();
    ExitCode::from(if settled { 0 } else { 1 })
}
