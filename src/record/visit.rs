//! The visit folder, which is the store: what lies where, and who may write when.
use super::file::{self, check_version, is_part, read_json, write_json};
use super::journal::{self, Decision, Journal};
use super::note::{self, Note, NoteList, free_name, inspect, tidy_name};
use super::{Error, RECORD_VERSION, Record};
use serde::{Deserialize, Serialize};
use std::fs::{File, TryLockError};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

const VISIT_VERSION: u32 = 1;
const NOTES_VERSION: u32 = 1;
/// How long to wait for another program's write, which takes milliseconds.
const PATIENCE: Duration = Duration::from_secs(20);
/// The folders that a new visit has.
pub(crate) const FOLDERS: [&str; 4] = ["notes", "photos", "transcripts", "report"];
const VISIT_CURE: &str = "correct that line by hand: it is plain TOML";
const NOTES_CURE: &str = "move notes.json away and run: hearsheet draft; the list is made again from notes/";
const RECORD_CURE: &str = "nothing decided is lost: run hearsheet draft, which makes record.json again";

/// `visit.toml`: whom and what the visit is about.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct About {
    pub version: u32,
    pub property: String,
    #[serde(default)]
    pub client: String,
    #[serde(default)]
    pub inspector: String,
    pub date: jiff::civil::Date,
    /// The code that the judgement goes by.
    #[serde(default = "usual_standard")]
    pub standard: String,
}

fn usual_standard() -> String {
    "irc-2021".to_owned()
}

impl About {
    /// A visit to `property` on `date`, by the usual code; the rest is filled in by whoever makes it.
    pub fn new(property: &str, date: jiff::civil::Date) -> Self {
        About {
            version: VISIT_VERSION,
            property: property.to_owned(),
            client: String::new(),
            inspector: String::new(),
            date,
            standard: usual_standard(),
        }
    }
}

/// An opened visit folder.
#[derive(Debug, Clone)]
pub struct Visit {
    root: PathBuf,
    pub about: About,
}

/// What became of a file that was to be added.
#[derive(Debug, Clone, PartialEq)]
pub enum Added<T = Note> {
    New(T),
    /// The same bytes are in the visit already, under this name.
    Known(T),
}

/// The visit's lock, held by the operating system until this is dropped or the program ends, however it ends.
#[derive(Debug)]
pub struct Lock(#[expect(dead_code, reason = "the lock lives as long as the file is open")] File);

impl Visit {
    /// Makes a visit in a new or empty folder, or in one whose making was cut off.
    pub fn create(root: &Path, about: About) -> Result<Visit, Error> {
        if let Some(found) = foreign_entry(root)? {
            return Err(Error::Exists { path: root.to_owned(), found });
        }
        for folder in [""].iter().chain(&FOLDERS) {
            let folder = root.join(folder);
            std::fs::create_dir_all(&folder).map_err(Error::write(&folder))?;
        }
        let text = toml::to_string(&about)
            .map_err(|e| Error::Write { path: root.to_owned(), source: std::io::Error::other(e) })?;
        // Last, since a folder without it is no visit.
        file::replace(&root.join("visit.toml"), text.as_bytes())?;
        Ok(Visit { root: root.to_owned(), about })
    }

    /// Opens a visit; only `visit.toml` is read, so that damage elsewhere stays where it is.
    pub fn open(root: &Path) -> Result<Visit, Error> {
        let path = root.join("visit.toml");
        let text = match std::fs::read_to_string(&path) {
            Err(e) if matches!(e.kind(), std::io::ErrorKind::NotFound | std::io::ErrorKind::NotADirectory) => {
                return Err(Error::NoVisit { path: root.to_owned() });
            }
            other => other.map_err(Error::read(&path))?,
        };
        let damaged = |e: toml::de::Error| Error::Damaged {
            line: e.span().map_or(1, |span| text[..span.start.min(text.len())].lines().count().max(1)),
            path: path.clone(),
            what: e.message().to_owned(),
            cure: VISIT_CURE,
        };
        let table: toml::Table = toml::from_str(&text).map_err(damaged)?;
        let version = table.get("version").and_then(toml::Value::as_integer).unwrap_or(1);
        check_version(&path, u64::try_from(version).unwrap_or(0), VISIT_VERSION)?;
        Ok(Visit { about: toml::from_str(&text).map_err(damaged)?, root: root.to_owned() })
    }

    /// The folder.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// Where `record.json` lies.
    pub fn record_path(&self) -> PathBuf {
        self.root.join("record.json")
    }

    /// Where the journal lies.
    pub fn journal_path(&self) -> PathBuf {
        self.root.join("decisions.jsonl")
    }

    /// Where an office's own rules lie, if the visit goes by any.
    pub fn rules_path(&self) -> PathBuf {
        self.root.join("rules.toml")
    }

    /// Copies an office's rules into the visit, which then goes by them wherever the office's own file goes.
    pub fn take_rules(&self, from: &Path) -> Result<(), Error> {
        let bytes = std::fs::read(from).map_err(|source| Error::Read { path: from.to_owned(), source })?;
        file::replace(&self.rules_path(), &bytes)
    }

    /// Where an office's own lexicon lies, if the visit is read by any.
    pub fn lexicon_path(&self) -> PathBuf {
        self.root.join("lexicon.toml")
    }

    /// Copies an office's lexicon into the visit, so that a draft made again reads by the same words.
    pub fn take_lexicon(&self, from: &Path) -> Result<(), Error> {
        let bytes = std::fs::read(from).map_err(|source| Error::Read { path: from.to_owned(), source })?;
        file::replace(&self.lexicon_path(), &bytes)
    }

    /// Where a note lies.
    pub fn note_path(&self, note: &str) -> PathBuf {
        self.root.join("notes").join(note)
    }

    /// Puts a document into `report/`, whole or not at all, and tells where it lies.
    pub fn keep_document(&self, name: &str, bytes: &[u8]) -> Result<PathBuf, Error> {
        let folder = self.root.join("report");
        std::fs::create_dir_all(&folder).map_err(Error::write(&folder))?;
        let path = folder.join(name);
        file::replace(&path, bytes)?;
        Ok(path)
    }

    /// Waits for the right to write; reading needs none, since files change whole.
    pub fn lock(&self) -> Result<Lock, Error> {
        let path = self.root.join(".lock");
        let file = File::options().create(true).append(true).open(&path).map_err(Error::write(&path))?;
        let begun = Instant::now();
        loop {
            match file.try_lock() {
                Ok(()) => return Ok(Lock(file)),
                Err(TryLockError::Error(source)) => return Err(Error::Write { path, source }),
                Err(TryLockError::WouldBlock) if begun.elapsed() > PATIENCE => {
                    return Err(Error::Busy { path: self.root.clone(), seconds: PATIENCE.as_secs() });
                }
                Err(TryLockError::WouldBlock) => std::thread::sleep(Duration::from_millis(20)),
            }
        }
    }

    /// The notes in the order recorded.
    pub fn notes(&self) -> Result<Vec<Note>, Error> {
        let path = self.root.join("notes.json");
        if !path.exists() {
            return Ok(Vec::new());
        }
        let mut notes = read_json::<NoteList>(&path, NOTES_VERSION, NOTES_CURE)?.notes;
        if let Some(bad) = notes.iter().find(|n| tidy_name(&n.name) != n.name) {
            let what = format!("'{}' is no name of a file in notes/", bad.name.escape_debug());
            return Err(Error::Damaged { path, line: 1, what, cure: NOTES_CURE });
        }
        notes.sort_by(|a, b| (a.recorded, &a.name).cmp(&(b.recorded, &b.name)));
        Ok(notes)
    }

    /// Copies a file in as a note, unless it is in already or is none.
    pub fn add(&self, from: &Path) -> Result<Added, Error> {
        self.take(from, note::look_at(from)?)
    }

    /// Copies a file in that was looked at before, as the note that was seen in it.
    pub fn take(&self, from: &Path, mut note: Note) -> Result<Added, Error> {
        let _lock = self.lock()?;
        let mut notes = self.notes()?;
        if let Some(known) = notes.iter().find(|n| n.sha256 == note.sha256) {
            return Ok(Added::Known(known.clone()));
        }
        let listed = |name: &str| notes.iter().any(|n| n.name.eq_ignore_ascii_case(name));
        note.name = free_name(&note.name, |name| listed(name) || self.note_path(name).exists());
        self.copy_whole(from, &self.note_path(&note.name), &note.sha256)?;
        notes.push(note.clone());
        self.list(notes)?;
        Ok(Added::New(note))
    }

    pub(super) fn list(&self, notes: Vec<Note>) -> Result<(), Error> {
        write_json(&self.root.join("notes.json"), &NoteList { version: NOTES_VERSION, notes })
    }

    /// Takes into the list what lies in `notes/` and is not on it: put there by hand, or by a program that was ended
    /// before it could list it. Gives the new ones, and what could not be taken.
    pub fn adopt(&self) -> Result<(Vec<Note>, Vec<Error>), Error> {
        let _lock = self.lock()?;
        self.sweep()?;
        let mut notes = self.notes()?;
        let (mut new, mut refused) = (Vec::new(), Vec::new());
        for name in names_in(&self.root.join("notes"))? {
            if notes.iter().any(|n| n.name == name) || name.starts_with('.') {
                continue;
            }
            match self.mend_recording(&name).and_then(|whole| whole.then(|| self.adopt_one(&name)).transpose()) {
                Ok(note) => new.extend(note),
                Err(error) => refused.push(error),
            }
        }
        if !new.is_empty() {
            notes.extend(new.iter().cloned());
            self.list(notes)?;
        }
        Ok((new, refused))
    }

    fn adopt_one(&self, name: &str) -> Result<Note, Error> {
        let path = self.note_path(name);
        if tidy_name(name) != name {
            let what = "its name is not plain".to_owned();
            return Err(Error::BadNote {
                path,
                what,
                cure: "take it out of notes/ and add it with hearsheet visit add",
            });
        }
        Ok(Note { own_voice: self.own_voice(name)?, ..inspect(&path, name)? })
    }

    /// Removes what ended programs left half-written; the lock is held, so nobody else is writing.
    fn sweep(&self) -> Result<(), Error> {
        let folders = ["notes", "photos", "transcripts"].map(|name| self.root.join(name));
        for folder in std::iter::once(self.root.clone()).chain(folders) {
            let Ok(entries) = std::fs::read_dir(&folder) else { continue };
            for entry in entries.flatten().filter(|e| is_part(&e.file_name())) {
                std::fs::remove_file(entry.path()).map_err(Error::write(&entry.path()))?;
            }
        }
        Ok(())
    }

    /// The journal of decisions.
    pub fn journal(&self) -> Result<Journal, Error> {
        Journal::read(&self.journal_path())
    }

    /// Appends the decisions that `make` draws from the journal as it stands under the lock; they are on the disk when
    /// this returns. Their numbers are set here.
    pub fn decide(&self, make: impl FnOnce(&Journal) -> Result<Vec<Decision>, Error>) -> Result<Vec<Decision>, Error> {
        let _lock = self.lock()?;
        let mut made = make(&self.journal()?)?;
        for decision in &mut made {
            let journal = self.journal()?;
            decision.number = journal.next_number();
            journal::append(&self.journal_path(), &journal, decision)?;
        }
        Ok(made)
    }

    /// The draft as last made.
    pub fn record(&self) -> Result<Record, Error> {
        let path = self.record_path();
        if !path.exists() {
            return Err(Error::NoDraft { path: self.root.clone() });
        }
        read_json(&path, RECORD_VERSION, RECORD_CURE)
    }

    /// Writes the draft that `make` draws from the journal as it stands under the lock.
    pub fn save_record(&self, make: impl FnOnce(&[Decision]) -> Record) -> Result<Record, Error> {
        let _lock = self.lock()?;
        // A program that was ended beside this one may have left a half-written file since the notes were gathered.
        self.sweep()?;
        let path = self.record_path();
        if path.exists() {
            // A draft of a newer program is not overwritten; a damaged one is, since it can be made again.
            if let Err(newer @ Error::Newer { .. }) = read_json::<serde_json::Value>(&path, RECORD_VERSION, RECORD_CURE)
            {
                return Err(newer);
            }
        }
        let record = make(&self.journal()?.standing());
        write_json(&path, &record)?;
        Ok(record)
    }
}

/// The name of something in a folder that is not left of making a visit, if there is anything.
fn foreign_entry(root: &Path) -> Result<Option<String>, Error> {
    match std::fs::read_dir(root) {
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => Ok(None),
        other => {
            let foreign = other.map_err(Error::read(root))?.flatten().find(|e| !is_begun(e));
            Ok(foreign.map(|e| format!("'{}'", e.file_name().to_string_lossy())))
        }
    }
}

/// Whether an entry is what a program leaves that was ended before it wrote `visit.toml`.
fn is_begun(entry: &std::fs::DirEntry) -> bool {
    let name = entry.file_name();
    let empty = || std::fs::read_dir(entry.path()).is_ok_and(|mut entries| entries.next().is_none());
    is_part(&name) || (FOLDERS.iter().any(|folder| name == *folder) && empty())
}

fn names_in(folder: &Path) -> Result<Vec<String>, Error> {
    let entries = match std::fs::read_dir(folder) {
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        other => other.map_err(Error::read(folder))?,
    };
    let mut names: Vec<String> = entries.flatten().map(|e| e.file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    Ok(names)
}
