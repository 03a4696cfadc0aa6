//! Recordings made on the spot, good and bad.
use super::*;
use hound::{SampleFormat, WavSpec, WavWriter};
use std::f32::consts::TAU;
use std::fs;
use tempfile::TempDir;

/// Half a second of a 440 Hz tone at half of full scale.
fn tone(rate: u32) -> Vec<f32> {
    (0..rate / 2).map(|n| 0.5 * (TAU * 440.0 * n as f32 / rate as f32).sin()).collect()
}

/// A recording of `seconds` of a tone, with the folder that holds it; no two lengths give the same bytes.
pub fn record_tone(path: &Path, seconds: u32) {
    std::fs::create_dir_all(path.parent().unwrap()).unwrap();
    let mut wav = WavWriter::create(path, spec(16_000, 1, 16, SampleFormat::Int)).unwrap();
    (0..16_000 * seconds).for_each(|i| wav.write_sample(((i as f32 * 0.1).sin() * 9000.0) as i16).unwrap());
    wav.finalize().unwrap();
}

fn write(folder: &TempDir, spec: WavSpec, samples: &[f32]) -> PathBuf {
    let path = folder.path().join("tone.wav");
    let mut writer = WavWriter::create(&path, spec).unwrap();
    let full = (1u64 << (spec.bits_per_sample - 1)) as f32;
    for sample in samples {
        for _ in 0..spec.channels {
            match spec.sample_format {
                SampleFormat::Float => writer.write_sample(*sample).unwrap(),
                SampleFormat::Int => writer.write_sample((sample * (full - 1.0)) as i32).unwrap(),
            }
        }
    }
    writer.finalize().unwrap();
    path
}

fn spec(rate: u32, channels: u16, bits: u16, format: SampleFormat) -> WavSpec {
    WavSpec { channels, sample_rate: rate, bits_per_sample: bits, sample_format: format }
}

/// Pearson's correlation of two signals.
fn correlation(a: &[i16], b: &[f32]) -> f64 {
    let (mut ab, mut aa, mut bb) = (0.0, 0.0, 0.0);
    for (a, b) in a.iter().zip(b) {
        let (a, b) = (f64::from(*a), f64::from(*b));
        ab += a * b;
        aa += a * a;
        bb += b * b;
    }
    ab / (aa * bb).sqrt()
}

#[test]
fn every_width_rate_and_number_of_channels_gives_the_same_tone() {
    let folder = TempDir::new().unwrap();
    // The expected signal is the formula itself, sampled at 16 kHz.
    let expected = tone(RATE);
    let forms = [(8, SampleFormat::Int), (16, SampleFormat::Int), (24, SampleFormat::Int), (32, SampleFormat::Int)];
    for rate in [8_000, 11_025, 16_000, 22_050, 44_100, 48_000, 96_000] {
        for (bits, format) in forms.into_iter().chain([(32, SampleFormat::Float)]) {
            for channels in [1, 2, 6] {
                let path = write(&folder, spec(rate, channels, bits, format), &tone(rate));
                let recording = load(&path).unwrap();
                let what = format!("{rate} Hz, {channels} channels, {bits} bits");
                assert_eq!(recording.duration_ms, 500, "{what}");
                assert!(recording.samples.len().abs_diff(8000) <= 1, "{what}: {} samples", recording.samples.len());
                // The ends lie within the resampler's filter; the middle must be the tone, in step and as loud.
                let (heard, wanted) = (&recording.stretch(400..7600).unwrap(), &expected[400..7600]);
                assert!(correlation(heard, wanted) > 0.999, "{what}: {}", correlation(heard, wanted));
                let loudest = heard.iter().max().unwrap();
                assert!((16_000..17_000).contains(loudest), "{what}: loudest {loudest}, of 16384");
            }
        }
    }
}

#[test]
fn a_tone_above_what_16_khz_can_hold_is_gone_rather_than_folded_down() {
    let folder = TempDir::new().unwrap();
    let high: Vec<f32> = (0..48_000).map(|n| 0.5 * (TAU * 11_000.0 * n as f32 / 48_000.0).sin()).collect();
    let recording = load(&write(&folder, spec(48_000, 1, 16, SampleFormat::Int), &high)).unwrap();
    // 50 dB below the tone.
    let loudest = recording.stretch(800..15_000).unwrap().iter().map(|s| s.abs()).max().unwrap();
    assert!(loudest < 52, "{loudest}");
}

#[test]
fn sixteen_bit_samples_at_16_khz_stay_as_they_are() {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("exact.wav");
    let mut writer = WavWriter::create(&path, spec(RATE, 1, 16, SampleFormat::Int)).unwrap();
    let samples: Vec<i16> = (0..2000).map(|n| (n * 37 % 65_536 - 32_768) as i16).collect();
    samples.iter().for_each(|s| writer.write_sample(*s).unwrap());
    writer.finalize().unwrap();
    assert_eq!(load(&path).unwrap().stretch(0..usize::MAX).unwrap(), samples);
}

/// The message for a file with these bytes.
fn refusal(name: &str, bytes: &[u8]) -> String {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join(name);
    fs::write(&path, bytes).unwrap();
    let message = load(&path).unwrap_err().to_string();
    assert!(message.contains(name), "names the file: {message}");
    assert!(message.contains("; "), "tells the cure: {message}");
    message
}

fn wav_bytes() -> Vec<u8> {
    let folder = TempDir::new().unwrap();
    fs::read(write(&folder, spec(RATE, 1, 16, SampleFormat::Int), &tone(RATE))).unwrap()
}

#[test]
fn an_empty_file_is_named_as_empty() {
    assert!(refusal("empty.wav", b"").contains("is empty"));
}

#[test]
fn a_text_named_wav_is_named_as_text() {
    assert!(refusal("note.wav", "The heater's tank is 50 gallons – no pan.".as_bytes()).contains("is text"));
}

#[test]
fn a_wav_cut_anywhere_is_refused_and_never_a_panic() {
    let whole = wav_bytes();
    // A sine at 16 kHz, half a second, 16 bits: 44 bytes of header and 16 000 of sound.
    assert_eq!(whole.len(), 16_044);
    assert!(refusal("cut.wav", &whole[..9_000]).contains("it ends at byte 9000 of 16044"));
    for length in (1..64).chain([100, 16_043]) {
        refusal("cut.wav", &whole[..length]);
    }
}

#[test]
fn a_wav_without_sound_says_so() {
    let folder = TempDir::new().unwrap();
    let path = write(&folder, spec(RATE, 1, 16, SampleFormat::Int), &[]);
    assert!(matches!(load(&path), Err(Error::NoSound { .. })));
}

#[test]
fn a_wav_from_a_pipe_is_read_to_its_end() {
    let mut bytes = wav_bytes();
    for at in [4, 40] {
        bytes[at..at + 4].copy_from_slice(&u32::MAX.to_le_bytes());
    }
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("piped.wav");
    fs::write(&path, bytes).unwrap();
    assert_eq!(load(&path).unwrap().samples.len(), 8000);
}

#[test]
fn a_wav_that_its_recorder_never_finished_is_told_from_an_empty_one() {
    let mut bytes = wav_bytes();
    bytes[40..44].fill(0);
    assert!(refusal("unfinished.wav", &bytes).contains("was never finished"));
}

#[test]
fn formats_that_cannot_be_read_are_named() {
    assert!(refusal("memo.amr", b"#!AMR\n0000").contains("AMR voice memo"));
    assert!(refusal("memo.wma", b"\x30\x26\xb2\x75\x8e\x66\xcf\x11\xa6\xd9").contains("Windows Media"));
    assert!(refusal("photo.jpg", b"\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01\x00").contains("no recording"));
}

/// Found by damaging recordings: the decoders' own sums overflow.
#[test]
fn a_header_with_impossible_sizes_is_an_error_or_a_recording_and_never_a_panic() {
    let folder = TempDir::new().unwrap();
    // Apple's Core Audio Format, with 0xc2000002 bytes a packet.
    let mut caf = b"caff\0\x01\0\0desc\0\0\0\0\0\0\0\x20\x40\xcf\x40\0\0\0\0\0lpcm\0\0\0\0".to_vec();
    caf.extend([0xc200_0002_u32, 1, 1, 16].iter().flat_map(|n| n.to_be_bytes()));
    caf.extend(b"data\0\0\0\0\0\0\0\x44\0\0\0\0");
    caf.extend([1; 64]);
    // AIFF with 65,407 channels of 16 bits.
    let mut aiff = b"FORM\0\0\0\x6eAIFFCOMM\0\0\0\x12\xff\x7f\0\0\0\x20\0\x10\x40\x0c\xfa\0\0\0\0\0\0\0".to_vec();
    aiff.extend(b"SSND\0\0\0\x48\0\0\0\0\0\0\0\0");
    aiff.extend([1; 64]);
    for (name, bytes) in [("sizes.caf", caf), ("sizes.aiff", aiff)] {
        let path = folder.path().join(name);
        fs::write(&path, bytes).unwrap();
        if let Err(error) = load(&path) {
            assert!(error.to_string().contains(name) && error.to_string().contains("; "), "{error}");
        }
    }
}

#[test]
fn a_missing_file_and_a_folder_are_errors() {
    let folder = TempDir::new().unwrap();
    assert!(matches!(load(&folder.path().join("none.wav")), Err(Error::Open { .. })));
    assert!(matches!(load(folder.path()), Err(Error::Open { .. })));
}

#[test]
fn slowed_sound_lasts_longer_and_goes_through_the_same_values() {
    // By hand: at twice the length every other sample is half-way between its neighbours.
    assert_eq!(slowed(&[0, 100, 200, -200], 2.0), [0, 50, 100, 150, 200, 0, -200, -100]);
}

#[test]
fn silence_and_mains_hum_hold_no_speech() {
    let silent = Recording::from_samples(Path::new("silence"), vec![0; 10 * RATE as usize]).unwrap();
    assert_eq!(silent.spans, []);
    let hum: Vec<i16> = (0..160_000).map(|n| (4000.0 * (TAU * 60.0 * n as f32 / 16_000.0).sin()) as i16).collect();
    assert_eq!(Recording::from_samples(Path::new("hum"), hum).unwrap().spans, []);
}

#[test]
fn the_origination_date_of_a_broadcast_wav_is_read() {
    let whole = wav_bytes();
    let mut bext = vec![0u8; 602];
    bext[320..338].copy_from_slice(b"2026-03-0414:05:06");
    let mut bytes = whole[..36].to_vec();
    bytes.extend(b"bext");
    bytes.extend(602u32.to_le_bytes());
    bytes.extend(bext);
    bytes.extend(&whole[36..]);
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("broadcast.wav");
    fs::write(&path, bytes).unwrap();
    let recorded = load(&path).unwrap().recorded_at.unwrap();
    let local = jiff::tz::TimeZone::system().to_datetime(recorded);
    assert_eq!(local.to_string(), "2026-03-04T14:05:06");
}
