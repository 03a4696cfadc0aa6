//! Any number of channels at any rate to 16 kHz mono, a piece at a time.
use super::{Error, RATE, Samples};
use rubato::audioadapter_buffers::direct::InterleavedSlice;
use rubato::{Fft, FixedSync, Indexing, Resampler};
use std::path::{Path, PathBuf};

/// Input frames resampled at a time; the filter's transition band is narrower the more there are.
const CHUNK: usize = 1024;
/// A longer recording is refused rather than filling the memory.
const MAX_HOURS: u64 = 12;

/// Takes interleaved samples and keeps 16 kHz mono.
pub struct Sink {
    path: PathBuf,
    channels: usize,
    rate: u32,
    frames_in: u64,
    resampler: Option<Fft<f32>>,
    /// Mono samples that wait for a full chunk.
    waiting: Vec<f32>,
    scratch: Vec<f32>,
    /// Samples of the resampler's delay still to be dropped.
    skip: usize,
    samples: Samples,
    /// Samples given away before the end.
    taken: usize,
}

impl Sink {
    pub fn new(path: &Path) -> Self {
        Sink {
            path: path.to_owned(),
            channels: 1,
            rate: RATE,
            frames_in: 0,
            resampler: None,
            waiting: Vec::new(),
            scratch: Vec::new(),
            skip: 0,
            samples: Samples::default(),
            taken: 0,
        }
    }

    /// Says what will be pushed.
    pub fn begin(&mut self, rate: u32, channels: usize) -> Result<(), Error> {
        let wrong_rate = || Error::Rate { path: self.path.clone(), rate };
        if !(4_000..=384_000).contains(&rate) {
            return Err(wrong_rate());
        }
        if channels == 0 {
            return Err(Error::NoSound { path: self.path.clone() });
        }
        (self.rate, self.channels) = (rate, channels);
        if rate != RATE {
            let resampler = Fft::new_custom(
                rate as usize,
                RATE as usize,
                even_block(rate as usize),
                1,
                1,
                rubato::WindowFunction::BlackmanHarris2,
                FixedSync::Both,
            )
            .map_err(|_| wrong_rate())?;
            self.skip = resampler.output_delay();
            self.scratch = vec![0.0; resampler.output_frames_max()];
            self.resampler = Some(resampler);
        }
        Ok(())
    }

    /// Seconds taken in so far.
    pub fn seconds(&self) -> f64 {
        self.frames_in as f64 / f64::from(self.rate)
    }

    /// Takes whole frames of interleaved samples between -1 and 1.
    pub fn push(&mut self, interleaved: &[f32]) -> Result<(), Error> {
        let share = 1.0 / self.channels as f32;
        for frame in interleaved.chunks_exact(self.channels) {
            let mixed = frame.iter().sum::<f32>() * share;
            self.waiting.push(if mixed.is_finite() { mixed } else { 0.0 });
            self.frames_in += 1;
        }
        if self.frames_in > MAX_HOURS * 3600 * u64::from(self.rate) {
            return Err(Error::TooLong { path: self.path.clone(), hours: MAX_HOURS });
        }
        self.drain()
    }

    /// The samples that are ready so far, for those who follow a recording while it grows.
    pub fn take(&mut self) -> Result<Vec<i16>, Error> {
        let ready = self.samples.take().map_err(Error::scratch(&self.path))?;
        self.taken += ready.len();
        Ok(ready)
    }

    /// The same as [`Sink::finish`], for those who take the samples as they come.
    pub fn rest(self) -> Result<Vec<i16>, Error> {
        let failed = Error::scratch(&self.path);
        self.finish()?.take().map_err(failed)
    }

    /// The samples not yet taken, in step with the recording: neither shifted nor longer.
    pub fn finish(mut self) -> Result<Samples, Error> {
        let all = (self.frames_in * u64::from(RATE)).div_ceil(u64::from(self.rate)) as usize;
        let wanted = all.saturating_sub(self.taken);
        // Silence pushes out what the resampler still holds.
        while self.resampler.is_some() && self.samples.len() < wanted {
            self.waiting.resize(self.waiting.len() + CHUNK, 0.0);
            self.drain()?;
        }
        self.samples.truncate(wanted);
        Ok(self.samples)
    }

    fn drain(&mut self) -> Result<(), Error> {
        let Some(resampler) = &mut self.resampler else {
            self.samples.extend(self.waiting.drain(..).map(quantise));
            return Ok(());
        };
        let broken = |e: &dyn std::fmt::Display| Error::Damaged { path: self.path.clone(), what: e.to_string() };
        let mut at = 0;
        while self.waiting.len() - at >= resampler.input_frames_next() {
            let room = self.scratch.len();
            let input = InterleavedSlice::new(&self.waiting, 1, self.waiting.len()).map_err(|e| broken(&e))?;
            let mut output = InterleavedSlice::new_mut(&mut self.scratch, 1, room).map_err(|e| broken(&e))?;
            let from = Indexing::new().input_offset(at);
            let (taken, given) =
                resampler.process_into_buffer(&input, &mut output, Some(&from)).map_err(|e| broken(&e))?;
            let dropped = self.skip.min(given);
            self.skip -= dropped;
            self.samples.extend(self.scratch[dropped..given].iter().copied().map(quantise));
            at += taken;
        }
        self.waiting.drain(..at);
        Ok(())
    }
}

/// Input frames that make a whole even number of the smallest block that comes out even at both rates;
/// an odd one would shift the sound by half a sample.
fn even_block(rate: usize) -> usize {
    let (mut a, mut b) = (rate, RATE as usize);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    let smallest = rate / a;
    smallest * CHUNK.div_ceil(smallest).next_multiple_of(2)
}

fn quantise(sample: f32) -> i16 {
    // `as` saturates at both ends.
    (sample * 32768.0).round() as i16
}
