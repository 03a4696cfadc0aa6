//! Speech to words: the model's file, its decoding, and the pull of the trade's words on it.
mod bpe;
mod callback;
mod digits;
mod doubt;
mod engine;
mod error;
mod hearing;
pub mod model;
mod pause;
mod pull;
mod quiet;
mod second;
mod spread;
mod subtitle;
#[cfg(test)]
mod tests;
mod transcript;
mod window;
mod word;

pub use engine::{Options, Recognizer};
pub use error::Error;
pub use hearing::Hearing;
pub use pause::{settle as settle_pauses, tighten};
pub use pull::Strength;
pub use spread::{Forgetful, Memory};
pub use transcript::{Transcript, Word};
pub use window::{Cutter, Sound, cut as windows};
