//! Transcripts kept between runs, since hearing takes a thousand times as long as reading.
use super::Error;
use super::run::Heard;
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};

type Cause = Box<dyn std::error::Error + Send + Sync>;

/// A folder of transcripts, each under the hash of its recording and of how it was heard.
#[derive(Debug, Clone)]
pub struct Cache {
    folder: PathBuf,
    /// Everything that changes what is heard: the model, the options, the terms that pull on it.
    heard_with: String,
}

impl Cache {
    /// The cache in a folder, for one way of hearing.
    pub fn new(folder: &Path, heard_with: &str) -> Self {
        Cache { folder: folder.to_owned(), heard_with: heard_with.to_owned() }
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
        let old = std::fs::read(&kept).ok().and_then(|bytes| serde_json::from_slice(&bytes).ok());
        if let Some(heard) = old {
            return Ok(heard);
        }
        let heard =
            hear(recording).map_err(|source| Error::Hearing { path: recording.to_owned(), source: source.into() })?;
        if let Ok(text) = serde_json::to_vec(&heard) {
            let _ = std::fs::create_dir_all(&self.folder).and_then(|()| std::fs::write(&kept, text));
        }
        Ok(heard)
    }

    fn path(&self, recording: &[u8]) -> PathBuf {
        let mut hash = Sha256::new();
        hash.update(self.heard_with.as_bytes());
        hash.update([0]);
        hash.update(recording);
        let name: String = hash.finalize().iter().take(16).map(|byte| format!("{byte:02x}")).collect();
        self.folder.join(format!("{name}.json"))
    }
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
        let cache = Cache::new(folder.path(), "tiny");
        let first = cache.get(&recording, |_| Ok::<_, std::io::Error>(heard("No pan."))).unwrap();
        assert_eq!(cache.get(&recording, never).unwrap(), first);
        let other = Cache::new(folder.path(), "base");
        let second = other.get(&recording, |_| Ok::<_, std::io::Error>(heard("No plan."))).unwrap();
        assert_eq!(second.transcript.text(), "No plan.");
        std::fs::write(&recording, b"other sound").unwrap();
        let third = cache.get(&recording, |_| Ok::<_, std::io::Error>(heard("A pan."))).unwrap();
        assert_eq!(third.transcript.text(), "A pan.");
    }

    #[test]
    fn a_recording_that_cannot_be_heard_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let recording = folder.path().join("one.wav");
        std::fs::write(&recording, b"sound").unwrap();
        let deaf = |_: &Path| Err(std::io::Error::other("deaf"));
        let error = Cache::new(folder.path(), "tiny").get(&recording, deaf).unwrap_err();
        assert!(error.to_string().contains("one.wav"), "{error}");
    }
}
