//! `hearsheet read`: one note, no folder needed.
use super::ears::{Ears, hear};
use anyhow::Context;
use hearsheet::confirm::text::{clean, line, words};
use hearsheet::draft::Bench;
use hearsheet::lexicon::Lexicon;
use hearsheet::read;
use hearsheet::recognize::Transcript;
use hearsheet::record::{NoteKind, Record, kind_of, note_text};
use std::io::Read;
use std::path::PathBuf;
use std::process::ExitCode;
use std::time::{Duration, Instant};

/// What `hearsheet read` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet read samples/garage.wav --json\n\n\
    Exit codes: 0 the note was read, whatever it leaves open, 2 it could not be.")]
pub struct Args {
    /// A text or a recording; - is text on standard input
    input: PathBuf,
    /// Print the record as JSON
    #[arg(long)]
    json: bool,
    /// Show what each fact came from, and what was nearest in the sentences that made none
    #[arg(long, conflicts_with = "json")]
    why: bool,
    /// Tell on standard error how long reading and judging took, without start and printing
    #[arg(long)]
    took: bool,
    /// An office's own words beside those that ship with the program
    #[arg(long, value_name = "FILE")]
    lexicon: Vec<PathBuf>,
    /// The code to judge by
    #[arg(long, default_value = "irc-2021")]
    standard: String,
    #[command(flatten)]
    ears: Ears,
}

/// Reads the note and prints its record.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let bench = Bench::new(Lexicon::with_office(&args.lexicon)?, &args.standard, jiff::ZonedDateTime::now().date())?;
    let transcript = transcript(&args)?;
    let note = args.input.file_name().map_or_else(|| "-".into(), |n| n.to_string_lossy());
    if args.took {
        // What is made at the first reading counts as start.
        read::facts(&Transcript::from_text("nothing yet"), &bench.lexicon, &note);
    }
    let begun = Instant::now();
    let reading = read::facts(&transcript, &bench.lexicon, &note);
    let read = begun.elapsed();
    let record = bench.record(vec![(note.into_owned(), reading)], &[]);
    if args.took {
        let judged = begun.elapsed() - read;
        eprintln!(
            "{} words: read in {:.1} ms, merged and judged in {:.1} ms",
            transcript.words.len(),
            ms(read),
            ms(judged)
        );
    }
    if args.json {
        println!("{}", serde_json::to_string_pretty(&record)?);
    } else if args.why {
        print!("{}", why(&record, &transcript, &bench.lexicon));
    } else {
        print!("{}", super::show::facts(&record, &bench.rules).trim_start());
    }
    Ok(ExitCode::SUCCESS)
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1000.0
}

fn transcript(args: &Args) -> anyhow::Result<Transcript> {
    let input = &args.input;
    if input.as_os_str() == "-" {
        let mut text = String::new();
        std::io::stdin().read_to_string(&mut text).context("cannot read standard input; it has to be UTF-8 text")?;
        return Ok(Transcript::from_text(&text));
    }
    match kind_of(input) {
        NoteKind::Text => Ok(Transcript::from_text(&note_text(input)?)),
        NoteKind::Recording => hear(&args.ears.open()?, input),
    }
}

/// Each fact with its proofs, then what made none, and why.
fn why(record: &Record, transcript: &Transcript, lexicon: &Lexicon) -> String {
    let mut page = String::new();
    for fact in &record.facts {
        page += &format!("{}\n", line(fact));
        for proof in &fact.evidence {
            page += &format!("    \"{}\"  by {}\n", words(proof, Some(transcript)), clean(&proof.rule));
        }
        page.extend(fact.doubts.iter().map(|d| format!("    doubt: {}\n", clean(d))));
    }
    page.extend(record.limits.iter().map(|l| format!("could not be seen: {}: {}\n", l.component, clean(&l.why))));
    page.extend(record.photos.iter().map(|p| format!("photograph: {}\n", p.of)));
    let nearest = read::nearest::reasons(transcript, lexicon, &record.remark_evidence);
    for (remark, reasons) in record.remarks.iter().zip(&nearest) {
        page += &format!("remark: \"{}\"\n", clean(remark));
        page.extend(reasons.iter().map(|reason| format!("    no fact: {}\n", clean(reason))));
    }
    page
}
