//! Speech to words: the model's file, its decoding, and the pull of the trade's words on it.
mod transcript;

pub use transcript::{Transcript, Word};
