//! Any recording to 16 kHz mono, with the spans in which somebody speaks.
mod container;
mod date;
mod error;
pub mod growing;
mod kind;
mod mp4;
mod resample;
mod samples;
mod speech;
#[cfg(test)]
pub(crate) mod tests;
mod wav;

pub use error::Error;
pub use resample::Sink;
pub use samples::Samples;
pub use speech::{Finder, Span};

use jiff::Timestamp;
use kind::Kind;
use std::fs::File;
use std::ops::Range;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

/// Samples a second in every [`Recording`]; the speech model knows no other rate.
pub const RATE: u32 = 16_000;
/// Samples of a long recording looked at together: sixteen seconds.
const PIECE: usize = 1 << 18;

/// One recording, decoded.
///
/// Samples stay 16-bit: no phone's microphone gives more.
#[derive(Debug)]
pub struct Recording {
    pub path: PathBuf,
    pub samples: Samples,
    pub duration_ms: u64,
    /// When it was recorded, where the file itself says so.
    pub recorded_at: Option<Timestamp>,
    /// Where somebody speaks, in order, apart from one another.
    pub spans: Vec<Span>,
}

impl Recording {
    /// Samples already at hand, 16 kHz mono.
    pub fn from_samples(path: &Path, samples: impl Into<Samples>) -> Result<Self, Error> {
        let samples = samples.into();
        let spans = speech::find(&samples).map_err(Error::scratch(path))?;
        let duration_ms = samples.len() as u64 * 1000 / u64::from(RATE);
        Ok(Recording { path: path.to_owned(), samples, duration_ms, recorded_at: None, spans })
    }

    /// The samples between two places.
    pub fn stretch(&self, range: Range<usize>) -> Result<Vec<i16>, Error> {
        self.samples.get(range).map_err(Error::scratch(&self.path))
    }

    /// The recording with silence between these milliseconds.
    pub fn without(self, stretches: &[[u64; 2]]) -> Result<Self, Error> {
        if stretches.is_empty() {
            return Ok(self);
        }
        let mut samples = Samples::default();
        for piece in self.samples.pieces(PIECE) {
            let mut piece = piece.map_err(Error::scratch(&self.path))?;
            silence(&mut piece, samples.len(), stretches);
            samples.extend(piece);
        }
        Ok(Recording { recorded_at: self.recorded_at, ..Recording::from_samples(&self.path, samples)? })
    }
}

/// Silences the stretches between some milliseconds of a recording; `samples` begin at its sample `first`.
pub fn silence(samples: &mut [i16], first: usize, stretches: &[[u64; 2]]) {
    let (count, rate) = (samples.len(), u64::from(RATE));
    let at = |ms: u64| (usize::try_from(ms.saturating_mul(rate) / 1000).unwrap_or(usize::MAX)).saturating_sub(first);
    for [from_ms, to_ms] in stretches {
        let (from, to) = (at(*from_ms).min(count), at(*to_ms).min(count));
        samples[from..to.max(from)].fill(0);
    }
}

/// Samples as the floats that the speech model takes.
pub fn floats(samples: &[i16]) -> Vec<f32> {
    samples.iter().map(|s| f32::from(*s) / 32768.0).collect()
}

/// The same sound so many times longer, and lower by as much: a straight line from sample to sample, which is good enough
/// for speech at a little less than its own pace.
pub fn slowed(samples: &[i16], times: f32) -> Vec<i16> {
    let count = (samples.len() as f32 * times) as usize;
    let at = |n: usize| {
        let place = n as f32 / times;
        let (whole, part) = (place as usize, place.fract());
        let sample = |at: usize| samples.get(at).copied().map_or(0.0, f32::from);
        (sample(whole) * (1.0 - part) + sample(whole + 1) * part) as i16
    };
    (0..count).map(at).collect()
}

/// What a decoder gives, or an error where it broke: sizes that no recording has make the libraries' sums overflow.
fn guarded<T>(path: &Path, decode: impl FnOnce() -> Result<T, Error>) -> Result<T, Error> {
    // What it leaves half-done is thrown away with the error.
    catch_unwind(AssertUnwindSafe(decode)).unwrap_or_else(|_| {
        Err(Error::Damaged { path: path.to_owned(), what: "its header holds impossible sizes".to_owned() })
    })
}

/// Decodes a recording whole, whatever its format, channels and rate.
pub fn load(path: &Path) -> Result<Recording, Error> {
    let mut file = File::open(path).map_err(|source| Error::Open { path: path.to_owned(), source })?;
    let mut sink = resample::Sink::new(path);
    let recorded_at = match kind::find(path, &mut file)? {
        Kind::Wav if wav::decode(path, &file, &mut sink)? => date::in_wav(&mut file),
        kind => guarded(path, || container::decode(path, file, kind == Kind::Wav, &mut sink))?,
    };
    let samples = sink.finish()?;
    if samples.is_empty() {
        return Err(Error::NoSound { path: path.to_owned() });
    }
    Ok(Recording { recorded_at, ..Recording::from_samples(path, samples)? })
}
