//! `hearsheet hear`: the words of recordings.
use super::ears::{Ears, hear};
use hearsheet::recognize::Transcript;
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

#[derive(Clone, Copy, Default, clap::ValueEnum)]
enum Format {
    /// One line of text a recording
    #[default]
    Text,
    /// Words with times and probabilities
    Json,
    /// Subtitles in the WebVTT form
    Vtt,
    /// Subtitles in the SubRip form
    Srt,
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

fn print(transcript: &Transcript, path: &Path, args: &Args) -> anyhow::Result<()> {
    if let Some(reason) = &transcript.reason {
        eprintln!("hearsheet: '{}': {reason}", path.display());
    }
    match args.format {
        Format::Text => println!("{}", transcript.text()),
        Format::Json => println!("{}", serde_json::to_string_pretty(transcript)?),
        Format::Vtt => print!("{}", transcript.to_webvtt()),
        Format::Srt => print!("{}", transcript.to_srt()),
    }
    Ok(())
}
