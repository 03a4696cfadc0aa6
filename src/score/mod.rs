//! How well the program does: labelled dictations against what it makes of them.
//!
//! `label` loads the dictations, `agree` says when two facts are the same, `outcome` compares one
//! dictation with its record, `figure` adds outcomes up and `table` writes them for people. None of
//! them hears or reads anything; `run` alone does.
mod agree;
mod cache;
mod confidence;
mod example;
mod figure;
mod fit;
mod label;
mod listing;
mod outcome;
mod reliability;
mod run;
mod stop;
mod table;
pub mod word;

pub use agree::{agreement, same_value};
pub use cache::Cache;
pub use confidence::learn as learn_confidence;
pub use example::{Miss, examples, phrases};
pub use figure::{Figures, Tally};
pub use fit::{Example, Fit, fit};
pub use label::{Dictation, dictations, voices};
pub use listing::list;
pub use outcome::{Missing, Outcome, Stated, compare};
pub use reliability::{Bin, Reliability};
pub use run::{Heard, Hearing, Reader, Source, from_recordings, from_text, stripped};
pub use stop::learn as learn_stops;
pub use table::table;

use std::path::PathBuf;

/// Why nothing could be scored.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error("cannot read '{}'; give a folder of labelled dictations", path.display())]
    Folder { path: PathBuf, source: std::io::Error },
    #[error("'{}' holds no dictation (NAME.json with the words spoken and their facts)", path.display())]
    Empty { path: PathBuf },
    #[error("'{}' is no labelled dictation; it needs at least id, spoken and facts", path.display())]
    Label { path: PathBuf, source: serde_json::Error },
    #[error("there is no recording of any dictation; they belong at '{}'", path.display())]
    NoRecording { path: PathBuf },
    #[error("cannot hear '{}'", path.display())]
    Hearing { path: PathBuf, source: Box<dyn std::error::Error + Send + Sync> },
}
