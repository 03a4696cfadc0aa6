//! Any words, and any JSON that claims to be a transcript, read to the end.
#![no_main]
use hearsheet::{lexicon::Lexicon, read, recognize::Transcript};
use libfuzzer_sys::fuzz_target;
use std::sync::LazyLock;

static LEXICON: LazyLock<Option<Lexicon>> = LazyLock::new(|| Lexicon::shipped().ok());

fuzz_target!(|bytes: &[u8]| {
    let Some(lexicon) = LEXICON.as_ref() else { return };
    if let Ok(transcript) = serde_json::from_slice::<Transcript>(bytes) {
        let _ = read::facts(&transcript, lexicon, "note");
    }
    if let Ok(text) = std::str::from_utf8(bytes) {
        let _ = read::facts(&Transcript::from_text(text), lexicon, "note");
    }
});
