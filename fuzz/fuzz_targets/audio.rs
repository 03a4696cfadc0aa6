//! Any bytes as a recording: an error or samples, never a panic.
#![no_main]
use libfuzzer_sys::fuzz_target;
use std::io::Write;

fuzz_target!(|bytes: &[u8]| {
    let Ok(mut file) = tempfile::Builder::new().suffix(".wav").tempfile() else { return };
    if file.write_all(bytes).is_ok() {
        let _ = hearsheet::audio::load(file.path());
    }
});
