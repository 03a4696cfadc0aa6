//! What can go wrong with a visit's files, each with its cure.
use std::path::{Path, PathBuf};

/// Why a visit, or one file of it, could not be used.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error("cannot read '{}'; check that it exists and that you may read it", path.display())]
    Read { path: PathBuf, source: std::io::Error },
    #[error(
        "cannot write '{}'; free some space or make the folder writable and run the same command again: \
         nothing already saved was touched",
        path.display()
    )]
    Write { path: PathBuf, source: std::io::Error },
    #[error("'{}' is no visit: it has no visit.toml; make one with: hearsheet visit new {}", path.display(), path.display())]
    NoVisit { path: PathBuf },
    #[error("'{}' already holds {found}; choose a new folder, or add to that visit with: hearsheet visit add {}", path.display(), path.display())]
    Exists { path: PathBuf, found: String },
    #[error("'{}' line {line} is damaged: {what}; {cure}", path.display())]
    Damaged { path: PathBuf, line: usize, what: String, cure: &'static str },
    #[error("'{}' has version {found}, and this program knows only up to {known}; it was left as it is: use a newer hearsheet", path.display())]
    Newer { path: PathBuf, found: u64, known: u32 },
    #[error("another program has been writing to '{}' for {seconds} s; close it and run the same command again", path.display())]
    Busy { path: PathBuf, seconds: u64 },
    #[error("'{}' has no draft yet; make it with: hearsheet draft {}", path.display(), path.display())]
    NoDraft { path: PathBuf },
    #[error("cannot take '{}': {what}; {cure}", path.display())]
    BadNote { path: PathBuf, what: String, cure: &'static str },
    #[error(transparent)]
    Recording(#[from] crate::audio::Error),
    #[error("'{text}' names no fact; write [item/]component.attribute, such as 2/casing.leak")]
    FactName { text: String },
    #[error("'{}' was changed by another program in this very moment; look at it again, then sign", path.display())]
    Moved { path: PathBuf },
    #[error("there is no decision {number} to undo")]
    NoDecision { number: u64 },
    #[error("decision {number} has already been undone")]
    Undone { number: u64 },
}

impl Error {
    pub(crate) fn read(path: &Path) -> impl FnOnce(std::io::Error) -> Error {
        let path = path.to_owned();
        move |source| Error::Read { path, source }
    }

    pub(crate) fn write(path: &Path) -> impl FnOnce(std::io::Error) -> Error {
        let path = path.to_owned();
        move |source| Error::Write { path, source }
    }
}
