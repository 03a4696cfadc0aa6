//! The same speech in every format, rate and number of channels, decoded here and by ffmpeg.
//!
//! The signals to hold against are those of ffmpeg (Debian's package), which encodes and decodes without any code of ours.
use super::sound;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Samples a millisecond of what is decoded.
const MS: usize = 16;
/// How far the two may disagree on where the sound begins and ends.
const FARTHEST: usize = 2 * MS;
/// Where the shift is looked for: half a second of speech, ten seconds in.
const PROBE: std::ops::Range<usize> = 10_000 * MS..10_500 * MS;

fn project(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

fn samples(path: &Path) -> Vec<i16> {
    hound::WavReader::open(path).unwrap().samples::<i16>().map(|s| s.unwrap()).collect()
}

pub fn ffmpeg(args: &[&str]) -> Vec<u8> {
    let done = Command::new("ffmpeg").args(["-nostdin", "-loglevel", "error", "-y"]).args(args).output();
    let done = done.expect("ffmpeg is there; ./check installs it");
    assert!(done.status.success(), "{args:?}: {}", String::from_utf8_lossy(&done.stderr));
    done.stdout
}

/// The speech as a file of this ending. Of two channels the second is the softer, so that mixing them is seen.
fn encode(speech: &Path, name: &str, coding: &[&str], rate: u32, channels: u32) -> PathBuf {
    let path = speech.with_file_name(name);
    let rate = rate.to_string();
    let spread = if channels == 2 { "pan=stereo|c0=c0|c1=0.5*c0" } else { "anull" };
    let from = ["-i", speech.to_str().unwrap(), "-af", spread, "-ar", &rate];
    ffmpeg(&[&from, coding, &[path.to_str().unwrap()]].concat());
    path
}

/// What ffmpeg makes of a file, mixed and resampled as the recogniser takes it.
fn decoded_by_ffmpeg(path: &Path) -> Vec<i16> {
    let raw = ffmpeg(&["-i", path.to_str().unwrap(), "-f", "s16le", "-ac", "1", "-ar", "16000", "-"]);
    raw.chunks_exact(2).map(|pair| i16::from_le_bytes([pair[0], pair[1]])).collect()
}

/// Pearson's correlation of signals around zero.
fn correlation(a: &[i16], b: &[i16]) -> f64 {
    let (mut ab, mut aa, mut bb) = (0.0, 0.0, 0.0);
    for (a, b) in a.iter().zip(b) {
        let (a, b) = (f64::from(*a), f64::from(*b));
        (ab, aa, bb) = (ab + a * b, aa + a * a, bb + b * b);
    }
    ab / (aa * bb).sqrt()
}

/// How many samples later the same sound lies in `a` than in `b`.
fn lag(a: &[i16], b: &[i16]) -> isize {
    let moved = |lag: isize| PROBE.start.wrapping_add_signed(lag)..PROBE.end.wrapping_add_signed(lag);
    let at = |lag: isize| correlation(&a[moved(lag)], &b[PROBE]);
    let farthest = 2 * FARTHEST as isize;
    (-farthest..=farthest).max_by(|one, other| at(*one).total_cmp(&at(*other))).unwrap()
}

/// How the signal of one file differs from ffmpeg's, or its length from what was spoken, if it does; ffmpeg itself leaves
/// the silence that fills up the last packet of an AAC.
#[allow(clippy::print_stdout, reason = "the figures, for whoever asks with --nocapture")]
fn difference(path: &Path, length: usize) -> Option<String> {
    let name = path.file_name().unwrap().to_string_lossy();
    let heard = hearsheet::audio::load(path).unwrap_or_else(|e| panic!("{name}: {e}"));
    let heard = heard.stretch(0..usize::MAX).unwrap();
    let wanted = decoded_by_ffmpeg(path);
    let lag = lag(&heard, &wanted);
    let (a, b) = (&heard[lag.max(0) as usize..], &wanted[(-lag).max(0) as usize..]);
    let agree = correlation(a, b);
    let told = format!("{name}: {agree:.5}, {lag} samples later, {} and {} samples", heard.len(), wanted.len());
    println!("{told}");
    let longer = heard.len().abs_diff(length);
    (agree < 0.999 || lag.unsigned_abs() > FARTHEST || longer > FARTHEST).then_some(told)
}

/// Each format by its ending, how ffmpeg is told of it, and the rates it knows.
const FORMATS: [(&str, &[&str], [u32; 4]); 9] = [
    ("wav", &[], [8_000, 22_050, 44_100, 48_000]),
    ("aac.m4a", &["-c:a", "aac", "-b:a", "96k"], [8_000, 16_000, 44_100, 48_000]),
    ("alac.m4a", &["-c:a", "alac"], [8_000, 16_000, 44_100, 48_000]),
    ("mp3", &["-c:a", "libmp3lame"], [8_000, 16_000, 44_100, 48_000]),
    ("flac", &[], [8_000, 16_000, 44_100, 48_000]),
    ("ogg", &["-c:a", "libvorbis"], [8_000, 16_000, 44_100, 48_000]),
    ("opus", &["-c:a", "libopus"], [8_000, 16_000, 24_000, 48_000]),
    ("aiff", &[], [8_000, 22_050, 44_100, 48_000]),
    ("caf", &["-c:a", "pcm_s16be"], [8_000, 16_000, 44_100, 48_000]),
];

#[test]
fn speech_is_the_same_signal_in_every_format_as_ffmpeg_makes_of_it() {
    let folder = tempfile::TempDir::new().unwrap();
    let speech = folder.path().join("speech.wav");
    // A whole minute gives the same figures and takes four times as long.
    sound::write(&speech, samples(&project("samples/circuit.wav"))[..15_000 * MS].iter().copied());
    let mut different = Vec::new();
    for (ending, coding, rates) in FORMATS {
        for (rate, channels) in rates.into_iter().zip([1, 2, 1, 2]) {
            let path = encode(&speech, &format!("{rate}-{channels}.{ending}"), coding, rate, channels);
            different.extend(difference(&path, 15_000 * MS));
        }
    }
    assert!(different.is_empty(), "{different:#?}");
}

/// The facts of one statement, as `item component.attribute = value`.
fn facts(path: &Path) -> BTreeSet<String> {
    let mut command = Command::new(env!("CARGO_BIN_EXE_hearsheet"));
    command.args(["read", "--json", "--threads", "1", "--once"]).arg(path);
    let done = command.env("HEARSHEET_MODELS", project("models")).output().unwrap();
    let record: serde_json::Value = serde_json::from_slice(&done.stdout).unwrap_or_else(|e| panic!("{e}: {done:?}"));
    let line = |f: &serde_json::Value| format!("{} {}.{} = {}", f["item"], f["component"], f["attribute"], f["value"]);
    record["facts"].as_array().unwrap().iter().map(line).collect()
}

#[test]
fn the_formats_of_telephones_give_the_same_facts_as_the_plain_recording() {
    let folder = tempfile::TempDir::new().unwrap();
    let speech = folder.path().join("speech.wav");
    // From "The relief valve is there" to "End of note".
    sound::write(&speech, samples(&project("samples/garage.wav"))[580_000..].iter().copied());
    let plain = facts(&speech);
    assert!(plain.len() >= 5, "{plain:?}");
    for ending in ["aac.m4a", "mp3", "opus"] {
        let (_, coding, rates) = FORMATS.into_iter().find(|(known, ..)| *known == ending).unwrap();
        let path = encode(&speech, &format!("note.{ending}"), coding, rates[3], 2);
        assert_eq!(facts(&path), plain, "{ending}");
    }
}
