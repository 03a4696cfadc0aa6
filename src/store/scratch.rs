//! Room on this machine's disk for what is fetched, cleared when the program ends, or by the next one if it was killed.
use super::Error;
use std::fs::File;
use std::path::Path;

const NAME: &str = "hearsheet-scratch-";
const LOCK: &str = ".lock";

/// A folder of this program's own, for its owner's eyes alone.
#[derive(Debug)]
pub struct Scratch {
    folder: tempfile::TempDir,
    /// Held by the operating system until the program ends, however it ends.
    _lock: File,
}

impl Scratch {
    /// Makes one where the system keeps temporary files (TMPDIR), and clears away what killed programs left there.
    pub fn make() -> Result<Scratch, Error> {
        Scratch::make_in(&std::env::temp_dir())
    }

    fn make_in(above: &Path) -> Result<Scratch, Error> {
        clear(above);
        let folder = tempfile::Builder::new().prefix(NAME).tempdir_in(above).map_err(Error::write(above))?;
        let (unlocked, path) = (folder.path().join(".new"), folder.path().join(LOCK));
        let lock = File::create(&unlocked).map_err(Error::write(&unlocked))?;
        lock.try_lock().map_err(|e| Error::Write { path: path.clone(), source: e.into() })?;
        // Under its name only once it is locked, so that nobody takes this folder for one that was left.
        std::fs::rename(&unlocked, &path).map_err(Error::write(&path))?;
        Ok(Scratch { folder, _lock: lock })
    }

    /// The folder.
    pub fn path(&self) -> &Path {
        self.folder.path()
    }
}

/// Removes the folders of programs that are gone; what cannot be removed is somebody else's.
fn clear(above: &Path) {
    for entry in std::fs::read_dir(above).into_iter().flatten().flatten() {
        let ours = entry.file_name().to_string_lossy().starts_with(NAME);
        if ours
            && entry.file_type().is_ok_and(|kind| kind.is_dir())
            && let Ok(lock) = File::open(entry.path().join(LOCK))
            && lock.try_lock().is_ok()
        {
            let _ = std::fs::remove_dir_all(entry.path());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scratch_folder_goes_with_its_program_or_with_the_next() {
        let above = tempfile::tempdir().unwrap();
        let scratch = Scratch::make_in(above.path()).unwrap();
        let left = above.path().join("hearsheet-scratch-left");
        std::fs::create_dir(&left).unwrap();
        std::fs::write(left.join(LOCK), "").unwrap();
        std::fs::create_dir(above.path().join("other")).unwrap();
        let next = Scratch::make_in(above.path()).unwrap();
        assert!(scratch.path().exists() && !left.exists() && above.path().join("other").exists());
        drop((scratch, next));
        assert_eq!(std::fs::read_dir(above.path()).unwrap().count(), 1, "only what is somebody else's");
    }
}
