//! Any bytes as an office's own words and rules.
#![no_main]
use hearsheet::{judge::Rules, lexicon::Lexicon};
use libfuzzer_sys::fuzz_target;
use std::io::Write;

fuzz_target!(|bytes: &[u8]| {
    let Ok(mut file) = tempfile::NamedTempFile::new() else { return };
    if file.write_all(bytes).is_ok() {
        let _ = Lexicon::with_office(&[file.path().to_owned()]);
        let _ = Rules::shipped().and_then(|rules| rules.with_office(file.path()));
    }
});
