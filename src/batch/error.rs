//! What stops a whole batch; what stops one file is a [`super::Failure`].
use crate::draft::Cause;
use std::path::{Path, PathBuf};

/// Why a batch cannot go on.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    #[error("cannot read '{}'; check that it exists and that you may read it", path.display())]
    Read { path: PathBuf, source: std::io::Error },
    #[error("cannot write '{}'; free some space or make the folder writable and run the same command again", path.display())]
    Write { path: PathBuf, source: std::io::Error },
    #[error("'{}' and '{}' lie one in the other; keep the recordings and the visits in folders of their own", source_dir.display(), out.display())]
    Nested { source_dir: PathBuf, out: PathBuf },
    #[error("another batch is at work on '{}'; let it finish, or share the work through a database with --queue", path.display())]
    Busy { path: PathBuf },
    #[error("'{}' line {line} is no manifest: {what}; docs/office.md shows how one is written", path.display())]
    Manifest { path: PathBuf, line: usize, what: String },
    #[error("no recording can be heard without a speech model")]
    NoModel { source: Cause },
    #[error("'{given}' is no address of a database; write postgres://USER@HOST/NAME")]
    Address { given: &'static str, source: sqlx::Error },
    #[error("the database cannot be reached; look whether it runs and whether its address is right")]
    Unreachable { source: sqlx::Error },
    #[error(
        "the connection to the database cannot be encrypted yet, which sslmode={mode} asks for; leave sslmode out in a \
         network of your own, or go through a tunnel (ssh -L)"
    )]
    NoTls { mode: &'static str },
    #[error("the database refuses what was asked of it; look at its log")]
    Database { source: sqlx::Error },
    #[error("the database's tables cannot be made or are of a newer hearsheet; use one of its version everywhere")]
    Migration { source: sqlx::migrate::MigrateError },
    #[error(
        "the database holds work that this program does not understand ({what}); use a hearsheet of one version everywhere"
    )]
    Strange { what: String },
    #[error("a worker ended by itself: {what}; please report this, and run the same command again")]
    Worker { what: String },
    #[cfg(feature = "store")]
    #[error(transparent)]
    Store(#[from] crate::store::Error),
    #[error(transparent)]
    Record(#[from] crate::record::Error),
}

impl Error {
    pub(super) fn read(path: &Path) -> impl FnOnce(std::io::Error) -> Error {
        let path = path.to_owned();
        move |source| Error::Read { path, source }
    }

    pub(super) fn write(path: &Path) -> impl FnOnce(std::io::Error) -> Error {
        let path = path.to_owned();
        move |source| Error::Write { path, source }
    }
}
