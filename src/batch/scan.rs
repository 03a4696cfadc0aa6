//! What lies in the folder of recordings.
use super::{Error, Failure};
use jiff::Timestamp;
use std::path::{Path, PathBuf};

/// A file that may be a note.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Path below the folder of recordings.
    pub path: PathBuf,
    pub bytes: u64,
    pub modified: Timestamp,
}

impl Found {
    /// The path as it is told.
    pub fn name(&self) -> String {
        self.path.to_string_lossy().into_owned()
    }
}

/// All that was found.
#[derive(Debug, Default)]
pub struct Scan {
    /// Sorted by path.
    pub files: Vec<Found>,
    /// Links, and folders that may not be read.
    pub refused: Vec<Failure>,
    /// Files that are neither recordings nor typed notes.
    pub left_alone: usize,
}

/// Names that recordings and typed notes end in; those of other sound are among them, to be refused with a cure.
const TAKEN: [&str; 28] = [
    "wav", "wave", "m4a", "m4b", "mp4", "aac", "mp3", "mp2", "flac", "ogg", "oga", "opus", "aif", "aiff", "aifc",
    "caf", "webm", "mka", "mkv", "mov", "3gp", "amr", "wma", "au", "snd", "txt", "text", "md",
];
/// Deeper folders are no office's own.
const DEEPEST: usize = 16;

/// Looks through a folder, following no link.
pub fn scan(root: &Path) -> Result<Scan, Error> {
    let mut scan = Scan::default();
    // Here an unreadable folder is an error; below, only its own loss.
    std::fs::read_dir(root).map_err(Error::read(root))?;
    enter(root, Path::new(""), 0, &mut scan);
    scan.files.sort_by(|a, b| a.path.cmp(&b.path));
    scan.refused.sort_by(|a, b| a.file.cmp(&b.file));
    Ok(scan)
}

fn enter(root: &Path, below: &Path, depth: usize, scan: &mut Scan) {
    let dir = root.join(below);
    let told = below.to_string_lossy();
    let entries = match std::fs::read_dir(&dir) {
        Ok(entries) => entries,
        Err(source) => return scan.refused.push(Failure::of(&told, &Error::Read { path: dir, source })),
    };
    if depth > DEEPEST {
        return scan.refused.push(Failure::new(&told, "it lies too deep in folders", "move it further up"));
    }
    for entry in entries {
        match entry {
            Ok(entry) => look_at(root, &below.join(entry.file_name()), &entry, depth, scan),
            Err(source) => scan.refused.push(Failure::of(&told, &Error::Read { path: dir.clone(), source })),
        }
    }
}

fn look_at(root: &Path, path: &Path, entry: &std::fs::DirEntry, depth: usize, scan: &mut Scan) {
    let name = entry.file_name();
    let name = name.to_string_lossy();
    if is_passed_over(&name) {
        return;
    }
    let told = path.to_string_lossy();
    // Of the entry itself, not of what a link points to.
    let about = match entry.metadata() {
        Ok(about) => about,
        Err(source) => return scan.refused.push(Failure::of(&told, &Error::Read { path: root.join(path), source })),
    };
    if about.is_symlink() {
        let cure = "put the recording itself there";
        return scan.refused.push(Failure::new(&told, "it is a link, and links are not followed", cure));
    }
    if about.is_dir() {
        return enter(root, path, depth + 1, scan);
    }
    if !about.is_file() || !is_taken(path) {
        scan.left_alone += 1;
        return;
    }
    let modified = about.modified().ok().and_then(|t| Timestamp::try_from(t).ok()).unwrap_or_default();
    scan.files.push(Found { path: path.to_owned(), bytes: about.len(), modified });
}

/// Whether a file or folder is hidden, or a half-made copy: somebody else's business.
pub(super) fn is_passed_over(name: &str) -> bool {
    name.starts_with(['.', '~']) || [".part", ".partial", ".tmp"].iter().any(|end| name.ends_with(end))
}

/// Whether a file may be a note, by its name.
pub(super) fn is_taken(path: &Path) -> bool {
    let extension = path.extension().map(|e| e.to_string_lossy().to_ascii_lowercase());
    extension.is_none_or(|extension| TAKEN.contains(&extension.as_str()))
}
