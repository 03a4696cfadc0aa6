//! Any recording to 16 kHz mono, with the spans in which somebody speaks.
mod container;
mod date;
mod error;
mod kind;
mod resample;
mod speech;
#[cfg(test)]
mod tests;
mod wav;

pub use error::Error;
pub use speech::Span;

use jiff::Timestamp;
use kind::Kind;
use std::fs::File;
use std::path::{Path, PathBuf};

/// Samples a second in every [`Recording`]; the speech model knows no other rate.
pub const RATE: u32 = 16_000;

/// One recording, decoded.
///
/// Samples stay 16-bit: two hours are then 230 MB, and no phone's microphone gives more.
#[derive(Debug, Clone)]
pub struct Recording {
    pub path: PathBuf,
    pub samples: Vec<i16>,
    pub duration_ms: u64,
    /// When it was recorded, where the file itself says so.
    pub recorded_at: Option<Timestamp>,
    /// Where somebody speaks, in order, apart from one another.
    pub spans: Vec<Span>,
}

impl Recording {
    /// Samples already at hand, 16 kHz mono.
    pub fn from_samples(path: &Path, samples: Vec<i16>) -> Self {
        let spans = speech::find(&samples);
        let duration_ms = samples.len() as u64 * 1000 / u64::from(RATE);
        Recording { path: path.to_owned(), samples, duration_ms, recorded_at: None, spans }
    }

    /// The samples from one place to another as the floats that the speech model takes.
    pub fn floats(&self, start: usize, end: usize) -> Vec<f32> {
        let end = end.min(self.samples.len());
        self.samples[start.min(end)..end].iter().map(|s| f32::from(*s) / 32768.0).collect()
    }
}

/// Decodes a recording whole, whatever its format, channels and rate.
pub fn load(path: &Path) -> Result<Recording, Error> {
    let mut file = File::open(path).map_err(|source| Error::Open { path: path.to_owned(), source })?;
    let mut sink = resample::Sink::new(path);
    let recorded_at = match kind::find(path, &mut file)? {
        Kind::Wav if wav::decode(path, &file, &mut sink)? => date::in_wav(&mut file),
        kind => container::decode(path, file, kind == Kind::Wav, &mut sink)?,
    };
    let samples = sink.finish()?;
    if samples.is_empty() {
        return Err(Error::NoSound { path: path.to_owned() });
    }
    Ok(Recording { recorded_at, ..Recording::from_samples(path, samples) })
}
