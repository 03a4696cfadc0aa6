//! Recordings that the tests make for themselves.
use std::path::Path;

/// Writes samples at 16 kHz as a WAV file.
pub fn write(path: &Path, samples: impl IntoIterator<Item = i16>) {
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: 16_000,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut wav = hound::WavWriter::create(path, spec).unwrap();
    samples.into_iter().for_each(|sample| wav.write_sample(sample).unwrap());
    wav.finalize().unwrap();
}
