//! A visit of the store as a folder here: what was fetched is known, so that only what changed goes back, and only over
//! what it was made from.
use super::{Bucket, Error, Object, Over, Still};
use crate::record::{FOLDERS, hash};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// What can be made again from the rest, so that the store's may take the place of one that was changed here.
const REMADE: &str = "record.json";
/// Left where it is: stretches of notes that are not heard to their end.
const OWN: &str = "partial";

/// A file as it was fetched or put.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Kept {
    tag: String,
    bytes: u64,
    modified: Timestamp,
    sha256: String,
}

/// What is known of each file.
pub(super) type Files = BTreeMap<String, Kept>;

/// A visit's folder in a store, and its copy here.
pub struct Copy<'b> {
    bucket: &'b Bucket,
    /// Below the bucket's; empty if that is the visit's.
    folder: String,
    dir: PathBuf,
    pub(super) files: Files,
}

impl<'b> Copy<'b> {
    /// A copy in `dir` of which nothing is fetched yet.
    pub fn new(bucket: &'b Bucket, folder: &str, dir: &Path) -> Copy<'b> {
        Copy { bucket, folder: folder.to_owned(), dir: dir.to_owned(), files: Files::new() }
    }

    fn name(&self, file: &str) -> String {
        if self.folder.is_empty() { file.to_owned() } else { format!("{}/{file}", self.folder) }
    }

    /// Fetches those of a visit's objects that are wanted and not here yet. What was changed here and there is left as it
    /// is here, and an error at the end; but a record can be made again.
    pub fn fetch<'o>(&mut self, objects: impl Iterator<Item = &'o Object>) -> Result<usize, Error> {
        let (mut fetched, mut clash) = (0, None);
        for object in objects.filter(|object| !is_hidden(&object.name)) {
            let path = self.dir.join(&object.name);
            let kept = self.files.get(&object.name);
            if kept.is_some_and(|kept| kept.tag == object.tag) && path.exists() {
                continue;
            }
            let ours = path.exists() && !kept.is_some_and(|kept| is_as_kept(&path, kept));
            if ours && object.name != REMADE {
                clash = clash.or(Some(Error::Changed { object: self.bucket.told(&self.name(&object.name)) }));
                continue;
            }
            let tag = self.bucket.fetch(&Object { name: self.name(&object.name), ..object.clone() }, &path)?;
            self.keep(&object.name, tag)?;
            fetched += 1;
        }
        for folder in FOLDERS.map(|folder| self.dir.join(folder)) {
            std::fs::create_dir_all(&folder).map_err(Error::write(&folder))?;
        }
        clash.map_or(Ok(fetched), Err)
    }

    fn keep(&mut self, file: &str, tag: String) -> Result<(), Error> {
        let path = self.dir.join(file);
        let (bytes, modified) = stand(&path).map_err(Error::read(&path))?;
        self.files.insert(file.to_owned(), Kept { tag, bytes, modified, sha256: hash(&path)? });
        Ok(())
    }

    /// Puts what is new or changed here; each file whole, and those that others hang on last. Gives how many there were.
    pub fn put(&mut self, still: Still) -> Result<usize, Error> {
        let mut changed = self.changed()?;
        changed.sort_by_key(|file| (rank(file), file.clone()));
        for file in &changed {
            let over = self.files.get(file).map_or(Over::Nothing, |kept| Over::Tag(kept.tag.clone()));
            let tag = self.bucket.put(&self.name(file), &self.dir.join(file), &over, still)?;
            self.keep(file, tag)?;
        }
        Ok(changed.len())
    }

    fn changed(&self) -> Result<Vec<String>, Error> {
        let mut files = Vec::new();
        enter(&self.dir, "", &mut files)?;
        files.retain(|file| !self.files.get(file).is_some_and(|kept| is_as_kept(&self.dir.join(file), kept)));
        Ok(files)
    }
}

/// A visit without `visit.toml` is none; the list of notes, the record and the seals come after what they speak of.
fn rank(file: &str) -> u8 {
    match file {
        "visit.toml" => 0,
        _ if file.contains('/') => 1,
        "seals.jsonl" => 3,
        _ => 2,
    }
}

fn is_hidden(name: &str) -> bool {
    name.split('/').any(|part| part.starts_with('.'))
}

fn stand(path: &Path) -> std::io::Result<(u64, Timestamp)> {
    let about = std::fs::metadata(path)?;
    Ok((about.len(), Timestamp::try_from(about.modified()?).unwrap_or_default()))
}

/// Whether a file here is what it was; its bytes are read only where its size or time are others.
fn is_as_kept(path: &Path, kept: &Kept) -> bool {
    let same = stand(path).is_ok_and(|stand| stand == (kept.bytes, kept.modified));
    same || hash(path).is_ok_and(|hash| hash == kept.sha256)
}

/// The files below a folder, without links and what is hidden.
fn enter(root: &Path, below: &str, files: &mut Vec<String>) -> Result<(), Error> {
    let dir = root.join(below);
    for entry in std::fs::read_dir(&dir).map_err(Error::read(&dir))? {
        let entry = entry.map_err(Error::read(&dir))?;
        let name = entry.file_name().to_string_lossy().into_owned();
        let path = if below.is_empty() { name.clone() } else { format!("{below}/{name}") };
        let kind = entry.file_type().map_err(Error::read(&dir))?;
        if is_hidden(&name) || path == OWN {
            continue;
        }
        if kind.is_dir() {
            enter(root, &path, files)?;
        } else if kind.is_file() {
            files.push(path);
        }
    }
    Ok(())
}
