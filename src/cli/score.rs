//! `hearsheet score`: labelled dictations against what the program makes of them.
use hearsheet::lexicon::Lexicon;
use hearsheet::score::{self, Figures, Outcome, Reader, Source};
use std::fmt::Write;
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet score` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet score tests/dictations --stripped --list")]
pub struct Args {
    /// Folder of labelled dictations (NAME.json)
    folder: PathBuf,
    /// Score the words without case, punctuation and pauses as well
    #[arg(long)]
    stripped: bool,
    /// Only dictations whose name contains this
    #[arg(long, value_name = "NAME")]
    only: Option<String>,
    /// List every missing, extra and changed fact instead of the table
    #[arg(long)]
    list: bool,
    /// Print the figures as JSON
    #[arg(long, conflicts_with = "list")]
    json: bool,
}

/// Scores and prints.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let mut dictations = score::dictations(&args.folder)?;
    if let Some(only) = &args.only {
        dictations.retain(|d| d.name.contains(only));
    }
    let reader = Reader::new(Lexicon::shipped()?)?;
    let mut scored = vec![(Source::Text, score::from_text(&dictations, Source::Text, &reader))];
    if args.stripped {
        scored.push((Source::Stripped, score::from_text(&dictations, Source::Stripped, &reader)));
    }
    let page = page(&args, &scored)?;
    super::print(&page)?;
    Ok(ExitCode::SUCCESS)
}

/// The figures as asked for: JSON, a list of differences or a table.
fn page(args: &Args, scored: &[(Source, Vec<Outcome>)]) -> anyhow::Result<String> {
    let mut json = serde_json::Map::new();
    let mut page = String::new();
    for (source, outcomes) in scored {
        let figures = Figures::of(outcomes);
        if args.json {
            let both = serde_json::json!({ "figures": figures, "dictations": outcomes });
            json.insert(source.name().to_owned(), both);
        } else if args.list {
            write!(page, "== {}\n{}", source.name(), score::list(outcomes))?;
        } else {
            writeln!(page, "{}", score::table(source.name(), outcomes, &figures))?;
        }
    }
    if args.json {
        page = serde_json::to_string_pretty(&serde_json::json!({ "version": 1, "sources": json }))? + "\n";
    }
    Ok(page)
}
