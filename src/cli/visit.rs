//! `hearsheet visit`: making a visit's folder and putting notes and photographs into it.
use anyhow::bail;
use hearsheet::confirm::text::clean;
use hearsheet::judge;
use hearsheet::lexicon::Lexicon;
use hearsheet::record::{About, Added, Visit, is_picture};
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet visit` was given.
#[derive(clap::Args)]
pub struct Args {
    #[command(subcommand)]
    command: Command,
}

#[derive(clap::Subcommand)]
enum Command {
    /// Make a visit in a new folder
    New(New),
    /// Copy recordings, typed notes or photographs into a visit
    Add(Add),
    /// List the photographs of a visit and what each of them shows
    Photos(super::photo::Args),
    /// Fetch a visit from a store into a folder, or what is new of it
    Fetch(super::store::Fetch),
    /// Put a visit that was fetched back into its store
    Return(super::store::Return),
}

#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet visit new larkspur-41 --property '41 Larkspur Lane' --client 'A. Sample'")]
struct New {
    /// The folder to make
    dir: PathBuf,
    /// What is inspected, usually its address; the folder's name if not given
    #[arg(long)]
    property: Option<String>,
    /// For whom
    #[arg(long, default_value = "")]
    client: String,
    /// By whom; the user's name on this machine if not given
    #[arg(long)]
    inspector: Option<String>,
    /// The day of the visit, as 2026-03-14; today if not given
    #[arg(long)]
    date: Option<jiff::civil::Date>,
    /// The code to judge by
    #[arg(long, default_value = "irc-2021")]
    standard: String,
    /// An office's own rules, copied into the visit as rules.toml
    #[arg(long, value_name = "FILE")]
    rules: Option<PathBuf>,
    /// An office's own words, copied into the visit as lexicon.toml
    #[arg(long, value_name = "FILE")]
    lexicon: Option<PathBuf>,
}

#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet visit add larkspur-41 garage.wav attic.m4a gate-code.txt IMG_0113.jpg")]
struct Add {
    /// The visit's folder
    dir: PathBuf,
    /// Recordings, typed notes ending in .txt, or photographs; they are copied and never changed
    #[arg(required = true)]
    files: Vec<PathBuf>,
}

/// Makes or fills a visit.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    match args.command {
        Command::New(new) => make(new),
        Command::Add(add) => fill(&add),
        Command::Photos(args) => super::photo::run(&args),
        Command::Fetch(args) => super::store::fetch(&args),
        Command::Return(args) => super::store::give_back(&args),
    }
}

fn make(new: New) -> anyhow::Result<ExitCode> {
    let name = new.dir.file_name().map(|n| n.to_string_lossy().into_owned());
    let Some(property) = new.property.or(name) else { bail!("'{}' names no folder", new.dir.display()) };
    let date = new.date.unwrap_or_else(|| jiff::ZonedDateTime::now().date());
    let about = About {
        client: new.client,
        inspector: new.inspector.or_else(super::tell::user).unwrap_or_default(),
        standard: new.standard,
        ..About::new(&property, date)
    };
    // A standard that nobody defined, rules or words that cannot be used, are refused now, not after the visit.
    judge::Context { standard: about.standard.clone(), today: date, office_rules: new.rules.clone() }.rules()?;
    Lexicon::with_office(new.lexicon.as_slice())?;
    let visit = Visit::create(&new.dir, about)?;
    new.rules.map_or(Ok(()), |rules| visit.take_rules(&rules))?;
    new.lexicon.map_or(Ok(()), |lexicon| visit.take_lexicon(&lexicon))?;
    println!("made '{}'; next: hearsheet visit add {} FILE...", new.dir.display(), new.dir.display());
    Ok(ExitCode::SUCCESS)
}

fn fill(add: &Add) -> anyhow::Result<ExitCode> {
    let visit = Visit::open(&add.dir)?;
    let mut refused = 0;
    for file in &add.files {
        let added = if is_picture(file) {
            visit.add_photograph(file).map(|added| told(added, |photograph| photograph.name))
        } else {
            visit.add(file).map(|added| told(added, |note| note.name))
        };
        match added {
            Ok((name, true)) => println!("added {name}"),
            Ok((name, false)) => {
                println!("'{}' is in the visit already, as {name}", clean(&file.to_string_lossy()));
            }
            Err(error) => {
                refused += 1;
                eprintln!("hearsheet: {:#}", anyhow::Error::from(error));
            }
        }
    }
    Ok(ExitCode::from(if refused == 0 { 0 } else { 2 }))
}

/// The name of what was added, and whether it is new.
fn told<T>(added: Added<T>, name: impl Fn(T) -> String) -> (String, bool) {
    match added {
        Added::New(new) => (name(new), true),
        Added::Known(known) => (name(known), false),
    }
}
