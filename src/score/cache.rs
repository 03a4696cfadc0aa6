//! Transcripts kept between runs, since hearing takes a thousand times as long as reading.
use super::Error;
use super::run::Heard;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};

type Cause = Box<dyn std::error::Error + Send + Sync>;

/// A folder of transcripts, each under the hash of its recording and of how it was heard.
#[derive(Debug, Clone)]
pub struct Cache {
    folder: PathBuf,
    /// The model and its options.
    heard_with: String,
    /// The terms that pulled on it, which change with every edit of the lexicon.
    pull: String,
    /// What was heard under another pull will do.
    lenient: bool,
}

#[derive(Serialize, Deserialize)]
struct Entry {
    pull: String,
    heard: Heard,
}

impl Cache {
    /// The cache in a folder, for one way of hearing: model and options, and the terms that pull.
    pub fn new(folder: &Path, heard_with: &str, terms: &[String], lenient: bool) -> Self {
        let pull = digest(&[terms.join("\n").as_bytes()]);
        Cache { folder: folder.to_owned(), heard_with: heard_with.to_owned(), pull, lenient }
    }

    /// What was heard in a recording, from the folder or afresh.
    ///
    /// A file that cannot be read back is heard again; one that cannot be written costs time only.
    pub fn get<E: Into<Cause>>(
        &self,
        recording: &Path,
        hear: impl FnOnce(&Path) -> Result<Heard, E>,
    ) -> Result<Heard, Error> {
        let bytes = std::fs::read(recording).map_err(|source| Error::Folder { path: recording.to_owned(), source })?;
        let kept = self.path(&bytes);
        let old: Option<Entry> = std::fs::read(&kept).ok().and_then(|bytes| serde_json::from_slice(&bytes).ok());
        if let Some(old) = old.filter(|old| self.lenient || old.pull == self.pull) {
            return Ok(old.heard);
        }
        let heard =
            hear(recording).map_err(|source| Error::Hearing { path: recording.to_owned(), source: source.into() })?;
        let entry = Entry { pull: self.pull.clone(), heard };
        if let Ok(text) = serde_json::to_vec(&entry) {
            let _ = std::fs::create_dir_all(&self.folder).and_then(|()| std::fs::write(&kept, text));
        }
        Ok(entry.heard)
    }

    fn path(&self, recording: &[u8]) -> PathBuf {
        let name = digest(&[self.heard_with.as_bytes(), &[0], recording]);
        self.folder.join(name).with_extension("json")
    }
}

fn digest(parts: &[&[u8]]) -> String {
    let mut hash = Sha256::new();
    for part in parts {
        hash.update(part);
    }
    hash.finalize().iter().take(16).map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recognize::Transcript;

    fn heard(text: &str) -> Heard {
        Heard { transcript: Transcript::from_text(text), audio_ms: 1000, took_ms: 40 }
    }

    #[test]
    fn a_recording_is_heard_once_for_each_way_of_hearing() {
        let folder = tempfile::tempdir().unwrap();
        let recording = folder.path().join("one.wav");
        std::fs::write(&recording, b"sound").unwrap();
        let never = |_: &Path| -> Result<Heard, std::io::Error> { panic!("it was heard before") };
        let hear = |text: &'static str| move |_: &Path| Ok::<_, std::io::Error>(heard(text));
        let cache =
            |model: &str, term: &str, lenient: bool| Cache::new(folder.path(), model, &[term.to_owned()], lenient);
        let first = cache("tiny", "pan", false).get(&recording, hear("No pan.")).unwrap();
        assert_eq!(cache("tiny", "pan", false).get(&recording, never).unwrap(), first);
        let other_model = cache("base", "pan", false).get(&recording, hear("No plan.")).unwrap();
        assert_eq!(other_model.transcript.text(), "No plan.");
        assert_eq!(cache("tiny", "flue", true).get(&recording, never).unwrap(), first, "another pull will do");
        let other_pull = cache("tiny", "flue", false).get(&recording, hear("No flue.")).unwrap();
        assert_eq!(other_pull.transcript.text(), "No flue.");
        std::fs::write(&recording, b"other sound").unwrap();
        let other_sound = cache("tiny", "flue", false).get(&recording, hear("A pan.")).unwrap();
        assert_eq!(other_sound.transcript.text(), "A pan.");
    }

    #[test]
    fn a_recording_that_cannot_be_heard_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let recording = folder.path().join("one.wav");
        std::fs::write(&recording, b"sound").unwrap();
        let deaf = |_: &Path| Err(std::io::Error::other("deaf"));
        let error = Cache::new(folder.path(), "tiny", &[], false).get(&recording, deaf).unwrap_err();
        assert!(error.to_string().contains("one.wav"), "{error}");
    }
}
