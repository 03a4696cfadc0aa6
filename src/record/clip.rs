//! The sound of a proof, with a little before and after, as a recording of its own.
use super::{Error, Evidence, Visit};
use crate::audio::{self, RATE};
use std::io::Cursor;

/// The samples of a proof at the recogniser's rate; nothing for typed notes. `around_ms` of sound come before and after.
pub fn sound(visit: &Visit, proof: &Evidence, around_ms: u64) -> Result<Option<Vec<i16>>, Error> {
    let (Some(start), Some(end)) = (proof.start_ms, proof.end_ms) else { return Ok(None) };
    let recording = audio::load(&visit.note_path(&proof.note))?;
    let at = |ms: u64| (ms.saturating_mul(u64::from(RATE)) / 1000) as usize;
    let last = recording.samples.len();
    let (from, to) = (at(start.saturating_sub(around_ms)).min(last), at(end.saturating_add(around_ms)).min(last));
    Ok(Some(recording.stretch(from..to.max(from))?))
}

/// The sound of a proof as a WAV file.
pub fn clip(visit: &Visit, proof: &Evidence, around_ms: u64) -> Result<Option<Vec<u8>>, Error> {
    let Some(samples) = sound(visit, proof, around_ms)? else { return Ok(None) };
    let unwritten = |e| Error::Write { path: visit.note_path(&proof.note), source: std::io::Error::other(e) };
    wav(&samples).map(Some).map_err(unwritten)
}

fn wav(samples: &[i16]) -> Result<Vec<u8>, hound::Error> {
    let spec =
        hound::WavSpec { channels: 1, sample_rate: RATE, bits_per_sample: 16, sample_format: hound::SampleFormat::Int };
    let mut bytes = Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut bytes, spec)?;
    samples.iter().try_for_each(|&sample| writer.write_sample(sample))?;
    writer.finalize()?;
    Ok(bytes.into_inner())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{About, Added};

    /// Ten seconds in which each sample tells its own second.
    fn visit() -> (tempfile::TempDir, Visit, String) {
        let folder = tempfile::tempdir().unwrap();
        let visit = Visit::create(&folder.path().join("v"), About::new("x", "2026-03-14".parse().unwrap())).unwrap();
        let samples: Vec<i16> = (0..10 * RATE).map(|i| (1000 * (i / RATE)) as i16).collect();
        let path = folder.path().join("a.wav");
        std::fs::write(&path, wav(&samples).unwrap()).unwrap();
        let Added::New(note) = visit.add(&path).unwrap() else { panic!("the note is new") };
        (folder, visit, note.name)
    }

    fn seconds(visit: &Visit, note: &str, start_ms: u64, end_ms: u64) -> Vec<i16> {
        let times = (Some(start_ms), Some(end_ms));
        let proof = Evidence { note: note.into(), start_ms: times.0, end_ms: times.1, ..Evidence::default() };
        let bytes = clip(visit, &proof, 2000).unwrap().unwrap();
        let mut samples = hound::WavReader::new(Cursor::new(bytes)).unwrap();
        let all: Vec<i16> = samples.samples::<i16>().map(|s| s.unwrap()).collect();
        all.into_iter().skip(RATE as usize / 2).step_by(RATE as usize).collect()
    }

    #[test]
    fn the_words_come_with_two_seconds_around_and_never_more_than_there_is() {
        let (_folder, visit, note) = visit();
        // From 5 s to 6 s with 2 s around: seconds 3, 4, 5, 6 and 7.
        assert_eq!(seconds(&visit, &note, 5000, 6000), [3000, 4000, 5000, 6000, 7000]);
        assert_eq!(seconds(&visit, &note, 0, 1000), [0, 1000, 2000]);
        assert_eq!(seconds(&visit, &note, 9000, 99_000), [7000, 8000, 9000]);
    }

    #[test]
    fn a_typed_note_has_no_sound() {
        let (_folder, visit, note) = visit();
        assert!(clip(&visit, &Evidence { note, ..Evidence::default() }, 2000).unwrap().is_none());
    }
}
