//! What a batch tells while it works, for a person's eyes or for another program.
use serde::Serialize;

/// A file that could not be used; all others were.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize)]
pub struct Failure {
    pub file: String,
    pub reason: String,
    pub cure: String,
}

impl Failure {
    pub(super) fn new(file: &str, reason: &str, cure: &str) -> Failure {
        Failure { file: file.to_owned(), reason: reason.to_owned(), cure: cure.to_owned() }
    }

    /// An error and its causes, taken apart: every message of ours reads `what is wrong; what to do`.
    pub fn of(file: &str, error: &(dyn std::error::Error + 'static)) -> Failure {
        let (mut reasons, mut cure): (Vec<String>, Option<String>) = (Vec::new(), None);
        let mut next = Some(error);
        while let Some(error) = next {
            let text = error.to_string();
            let (reason, advice) = take_apart(&text);
            if reasons.last().is_none_or(|last| last != reason) {
                reasons.push(reason.to_owned());
            }
            cure = cure.or(advice.map(str::to_owned));
            next = error.source();
        }
        let usual = || "look at the file, then run the same command again: what is finished stays".to_owned();
        Failure { file: file.to_owned(), reason: reasons.join(": "), cure: cure.unwrap_or_else(usual) }
    }
}

/// Parts a message at the semicolon; one within a quoted path does not count.
fn take_apart(text: &str) -> (&str, Option<&str>) {
    let quoted = text.rfind('\'').map_or(0, |at| at + 1);
    let after = |from: usize| text[from..].find("; ").map(|at| from + at);
    match after(quoted).or_else(|| after(0)) {
        Some(at) => (&text[..at], Some(&text[at + 2..])),
        None => (text, None),
    }
}

/// What a batch came to.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Sum {
    /// Visits drafted now, and those that were finished before.
    pub drafted: usize,
    pub finished_before: usize,
    /// Notes heard now, and those whose words were kept from before.
    pub heard: usize,
    pub heard_before: usize,
    /// Recordings that are in a visit already, under another name.
    pub same: usize,
    pub failed: usize,
    /// Sound heard now.
    pub heard_ms: u64,
}

impl Sum {
    pub(super) fn add(&mut self, other: &Sum) {
        self.drafted += other.drafted;
        self.finished_before += other.finished_before;
        self.heard += other.heard;
        self.heard_before += other.heard_before;
        self.same += other.same;
        self.failed += other.failed;
        self.heard_ms += other.heard_ms;
    }
}

/// One thing that happened; as JSON, one line.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "event", rename_all = "kebab-case")]
pub enum Event {
    /// What there is to do. Files that are neither recordings nor typed notes are left alone.
    Start {
        visits: usize,
        files: usize,
        bytes: u64,
        left_alone: usize,
        workers: usize,
    },
    /// A worker begins; without a note it is adding or drafting.
    Begin {
        worker: usize,
        visit: String,
        note: Option<String>,
        bytes: u64,
    },
    /// A file went in as a note.
    Added {
        visit: String,
        note: String,
        file: String,
    },
    /// The same recording is in a visit already.
    Same {
        file: String,
        visit: String,
        note: String,
    },
    Heard {
        visit: String,
        note: String,
        length_ms: Option<u64>,
        words: usize,
        took_ms: u64,
        kept: bool,
    },
    Drafted {
        visit: String,
        facts: usize,
        open: usize,
        kept: bool,
    },
    Failed {
        visit: String,
        #[serde(flatten)]
        failure: Failure,
    },
    /// A file that is not whole yet.
    Waiting {
        file: String,
        why: String,
    },
    /// The database does not answer; work goes on when it does.
    Lost {
        what: String,
    },
    /// Something ended a worker's work before it was done; it is left for another.
    Returned {
        visit: String,
        note: Option<String>,
    },
    /// The end, or in a watch the end of what had come.
    End {
        #[serde(flatten)]
        sum: Sum,
        took_ms: u64,
        stopped: bool,
    },
}

/// Who is told.
pub trait Teller: Send + Sync {
    fn tell(&self, event: &Event);
    /// How much of what a worker began is done, from 0 to 1.
    fn progress(&self, _worker: usize, _share: f32) {}
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::audio;
    use std::path::PathBuf;

    #[test]
    fn a_message_is_taken_apart_into_reason_and_cure() {
        let error = audio::Error::Empty { path: PathBuf::from("in/odd; name's.wav") };
        let failure = Failure::of("odd", &error);
        assert_eq!(failure.reason, "'in/odd; name's.wav' is empty (0 bytes)");
        assert_eq!(failure.cure, "copy it anew from the phone or recorder");
    }

    #[test]
    fn the_cause_is_told_and_the_first_cure_taken() {
        let source = std::io::Error::from_raw_os_error(28);
        let error = crate::record::Error::Write { path: PathBuf::from("out/v"), source };
        let failure = Failure::of("v", &error);
        // 28 is ENOSPC on Linux, and this its text in the C library.
        assert_eq!(failure.reason, "cannot write 'out/v': No space left on device (os error 28)");
        assert!(failure.cure.starts_with("free some space"), "{}", failure.cure);
    }
}
