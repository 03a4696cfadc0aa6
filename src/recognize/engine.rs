//! The recogniser: one loaded model, and how it is run over a recording.
use super::bpe::Vocabulary;
use super::digits::Digits;
use super::pull::{COMMON, Pull, Strength};
use super::{Error, Forgetful, Hearing, Memory, Transcript, Word, model, pause, spread, window};
use crate::audio::Recording;
use std::path::{Path, PathBuf};
use std::sync::Once;
use std::sync::atomic::AtomicBool;
use whisper_rs::{DtwMode, DtwModelPreset, DtwParameters, WhisperContext, WhisperContextParameters};

/// How to recognise.
#[derive(Debug, Clone)]
pub struct Options {
    /// Spoken forms of the trade's terms, which pull on the decoder; none switches the pull off.
    pub forms: Vec<String>,
    pub strength: Strength,
    /// Threads for one recording.
    pub threads: usize,
    /// Beams of the first hearing; 1 is greedy decoding.
    pub beams: usize,
    /// Hears nothing a second time, however unsure it was.
    pub once: bool,
}

impl Default for Options {
    fn default() -> Self {
        let threads = std::thread::available_parallelism().map_or(2, usize::from).min(4);
        Options { forms: Vec::new(), strength: Strength::default(), threads, beams: 1, once: false }
    }
}

impl Options {
    /// What else than the model changes the words heard, as the end of its name.
    fn mark(&self) -> String {
        let beams = if self.beams > 1 { format!(", {} beams", self.beams) } else { String::new() };
        let beams = if self.once { format!("{beams}, heard once") } else { beams };
        if self.forms.is_empty() {
            return beams;
        }
        let pull = format!("{:?} {}", self.strength, self.forms.join("\n"));
        format!("{beams}, terms {}", &model::hash(pull.as_bytes())[..8])
    }
}

/// A loaded speech model; it may be used from several threads at once.
pub struct Recognizer {
    pub(super) context: WhisperContext,
    /// Name and hash, kept in each transcript.
    model: String,
    pub(super) path: PathBuf,
    pub(super) pull: Option<Pull>,
    pub(super) digits: Digits,
    pub(super) options: Options,
}

impl Recognizer {
    /// Loads a GGML model file.
    pub fn open(path: &Path, options: Options) -> Result<Self, Error> {
        static QUIET: Once = Once::new();
        // Without a log backend the hooks swallow what the engine says.
        QUIET.call_once(whisper_rs::install_logging_hooks);
        model::check(path)?;
        let unreadable = |what: String| Error::NoModel { path: path.to_owned(), what };
        let hash = model::hash_file(path).map_err(|source| Error::Model { path: path.to_owned(), source })?;
        let mut parameters = WhisperContextParameters::new();
        // On a processor without a graphics card flash attention takes twice the time of plain attention.
        parameters.flash_attn(false);
        let mode = alignment(path).map_or(DtwMode::None, |model_preset| DtwMode::ModelPreset { model_preset });
        parameters.dtw_parameters(DtwParameters { mode, dtw_mem_size: ALIGNING_BYTES });
        let context = WhisperContext::new_with_params(path, parameters).map_err(|e| unreadable(e.to_string()))?;
        let name = path.file_stem().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let vocabulary = vocabulary(&context);
        let digits = Digits::new(&vocabulary);
        let pull =
            (!options.forms.is_empty()).then(|| Pull::new(&options.forms, &vocabulary, options.strength, COMMON));
        let model = format!("{name} {}{}", &hash[..12], options.mark());
        Ok(Recognizer { context, model, path: path.to_owned(), pull, digits, options })
    }

    /// Name of the model, with the beginnings of its hash and of that of the terms that pull.
    pub fn model(&self) -> &str {
        &self.model
    }

    /// What decides what is heard, save for the terms that pull: the model and its options.
    pub fn fingerprint(&self) -> String {
        let pulled = self.pull.is_some();
        // The number of threads decides only when it is heard.
        let options = Options { threads: 0, forms: Vec::new(), ..self.options.clone() };
        format!("{} {pulled} {options:?}", self.model)
    }

    /// Whether a word alone is one that inspectors say: a term that pulls, or a letter of a number that is spelled.
    pub(super) fn is_expected(&self, word: &str) -> bool {
        let bare = word.trim_matches(|c: char| !c.is_alphanumeric());
        (bare.len() == 1 && bare.chars().all(char::is_alphabetic))
            || self.options.forms.iter().any(|form| form.eq_ignore_ascii_case(bare))
    }

    /// The terms that pull on what is heard.
    pub fn terms(&self) -> &[String] {
        &self.options.forms
    }

    /// Recognises a recording; `progress` is told the share that is done, from 0 to 1.
    pub fn transcribe(&self, recording: &Recording, progress: impl FnMut(f32)) -> Result<Transcript, Error> {
        self.transcribe_until(recording, &AtomicBool::new(false), &mut Forgetful, progress)
    }

    /// Recognises a recording until done or told to stop; what `memory` holds is not heard again.
    pub fn transcribe_until(
        &self,
        recording: &Recording,
        stop: &AtomicBool,
        memory: &mut dyn Memory,
        mut progress: impl FnMut(f32),
    ) -> Result<Transcript, Error> {
        let windows = window::cut(recording)?;
        let mut words = spread::hear(self, recording, &windows, stop, memory, &mut progress)?;
        pause::settle(&mut words, &recording.spans);
        progress(1.0);
        Ok(self.transcript(words, recording.samples.loudest(), !recording.spans.is_empty()))
    }

    /// Begins to hear a recording stretch by stretch; `path` names it in errors.
    pub fn begin(&self, path: &Path) -> Result<Hearing<'_>, Error> {
        Hearing::new(self, path, self.options.threads)
    }

    /// All words of a recording, or why there are none: `loudest` is its loudest sample.
    pub fn transcript(&self, words: Vec<Word>, loudest: u16, speech: bool) -> Transcript {
        let reason = words.is_empty().then(|| reason(loudest, speech).to_owned());
        Transcript { version: 1, timed: true, model: self.model.clone(), reason, words }
    }
}

/// Most memory for aligning one stretch's words with the sound; a whole context with 224 tokens takes a third of it.
const ALIGNING_BYTES: usize = 128 << 20;

/// Which attention heads tell when a word was spoken, for a model named as it was published.
fn alignment(path: &Path) -> Option<DtwModelPreset> {
    let name = path.file_name()?.to_str()?;
    let begins = |model: &str| name.strip_prefix(model).is_some_and(|rest| rest.starts_with(['.', '-']));
    let known = [
        ("tiny.en", DtwModelPreset::TinyEn),
        ("base.en", DtwModelPreset::BaseEn),
        ("small.en", DtwModelPreset::SmallEn),
    ];
    known.into_iter().find_map(|(model, preset)| begins(model).then_some(preset))
}

/// Why a recording gave no words.
fn reason(loudest: u16, speech: bool) -> &'static str {
    match (loudest, speech) {
        // 66 dB below the loudest possible: a microphone that was off.
        (0..16, _) => "the recording is silent",
        (_, false) => "nobody speaks in the recording",
        (_, true) => "no words could be made out in the recording",
    }
}

fn vocabulary(context: &WhisperContext) -> Vocabulary {
    let tokens = (0..context.token_eot()).map(|id| context.token_to_bytes(id).map(<[u8]>::to_vec).unwrap_or_default());
    Vocabulary::new(tokens)
}
