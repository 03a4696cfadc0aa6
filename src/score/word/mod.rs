//! How well the words were heard: word error rate and the share of the trade's terms.
//!
//! Both texts are first brought to one form, the way the Whisper paper (Radford et al. 2022,
//! appendix C) describes for English, since "forty five hundred watts" and "4500 watts" are the same
//! words. Errors are counted as jiwer counts them: substitutions, deletions and insertions over the
//! words of the reference, all texts together.
mod letter;
mod normal;
mod number;
mod term;

pub use letter::join as join_letters;
pub use normal::normalize;
pub use term::{TermTally, Terms};

use serde::Serialize;
use std::ops::AddAssign;

/// Errors among the words of a reference.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct WordErrors {
    pub errors: usize,
    pub words: usize,
}

impl WordErrors {
    /// Errors per word of the reference.
    pub fn rate(&self) -> f64 {
        if self.words == 0 { 0.0 } else { self.errors as f64 / self.words as f64 }
    }
}

impl AddAssign for WordErrors {
    fn add_assign(&mut self, other: WordErrors) {
        self.errors += other.errors;
        self.words += other.words;
    }
}

impl Serialize for WordErrors {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        use serde::ser::SerializeMap;
        let mut map = serializer.serialize_map(Some(3))?;
        map.serialize_entry("errors", &self.errors)?;
        map.serialize_entry("words", &self.words)?;
        map.serialize_entry("rate", &self.rate())?;
        map.end()
    }
}

/// Counts the errors of what was heard against the words spoken, both normalized.
pub fn word_errors(spoken: &str, heard: &str) -> WordErrors {
    let (spoken, heard) = (normalize(spoken), normalize(heard));
    let spoken: Vec<&str> = spoken.split_whitespace().collect();
    let heard: Vec<&str> = heard.split_whitespace().collect();
    WordErrors { errors: edits(&spoken, &heard), words: spoken.len() }
}

/// The fewest substitutions, deletions and insertions that turn one list of words into the other.
fn edits(from: &[&str], to: &[&str]) -> usize {
    let mut row: Vec<usize> = (0..=to.len()).collect();
    for (at, word) in from.iter().enumerate() {
        let mut diagonal = row[0];
        row[0] = at + 1;
        for (column, other) in to.iter().enumerate() {
            let replaced = diagonal + usize::from(word != other);
            diagonal = row[column + 1];
            row[column + 1] = replaced.min(diagonal + 1).min(row[column] + 1);
        }
    }
    row[to.len()]
}

#[cfg(test)]
mod tests;
