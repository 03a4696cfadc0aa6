//! What can go wrong while recognising.
use std::path::PathBuf;

/// Why a recording could not be turned into words.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    #[error("cannot read the speech model '{}'; look whether it is there and may be read", path.display())]
    Model { path: PathBuf, source: std::io::Error },
    #[error("'{}' is no speech model in GGML form ({what}); run: hearsheet model get", path.display())]
    NoModel { path: PathBuf, what: String },
    #[error("the speech engine failed on '{}' between {start_s:.1} and {end_s:.1} seconds: {what}; try again with another model", path.display())]
    Engine { path: PathBuf, start_s: f64, end_s: f64, what: String },
    #[error(transparent)]
    Sound(#[from] crate::audio::Error),
    #[error("recognising '{}' was stopped", path.display())]
    Stopped { path: PathBuf },
}
