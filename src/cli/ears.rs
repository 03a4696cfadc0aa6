//! The options of every command that hears, and how it hears.
use anyhow::Context;
use hearsheet::lexicon::Lexicon;
use hearsheet::recognize::{Forgetful, Memory, Options, Recognizer, Strength, Transcript, model};
use hearsheet::{audio, draft};
use indicatif::{ProgressBar, ProgressStyle};
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

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
    /// Hear everything once only, faster: nothing that was unsure is heard again with more care
    #[arg(long)]
    pub once: bool,
    /// Threads for one recording [default: one a core, at most 4]
    #[arg(long, value_name = "N")]
    pub threads: Option<usize>,
    /// More words to lean towards, one a line: makers, streets, names
    #[arg(long, value_name = "FILE")]
    pub words: Option<PathBuf>,
}

impl Ears {
    /// Loads the speech model.
    pub fn open(&self) -> anyhow::Result<Recognizer> {
        self.open_with(Strength::default())
    }

    /// Loads the speech model, with another strength of the pull than the usual one.
    pub fn open_with(&self, strength: Strength) -> anyhow::Result<Recognizer> {
        let folder = self.models.clone().unwrap_or_else(model::folder);
        let path = model::find(self.model.as_deref(), &folder)?;
        let mut options =
            Options { forms: Lexicon::shipped()?.spoken_forms().to_vec(), strength, ..Options::default() };
        options.once = self.once;
        options.threads = self.threads.unwrap_or(options.threads).max(1);
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

/// Hears for a draft; the model is loaded when the first recording is met.
pub struct Live<'a> {
    ears: &'a Ears,
    open: Option<Recognizer>,
}

impl<'a> Live<'a> {
    /// With the model that was asked for; one that was named has to be there, whatever was heard before.
    pub fn new(ears: &'a Ears) -> anyhow::Result<Self> {
        let open = if ears.model.is_some() { Some(ears.open()?) } else { None };
        Ok(Live { ears, open })
    }

    fn open(&mut self) -> anyhow::Result<&Recognizer> {
        match &mut self.open {
            Some(open) => Ok(open),
            none => Ok(none.insert(self.ears.open()?)),
        }
    }
}

impl draft::Ears for Live<'_> {
    fn model(&mut self) -> Result<String, draft::Cause> {
        Ok(self.open()?.model().to_owned())
    }

    fn hear(
        &mut self,
        recording: &Path,
        own_voice: &[[u64; 2]],
        memory: &mut dyn Memory,
    ) -> Result<Transcript, draft::Cause> {
        Ok(hear_without(self.open()?, recording, own_voice, memory)?)
    }
}

/// Decodes and recognises one recording, with a bar where somebody watches.
pub fn hear(ears: &Recognizer, path: &Path) -> anyhow::Result<Transcript> {
    hear_without(ears, path, &[], &mut Forgetful)
}

/// The same, deaf for what the program itself said, and with what was heard before an earlier end.
fn hear_without(
    ears: &Recognizer,
    path: &Path,
    own_voice: &[[u64; 2]],
    memory: &mut dyn Memory,
) -> anyhow::Result<Transcript> {
    let recording = audio::load(path)?.without(own_voice)?;
    let bar = ProgressBar::new(recording.duration_ms);
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    bar.set_style(ProgressStyle::with_template("{msg} [{bar:30}] {percent}% {eta}")?.progress_chars("=> "));
    bar.set_message(name);
    let done = ears.transcribe_until(&recording, &AtomicBool::new(false), memory, |share| {
        bar.set_position((f64::from(share) * recording.duration_ms as f64) as u64);
    });
    bar.finish_and_clear();
    Ok(done?)
}
