//! One recording being heard, stretch by stretch: quickly at first, again and more carefully where that was unsure.
use super::callback::{self, Hooks};
use super::word::{self, Piece};
use super::{Error, Recognizer, Word, digits, doubt, quiet, second};
use crate::audio::{self, RATE, Span};
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;
use whisper_rs::{FullParams, SamplingStrategy, WhisperState, WhisperTokenData};

/// Shortest sound that the engine takes; it refuses less than 100 ms.
const SHORTEST: usize = RATE as usize / 4;
/// Frames of 20 ms that the model is trained with: 30 s.
const WHOLE: usize = 1500;
/// A stretch shorter than this is heard in the whole context: cut as short, the model went in circles on spoken digits.
const SHORT: usize = 6 * RATE as usize;
/// Frames after a stretch that the first hearing is given: without a pause at its end the model goes on inventing.
const MARGIN: usize = 64;
/// A stretch no longer than this may be digits told one by one, and so many at least.
const COUNTED: usize = 12 * RATE as usize;
const FEWEST: usize = 3;
/// So many times longer they last when played slower: what one pace garbles another tells.
const SLOWER: [f32; 2] = [1.1, 1.2];
/// Beams of the second hearing.
const BEAMS: usize = 5;
/// By how much the second hearing warms up where it fails, so twice at most.
const FALLBACK: f32 = 0.4;

/// One recording being heard, stretch by stretch.
pub struct Hearing<'a> {
    ears: &'a Recognizer,
    /// None while it is to be made anew: two at once would take twice the memory.
    state: Option<WhisperState>,
    /// Names the recording in errors.
    path: PathBuf,
    threads: usize,
    /// Whether the state drew lots: the engine goes on in the same row of them, and what a stretch is heard as must not
    /// hang on which ones were heard before it.
    drew: bool,
}

impl<'a> Hearing<'a> {
    pub(super) fn new(ears: &'a Recognizer, path: &Path, threads: usize) -> Result<Self, Error> {
        let state = Some(fresh(ears)?);
        Ok(Hearing { ears, state, path: path.to_owned(), threads, drew: false })
    }

    /// The words of one stretch: `samples` are those of the recording from `window.start` to `window.end`.
    pub fn hear(&mut self, samples: &[i16], window: Span, stop: &AtomicBool) -> Result<Vec<Word>, Error> {
        let words = self.skim(samples, window, stop)?;
        self.check(words, samples, window, stop)
    }

    /// The words of one stretch as heard at first, quickly.
    pub fn skim(&mut self, samples: &[i16], window: Span, stop: &AtomicBool) -> Result<Vec<Word>, Error> {
        self.pass(Pass::First, samples, window, stop)
    }

    /// Hears a stretch once more where its words, as heard at first, are unsure; the better of both hearings.
    pub fn check(
        &mut self,
        mut words: Vec<Word>,
        samples: &[i16],
        window: Span,
        stop: &AtomicBool,
    ) -> Result<Vec<Word>, Error> {
        if words.is_empty() || second::goes_in_circles(&words) {
            words = second::straight(self.pass(Pass::Whole, samples, window, stop)?);
        }
        if self.ears.options.once || words.is_empty() {
            return Ok(words);
        }
        if second::is_wanted(&words) {
            words = second::settle(words, self.pass(Pass::Second, samples, window, stop)?);
        }
        // Digits that are spoken one by one are heard for what they are, where the words are not as many digits.
        let apart = Some(samples).filter(|s| s.len() <= COUNTED).and_then(quiet::words_apart);
        let Some(count) = apart.filter(|count| *count >= FEWEST && digits::told(&words) != (*count, *count)) else {
            return Ok(words);
        };
        let mut digits = self.pass(Pass::Digits(count), samples, window, stop)?;
        for pace in SLOWER {
            digits = second::surer(digits, self.slower(count, pace, samples, window, stop)?, count);
        }
        let sense = words.iter().any(|word| self.ears.is_expected(&word.text));
        Ok(second::counted(words, digits, count, sense))
    }

    /// Digits as heard of the same stretch played slower: a short word gives the model more to hear.
    fn slower(
        &mut self,
        count: usize,
        pace: f32,
        samples: &[i16],
        window: Span,
        stop: &AtomicBool,
    ) -> Result<Vec<Word>, Error> {
        let slow = audio::slowed(samples, pace);
        let end = window.start + slow.len();
        let mut digits = self.pass(Pass::Digits(count), &slow, Span { end, ..window }, stop)?;
        let first_ms = ms(window.start);
        let back = |ms: u64| first_ms + (ms.saturating_sub(first_ms) as f32 / pace) as u64;
        digits.iter_mut().for_each(|word| (word.start_ms, word.end_ms) = (back(word.start_ms), back(word.end_ms)));
        Ok(digits)
    }

    fn pass(&mut self, pass: Pass, samples: &[i16], window: Span, stop: &AtomicBool) -> Result<Vec<Word>, Error> {
        let ears = self.ears;
        if pass == Pass::First && self.drew {
            self.state = None;
            self.drew = false;
        }
        let state = match &mut self.state {
            Some(state) => state,
            none => none.insert(fresh(ears)?),
        };
        self.drew |= pass != Pass::First;
        let mut samples = audio::floats(samples);
        samples.resize(samples.len().max(SHORTEST), 0.0);
        let vocabulary = usize::try_from(ears.context.n_vocab()).unwrap_or(0);
        let mut hooks = Hooks::new(ears.pull.as_ref(), vocabulary, ears.context.token_eot().unsigned_abs(), stop);
        if let Pass::Digits(count) = pass {
            hooks = hooks.only(&ears.digits, count);
        }
        let params = params(ears, self.threads, pass, samples.len());
        callback::run(state, params, &hooks, &samples).map_err(|e| {
            if stop.load(std::sync::atomic::Ordering::Relaxed) {
                return Error::Stopped { path: self.path.clone() };
            }
            let second = |at: usize| at as f64 / f64::from(RATE);
            let (start_s, end_s) = (second(window.start), second(window.end));
            Error::Engine { path: self.path.clone(), start_s, end_s, what: e.to_string() }
        })?;
        let pieces = pieces(ears, state, &hooks);
        let words = doubt::without_marks(word::join(&pieces, ms(window.start), ms(window.end)));
        let nobody = state.get_segment(0).map_or(0.0, |s| s.no_speech_probability());
        Ok(if doubt::is_invented(&words, nobody) { Vec::new() } else { words })
    }
}

/// When a sample of the recording was spoken, in milliseconds.
fn ms(sample: usize) -> u64 {
    sample as u64 * 1000 / u64::from(RATE)
}

/// A state of the engine that nothing was heard with.
fn fresh(ears: &Recognizer) -> Result<WhisperState, Error> {
    let failed = |e: whisper_rs::WhisperError| Error::NoModel { path: ears.path.clone(), what: e.to_string() };
    ears.context.create_state().map_err(failed)
}

/// How the engine hears in a pass.
fn params(ears: &Recognizer, threads: usize, pass: Pass, samples: usize) -> FullParams<'static, 'static> {
    let beams =
        if matches!(pass, Pass::Second | Pass::Digits(_)) { BEAMS.max(ears.options.beams) } else { ears.options.beams };
    let strategy = match beams {
        0 | 1 => SamplingStrategy::Greedy { best_of: 1 },
        n => SamplingStrategy::BeamSearch { beam_size: n as i32, patience: -1.0 },
    };
    let mut params = FullParams::new(strategy);
    match pass {
        Pass::First => {
            params.set_audio_ctx(context(samples));
            // What went wrong is heard again with the whole context instead.
            params.set_temperature_inc(0.0);
        }
        Pass::Whole => {}
        Pass::Digits(_) => {
            params.set_temperature_inc(0.0);
            // What is left behind the last digit is no second row of them.
            params.set_single_segment(true);
        }
        Pass::Second => params.set_temperature_inc(FALLBACK),
    }
    // Beams taken on by several threads come out in another order now and then.
    params.set_n_threads(if matches!(pass, Pass::Second | Pass::Digits(_)) { 1 } else { threads as i32 });
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
fn pieces(ears: &Recognizer, state: &WhisperState, hooks: &Hooks) -> Vec<Piece> {
    let end_of_text = ears.context.token_eot();
    let mut pieces = Vec::new();
    let mut before: Vec<u32> = Vec::new();
    for segment in state.as_iter() {
        for at in 0..segment.n_tokens() {
            let Some(token) = segment.get_token(at) else { continue };
            let data = token.token_data();
            let id = data.id.unsigned_abs();
            if data.id < end_of_text {
                let (start_ms, end_ms) = times(&data, pieces.last());
                pieces.push(Piece {
                    bytes: token.to_bytes().map(<[u8]>::to_vec).unwrap_or_default(),
                    start_ms,
                    end_ms,
                    log_probability: hooks.thought(&before, id).unwrap_or(data.plog),
                });
                before.push(id);
            }
        }
    }
    pieces
}

/// When a token was spoken, in milliseconds from the stretch's start.
///
/// Aligned with the sound where it is known which of the model's heads tell that: the alignment gives a token's end, and
/// where the one before ended it begins. Guessed from the length of the text else.
fn times(token: &WhisperTokenData, before: Option<&Piece>) -> (u64, u64) {
    let ms = |hundredths: i64| u64::try_from(hundredths).unwrap_or(0) * 10;
    if token.t_dtw < 0 {
        return (ms(token.t0), ms(token.t1));
    }
    let start_ms = before.map_or(0, |piece| piece.end_ms);
    (start_ms, ms(token.t_dtw).max(start_ms))
}

/// How a stretch is heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Pass {
    /// Greedily, in a context cut to the stretch.
    First,
    /// Greedily, in the whole context: what was empty or went in circles.
    Whole,
    /// With several beams in the whole context: what was unsure.
    Second,
    /// With several beams in the whole context, nothing but so many digits: words spoken one by one.
    Digits(usize),
}

/// The context in which the model hears so many samples at first, in frames of 20 ms.
fn context(samples: usize) -> i32 {
    if samples < SHORT {
        return WHOLE as i32;
    }
    // Attention runs on whole vectors only where the context is a multiple of their width: a sixth of the time, at 16
    // numbers a vector.
    let frames = (samples.div_ceil(RATE as usize / 50) + MARGIN).next_multiple_of(16);
    frames.min(WHOLE) as i32
}
