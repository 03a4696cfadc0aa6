//! `hearsheet hear` and `hearsheet model`, as a person runs them.
use super::visit::Visit;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

fn hear(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_hearsheet")).arg("hear").args(args).output().unwrap()
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
