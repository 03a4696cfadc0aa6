//! `hearsheet hear`: the words of recordings.
use anyhow::Context;
use hearsheet::audio;
use hearsheet::recognize::{Options, Recognizer, Transcript, model};
use indicatif::{ProgressBar, ProgressStyle};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// What `hearsheet hear` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet hear samples/garage.wav --format vtt")]
pub struct Args {
    /// Recordings: WAV, M4A, MP3, FLAC, Ogg, AIFF, CAF
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// How to print what was heard
    #[arg(long, value_enum, default_value_t)]
    format: Format,
    #[command(flatten)]
    ears: Ears,
}

/// The speech model and how it is used.
#[derive(clap::Args)]
pub struct Ears {
    /// Speech model: a name that 'hearsheet model list' shows, or a GGML file
    #[arg(long, value_name = "NAME|PATH")]
    pub model: Option<String>,
    /// Folder of the models [default: HEARSHEET_MODELS, models/ of the project, or the user's data folder]
    #[arg(long, value_name = "DIR")]
    pub models: Option<PathBuf>,
    /// Recognise without leaning towards the trade's words
    #[arg(long)]
    pub no_pull: bool,
    /// More words to lean towards, one a line: makers, streets, names
    #[arg(long, value_name = "FILE")]
    pub words: Option<PathBuf>,
}

#[derive(Clone, Copy, Default, clap::ValueEnum)]
enum Format {
    /// One line of text a recording
    #[default]
    Text,
    /// Words with times and probabilities
    Json,
    /// Subtitles in the WebVTT form
    Vtt,
}

impl Ears {
    /// Loads the speech model.
    pub fn open(&self) -> anyhow::Result<Recognizer> {
        let folder = self.models.clone().unwrap_or_else(model::folder);
        let path = model::find(self.model.as_deref(), &folder)?;
        let mut options = Options::default();
        if let Some(words) = &self.words {
            let text = std::fs::read_to_string(words).with_context(|| format!("cannot read '{}'", words.display()))?;
            options.forms.extend(text.lines().map(str::to_owned));
        }
        if self.no_pull {
            options.forms.clear();
        }
        Ok(Recognizer::open(&path, options)?)
    }
}

/// Recognises each recording; one that can't be used is named, and the others still done.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let ears = args.ears.open()?;
    let mut failed = false;
    for path in &args.files {
        match hear(&ears, path) {
            Ok(transcript) => print(&transcript, path, &args)?,
            Err(error) => {
                failed = true;
                eprintln!("hearsheet: {error:#}");
            }
        }
    }
    Ok(if failed { ExitCode::from(2) } else { ExitCode::SUCCESS })
}

/// Decodes and recognises one recording, with a bar where somebody watches.
pub fn hear(ears: &Recognizer, path: &Path) -> anyhow::Result<Transcript> {
    let recording = audio::load(path)?;
    let bar = ProgressBar::new(recording.duration_ms);
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    bar.set_style(ProgressStyle::with_template("{msg} [{bar:30}] {percent}% {eta}")?.progress_chars("=> "));
    bar.set_message(name);
    let done = ears.transcribe(&recording, |share| {
        bar.set_position((f64::from(share) * recording.duration_ms as f64) as u64);
    });
    bar.finish_and_clear();
    Ok(done?)
}

fn print(transcript: &Transcript, path: &Path, args: &Args) -> anyhow::Result<()> {
    if let Some(reason) = &transcript.reason {
        eprintln!("hearsheet: '{}': {reason}", path.display());
    }
    match args.format {
        Format::Text => println!("{}", transcript.text()),
        Format::Json => println!("{}", serde_json::to_string_pretty(transcript)?),
        Format::Vtt => print!("{}", transcript.to_webvtt()),
    }
    Ok(())
}
