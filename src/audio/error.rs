//! What can be wrong with a recording, and what to do about it.
use std::path::{Path, PathBuf};

/// Why a recording can't be used.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    #[error("cannot read '{}'; look whether it is there and may be read", path.display())]
    Open { path: PathBuf, source: std::io::Error },
    #[error("'{}' is empty (0 bytes); copy it anew from the phone or recorder", path.display())]
    Empty { path: PathBuf },
    #[error("'{}' holds no sound; copy it anew from the phone or recorder, or record it again", path.display())]
    NoSound { path: PathBuf },
    #[error("'{}' is text, not a recording; if it is a typed note, give it a name ending in .txt", path.display())]
    Text { path: PathBuf },
    #[error("'{}' is {format}, which can't be read; export it as WAV, M4A, MP3, FLAC, Ogg, AIFF or CAF", path.display())]
    Foreign { path: PathBuf, format: &'static str },
    #[error("'{}' is no recording that can be read; give a WAV, M4A, MP3, FLAC, Ogg, AIFF or CAF file", path.display())]
    Unknown { path: PathBuf },
    #[error("'{}' is cut off: it ends at byte {at} of {promised}; copy it anew, or record it again", path.display())]
    CutOff { path: PathBuf, at: u64, promised: u64 },
    #[error("'{}' is cut off: its sound breaks off after {at_s:.1} seconds; copy it anew, or record it again", path.display())]
    CutShort { path: PathBuf, at_s: f64 },
    #[error("'{}' was never finished: the recorder stopped before writing how long it is; open it in the recorder and save it again", path.display())]
    Unfinished { path: PathBuf },
    #[error("'{}' is damaged: {what}; copy it anew, or export it in another format", path.display())]
    Damaged { path: PathBuf, what: String },
    #[error("'{}' has a sampling rate of {rate} Hz; export it with 8000 to 96000 Hz", path.display())]
    Rate { path: PathBuf, rate: u32 },
    #[error("cannot read back the sound of '{}' from the scratch file; make room on the disk, or set TMPDIR to a folder that has it", path.display())]
    Scratch { path: PathBuf, source: std::io::Error },
    #[error("'{}' is longer than {hours} hours; cut it into parts", path.display())]
    TooLong { path: PathBuf, hours: u64 },
}

impl Error {
    /// What reading back a recording's samples failed with.
    pub fn scratch(path: &Path) -> impl Fn(std::io::Error) -> Error + use<> {
        let path = path.to_owned();
        move |source| Error::Scratch { path: path.clone(), source }
    }
}
