//! `hearsheet lexicon`: checking the words that people say, listing them, and learning new ones.
use clap::Subcommand;
use hearsheet::confirm::text::clean;
use hearsheet::lexicon::{self, Lexicon};
use hearsheet::score;
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet lexicon` was given.
#[derive(clap::Args)]
pub struct Args {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Look for clashes, terms without example, unknown ids, ill-made forms and failing examples
    Check(Files),
    /// List words that decisions show to be misheard, and write those said yes to into the office's own file
    Learn(super::learn::Args),
    /// Print every entry with its forms and examples, as Markdown
    Page(Files),
}

#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet lexicon check office.toml\n\n\
    Exit codes: 0 all is well, 1 it can be used, but look at the warnings, 2 it cannot be used like this.")]
struct Files {
    /// An office's own files, laid over the lexicon that ships with the program
    files: Vec<PathBuf>,
}

/// Checks or prints the lexicon.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    match args.command {
        Command::Check(args) => check(&args),
        Command::Learn(args) => super::learn::run(&args),
        Command::Page(args) => {
            super::print(&lexicon::page(&Lexicon::with_office(&args.files)?))?;
            Ok(ExitCode::SUCCESS)
        }
    }
}

fn check(args: &Files) -> anyhow::Result<ExitCode> {
    let (lexicon, findings) = lexicon::check(&args.files);
    let mut page = String::new();
    for finding in &findings {
        let sign = if finding.severe { "error" } else { "warning" };
        page += &format!("{}:{}: {sign}: {}\n", clean(&finding.file), finding.line, clean(&finding.what));
    }
    let misses = score::examples(&lexicon);
    for miss in &misses {
        page += &format!("{}:{}: error: {}\n", clean(&miss.file), miss.line, clean(&miss.what));
    }
    let severe = !misses.is_empty() || findings.iter().any(|f| f.severe);
    page += &format!(
        "{} entries, {} examples, {} to look at\n",
        lexicon.entries().count(),
        score::phrases(&lexicon),
        findings.len() + misses.len()
    );
    super::print(&page)?;
    Ok(ExitCode::from(if severe { 2 } else { u8::from(!findings.is_empty()) }))
}
