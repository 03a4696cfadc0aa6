//! What was heard in each note, kept so that no note is heard twice for nothing.
use super::file::{self, read_json};
use super::{Error, Note, Visit};
use crate::recognize::Transcript;
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

const VERSION: u32 = 1;
const CURE: &str = "delete that file and run hearsheet draft: the note is heard again";

/// `transcripts/NOTE.json`.
#[derive(Debug, Serialize, Deserialize)]
struct Kept {
    version: u32,
    note: String,
    sha256: String,
    transcript: Transcript,
}

impl Visit {
    /// Where what was heard in a note is kept.
    pub fn transcript_path(&self, note: &Note) -> PathBuf {
        self.root().join("transcripts").join(format!("{}.json", note.name))
    }

    /// What was heard in a note, if the same bytes were heard with the same model, which names the words that pulled too.
    pub fn transcript(&self, note: &Note, model: &str) -> Result<Option<Transcript>, Error> {
        Ok(self.last_transcript(note)?.filter(|t| t.model == model))
    }

    /// What was last heard in a note, with whichever model.
    pub fn last_transcript(&self, note: &Note) -> Result<Option<Transcript>, Error> {
        Ok(self.kept(note)?.map(|k| k.transcript))
    }

    fn kept(&self, note: &Note) -> Result<Option<Kept>, Error> {
        let path = self.transcript_path(note);
        if !path.exists() {
            return Ok(None);
        }
        Ok(Some(read_json::<Kept>(&path, VERSION, CURE)?).filter(|k| k.sha256 == note.sha256))
    }

    /// Keeps what was heard in a note.
    pub fn keep_transcript(&self, note: &Note, transcript: &Transcript) -> Result<(), Error> {
        let path = self.transcript_path(note);
        let folder = self.root().join("transcripts");
        std::fs::create_dir_all(&folder).map_err(Error::write(&folder))?;
        let kept = Kept {
            version: VERSION,
            note: note.name.clone(),
            sha256: note.sha256.clone(),
            transcript: transcript.clone(),
        };
        let _lock = self.lock()?;
        file::write_json(&path, &kept)
    }
}
