//! The recogniser: one loaded model, and how it is run over a recording.
use super::bpe::Vocabulary;
use super::callback::{self, Hooks};
use super::pull::{Pull, Strength};
use super::word::{self, Piece};
use super::{Error, Transcript, Word, doubt, model, window};
use crate::audio::{self, RATE, Recording, Span};
use std::path::{Path, PathBuf};
use std::sync::Once;
use std::sync::atomic::AtomicBool;
use whisper_rs::{FullParams, SamplingStrategy, WhisperContext, WhisperContextParameters, WhisperState};

/// How to recognise.
#[derive(Debug, Clone)]
pub struct Options {
    /// Spoken forms of the trade's terms, which pull on the decoder; none switches the pull off.
    pub forms: Vec<String>,
    pub strength: Strength,
    /// Threads for one recording.
    pub threads: usize,
    /// Beams; 1 is greedy decoding.
    pub beams: usize,
}

impl Default for Options {
    fn default() -> Self {
        let threads = std::thread::available_parallelism().map_or(2, usize::from).min(4);
        Options { forms: Vec::new(), strength: Strength::default(), threads, beams: 1 }
    }
}

impl Options {
    /// What else than the model changes the words heard, as the end of its name.
    fn mark(&self) -> String {
        let beams = if self.beams > 1 { format!(", {} beams", self.beams) } else { String::new() };
        if self.forms.is_empty() {
            return beams;
        }
        let pull = format!("{:?} {}", self.strength, self.forms.join("\n"));
        format!("{beams}, terms {}", &model::hash(pull.as_bytes())[..8])
    }
}

/// A loaded speech model; it may be used from several threads at once.
pub struct Recognizer {
    context: WhisperContext,
    /// Name and hash, kept in each transcript.
    model: String,
    path: PathBuf,
    pull: Option<Pull>,
    options: Options,
}

/// Shortest sound that the engine takes; it refuses less than 100 ms.
const SHORTEST: usize = RATE as usize / 4;

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
        parameters.flash_attn(true);
        let context = WhisperContext::new_with_params(path, parameters).map_err(|e| unreadable(e.to_string()))?;
        let name = path.file_stem().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let pull = (!options.forms.is_empty()).then(|| {
            let vocabulary = vocabulary(&context);
            Pull::new(&options.forms, &vocabulary, options.strength)
        });
        let model = format!("{name} {}{}", &hash[..12], options.mark());
        Ok(Recognizer { context, model, path: path.to_owned(), pull, options })
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

    /// The terms that pull on what is heard.
    pub fn terms(&self) -> &[String] {
        &self.options.forms
    }

    /// Recognises a recording; `progress` is told the share that is done, from 0 to 1.
    pub fn transcribe(&self, recording: &Recording, progress: impl FnMut(f32)) -> Result<Transcript, Error> {
        self.transcribe_until(recording, &AtomicBool::new(false), progress)
    }

    /// Recognises a recording until done or told to stop.
    pub fn transcribe_until(
        &self,
        recording: &Recording,
        stop: &AtomicBool,
        mut progress: impl FnMut(f32),
    ) -> Result<Transcript, Error> {
        let windows = window::cut(&recording.spans, &recording.samples);
        let mut words = Vec::new();
        if !windows.is_empty() {
            let mut hearing = self.begin(&recording.path)?;
            for window in &windows {
                words.extend(hearing.hear(&recording.samples[window.start..window.end], *window, stop)?);
                progress(window.end as f32 / recording.samples.len().max(1) as f32);
            }
        }
        progress(1.0);
        let loudest = recording.samples.iter().map(|s| s.unsigned_abs()).max().unwrap_or(0);
        Ok(self.transcript(words, loudest, !recording.spans.is_empty()))
    }

    /// Begins to hear a recording stretch by stretch; `path` names it in errors.
    pub fn begin(&self, path: &Path) -> Result<Hearing<'_>, Error> {
        let failed = |e: whisper_rs::WhisperError| Error::NoModel { path: self.path.clone(), what: e.to_string() };
        Ok(Hearing { ears: self, state: self.context.create_state().map_err(failed)?, path: path.to_owned() })
    }

    /// All words of a recording, or why there are none: `loudest` is its loudest sample.
    pub fn transcript(&self, words: Vec<Word>, loudest: u16, speech: bool) -> Transcript {
        let reason = words.is_empty().then(|| reason(loudest, speech).to_owned());
        Transcript { version: 1, timed: true, model: self.model.clone(), reason, words }
    }

    fn params(&self) -> FullParams<'static, 'static> {
        let strategy = match self.options.beams {
            0 | 1 => SamplingStrategy::Greedy { best_of: 1 },
            n => SamplingStrategy::BeamSearch { beam_size: n as i32, patience: -1.0 },
        };
        let mut params = FullParams::new(strategy);
        params.set_n_threads(self.options.threads as i32);
        params.set_no_context(true);
        params.set_suppress_nst(true);
        params.set_token_timestamps(true);
        params.set_print_progress(false);
        params.set_print_special(false);
        params.set_print_realtime(false);
        params.set_print_timestamps(false);
        params
    }

    /// The decoded tokens that are text.
    fn pieces(&self, state: &WhisperState, hooks: &Hooks) -> Vec<Piece> {
        let end_of_text = self.context.token_eot();
        let mut pieces = Vec::new();
        let mut before: Vec<u32> = Vec::new();
        for segment in state.as_iter() {
            for at in 0..segment.n_tokens() {
                let Some(token) = segment.get_token(at) else { continue };
                let data = token.token_data();
                let id = data.id.unsigned_abs();
                if data.id < end_of_text {
                    pieces.push(Piece {
                        bytes: token.to_bytes().map(<[u8]>::to_vec).unwrap_or_default(),
                        start_ms: u64::try_from(data.t0).unwrap_or(0) * 10,
                        end_ms: u64::try_from(data.t1).unwrap_or(0) * 10,
                        log_probability: hooks.thought(&before, id).unwrap_or(data.plog),
                    });
                    before.push(id);
                }
            }
        }
        pieces
    }
}

/// One recording being heard, stretch by stretch.
pub struct Hearing<'a> {
    ears: &'a Recognizer,
    state: WhisperState,
    path: PathBuf,
}

impl Hearing<'_> {
    /// The words of one stretch: `samples` are those of the recording from `window.start` to `window.end`.
    pub fn hear(&mut self, samples: &[i16], window: Span, stop: &AtomicBool) -> Result<Vec<Word>, Error> {
        let ears = self.ears;
        let mut samples = audio::floats(samples);
        samples.resize(samples.len().max(SHORTEST), 0.0);
        let vocabulary = usize::try_from(ears.context.n_vocab()).unwrap_or(0);
        let hooks = Hooks::new(ears.pull.as_ref(), vocabulary, ears.context.token_eot().unsigned_abs(), stop);
        callback::run(&mut self.state, ears.params(), &hooks, &samples).map_err(|e| {
            if stop.load(std::sync::atomic::Ordering::Relaxed) {
                return Error::Stopped { path: self.path.clone() };
            }
            let second = |at: usize| at as f64 / f64::from(RATE);
            let (start_s, end_s) = (second(window.start), second(window.end));
            Error::Engine { path: self.path.clone(), start_s, end_s, what: e.to_string() }
        })?;
        let offset_ms = window.start as u64 * 1000 / u64::from(RATE);
        let last_ms = window.end as u64 * 1000 / u64::from(RATE);
        let words = doubt::without_marks(word::join(&ears.pieces(&self.state, &hooks), offset_ms, last_ms));
        let nobody = self.state.get_segment(0).map_or(0.0, |s| s.no_speech_probability());
        Ok(if doubt::is_invented(&words, nobody) { Vec::new() } else { words })
    }
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
