//! `hearsheet report`: the documents of a visit.
use clap::ValueEnum;
use hearsheet::draft::Draft;
use hearsheet::record::Visit;
use hearsheet::report::{self, Form, Source, Wording};
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet report` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet report larkspur-41 --as html --as csv\n\n\
    Exit codes: 0 everything is confirmed and nothing open, 1 something still is, 2 error.")]
pub struct Args {
    /// The visit's folder
    visit: PathBuf,
    /// What to write; the client's page is html, csv and json are for other programs
    #[arg(long = "as", value_name = "FORM", default_value = "html")]
    forms: Vec<Choice>,
}

#[derive(Clone, Copy, ValueEnum)]
enum Choice {
    Html,
    Csv,
    Json,
}

impl From<Choice> for Form {
    fn from(choice: Choice) -> Form {
        match choice {
            Choice::Html => Form::Html,
            Choice::Csv => Form::Csv,
            Choice::Json => Form::Json,
        }
    }
}

/// Writes the documents and tells where they lie.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let visit = Visit::open(&args.visit)?;
    super::tell::torn(&visit)?;
    let draft = Draft::open(&visit)?;
    let decisions = visit.journal()?.standing();
    let record = draft.record(&decisions);
    let (photographs, unread) = (visit.photographs()?, unread(&visit, &draft)?);
    let source = Source {
        about: &visit.about,
        record: &record,
        decisions: &decisions,
        rules: &draft.bench.rules,
        wording: &Wording::shipped()?,
        catalogue: &draft.bench.lexicon.catalogue,
        photographs: &photographs,
        unread: &unread,
    };
    for form in args.forms {
        let (name, text) = report::document(&source, form.into())?;
        println!("{}", visit.keep_document(name, &text)?.display());
    }
    if let Some(why) = report::draft(&source) {
        eprintln!("It is a draft: {why}\nSettle it with: hearsheet confirm {}", args.visit.display());
    }
    let standing = super::draft::standing(&record);
    Ok(super::tell::problems(draft.problems).unwrap_or(standing))
}

/// The notes that are not in the draft.
fn unread(visit: &Visit, draft: &Draft) -> anyhow::Result<Vec<String>> {
    let names = visit.notes()?.into_iter().map(|note| note.name);
    Ok(names.filter(|name| !draft.transcripts.contains_key(name)).collect())
}
