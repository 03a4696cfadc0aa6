//! Listening while the inspector works: sound to the disk first, then words, facts and answers as they are spoken.
//!
//! A source hands [`Sound`] to the [`Sink`], which writes it into the visit's notes and does nothing else. The
//! [`Follower`] reads the growing file, hears it in the windows that the whole recording would give, and tells
//! [`Event`]s; it may fall behind without harm.
mod board;
pub mod capture;
pub mod disk;
mod event;
pub mod feed;
mod follow;
mod level;
mod order;
mod screen;
mod sink;
mod span;
#[cfg(test)]
mod tests;
pub mod voice;

pub use board::{Board, Take};
pub use event::{Event, Line, Mark, Standing, Trouble};
pub use follow::Follower;
pub use level::{Fault, Meter};
pub use screen::{Now, Screen, behind, plain};
pub use sink::{Free, Sink, Sound};

/// Why words could not be made of the sound. The sound itself is kept whatever happens here.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error(transparent)]
    Record(#[from] crate::record::Error),
    #[error(transparent)]
    Draft(#[from] crate::draft::Error),
    #[error(transparent)]
    Audio(#[from] crate::audio::Error),
    #[error(transparent)]
    Recognize(#[from] crate::recognize::Error),
}
