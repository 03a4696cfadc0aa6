//! The samples say what their expected records hold.
use hearsheet::lexicon::{Catalogue, Kind};
use std::collections::HashSet;
use std::path::PathBuf;

const NAMES: [&str; 3] = ["basement", "circuit", "garage"];

fn file(name: &str, ending: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("samples").join(format!("{name}.{ending}"))
}

fn expected(name: &str) -> serde_json::Value {
    serde_json::from_slice(&std::fs::read(file(name, "json")).unwrap()).unwrap()
}

#[test]
fn the_expected_records_keep_to_the_catalogue() {
    let catalogue = Catalogue::shipped();
    for name in NAMES {
        let mut seen = HashSet::new();
        for fact in expected(name)["facts"].as_array().unwrap() {
            let word = |key: &str| fact[key].as_str().unwrap_or_default();
            let key = format!("{}.{}", word("component"), word("attribute"));
            let row = catalogue.row(word("component"), word("attribute")).unwrap_or_else(|| panic!("{name}: {key}"));
            assert!(seen.insert(key.clone()), "{name}: {key} stands twice");
            match row.kind {
                Kind::Choice | Kind::Presence => {
                    assert!(row.values.contains(&word("value").to_owned()), "{name}: {key} = {}", fact["value"]);
                }
                Kind::Number => assert_eq!(row.unit.as_deref(), fact["unit"].as_str(), "{name}: {key}"),
                Kind::Year => assert!(fact["value"].is_u64(), "{name}: {key}"),
                Kind::Text => assert!(!word("value").is_empty(), "{name}: {key}"),
            }
        }
        assert!(seen.len() > 10, "{name} holds {} facts", seen.len());
    }
}

#[test]
fn the_recordings_are_short_and_of_the_promised_form() {
    // The form that samples/README.md promises; four megabytes keep a clone quick.
    let mut bytes = 0;
    for name in NAMES {
        let wav = hound::WavReader::open(file(name, "wav")).unwrap();
        let spec = wav.spec();
        assert_eq!((spec.sample_rate, spec.channels, spec.bits_per_sample), (16_000, 1, 16), "{name}");
        let seconds = wav.duration() / spec.sample_rate;
        assert!((20..=60).contains(&seconds), "{name} lasts {seconds} s");
        bytes += std::fs::metadata(file(name, "wav")).unwrap().len();
    }
    assert!(bytes < 4_000_000, "{bytes} bytes of recordings");
}
