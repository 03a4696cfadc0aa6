//! `hearsheet score`: labelled dictations against what the program makes of them.
use super::ears::Ears;
use anyhow::Context;
use hearsheet::audio;
use hearsheet::lexicon::Lexicon;
use hearsheet::recognize::{Recognizer, Strength, Transcript};
use hearsheet::score::{self, Cache, Dictation, Figures, Heard, Outcome, Reader, Source};
use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Instant;

/// What `hearsheet score` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet score tests/dictations --stripped --list")]
pub struct Args {
    /// Folder of labelled dictations (NAME.json, and audio/clean/NAME.wav, audio/noisy/NAME.wav)
    folder: PathBuf,
    /// Score the words without case, punctuation and pauses as well
    #[arg(long)]
    stripped: bool,
    /// Score the recordings as well
    #[arg(long)]
    audio: bool,
    /// Only dictations whose name contains this
    #[arg(long, value_name = "NAME")]
    only: Option<String>,
    /// List every missing, extra and changed fact instead of the table
    #[arg(long)]
    list: bool,
    /// An office's own words beside those that ship with the program
    #[arg(long, value_name = "FILE")]
    lexicon: Vec<PathBuf>,
    /// Print the figures as JSON
    #[arg(long, conflicts_with = "list")]
    json: bool,
    /// Folder of transcripts kept between runs [default: hearsheet-heard in the temporary folder]
    #[arg(long, value_name = "DIR")]
    cache: Option<PathBuf>,
    /// Take what was heard before, though the lexicon that pulled on it has changed since
    #[arg(long)]
    lenient: bool,
    /// Learn from these dictations where a sentence ends, write the weights to this file and score nothing
    #[arg(long, value_name = "FILE")]
    learn_stops: Option<PathBuf>,
    /// Fit the confidence to what was scored, write the weights to this file and tell how they do on what they have not seen
    #[arg(long, value_name = "FILE")]
    fit: Option<PathBuf>,
    /// Strength of the pull in logits: of a term's first token, more for each further one, at most
    #[arg(long, value_name = "FIRST,STEP,MOST", value_parser = strength)]
    pull_strength: Option<Strength>,
    /// Score what another program heard, one text a recording: FOLDER/clean/NAME.txt, FOLDER/noisy/NAME.txt
    #[arg(long, value_name = "FOLDER", conflicts_with = "audio")]
    heard: Option<PathBuf>,
    #[command(flatten)]
    ears: Ears,
}

fn strength(text: &str) -> Result<Strength, String> {
    let numbers: Vec<f32> = text.split(',').filter_map(|n| n.trim().parse().ok()).collect();
    match numbers[..] {
        [first, step, most] if numbers.iter().all(|n| n.is_finite()) => Ok(Strength { first, step, most }),
        _ => Err("give three numbers, as in 1,1.5,6".into()),
    }
}

/// Scores and prints.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let mut dictations = score::dictations(&args.folder)?;
    if let Some(only) = &args.only {
        dictations.retain(|d| d.name.contains(only));
    }
    if let Some(file) = &args.learn_stops {
        std::fs::write(file, score::learn_stops(&dictations, &Lexicon::with_office(&args.lexicon)?))
            .with_context(|| format!("cannot write '{}'; check its folder and permissions", file.display()))?;
        return Ok(ExitCode::SUCCESS);
    }
    let reader = Reader::new(Lexicon::with_office(&args.lexicon)?)?;
    let mut scored = vec![(Source::Text, score::from_text(&dictations, Source::Text, &reader))];
    if args.stripped {
        scored.push((Source::Stripped, score::from_text(&dictations, Source::Stripped, &reader)));
    }
    if args.audio {
        scored.extend(from_audio(&args, &dictations, &reader)?);
    }
    if let Some(folder) = &args.heard {
        scored.extend(from_others(folder, &args, &dictations, &reader)?);
    }
    if let Some(file) = &args.fit {
        fit(file, &scored)?;
    }
    super::print(&page(&args, &scored)?)?;
    Ok(ExitCode::SUCCESS)
}

/// The clean and the noisy recordings, where there are any.
fn from_audio(args: &Args, dictations: &[Dictation], reader: &Reader) -> anyhow::Result<Vec<(Source, Vec<Outcome>)>> {
    let ears = args.ears.open_with(args.pull_strength.unwrap_or_default())?;
    let folder = args.cache.clone().unwrap_or_else(|| std::env::temp_dir().join("hearsheet-heard"));
    let cache = Cache::new(&folder, &ears.fingerprint(), ears.terms(), args.lenient);
    let mut scored = Vec::new();
    for source in [Source::Clean, Source::Noisy] {
        let hear = |path: &Path| cache.get(path, |path| hear(&ears, path));
        let outcomes = score::from_recordings(dictations, &args.folder, source, reader, hear)?;
        scored.push((source, outcomes));
    }
    Ok(scored)
}

/// The same recordings as another program heard them.
fn from_others(
    folder: &Path,
    args: &Args,
    dictations: &[Dictation],
    reader: &Reader,
) -> anyhow::Result<Vec<(Source, Vec<Outcome>)>> {
    let mut scored = Vec::new();
    for source in [Source::Clean, Source::Noisy] {
        let read = |recording: &Path| {
            let path = folder.join(source.name()).join(recording.file_name().unwrap_or_default()).with_extension("txt");
            let text = std::fs::read_to_string(&path)
                .map_err(|cause| score::Error::Hearing { path: path.clone(), source: cause.into() })?;
            Ok(Heard { transcript: Transcript::from_text(&text), audio_ms: 0, took_ms: 0 })
        };
        scored.push((source, score::from_recordings(dictations, &args.folder, source, reader, read)?));
    }
    Ok(scored)
}

/// Writes the fitted weights and prints how they do on dictations left out.
fn fit(file: &Path, scored: &[(Source, Vec<Outcome>)]) -> anyhow::Result<()> {
    let outcomes: Vec<&Outcome> = scored.iter().flat_map(|(_, outcomes)| outcomes).collect();
    let fitted = score::learn_confidence(&outcomes).context("there are no facts to fit to; name another folder")?;
    std::fs::write(file, &fitted.file)
        .with_context(|| format!("cannot write '{}'; check its folder and permissions", file.display()))?;
    super::print(&format!(
        "left out of the fit: {} of {} sure facts wrong, expected calibration error {:.3}\n\n",
        fitted.wrong, fitted.sure, fitted.calibration_error
    ))?;
    Ok(())
}

fn hear(ears: &Recognizer, path: &Path) -> anyhow::Result<Heard> {
    let start = Instant::now();
    let recording = audio::load(path)?;
    let transcript = ears.transcribe(&recording, |_| ())?;
    let took_ms = u64::try_from(start.elapsed().as_millis())?;
    Ok(Heard { transcript, audio_ms: recording.duration_ms, took_ms })
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
