//! Words to facts: numbers and units, terms, scope, corrections, linking.
pub mod number;
pub mod scope;
mod token;

use crate::lexicon::Lexicon;
use crate::recognize::Transcript;
use crate::record::{Command, Evidence, Fact, Limit, Photo};

pub use token::{Stop, Token, tokenize};

/// What one note says.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Reading {
    pub facts: Vec<Fact>,
    pub limits: Vec<Limit>,
    pub photos: Vec<Photo>,
    pub commands: Vec<Command>,
    /// Sentences that made no fact, word for word.
    pub remarks: Vec<(String, Evidence)>,
}

/// Reads the facts out of one note; `note` names it in the evidence.
pub fn facts(_transcript: &Transcript, _lexicon: &Lexicon, _note: &str) -> Reading {
    Reading::default()
}
