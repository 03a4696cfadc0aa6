//! `hearsheet clip`: the sound behind a fact, as a file.
use anyhow::{Context, bail};
use hearsheet::record::{FactName, Visit, clip, named, replace, tidy_name};
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet clip` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet clip larkspur-41 water-system.static-pressure -o pressure.wav")]
pub struct Args {
    /// The visit's folder
    dir: PathBuf,
    /// Which fact: [item/]component.attribute
    fact: FactName,
    /// Where to write it; a file named after the fact if not given
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Seconds before and after the words
    #[arg(long, default_value_t = 2.0)]
    around: f64,
}

/// Writes the sound of every proof that the fact has, the first as named, the others numbered.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let visit = Visit::open(&args.dir)?;
    let record = visit.record()?;
    let facts = named(&record.facts, &args.fact);
    if facts.is_empty() {
        bail!("nothing was said about {}; hearsheet show {} lists the facts", args.fact, args.dir.display());
    }
    let around = (args.around.clamp(0.0, 60.0) * 1000.0) as u64;
    let output = args.output.unwrap_or_else(|| tidy_name(&format!("{}.wav", args.fact)).into());
    let mut written = 0;
    for proof in facts.iter().flat_map(|&i| &record.facts[i].evidence) {
        let Some(sound) = clip(&visit, proof, around)? else { continue };
        written += 1;
        let path = if written == 1 { output.clone() } else { numbered(&output, written) };
        replace(&path, &sound).with_context(|| format!("cannot write '{}'", path.display()))?;
        println!("{}", path.display());
    }
    if written == 0 {
        bail!("{} was typed, not spoken: there is no sound of it", args.fact);
    }
    Ok(ExitCode::SUCCESS)
}

fn numbered(path: &std::path::Path, number: usize) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!("{stem}-{number}.wav"))
}
