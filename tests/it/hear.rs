//! `hearsheet hear` and `hearsheet model`, as a person runs them.
use std::path::Path;
use std::process::{Command, Output};

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
