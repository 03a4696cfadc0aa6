//! Pieces of work, and who hands them out.
use super::{Error, Failure, Known, Source};
use crate::record::Note;
use serde::{Deserialize, Serialize};
use std::sync::atomic::AtomicBool;

/// What is to be done on a visit. Each step can be done again at any time and then leaves everything as it is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Step {
    /// Make the folder if there is none, and copy the files in.
    Gather { known: Known, files: Vec<Source> },
    /// Turn a note into words.
    Hear(Note),
    /// Read and judge the words of all notes.
    Draft,
}

/// A step on one visit.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    pub id: i64,
    /// Folder below the root of the visits.
    pub visit: String,
    pub step: Step,
}

impl Job {
    /// The note that it is about.
    pub fn note(&self) -> Option<&Note> {
        match &self.step {
            Step::Hear(note) => Some(note),
            _ => None,
        }
    }
}

/// What a step came to.
#[derive(Debug, Clone, PartialEq)]
pub enum Done {
    /// The notes to be heard; none where the visit is finished, or nothing could be added.
    Gathered {
        notes: Vec<Note>,
        failures: Vec<Failure>,
    },
    Heard,
    Drafted {
        facts: usize,
        open: usize,
        failures: Vec<Failure>,
    },
    Failed(Failure),
}

impl Done {
    /// The files that could not be used.
    pub fn failures(&self) -> &[Failure] {
        match self {
            Done::Gathered { failures, .. } | Done::Drafted { failures, .. } => failures,
            Done::Failed(failure) => std::slice::from_ref(failure),
            Done::Heard => &[],
        }
    }
}

/// Hands out jobs: first drafts, then notes to be heard, then visits to be gathered, so that what was begun is finished.
pub trait Queue: Send + Sync {
    /// The next job; waits for one while others may still make some, and gives none when all is done or `stop` is set.
    fn take(&self, stop: &AtomicBool) -> Result<Option<Job>, Error>;
    /// Ends a job; false if it had been given to somebody else meanwhile, whose result then counts.
    fn finish(&self, job: &Job, done: &Done) -> Result<bool, Error>;
    /// Whether a job is still with whoever took it, who may then go on for as long as a lease lasts.
    fn holds(&self, job: &Job) -> bool;
    /// Gives back a job that was not done.
    fn give_back(&self, job: &Job) -> Result<(), Error>;
}
