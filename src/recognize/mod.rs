//! Speech to words: the model's file, its decoding, and the pull of the trade's words on it.
mod bpe;
mod callback;
mod doubt;
mod engine;
mod error;
pub mod model;
mod pull;
mod subtitle;
#[cfg(test)]
mod tests;
mod transcript;
mod window;
mod word;

pub use engine::{Hearing, Options, Recognizer};
pub use error::Error;
pub use pull::Strength;
pub use transcript::{Transcript, Word};
pub use window::{Cutter, Sound, cut as windows};
