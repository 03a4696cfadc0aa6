//! `hearsheet quantity`: the numbers with their units in lines of text.
use anyhow::Context;
use hearsheet::read::number;
use std::fs::File;
use std::io::{self, BufRead, BufReader, BufWriter, Write};
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet quantity` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: echo 'sixty to sixty five pounds at the hose bib' | hearsheet quantity -

Prints one JSON object a line: {\"quantities\": [...]}, each with its value, its unit (UCUM), low and high for a range,
span (characters from and to), text, and what it is where it is no reading (distractor).")]
pub struct Args {
    /// A text file; - is standard input
    input: PathBuf,
}

/// Reads the lines and prints what numbers each holds.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let lines: Box<dyn BufRead> = if args.input.as_os_str() == "-" {
        Box::new(io::stdin().lock())
    } else {
        let file = File::open(&args.input)
            .with_context(|| format!("cannot read '{}'; give a text file or -", args.input.display()))?;
        Box::new(BufReader::new(file))
    };
    let mut out = BufWriter::new(io::stdout().lock());
    for (number, line) in lines.lines().enumerate() {
        let line = line.with_context(|| {
            format!("cannot read line {} of '{}' as text; save it as UTF-8", number + 1, args.input.display())
        })?;
        let quantities = number::find(&line);
        if !still_read(writeln!(out, "{}", serde_json::json!({ "quantities": quantities })))? {
            return Ok(ExitCode::SUCCESS);
        }
    }
    still_read(out.flush())?;
    Ok(ExitCode::SUCCESS)
}

/// Whether anybody still reads the output; a reader that has seen enough, such as `head`, is no error.
fn still_read(written: io::Result<()>) -> io::Result<bool> {
    match written {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(false),
        written => written.map(|()| true),
    }
}
