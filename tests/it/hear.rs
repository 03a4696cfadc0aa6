//! `hearsheet hear` and `hearsheet model`, as a person runs them.
use super::visit::Visit;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

/// With one thread: two would wait for each other where other tests run beside.
fn hear(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_hearsheet")).args(["hear", "--threads", "1"]).args(args).output().unwrap()
}

fn samples(name: &str) -> Vec<i16> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    hound::WavReader::open(path).unwrap().samples::<i16>().map(|s| s.unwrap()).collect()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

#[test]
fn a_recording_is_printed_as_text_json_and_subtitles() {
    let plain = hear(&["tests/audio/jfk.wav"]);
    assert!(plain.status.success());
    // The words are the historical record.
    assert!(text(&plain.stdout).trim_end().ends_with("ask what you can do for your country."));
    assert_eq!(text(&plain.stderr), "", "the engine stays quiet");

    let json = hear(&["tests/audio/jfk.wav", "--format", "json"]);
    let transcript: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    assert_eq!(transcript["words"].as_array().unwrap().len(), 22);
    assert!(transcript["model"].as_str().unwrap().contains("tiny.en"));

    let vtt = text(&hear(&["tests/audio/jfk.wav", "--format", "vtt"]).stdout);
    assert!(vtt.starts_with("WEBVTT\n\n00:00:00."), "{vtt}");
}

#[test]
fn a_bad_recording_is_named_with_its_cure_and_the_others_are_still_heard() {
    let folder = tempfile::TempDir::new().unwrap();
    let whole = std::fs::read("tests/audio/jfk.wav").unwrap();
    let file = |name: &str, bytes: &[u8]| {
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let bad = [
        (file("empty.wav", b""), "is empty"),
        (file("text.wav", b"the relief valve drips"), "is text"),
        (file("cut.wav", &whole[..whole.len() / 2]), "is cut off"),
    ];
    for (path, what) in &bad {
        let heard = hear(&[path, "tests/audio/jfk.wav"]);
        assert_eq!(heard.status.code(), Some(2));
        let said = text(&heard.stderr);
        assert!(said.contains(path) && said.contains(what) && said.contains("; "), "{said}");
        assert!(text(&heard.stdout).contains("country"), "the good one is heard");
    }
}

#[test]
fn a_missing_model_tells_how_to_get_it() {
    let folder = tempfile::TempDir::new().unwrap();
    let heard = hear(&["tests/audio/jfk.wav", "--models", folder.path().to_str().unwrap()]);
    assert_eq!(heard.status.code(), Some(2));
    assert!(text(&heard.stderr).contains("hearsheet model get tiny.en"));
    let list = Command::new(env!("CARGO_BIN_EXE_hearsheet"))
        .args(["model", "list", "--models", folder.path().to_str().unwrap()])
        .output()
        .unwrap();
    assert_eq!(text(&list.stdout).matches("not fetched").count(), 4, "two models in two precisions");
    assert!(!Path::new(folder.path()).join("tiny.en.q8_0.bin").exists());
}

/// A visit with one note of two stretches at least.
fn long_note() -> Visit {
    let visit = Visit::new();
    let added = visit.run(&["visit", "add", "v", concat!(env!("CARGO_MANIFEST_DIR"), "/samples/circuit.wav")]);
    assert!(added.status.success(), "{added:?}");
    visit
}

fn draft(visit: &Visit) -> Command {
    let mut command = visit.command(&["draft", "v", "--threads", "1", "--once"]);
    command.env("HEARSHEET_MODELS", Path::new(env!("CARGO_MANIFEST_DIR")).join("models"));
    command.stdout(Stdio::null()).stderr(Stdio::null());
    command
}

/// The words of the note, after a draft made to its end.
fn drafted(visit: &Visit) -> String {
    assert_eq!(draft(visit).status().unwrap().code(), Some(1));
    let kept = std::fs::read_to_string(visit.path("v/transcripts/circuit.wav.json")).unwrap();
    let kept: serde_json::Value = serde_json::from_str(&kept).unwrap();
    let words = kept["transcript"]["words"].as_array().unwrap().clone();
    words.iter().map(|word| word["text"].as_str().unwrap().to_owned()).collect::<Vec<_>>().join(" ")
}

#[cfg(unix)]
#[test]
fn ctrl_c_in_a_long_note_ends_at_once_and_the_next_draft_goes_on_from_the_last_stretch_heard() {
    let whole = drafted(&long_note());
    let visit = long_note();
    let partial = visit.path("v/partial/circuit.wav.jsonl");
    let mut child = draft(&visit).spawn().unwrap();
    let begun = Instant::now();
    // A line about the recording, then one a stretch.
    while !std::fs::read_to_string(&partial).is_ok_and(|text| text.lines().count() >= 2) {
        assert!(
            begun.elapsed() < Duration::from_secs(120) && child.try_wait().unwrap().is_none(),
            "no stretch is kept"
        );
        std::thread::sleep(Duration::from_millis(5));
    }
    assert!(Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap().success());
    let asked = Instant::now();
    child.wait().unwrap();
    assert!(asked.elapsed() < Duration::from_secs(1), "{:?}", asked.elapsed());
    let kept = std::fs::read_to_string(&partial).unwrap();
    assert!(!visit.path("v/transcripts/circuit.wav.json").exists(), "it was ended before its end");
    // A word that nobody said shows that the stretch is taken up as it was kept, and not heard again.
    let word = whole.split(' ').find(|word| word.len() > 4 && word.chars().all(char::is_alphabetic)).unwrap();
    assert!(kept.contains(word), "{word} in {kept}");
    std::fs::write(&partial, kept.replacen(word, "marmalade", 1)).unwrap();
    assert_eq!(drafted(&visit), whole.replacen(word, "marmalade", 1));
    assert!(!visit.path("v/partial").exists(), "what is whole needs no parts");
}

/// Stretches of speech between silences of a quarter of a second, each without a silent edge, at least a second long.
fn phrases(samples: &[i16]) -> Vec<&[i16]> {
    const FRAME: usize = 80;
    const QUIET: usize = 50;
    let loud: Vec<bool> = samples
        .chunks(FRAME)
        .map(|f| f.iter().map(|s| i32::from(*s).abs()).sum::<i32>() > 100 * FRAME as i32)
        .collect();
    let voiced: Vec<usize> = (0..loud.len()).filter(|at| loud[*at]).collect();
    let runs = voiced.chunk_by(|a, b| b - a <= QUIET);
    let sound = |run: &[usize]| &samples[run[0] * FRAME..((run[run.len() - 1] + 1) * FRAME).min(samples.len())];
    runs.map(sound).filter(|phrase| phrase.len() > 16_000).collect()
}

/// How many words begin (or end) within 200 ms of where the voice does.
fn near(off: &[i64]) -> usize {
    off.iter().filter(|ms| ms.abs() <= 200).count()
}

#[test]
fn words_begin_and_end_where_the_voice_does() {
    let folder = tempfile::tempdir().unwrap();
    // Three speakers, their phrases put at times that are known because they are chosen here.
    let spoken: Vec<Vec<i16>> =
        ["basement", "circuit", "garage"].iter().map(|n| samples(&format!("samples/{n}.wav"))).collect();
    let mut phrases: Vec<&[i16]> = spoken.iter().flat_map(|sound| phrases(sound)).collect();
    let count = phrases.len();
    phrases = (0..count).map(|at| phrases[at * 7 % count]).collect();
    assert!(!count.is_multiple_of(7) && count > 20, "{count} phrases, each once");
    let (mut sound, mut truth) = (vec![0_i16; 8000], Vec::new());
    for (at, phrase) in phrases.iter().enumerate() {
        let begun = sound.len();
        sound.extend_from_slice(phrase);
        truth.push((begun as i64 / 16, sound.len() as i64 / 16));
        // Silences from 0.7 to 2.6 s; a voice's own breath, of 0.25 s and more, is not told from them below 0.7 s.
        sound.resize(sound.len() + 11_200 + at * 37 % 20 * 1600, 0);
    }
    // The hiss of a quiet room, 70 dB below the loudest possible.
    sound.iter_mut().enumerate().for_each(|(n, s)| *s = s.saturating_add((n * n % 19) as i16 - 9));
    let path = folder.path().join("phrases.wav");
    super::sound::write(&path, sound);
    let heard = hear(&[path.to_str().unwrap(), "--format", "json", "--once"]);
    let transcript: serde_json::Value = serde_json::from_slice(&heard.stdout).unwrap();
    let words: Vec<(i64, i64)> = transcript["words"]
        .as_array()
        .unwrap()
        .iter()
        .map(|w| (w["start_ms"].as_i64().unwrap(), w["end_ms"].as_i64().unwrap()))
        .collect();
    // A word belongs to the phrase that its middle is nearest to.
    let away = |(start, end): (i64, i64), (from, to): (i64, i64)| {
        (from - (start + end) / 2).max((start + end) / 2 - to).max(0)
    };
    let nearest = |word: (i64, i64)| (0..count).min_by_key(|at| away(word, truth[*at])).unwrap();
    let (mut starts, mut ends) = (Vec::new(), Vec::new());
    for (at, (from, to)) in truth.iter().enumerate() {
        let its: Vec<(i64, i64)> = words.iter().copied().filter(|word| nearest(*word) == at).collect();
        let (Some(first), Some(last)) = (its.first(), its.last()) else {
            panic!("nothing was heard from {from} to {to}")
        };
        starts.push(first.0 - from);
        ends.push(last.1 - to);
    }
    // A phrase that fades out may end 300 ms early: one in thirty did so on 2026-11-26.
    assert!(near(&starts) * 100 >= count * 95, "starts are off by {starts:?} ms");
    assert!(near(&ends) * 100 >= count * 95, "ends are off by {ends:?} ms");
}
