//! What an office's decisions teach its lexicon: words that were misheard, proposed with their proof, never taken by itself.
mod case;
mod keep;
mod phrase;
#[cfg(test)]
mod tests;

use crate::lexicon::{self, Lexicon};
use crate::read;
use crate::recognize::Transcript;
use crate::record;
use case::{Case, Lesson};
use serde::Serialize;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

pub use keep::keep;

/// Why nothing could be learned, or not from one visit.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error(transparent)]
    Record(#[from] record::Error),
    #[error(transparent)]
    Lexicon(#[from] lexicon::Error),
    #[error("'{id}' is none of the proposals; list them with: hearsheet lexicon learn {}", root.display())]
    NoProposal { id: String, root: PathBuf },
    #[error("'{id}' would break an example of the lexicon, so nothing was written: {what}")]
    Breaks { id: String, what: String },
}

/// One time that a person corrected what these words were taken for.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Proof {
    pub visit: PathBuf,
    pub note: String,
    /// The sentence in which the words stand.
    pub words: String,
    pub by: String,
    /// The decision's number in the visit's journal.
    pub decision: u64,
}

/// An addition to the office's lexicon.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Proposal {
    /// What it is called on the command line: `material-pex=pecks`.
    pub id: String,
    /// The words as recognised.
    pub phrase: String,
    /// What they were: `inlet.material = pex`; nothing, if they were no fact.
    pub fact: Option<String>,
    pub proofs: Vec<Proof>,
    /// The lines that would be written.
    pub text: String,
}

/// What was found under a folder.
#[derive(Debug, Default)]
pub struct Lessons {
    pub proposals: Vec<Proposal>,
    /// Words that were corrected though they are the usual ones for what they were taken for: no lesson.
    pub usual: Vec<(String, usize)>,
    /// Visits that could not be read.
    pub problems: Vec<record::Error>,
}

/// Proposals from all visits under `root` that were made at least `times` times, the most frequent first.
///
/// `office` are the office's files so far: what they teach already is proposed no more.
pub fn lessons(root: &Path, office: &[PathBuf], times: usize) -> Result<Lessons, Error> {
    let lexicon = Lexicon::with_office(office)?;
    let mut lessons = Lessons::default();
    let mut cases: BTreeMap<Lesson, Vec<Case>> = BTreeMap::new();
    let mut usual: BTreeMap<String, usize> = BTreeMap::new();
    for dir in crate::confirm::find_visits(root)? {
        match case::cases(&dir, &lexicon) {
            Err(error) => lessons.problems.push(error),
            Ok(found) => {
                for case in found {
                    match case.lesson.clone() {
                        Lesson::None => *usual.entry(case.phrase.clone()).or_default() += 1,
                        lesson => cases.entry(lesson).or_default().push(case),
                    }
                }
            }
        }
    }
    let often = cases.into_iter().filter(|(_, cases)| cases.len() >= times);
    for (lesson, cases) in often {
        lessons.proposals.extend(proposal(&lesson, &cases, office)?);
    }
    lessons.proposals.sort_by(|a, b| b.proofs.len().cmp(&a.proofs.len()).then(a.id.cmp(&b.id)));
    lessons.usual = usual.into_iter().collect();
    Ok(lessons)
}

/// The addition that follows from a lesson, if with it the words are read as the person said.
fn proposal(lesson: &Lesson, cases: &[Case], office: &[PathBuf]) -> Result<Option<Proposal>, Error> {
    let Some(first) = cases.first() else { return Ok(None) };
    let (id, text) = match lesson {
        Lesson::Means { entry, phrase } => {
            (format!("{entry}={phrase}"), keep::means(entry, phrase, first, cases.len()))
        }
        Lesson::Nothing { phrase } => (format!("nothing={phrase}"), keep::nothing(phrase, first, cases.len())),
        Lesson::None => return Ok(None),
    };
    // A form that is not well made, or that another entry owns, teaches nothing.
    let Ok(taught) = Lexicon::with_more(office, &text) else { return Ok(None) };
    let right = |case: &&Case| reads_right(case, &taught);
    if !cases.iter().all(|case| right(&case)) {
        return Ok(None);
    }
    let fact = matches!(lesson, Lesson::Means { .. }).then(|| first.fact.clone());
    Ok(Some(Proposal {
        id,
        phrase: first.phrase.clone(),
        fact,
        proofs: cases.iter().map(|case| case.proof.clone()).collect(),
        text,
    }))
}

/// Whether the sentence gives the fact that the person said, or no longer gives the one that was rejected.
fn reads_right(case: &Case, lexicon: &Lexicon) -> bool {
    let reading = read::facts(&Transcript::from_text(&case.proof.words), lexicon, "");
    let gives = reading.facts.iter().any(|f| format!("{} = {}", f.key(), f.value) == case.fact);
    gives != matches!(case.lesson, Lesson::Nothing { .. })
}
