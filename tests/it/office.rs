//! A folder of recordings and notes as an office has it, what `batch` makes of it, and how two results are compared.
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

pub const PROGRAM: &str = env!("CARGO_BIN_EXE_hearsheet");

/// A folder with `in` for the recordings; the visits go where each test says.
pub struct Office {
    pub folder: tempfile::TempDir,
}

impl Office {
    pub fn new() -> Office {
        let office = Office { folder: tempfile::tempdir().unwrap() };
        std::fs::create_dir(office.path("in")).unwrap();
        office
    }

    /// Typed notes of some visits, three each, of two inspectors; the words are those of the labelled dictations.
    pub fn with_visits(visits: usize) -> Office {
        let office = Office::new();
        for visit in 0..visits {
            for note in 0..3 {
                let inspector = if visit % 2 == 0 { "Ida Example" } else { "Noor Sample" };
                // Odd numbers: the even ones are kept aside for scoring.
                let words = spoken(2 * (3 * visit + note) % 200 + 1);
                office.write(&format!("in/{inspector}/visit {visit:02}/note-{note}.txt"), words.as_bytes());
            }
        }
        office
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// A file with a time of its own, so that what is made of it does not depend on when the test runs.
    pub fn write(&self, name: &str, bytes: &[u8]) {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, bytes).unwrap();
        let noon = std::time::UNIX_EPOCH + std::time::Duration::from_secs(1_773_489_600);
        std::fs::File::options().write(true).open(&path).unwrap().set_modified(noon).unwrap();
    }

    pub fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(PROGRAM);
        command.args(args).current_dir(self.folder.path()).stdin(Stdio::null());
        command.env("HEARSHEET_MODELS", concat!(env!("CARGO_MANIFEST_DIR"), "/models"));
        command
    }

    /// `hearsheet batch in --out OUT --json` with more arguments.
    pub fn batch(&self, out: &str, more: &[&str]) -> Told {
        Told::of(self.command(&[&["batch", "in", "--out", out, "--json"], more].concat()).output().unwrap())
    }
}

/// What a batch told.
pub struct Told {
    pub code: Option<i32>,
    pub events: Vec<Value>,
    pub complaints: String,
}

impl Told {
    pub fn of(output: Output) -> Told {
        Told {
            code: output.status.code(),
            events: events(&output.stdout),
            complaints: String::from_utf8_lossy(&output.stderr).into_owned(),
        }
    }

    pub fn all(&self, event: &str) -> Vec<&Value> {
        self.events.iter().filter(|e| e["event"] == event).collect()
    }

    /// Reason and cure of the file that failed.
    pub fn failure(&self, file: &str) -> (String, String) {
        let failed = self.all("failed").into_iter().find(|e| e["file"].as_str().unwrap().contains(file));
        let failed = failed.unwrap_or_else(|| panic!("nothing is told of {file}: {:?}", self.events));
        (failed["reason"].as_str().unwrap().to_owned(), failed["cure"].as_str().unwrap().to_owned())
    }

    /// The only count of its kind in the last event.
    pub fn count(&self, name: &str) -> u64 {
        self.all("end").last().unwrap_or_else(|| panic!("no end: {}", self.complaints))[name].as_u64().unwrap()
    }
}

pub fn events(bytes: &[u8]) -> Vec<Value> {
    let text = String::from_utf8_lossy(bytes);
    text.lines().map(|line| serde_json::from_str(line).unwrap_or_else(|e| panic!("{e}: {line}"))).collect()
}

/// The words of a labelled dictation.
pub fn spoken(number: usize) -> String {
    let path = format!("{}/tests/dictations/our-{number:03}.json", env!("CARGO_MANIFEST_DIR"));
    let label: Value = serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap();
    label["spoken"].as_str().unwrap().to_owned()
}

/// The recording of a few words that the tests of hearing use.
pub fn jfk() -> Vec<u8> {
    std::fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/audio/jfk.wav")).unwrap()
}

/// Every file of the visits below a folder, without the locks and what a batch remembers for itself.
pub fn files(root: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    fn enter(root: &Path, dir: &Path, files: &mut BTreeMap<PathBuf, Vec<u8>>) {
        for entry in std::fs::read_dir(dir).unwrap().flatten() {
            let name = entry.file_name().to_string_lossy().into_owned();
            if entry.path().is_dir() {
                enter(root, &entry.path(), files);
            } else if !name.ends_with("lock") && name != "batch.jsonl" {
                let below = entry.path().strip_prefix(root).unwrap().to_owned();
                files.insert(below, std::fs::read(entry.path()).unwrap());
            }
        }
    }
    let mut all = BTreeMap::new();
    enter(root, root, &mut all);
    all
}

/// Fails with the name of the first file that differs.
pub fn assert_same(wanted: &Path, found: &Path) {
    let (wanted, found) = (files(wanted), files(found));
    let names = |files: &BTreeMap<PathBuf, Vec<u8>>| files.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(&found), names(&wanted));
    for (name, bytes) in &wanted {
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        assert!(found[name] == *bytes, "{}:\n{}\n{}", name.display(), text(bytes), text(&found[name]));
    }
}
