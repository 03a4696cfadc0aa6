//! `hearsheet report`: the documents of a visit.
use clap::ValueEnum;
use hearsheet::draft::Draft;
use hearsheet::record::{Photograph, Placed, Visit};
use hearsheet::report::{self, Form, Office, Source, Thumbnail};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet report` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet report larkspur-41 --as pdf --as csv\n\n\
    Exit codes: 0 everything is confirmed and nothing open, 1 something still is, 2 error.")]
pub struct Args {
    /// The visit's folder
    visit: PathBuf,
    /// What to write; html, pdf and docx are for the client, csv and json for other programs, vtt and srt are the words
    /// of each recording as subtitles
    #[arg(long = "as", value_name = "FORM", default_value = "html")]
    forms: Vec<Choice>,
    /// An office's settings: its name, logo, order, words and template
    #[arg(long, value_name = "FILE")]
    office: Option<PathBuf>,
    /// Tell the client what else was said, word for word
    #[arg(long)]
    remarks: bool,
}

#[derive(Clone, Copy, ValueEnum)]
enum Choice {
    Html,
    Pdf,
    Docx,
    Csv,
    Json,
    Vtt,
    Srt,
}

impl Choice {
    /// The document of the whole visit; subtitles belong to one recording each.
    fn form(self) -> Option<Form> {
        match self {
            Choice::Html => Some(Form::Html),
            Choice::Pdf => Some(Form::Pdf),
            Choice::Docx => Some(Form::Docx),
            Choice::Csv => Some(Form::Csv),
            Choice::Json => Some(Form::Json),
            Choice::Vtt | Choice::Srt => None,
        }
    }
}

/// Writes the documents and tells where they lie.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let visit = Visit::open(&args.visit)?;
    super::tell::torn(&visit)?;
    let mut office = args.office.as_deref().map(Office::load).transpose()?.unwrap_or_default();
    office.remarks |= args.remarks;
    let draft = Draft::open(&visit)?;
    let decisions = visit.journal()?.standing();
    let record = draft.record(&decisions);
    let photographs = visit.placed(&record, &decisions)?.photographs;
    let (thumbnails, unshown) = thumbnails(&visit, &photographs)?;
    let source = Source {
        about: &visit.about,
        record: &record,
        decisions: &decisions,
        revision: &visit.revision()?,
        rules: &draft.bench.rules,
        wording: &office.wording()?,
        office: &office,
        catalogue: &draft.bench.lexicon.catalogue,
        photographs: &photographs,
        thumbnails: &thumbnails,
        unread: &unread(&visit, &draft)?,
    };
    for choice in args.forms {
        let Some(form) = choice.form() else {
            subtitles(&visit, &draft, choice)?;
            continue;
        };
        let document = report::document(&source, form)?;
        let path = visit.keep_document(document.name, &document.bytes)?;
        println!("{}", path.display());
        if let Some(lacks) = document.lacks {
            eprintln!("hearsheet: '{}': {lacks}", path.display());
        }
    }
    if let Some(why) = report::draft(&source) {
        eprintln!("It is a draft: {why}\nSettle it with: hearsheet confirm {}", args.visit.display());
    }
    let standing = if unshown { ExitCode::from(1) } else { super::draft::standing(&record) };
    Ok(super::tell::problems(draft.problems).unwrap_or(standing))
}

/// The words of every recording, each in a file of its own; a typed note has no times.
fn subtitles(visit: &Visit, draft: &Draft, choice: Choice) -> anyhow::Result<()> {
    for (note, transcript) in draft.transcripts.iter().filter(|(_, transcript)| transcript.timed) {
        let (ending, text) = match choice {
            Choice::Srt => ("srt", transcript.to_srt()),
            _ => ("vtt", transcript.to_webvtt()),
        };
        println!("{}", visit.keep_document(&format!("{note}.{ending}"), text.as_bytes())?.display());
    }
    Ok(())
}

/// The notes that are not in the draft.
fn unread(visit: &Visit, draft: &Draft) -> anyhow::Result<Vec<String>> {
    let names = visit.notes()?.into_iter().map(|note| note.name);
    Ok(names.filter(|name| !draft.transcripts.contains_key(name)).collect())
}

/// Small copies of the photographs that belong somewhere, and whether one could not be shown; the others still are.
fn thumbnails(visit: &Visit, placed: &[Placed]) -> anyhow::Result<(BTreeMap<String, Thumbnail>, bool)> {
    let (mut thumbnails, mut unshown) = (BTreeMap::new(), false);
    let wanted = |p: &Photograph| placed.iter().any(|placed| placed.name == p.name && placed.of.is_some());
    for photograph in visit.photographs()?.into_iter().filter(wanted) {
        match Thumbnail::of(&visit.photograph_path(&photograph.name), photograph.turn) {
            Ok(thumbnail) => _ = thumbnails.insert(photograph.name, thumbnail),
            Err(error) => {
                unshown = true;
                eprintln!("hearsheet: {:#}", anyhow::Error::from(error));
            }
        }
    }
    Ok((thumbnails, unshown))
}
