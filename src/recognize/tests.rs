//! The real model on real speech, silence and noise.
use super::*;
use crate::audio::{self, RATE, Recording};
use std::path::Path;
use std::sync::atomic::AtomicBool;

/// The default model; `hearsheet model get` fetches it.
fn ears(forms: &[&str]) -> Recognizer {
    let path = model::find(None, &model::folder()).unwrap();
    let forms = forms.iter().map(|f| (*f).to_owned()).collect();
    Recognizer::open(&path, Options { forms, threads: 1, ..Options::default() }).unwrap()
}

/// Lower case, letters and spaces only.
fn plain(text: &str) -> String {
    text.to_lowercase().chars().filter(|c| c.is_alphanumeric() || *c == ' ').collect()
}

const JFK: &str =
    "and so my fellow americans ask not what your country can do for you ask what you can do for your country";

#[test]
fn a_public_speech_is_heard_word_for_word_with_times_and_probabilities() {
    let recording = audio::load(Path::new("tests/audio/jfk.wav")).unwrap();
    let mut shares = Vec::new();
    let transcript = ears(&[]).transcribe(&recording, |share| shares.push(share)).unwrap();
    // The words are the historical record.
    assert_eq!(plain(&transcript.text()), JFK);
    assert_eq!(transcript.reason, None);
    assert!(transcript.words.iter().all(|w| w.start_ms <= w.end_ms && w.end_ms <= recording.duration_ms));
    assert!(transcript.words.windows(2).all(|w| w[0].start_ms <= w[1].start_ms));
    assert!(transcript.words.iter().all(|w| (0.0..=1.0).contains(&w.probability)));
    // The two "ask"s, by ear and waveform: 3.3 s and 8.2 s.
    let asks: Vec<u64> = transcript.words.iter().filter(|w| plain(&w.text) == "ask").map(|w| w.start_ms).collect();
    assert!(asks[0].abs_diff(3300) < 300 && asks[1].abs_diff(8200) < 300, "{asks:?}");
    assert!(shares.is_sorted() && shares.last() == Some(&1.0));
}

#[test]
fn trade_words_do_not_pull_on_a_speech_without_them_nor_raise_a_probability() {
    let recording = audio::load(Path::new("tests/audio/jfk.wav")).unwrap();
    let forms = ["relief valve", "flue", "so may fell", "countertop", "ask knot", "drip leg", "T&P", "can dew"];
    let plainly = ears(&[]).transcribe(&recording, |_| ()).unwrap();
    let pulled = ears(&forms).transcribe(&recording, |_| ()).unwrap();
    assert_eq!(plain(&pulled.text()), JFK);
    for (before, after) in plainly.words.iter().zip(&pulled.words) {
        assert!(after.probability < before.probability + 0.02, "{before:?} {after:?}");
    }
}

#[test]
fn silence_and_noise_give_no_words_and_the_reason() {
    let ears = ears(&["relief valve"]);
    let seconds = |n: usize| n * RATE as usize;
    let silence = Recording::from_samples(Path::new("silence"), vec![0; seconds(20)]).unwrap();
    let heard = ears.transcribe(&silence, |_| ()).unwrap();
    assert_eq!((heard.words.len(), heard.reason.as_deref()), (0, Some("the recording is silent")));
    // A linear congruential generator (Knuth's MMIX constants) makes the noise; loud and soft.
    for loudness in [300, 3_000, 12_000] {
        let mut seed = 1u64;
        let mut noise = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            ((seed >> 48) as i32 - 32_768) * loudness / 32_768
        };
        let samples: Vec<i16> = (0..seconds(20)).map(|_| noise() as i16).collect();
        let heard = Recording::from_samples(Path::new("noise"), samples).unwrap();
        let heard = ears.transcribe(&heard, |_| ()).unwrap();
        assert_eq!(heard.text(), "", "noise at {loudness}");
        assert!(heard.reason.is_some());
    }
}

#[test]
fn noise_taken_for_speech_is_still_not_turned_into_words() {
    // As if the detector had failed: the whole of a silence is given to the model.
    let mut recording = Recording::from_samples(Path::new("silence"), vec![0; 10 * RATE as usize]).unwrap();
    recording.spans = vec![audio::Span { start: 0, end: recording.samples.len() }];
    assert_eq!(ears(&[]).transcribe(&recording, |_| ()).unwrap().text(), "");
}

#[test]
fn a_stop_ends_the_work_with_an_error_that_says_so() {
    let recording = audio::load(Path::new("tests/audio/jfk.wav")).unwrap();
    let stopped = ears(&[]).transcribe_until(&recording, &AtomicBool::new(true), &mut Forgetful, |_| ());
    assert!(matches!(stopped, Err(Error::Stopped { .. })));
}

#[test]
fn a_file_that_is_no_model_is_an_error() {
    let opened = Recognizer::open(Path::new("tests/audio/jfk.wav"), Options::default());
    assert!(matches!(opened, Err(Error::NoModel { .. })));
    let opened = Recognizer::open(Path::new("tests/audio/none.bin"), Options::default());
    assert!(matches!(opened, Err(Error::Model { .. })));
}
