//! Signing: hashes of everything that a record rests on, so that a later change is seen.
//!
//! A seal proves nothing against somebody who may rewrite the whole folder; its own hash, noted outside the folder (the
//! report bears it), does.
use super::file::{self, parse_json};
use super::note::{hash, hash_bytes};
use super::{Error, Record, Visit};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

#[cfg(test)]
mod tests;

const VERSION: u32 = 1;
const CURE: &str = "seals are never edited: restore the file from a copy";
/// Files that decide how the words were read and judged.
const SEALED_FILES: [&str; 4] = ["visit.toml", "lexicon.toml", "rules.toml", "photos.json"];
/// Folders whose files a seal covers.
const SEALED_FOLDERS: [&str; 3] = ["notes", "photos", "transcripts"];

/// One signature: a line of `seals.jsonl`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Seal {
    pub version: u32,
    /// Counts from 1.
    pub revision: u32,
    pub at: jiff::Timestamp,
    pub by: String,
    /// Path in the visit → sha256.
    pub files: BTreeMap<String, String>,
    /// sha256 of the record, a copy of which lies in `sealed/`.
    pub record: String,
    /// Length and sha256 of the journal; what is appended later leaves this part as it is.
    pub journal_bytes: u64,
    pub journal: String,
    /// The hash of the seal before, empty for the first.
    pub before: String,
}

impl Seal {
    /// What stands for this seal outside the folder.
    pub fn hash(&self) -> String {
        // A struct of strings and numbers always becomes JSON.
        hash_bytes(serde_json::to_string(self).unwrap_or_default().as_bytes())
    }
}

/// How a visit stands to its signatures.
#[derive(Debug, Clone, PartialEq)]
pub struct Revision {
    /// The revision that the record now is: one above the last signed one if anything has changed since.
    pub number: u32,
    /// The seal, if this very revision is signed.
    pub seal: Option<Seal>,
}

/// Something that is not as it was signed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Alteration {
    /// Changed, or gone, after signing in a way that no command of this program does.
    Broken(String),
    /// Changed after signing as work goes on; the next signature covers it.
    Since(String),
}

impl Visit {
    fn seals_path(&self) -> PathBuf {
        self.root().join("seals.jsonl")
    }

    /// Where the record of a signed revision lies.
    pub fn sealed_record_path(&self, revision: u32) -> PathBuf {
        self.root().join("sealed").join(format!("record-{revision}.json"))
    }

    /// Every signature, oldest first.
    pub fn seals(&self) -> Result<Vec<Seal>, Error> {
        let path = self.seals_path();
        let text = match std::fs::read(&path) {
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
            other => other.map_err(Error::read(&path))?,
        };
        let mut seals = Vec::new();
        for (index, line) in text.split_inclusive(|&b| b == b'\n').enumerate() {
            match parse_json(&path, line, index + 1, VERSION, CURE) {
                Ok(seal) => seals.push(seal),
                // A signature that was cut while it was written was never reported; the next one replaces it.
                Err(Error::Damaged { .. }) if !line.ends_with(b"\n") => {}
                Err(error) => return Err(error),
            }
        }
        Ok(seals)
    }

    /// Signs the record as it stands on the disk; it must be `record`, which is what the person has seen.
    pub fn sign(&self, by: &str, at: jiff::Timestamp, record: &Record) -> Result<Seal, Error> {
        let _lock = self.lock()?;
        if self.record()? != *record {
            return Err(Error::Moved { path: self.root().to_owned() });
        }
        let seals = self.seals()?;
        let revision = seals.last().map_or(0, |s| s.revision) + 1;
        let bytes = std::fs::read(self.record_path()).map_err(Error::read(&self.record_path()))?;
        let folder = self.root().join("sealed");
        std::fs::create_dir_all(&folder).map_err(Error::write(&folder))?;
        file::replace(&self.sealed_record_path(revision), &bytes)?;
        let journal = journal_bytes(&self.journal_path())?;
        let seal = Seal {
            version: VERSION,
            revision,
            at,
            by: by.to_owned(),
            files: self.files()?,
            record: hash_bytes(&bytes),
            journal_bytes: journal.len() as u64,
            journal: hash_bytes(&journal),
            before: seals.last().map(Seal::hash).unwrap_or_default(),
        };
        self.write_seals(seals, &seal)?;
        Ok(seal)
    }

    fn write_seals(&self, mut seals: Vec<Seal>, seal: &Seal) -> Result<(), Error> {
        seals.push(seal.clone());
        let path = self.seals_path();
        let unwritten = |e| Error::Write { path: path.clone(), source: std::io::Error::other(e) };
        let lines: Result<Vec<String>, _> = seals.iter().map(serde_json::to_string).collect();
        let mut text = lines.map_err(unwritten)?.join("\n");
        text.push('\n');
        file::replace(&path, text.as_bytes())
    }

    /// The hash of each file that a seal covers.
    fn files(&self) -> Result<BTreeMap<String, String>, Error> {
        let mut files = BTreeMap::new();
        for name in SEALED_FILES {
            let there = there(&self.root().join(name))?;
            files.extend(there.map(|hash| (name.to_owned(), hash)));
        }
        for folder in SEALED_FOLDERS {
            let path = self.root().join(folder);
            for entry in std::fs::read_dir(&path).into_iter().flatten().flatten() {
                let name = entry.file_name().to_string_lossy().into_owned();
                if entry.path().is_file() && !name.starts_with('.') {
                    files.insert(format!("{folder}/{name}"), hash(&entry.path())?);
                }
            }
        }
        Ok(files)
    }

    /// Which revision the visit is at.
    pub fn revision(&self) -> Result<Revision, Error> {
        let Some(seal) = self.seals()?.pop() else { return Ok(Revision { number: 1, seal: None }) };
        if self.since(&seal)?.is_empty() && self.broken(&seal)?.is_empty() {
            return Ok(Revision { number: seal.revision, seal: Some(seal) });
        }
        Ok(Revision { number: seal.revision + 1, seal: None })
    }

    /// Whether the record and the journal are those of the last signature: a quick look, that reads no recording.
    pub fn is_signed(&self) -> Result<bool, Error> {
        let Some(seal) = self.seals()?.pop() else { return Ok(false) };
        let length = std::fs::metadata(self.journal_path()).map_or(0, |m| m.len());
        Ok(length == seal.journal_bytes && there(&self.record_path())?.as_ref() == Some(&seal.record))
    }

    /// All that is not as it was signed; nothing, if nothing was signed.
    pub fn verify(&self) -> Result<Vec<Alteration>, Error> {
        let seals = self.seals()?;
        let mut found = Vec::new();
        let mut before = String::new();
        for seal in &seals {
            if seal.before != before {
                let what = format!("revision {} does not follow the one before it: a seal was altered", seal.revision);
                found.push(Alteration::Broken(what));
            }
            before = seal.hash();
            found.extend(self.broken(seal)?);
        }
        if let Some(last) = seals.last() {
            found.extend(self.since(last)?);
        }
        Ok(found)
    }

    /// What of a signed revision can no longer be shown.
    fn broken(&self, seal: &Seal) -> Result<Vec<Alteration>, Error> {
        let mut found = Vec::new();
        let mut check = |name: &str, now: Option<String>, then: &str| match now {
            None => found.push(Alteration::Broken(format!("{name} is gone (revision {})", seal.revision))),
            Some(now) if now != then => {
                found.push(Alteration::Broken(format!("{name} was altered (revision {})", seal.revision)));
            }
            Some(_) => {}
        };
        let copy = self.sealed_record_path(seal.revision);
        check(&format!("sealed/record-{}.json", seal.revision), there(&copy)?, &seal.record);
        // What was spoken and photographed is never changed by any command, whatever is decided later.
        for (name, then) in seal.files.iter().filter(|(name, _)| is_proof(name)) {
            check(name, there(&self.root().join(name))?, then);
        }
        let journal = journal_bytes(&self.journal_path())?;
        let signed = journal.get(..seal.journal_bytes as usize).map(hash_bytes);
        check("decisions.jsonl", signed, &seal.journal);
        Ok(found)
    }

    /// What went on after the last signature.
    fn since(&self, seal: &Seal) -> Result<Vec<Alteration>, Error> {
        let mut found = Vec::new();
        let mut tell = |what: String| found.push(Alteration::Since(what));
        let journal = journal_bytes(&self.journal_path())?;
        let later = journal.get(seal.journal_bytes as usize..).unwrap_or_default();
        match later.iter().filter(|&&b| b == b'\n').count() {
            0 => {}
            1 => tell("1 decision was made".to_owned()),
            count => tell(format!("{count} decisions were made")),
        }
        let now = self.files()?;
        for (name, then) in seal.files.iter().filter(|(name, _)| !is_proof(name)) {
            match now.get(name) {
                None => tell(format!("{name} is gone")),
                Some(now) if now != then => tell(format!("{name} was changed")),
                Some(_) => {}
            }
        }
        now.keys().filter(|name| !seal.files.contains_key(*name)).for_each(|name| tell(format!("{name} is new")));
        if there(&self.record_path())?.as_ref() != Some(&seal.record) {
            tell("record.json was changed".to_owned());
        }
        Ok(found)
    }
}

/// What was spoken or photographed.
fn is_proof(name: &str) -> bool {
    name.starts_with("notes/") || name.starts_with("photos/")
}

/// The hash of a file, if there is one.
fn there(path: &Path) -> Result<Option<String>, Error> {
    if path.exists() { hash(path).map(Some) } else { Ok(None) }
}

fn journal_bytes(path: &Path) -> Result<Vec<u8>, Error> {
    match std::fs::read(path) {
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => Ok(Vec::new()),
        other => other.map_err(Error::read(path)),
    }
}
