//! `hearsheet scope`: how a phrase is meant in its sentence, line by line.
use anyhow::Context;
use hearsheet::read::scope;
use std::io::{BufRead, BufReader, BufWriter, Write};
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet scope` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: printf 'drip leg\\tI see no drip leg.\\n' | hearsheet scope -\n\n\
    Prints affirmed, negated, doubtful, hypothetical or hearsay for each line; unknown, with the line's number on\n\
    standard error and exit code 2 at the end, where the concept is not in the sentence. Of several places the one\n\
    written in capitals counts, else the first.")]
pub struct Args {
    /// A file of lines `concept TAB sentence`; - is standard input
    #[arg(default_value = "-")]
    input: PathBuf,
}

/// Prints one word a line.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let name = args.input.display();
    let input: Box<dyn BufRead> = if args.input.as_os_str() == "-" {
        Box::new(std::io::stdin().lock())
    } else {
        let file = std::fs::File::open(&args.input).with_context(|| format!("cannot read '{name}'"))?;
        Box::new(BufReader::new(file))
    };
    let mut out = BufWriter::new(std::io::stdout().lock());
    let mut code = ExitCode::SUCCESS;
    for (index, line) in input.split(b'\n').enumerate() {
        let line = line.with_context(|| format!("cannot read '{name}'"))?;
        let line = String::from_utf8_lossy(&line);
        match answer(line.trim_end_matches('\r')) {
            Ok(word) => writeln!(out, "{word}")?,
            Err(why) => {
                writeln!(out, "unknown")?;
                eprintln!("hearsheet: '{name}', line {}: {why}", index + 1);
                code = ExitCode::from(2);
            }
        }
    }
    out.flush()?;
    Ok(code)
}

/// How the concept of one line is meant.
fn answer(line: &str) -> Result<scope::Polarity, String> {
    let (concept, sentence) =
        line.split_once('\t').ok_or("there is no TAB; write the concept, a TAB and the sentence")?;
    let span = scope::locate(concept, sentence)
        .ok_or_else(|| format!("'{}' is not in the sentence; write it as it stands there", concept.trim()))?;
    Ok(scope::polarity(sentence, span))
}
