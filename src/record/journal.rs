//! The journal of decisions: one JSON line each, only ever appended, on the disk before it is reported.
use super::file::{self, parse_json};
use super::{Error, Evidence, FactName, State, Value};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::path::Path;

/// Version of a journal line.
pub const JOURNAL_VERSION: u32 = 1;
const CURE: &str = "correct that line, or take it out if it holds nothing that was decided";

/// What a person did.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Act {
    /// What was heard is right.
    Confirm,
    /// Something was said, and this is the right value.
    Amend,
    /// It is not so, or was not said.
    Reject,
    /// Nobody said it; the person knows it.
    Enter,
    /// A photograph shows this part, or no part at all.
    Show,
    /// An earlier decision no longer counts.
    Undo,
}

/// A fact as it stood before or after a decision.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Stand {
    pub value: Value,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub unit: Option<String>,
    pub state: State,
}

/// One line of the journal.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Decision {
    pub version: u32,
    /// Counts from 1 in each visit.
    pub number: u64,
    #[schemars(with = "String")]
    pub at: jiff::Timestamp,
    pub by: String,
    pub act: Act,
    pub fact: FactName,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub was: Option<Stand>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub is: Option<Stand>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub why: Option<String>,
    /// The photograph that the decision is about.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub photo: Option<String>,
    /// The decision that an undo takes back.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub undoes: Option<u64>,
    /// Every value that the notes gave for this fact when it was decided.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub heard: Vec<Value>,
    /// What the person was shown.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub basis: Vec<Evidence>,
}

/// The decisions of a visit, and the end of a line that was cut off, if there is one.
#[derive(Debug, Default)]
pub struct Journal {
    pub decisions: Vec<Decision>,
    /// What stands after the last whole line; no decision that was reported is in it.
    pub torn: Vec<u8>,
    /// Length in bytes of the whole lines.
    pub whole: u64,
    /// The last whole line lacks its line end.
    pub unended: bool,
}

impl Journal {
    /// Reads a journal; no file is an empty one.
    pub fn read(path: &Path) -> Result<Journal, Error> {
        let bytes = match std::fs::read(path) {
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(Journal::default()),
            other => other.map_err(Error::read(path))?,
        };
        Journal::parse(path, &bytes)
    }

    fn parse(path: &Path, bytes: &[u8]) -> Result<Journal, Error> {
        let mut journal = Journal::default();
        for (index, line) in bytes.split_inclusive(|&b| b == b'\n').enumerate() {
            let ended = line.ends_with(b"\n");
            if line.trim_ascii().is_empty() && ended {
                journal.whole += line.len() as u64;
                continue;
            }
            match parse_json::<Decision>(path, line, index + 1, JOURNAL_VERSION, CURE) {
                Ok(decision) => {
                    journal.decisions.push(decision);
                    journal.whole += line.len() as u64;
                    journal.unended = !ended;
                }
                // Only the last line can lack its end: a write that was cut, never reported as done.
                Err(Error::Damaged { .. }) if !ended => journal.torn = line.to_vec(),
                Err(error) => return Err(error),
            }
        }
        Ok(journal)
    }

    /// The decisions that still count, in the order made: an undone one is gone, unless its undo was undone.
    pub fn standing(&self) -> Vec<Decision> {
        let mut void = std::collections::HashSet::new();
        for decision in self.decisions.iter().rev() {
            if let Some(undone) = decision.undoes.filter(|_| !void.contains(&decision.number)) {
                void.insert(undone);
            }
        }
        let counts = |d: &&Decision| d.act != Act::Undo && !void.contains(&d.number);
        self.decisions.iter().filter(counts).cloned().collect()
    }

    /// The number that the next decision bears.
    pub fn next_number(&self) -> u64 {
        self.decisions.iter().map(|d| d.number).max().unwrap_or(0) + 1
    }
}

/// Appends a decision after mending the end of the file; returns once it is on the disk.
///
/// The caller holds the visit's lock.
pub(crate) fn append(path: &Path, journal: &Journal, decision: &Decision) -> Result<(), Error> {
    if !journal.torn.is_empty() {
        set_aside(path, journal)?;
    } else if journal.unended {
        file::append(path, "")?;
    }
    let line = serde_json::to_string(decision)
        .map_err(|e| Error::Write { path: path.to_owned(), source: std::io::Error::other(e) })?;
    file::append(path, &line)
}

/// Moves a cut-off end into `decisions.torn`, so that the next line starts afresh and nothing is thrown away.
fn set_aside(path: &Path, journal: &Journal) -> Result<(), Error> {
    file::append(&path.with_extension("torn"), &String::from_utf8_lossy(&journal.torn))?;
    let whole = std::fs::File::options().write(true).open(path).map_err(Error::write(path))?;
    whole.set_len(journal.whole).and_then(|()| whole.sync_all()).map_err(Error::write(path))?;
    if journal.unended { file::append(path, "") } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn decision(number: u64, act: Act, undoes: Option<u64>) -> Decision {
        Decision {
            version: 1,
            number,
            at: "2026-03-14T10:00:00Z".parse().unwrap(),
            by: "Ida Example".into(),
            act,
            fact: "casing.leak".parse().unwrap(),
            was: None,
            is: None,
            why: None,
            photo: None,
            undoes,
            heard: Vec::new(),
            basis: Vec::new(),
        }
    }

    fn written(lines: &[Decision]) -> (tempfile::TempDir, std::path::PathBuf) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("decisions.jsonl");
        for line in lines {
            append(&path, &Journal::read(&path).unwrap(), line).unwrap();
        }
        (folder, path)
    }

    #[test]
    fn a_cut_at_any_byte_loses_no_earlier_line() {
        let lines = [decision(1, Act::Confirm, None), decision(2, Act::Reject, None)];
        let (_folder, path) = written(&lines);
        let bytes = std::fs::read(&path).unwrap();
        let first = bytes.iter().position(|&b| b == b'\n').unwrap() + 1;
        for cut in first..=bytes.len() {
            let journal = Journal::parse(&path, &bytes[..cut]).unwrap();
            // The second line is whole from its last brace on, with or without its line end.
            let whole = if cut >= bytes.len() - 1 { 2 } else { 1 };
            assert_eq!(journal.decisions.len(), whole, "cut at {cut}");
            assert_eq!(journal.torn.is_empty(), whole == 2 || cut == first, "cut at {cut}");
        }
    }

    #[test]
    fn a_torn_end_is_kept_aside_and_the_next_decision_stands_on_its_own_line() {
        let (_folder, path) = written(&[decision(1, Act::Confirm, None)]);
        let mut bytes = std::fs::read(&path).unwrap();
        bytes.extend(b"{\"version\":1,\"numb");
        std::fs::write(&path, bytes).unwrap();
        append(&path, &Journal::read(&path).unwrap(), &decision(2, Act::Reject, None)).unwrap();
        let journal = Journal::read(&path).unwrap();
        assert_eq!(journal.decisions.iter().map(|d| d.number).collect::<Vec<_>>(), [1, 2]);
        assert_eq!(std::fs::read_to_string(path.with_extension("torn")).unwrap(), "{\"version\":1,\"numb\n");
    }

    #[test]
    fn a_whole_last_line_without_its_end_counts_and_is_ended() {
        let (_folder, path) = written(&[decision(1, Act::Confirm, None)]);
        let bytes = std::fs::read(&path).unwrap();
        std::fs::write(&path, bytes.trim_ascii_end()).unwrap();
        append(&path, &Journal::read(&path).unwrap(), &decision(2, Act::Reject, None)).unwrap();
        assert_eq!(Journal::read(&path).unwrap().decisions.len(), 2);
    }

    #[test]
    fn a_damaged_line_within_is_refused_with_its_number() {
        let (_folder, path) = written(&[decision(1, Act::Confirm, None)]);
        let good = std::fs::read_to_string(&path).unwrap();
        std::fs::write(&path, format!("{good}nonsense\n{good}")).unwrap();
        assert!(matches!(Journal::read(&path), Err(Error::Damaged { line: 2, .. })), "the second line is the bad one");
    }

    #[test]
    fn undoing_an_undo_brings_the_decision_back() {
        let of = |lines: &[(u64, Act, Option<u64>)]| {
            let decisions = lines.iter().map(|&(n, act, undoes)| decision(n, act, undoes)).collect();
            let journal = Journal { decisions, ..Journal::default() };
            journal.standing().iter().map(|d| d.number).collect::<Vec<_>>()
        };
        assert_eq!(of(&[(1, Act::Confirm, None), (2, Act::Undo, Some(1))]), [0; 0]);
        assert_eq!(of(&[(1, Act::Confirm, None), (2, Act::Undo, Some(1)), (3, Act::Undo, Some(2))]), [1]);
    }

    proptest::proptest! {
        #[test]
        fn any_bytes_are_a_journal_or_an_error_and_never_a_panic(bytes: Vec<u8>, cut in 0usize..400) {
            let path = Path::new("decisions.jsonl");
            let _ = Journal::parse(path, &bytes);
            let line = serde_json::to_string(&decision(1, Act::Confirm, None)).unwrap() + "\n";
            let mixed = [&line.as_bytes()[..cut.min(line.len())], &bytes].concat();
            let _ = Journal::parse(path, &mixed);
        }
    }
}
