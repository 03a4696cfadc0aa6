//! Files that survive a cut: written beside, flushed, renamed; versions checked before anything is read.
use super::Error;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::fs::File;
use std::io::Write;
use std::path::Path;

/// Beginning of the names of files that are still being written.
pub(crate) const PART: &str = ".part-";

/// Puts `bytes` at `path` whole or not at all.
pub fn replace(path: &Path, bytes: &[u8]) -> Result<(), Error> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut part = part(folder).map_err(Error::write(path))?;
    part.write_all(bytes).map_err(Error::write(path))?;
    keep(part, path)
}

/// A file to be filled beside its final place, deleted if it is not kept.
pub(crate) fn part(folder: &Path) -> std::io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(PART);
    // A temporary file is for its owner alone; a visit is shared as its folder is.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    builder.tempfile_in(folder)
}

/// Flushes a filled file and gives it its final name.
pub(crate) fn keep(part: tempfile::NamedTempFile, path: &Path) -> Result<(), Error> {
    part.as_file().sync_all().map_err(Error::write(path))?;
    part.persist(path).map_err(|e| Error::Write { path: path.to_owned(), source: e.error })?;
    flush_folder(path)
}

/// A new name is only safe once the folder that holds it is flushed too.
pub(crate) fn flush_folder(path: &Path) -> Result<(), Error> {
    #[cfg(unix)]
    {
        let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        File::open(folder).and_then(|f| f.sync_all()).map_err(Error::write(folder))?;
    }
    Ok(())
}

/// Appends one line and returns when it is on the disk.
pub(crate) fn append(path: &Path, line: &str) -> Result<(), Error> {
    let new = !path.exists();
    let mut file = File::options().create(true).append(true).open(path).map_err(Error::write(path))?;
    // One call, so that a line is cut at most at its end.
    file.write_all(format!("{line}\n").as_bytes()).map_err(Error::write(path))?;
    file.sync_all().map_err(Error::write(path))?;
    if new { flush_folder(path) } else { Ok(()) }
}

/// Writes a value as readable JSON, whole or not at all.
pub fn write_json<T: Serialize>(path: &Path, value: &T) -> Result<(), Error> {
    let mut text = serde_json::to_string_pretty(value)
        .map_err(|e| Error::Write { path: path.to_owned(), source: std::io::Error::other(e) })?;
    text.push('\n');
    replace(path, text.as_bytes())
}

/// Reads a JSON file whose `version` this program knows.
pub fn read_json<T: DeserializeOwned>(path: &Path, known: u32, cure: &'static str) -> Result<T, Error> {
    let bytes = std::fs::read(path).map_err(Error::read(path))?;
    parse_json(path, &bytes, 1, known, cure)
}

/// Parses JSON that begins at `first_line` of a file; the version is looked at before the rest.
pub(crate) fn parse_json<T: DeserializeOwned>(
    path: &Path,
    bytes: &[u8],
    first_line: usize,
    known: u32,
    cure: &'static str,
) -> Result<T, Error> {
    #[derive(serde::Deserialize)]
    struct Versioned {
        version: u64,
    }
    let damaged = |e: serde_json::Error| Error::Damaged {
        path: path.to_owned(),
        line: first_line + e.line().max(1) - 1,
        what: e.to_string(),
        cure,
    };
    let head: Versioned = serde_json::from_slice(bytes).map_err(damaged)?;
    check_version(path, head.version, known)?;
    serde_json::from_slice(bytes).map_err(damaged)
}

/// Refuses what a newer program wrote.
pub(crate) fn check_version(path: &Path, found: u64, known: u32) -> Result<(), Error> {
    if found > u64::from(known) { Err(Error::Newer { path: path.to_owned(), found, known }) } else { Ok(()) }
}

/// Whether a file is the unfinished writing of a program that was ended.
pub(crate) fn is_part(name: &std::ffi::OsStr) -> bool {
    name.to_string_lossy().starts_with(PART)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_newer_version_is_refused_and_left_as_it_is() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("record.json");
        std::fs::write(&path, r#"{"version": 9, "unheard-of": true}"#).unwrap();
        let error = read_json::<crate::record::Record>(&path, 1, "mend it").unwrap_err();
        assert!(matches!(error, Error::Newer { found: 9, known: 1, .. }), "{error}");
        assert_eq!(std::fs::read_to_string(&path).unwrap(), r#"{"version": 9, "unheard-of": true}"#);
    }

    #[test]
    fn damage_is_told_with_its_line() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("record.json");
        std::fs::write(&path, "{\"version\": 1,\n\"facts\": [\n oops ]}").unwrap();
        let error = read_json::<crate::record::Record>(&path, 1, "mend it").unwrap_err();
        // The word is on the third line of the text above.
        assert!(matches!(error, Error::Damaged { line: 3, .. }), "{error}");
    }

    #[test]
    fn replacing_leaves_no_part_behind() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.json");
        replace(&path, b"one").unwrap();
        replace(&path, b"two").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"two");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}
