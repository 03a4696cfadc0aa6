//! Damaged recordings and models: an error or a value, never a panic.
//!
//! A second each unless `HEARSHEET_MUTATE` gives another number of seconds; what panicked is kept in `target/mutated`.
//! `fuzz/` holds the same targets for cargo-fuzz, which is guided by what the code does and needs a nightly compiler.
use super::format::ffmpeg;
use super::sound;
use hearsheet::recognize::model;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::time::{Duration, Instant};

/// Numbers at which sums and sizes go wrong.
const ODD: [u32; 8] = [0, 1, 0x7f, 0xff, 0x7fff, 0xffff, 0x7fff_ffff, u32::MAX];
/// Where headers lie.
const HEAD: usize = 400;

/// Any numbers, the same in each run that begins with the same.
struct Chance(u64);

impl Chance {
    /// A number below another.
    fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % most.max(1) as u64) as usize
    }

    fn byte(&mut self) -> u8 {
        self.below(256) as u8
    }
}

/// Damages some bytes in a few ways.
fn damage(bytes: &mut Vec<u8>, chance: &mut Chance) {
    for _ in 0..1 + chance.below(6) {
        let reach = if chance.below(2) == 0 { bytes.len().min(HEAD) } else { bytes.len() };
        let at = chance.below(reach);
        let until = (at + 1 + chance.below(64)).min(bytes.len());
        match chance.below(7) {
            0 if at < bytes.len() => bytes[at] ^= 1 << chance.below(8),
            1 if at < bytes.len() => bytes[at] = chance.byte(),
            2 | 3 if at + 4 <= bytes.len() => {
                let odd = ODD[chance.below(ODD.len())];
                let four = if chance.below(2) == 0 { odd.to_le_bytes() } else { odd.to_be_bytes() };
                bytes[at..at + 4].copy_from_slice(&four);
            }
            4 => bytes.truncate(at),
            5 => drop(bytes.drain(at.min(until)..until)),
            _ => {
                let copy = bytes[at.min(until)..until].to_vec();
                let to = chance.below(bytes.len());
                drop(bytes.splice(to..to, copy));
            }
        }
    }
}

/// Damages the seeds in turn for as long as asked.
#[allow(clippy::print_stdout, reason = "the figures, for whoever asks with --nocapture")]
fn mutate(what: &str, seeds: &[Vec<u8>], mut target: impl FnMut(&[u8])) {
    let seconds = std::env::var("HEARSHEET_MUTATE").ok().and_then(|s| s.parse().ok()).unwrap_or(1);
    let begun = Instant::now();
    let mut chance = Chance(if seconds == 1 { 1 } else { u64::from(std::process::id()) });
    let (mut runs, mut panics, mut slowest) = (0_u64, 0, Duration::ZERO);
    while begun.elapsed() < Duration::from_secs(seconds) {
        let mut bytes = seeds[runs as usize % seeds.len()].clone();
        damage(&mut bytes, &mut chance);
        let since = Instant::now();
        if catch_unwind(AssertUnwindSafe(|| target(&bytes))).is_err() {
            panics += 1;
            let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/mutated");
            std::fs::create_dir_all(&folder).unwrap();
            std::fs::write(folder.join(format!("{what}-{panics}.bin")), &bytes).unwrap();
        }
        slowest = slowest.max(since.elapsed());
        runs += 1;
    }
    println!("{what}: {runs} damaged inputs in {seconds} s, {panics} panics, the slowest took {slowest:?}");
    assert_eq!(panics, 0, "{what}: they are in target/mutated");
}

#[test]
fn no_damage_to_a_recording_makes_the_decoder_panic() {
    let folder = tempfile::tempdir().unwrap();
    let speech = folder.path().join("speech.wav");
    let spoken = std::fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/samples/garage.wav")).unwrap();
    let samples = spoken[40_044..72_044].chunks_exact(2).map(|b| i16::from_le_bytes([b[0], b[1]]));
    sound::write(&speech, samples);
    let from = ["-i", speech.to_str().unwrap()];
    let mut seeds = vec![std::fs::read(&speech).unwrap()];
    let codings = ["a.m4a", "b.mp3", "c.flac", "d.ogg", "e.opus", "f.aiff", "g.caf", "h.webm", "i.mp4"];
    for name in codings {
        let path = folder.path().join(name);
        let coding: &[&str] = if name == "i.mp4" { &["-c:a", "alac"] } else { &[] };
        ffmpeg(&[&from, coding, &[path.to_str().unwrap()]].concat());
        seeds.push(std::fs::read(&path).unwrap());
    }
    let path = folder.path().join("damaged");
    mutate("recording", &seeds, |bytes| {
        std::fs::write(&path, bytes).unwrap();
        let _ = hearsheet::audio::load(&path);
    });
}

/// Weights as they are fetched: version 6, the model's name and revision, two variables, one alias.
fn weights() -> Vec<u8> {
    let text = |text: &str| [&(text.len() as u16 + 1).to_le_bytes()[..], text.as_bytes(), &[0]].concat();
    let variable = |name: &str, dims: &[u32]| {
        let bytes = 2 * dims.iter().product::<u32>();
        let dims: Vec<u8> = dims.iter().flat_map(|d| d.to_le_bytes()).collect();
        let rank = [(dims.len() / 4) as u8];
        [&text(name)[..], &rank, &dims, &[4], &bytes.to_le_bytes(), &vec![0x3c; bytes as usize]].concat()
    };
    let whole: [&[u8]; 8] = [
        &6_u32.to_le_bytes(),
        &text("WhisperSpec"),
        &3_u32.to_le_bytes(),
        &2_u32.to_le_bytes(),
        &variable("encoder/layer_0/self_attention/linear_0/weight", &[6, 4]),
        &variable("decoder/embeddings/weight", &[3, 4]),
        &1_u32.to_le_bytes(),
        &[text("decoder/projection/weight"), text("decoder/embeddings/weight")].concat(),
    ];
    whole.concat()
}

#[test]
fn no_damage_to_a_model_makes_its_reader_panic() {
    let whole = weights();
    assert!(model::Weights::read(&whole).is_ok(), "{:?}", model::Weights::read(&whole).err());
    mutate("weights", &[whole], |bytes| drop(model::Weights::read(bytes)));
    // The engine's form: the header, filters, tokens and first tensors of the model that everybody has.
    let path = model::find(None, &model::folder()).unwrap();
    let seed = std::fs::read(path).unwrap()[..600_000].to_vec();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("damaged.bin");
    mutate("model", &[seed], |bytes| {
        std::fs::write(&path, bytes).unwrap();
        let _ = model::check(&path);
    });
}
