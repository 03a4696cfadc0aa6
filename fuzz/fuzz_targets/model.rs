//! Any bytes as a speech model, of the engine's form or of the form that is fetched.
#![no_main]
use hearsheet::recognize::model;
use libfuzzer_sys::fuzz_target;
use std::io::Write;

fuzz_target!(|bytes: &[u8]| {
    let _ = model::Weights::read(bytes);
    let Ok(mut file) = tempfile::NamedTempFile::new() else { return };
    if file.write_all(bytes).is_ok() {
        let _ = model::check(file.path());
    }
});
