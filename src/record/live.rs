//! Recordings that are being made in a visit: begun before anything is heard, listed when they end, mended if they
//! never did.
use super::file::{append, flush_folder};
use super::note::{Note, NoteKind, free_name, hash};
use super::{Error, Visit};
use crate::audio::growing::{self, Form, Growing};
use jiff::ZonedDateTime;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// A recording that is being made.
#[derive(Debug)]
pub struct Begun {
    pub name: String,
    pub path: PathBuf,
    pub begun: ZonedDateTime,
    pub file: Growing,
}

impl Visit {
    /// Begins a recording in `notes/`, named after the moment.
    pub fn begin_recording(&self, form: Form, begun: ZonedDateTime) -> Result<Begun, Error> {
        let _lock = self.lock()?;
        let folder = self.root().join("notes");
        std::fs::create_dir_all(&folder).map_err(Error::write(&folder))?;
        let listed = self.notes()?;
        let name = begun.strftime("spoken-%Y-%m-%d-%H%M%S.wav").to_string();
        let taken = |name: &str| self.note_path(name).exists() || listed.iter().any(|n| n.name == name);
        let name = free_name(&name, taken);
        let path = self.note_path(&name);
        let file = Growing::create(&path, form, &begun).map_err(Error::write(&path))?;
        flush_folder(&path)?;
        Ok(Begun { name, path, begun, file })
    }

    /// Puts an ended recording on the list of notes, with its hash. One without any sound is removed.
    pub fn end_recording(&self, name: &str, begun: &ZonedDateTime, form: Form) -> Result<Option<Note>, Error> {
        if !self.mend_recording(name)? {
            return Ok(None);
        }
        let path = self.note_path(name);
        let bytes = std::fs::metadata(&path).map_err(Error::read(&path))?.len();
        let frames = bytes.saturating_sub(growing::HEAD) / form.frame_bytes();
        let note = Note {
            name: name.to_owned(),
            kind: NoteKind::Recording,
            sha256: hash(&path)?,
            bytes,
            length_ms: Some(form.ms(frames)),
            recorded: begun.timestamp(),
            own_voice: self.own_voice(name)?,
        };
        let _lock = self.lock()?;
        let mut notes = self.notes()?;
        // A draft made in this very moment may have listed it already.
        if let Some(known) = notes.iter().find(|n| n.name == name) {
            return Ok(Some(known.clone()));
        }
        notes.push(note.clone());
        self.list(notes)?;
        Ok(Some(note))
    }

    /// Mends a recording whose program was ended; false for one that is still growing or holds no sound at all, which
    /// is removed.
    pub(super) fn mend_recording(&self, name: &str) -> Result<bool, Error> {
        let path = self.note_path(name);
        if growing::is_growing(&path) {
            return Ok(false);
        }
        growing::mend(&path).map_err(Error::write(&path))?;
        if growing::is_silent(&path) {
            std::fs::remove_file(&path).map_err(Error::write(&path))?;
            return Ok(false);
        }
        Ok(true)
    }

    /// Keeps on the disk where the program itself speaks in a recording that is being made. A later line with the same
    /// beginning stands in place of an earlier one.
    pub fn keep_own_voice(&self, name: &str, [from_ms, to_ms]: [u64; 2]) -> Result<(), Error> {
        append(&self.own_voice_path(name), &format!("{from_ms} {to_ms}"))
    }

    /// Where the program itself spoke in a recording of ours.
    pub(super) fn own_voice(&self, name: &str) -> Result<Vec<[u64; 2]>, Error> {
        let path = self.own_voice_path(name);
        if !path.exists() {
            return Ok(Vec::new());
        }
        let text = std::fs::read_to_string(&path).map_err(Error::read(&path))?;
        let span = |line: &str| {
            let (from, to) = line.split_once(' ')?;
            Some((from.parse().ok()?, to.parse().ok()?))
        };
        // A line that was cut off while it was being written is no pair, or ends too early: the one before it counts.
        let spans: BTreeMap<u64, u64> =
            text.split_inclusive('\n').filter_map(|l| span(l.strip_suffix('\n')?)).collect();
        Ok(spans.into_iter().map(|(from, to)| [from, to]).collect())
    }

    fn own_voice_path(&self, name: &str) -> PathBuf {
        self.root().join("notes").join(format!(".{name}.own"))
    }
}
