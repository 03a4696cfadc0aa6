//! What a batch remembers between runs, beside the visits: nothing that could not be found out again.
use super::{Error, Failure, Found};
use crate::record::{append, hash};
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use std::fs::{File, TryLockError};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

const VERSION: u32 = 1;
const NAME: &str = "batch.jsonl";

/// One line of `batch.jsonl`.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct Line {
    version: u32,
    #[serde(flatten)]
    what: What,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum What {
    /// The hash of a file, as long as its size and time are these.
    Hashed { file: PathBuf, bytes: u64, modified: jiff::Timestamp, sha256: String },
    /// A visit was drafted from what the key stands for.
    Drafted { visit: String, key: String, at: jiff::Timestamp },
}

#[derive(Debug, Default)]
struct Memory {
    hashes: HashMap<PathBuf, (u64, jiff::Timestamp, String)>,
    drafts: HashMap<String, String>,
}

/// The open ledger of one root of visits; while it is open no other batch works there.
#[derive(Debug)]
pub struct Ledger {
    /// None where nothing is kept.
    path: Option<PathBuf>,
    memory: Mutex<Memory>,
    /// Held by the operating system until the program ends, however it ends.
    _lock: Option<File>,
}

impl Ledger {
    /// Opens the ledger of a root; lines that were cut off or damaged only cost that their work is looked at again.
    pub fn open(root: &Path) -> Result<Ledger, Error> {
        let lock = root.join(".batch.lock");
        let file = File::options().create(true).append(true).open(&lock).map_err(Error::write(&lock))?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => return Err(Error::Busy { path: root.to_owned() }),
            Err(TryLockError::Error(source)) => return Err(Error::Write { path: lock, source }),
        }
        let path = root.join(NAME);
        let bytes = match std::fs::read(&path) {
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => Vec::new(),
            other => other.map_err(Error::read(&path))?,
        };
        if bytes.last().is_some_and(|last| *last != b'\n') {
            append(&path, "")?;
        }
        let mut memory = Memory::default();
        for line in bytes.split(|b| *b == b'\n').filter_map(|line| serde_json::from_slice::<Line>(line).ok()) {
            if line.version == VERSION {
                memory.take(line.what);
            }
        }
        Ok(Ledger { path: Some(path), memory: Mutex::new(memory), _lock: Some(file) })
    }

    /// A ledger for one run, of which nothing is kept.
    pub fn forgetful() -> Ledger {
        Ledger { path: None, memory: Mutex::default(), _lock: None }
    }

    pub(super) fn hash_of(&self, found: &Found) -> Option<String> {
        let memory = self.memory();
        let (bytes, modified, sha256) = memory.hashes.get(&found.path)?;
        (*bytes == found.bytes && *modified == found.modified).then(|| sha256.clone())
    }

    /// The sha256 of a file below `root`, which is read only if it is another than it was.
    pub(super) fn hash(&self, root: &Path, found: &Found) -> Result<String, Failure> {
        if let Some(known) = self.hash_of(found) {
            return Ok(known);
        }
        let hash = hash(&root.join(&found.path)).map_err(|error| Failure::of(&found.name(), &error))?;
        Ok(self.keep_hash(found, hash))
    }

    fn keep_hash(&self, found: &Found, sha256: String) -> String {
        let Found { path, bytes, modified } = found.clone();
        self.keep(What::Hashed { file: path, bytes, modified, sha256: sha256.clone() });
        sha256
    }

    /// Whether a visit was last drafted from the same.
    pub(super) fn is_drafted(&self, visit: &str, key: &str) -> bool {
        self.memory().drafts.get(visit).is_some_and(|kept| kept == key)
    }

    pub(super) fn keep_draft(&self, visit: &str, key: String) {
        self.keep(What::Drafted { visit: visit.to_owned(), key, at: jiff::Timestamp::now() });
    }

    fn keep(&self, what: What) {
        let mut memory = self.memory();
        memory.take(what.clone());
        let Some(path) = &self.path else { return };
        // A ledger that cannot be written, on a full disk, costs time in the next run and nothing else.
        if let Ok(line) = serde_json::to_string(&Line { version: VERSION, what }) {
            let _ = append(path, &line);
        }
    }

    fn memory(&self) -> MutexGuard<'_, Memory> {
        self.memory.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Memory {
    fn take(&mut self, what: What) {
        match what {
            What::Hashed { file, bytes, modified, sha256 } => {
                self.hashes.insert(file, (bytes, modified, sha256));
            }
            What::Drafted { visit, key, .. } => {
                self.drafts.insert(visit, key);
            }
        }
    }
}
