//! The trade's words as data: loaded, checked and compiled.
mod catalogue;
mod check;
mod class;
mod english;
mod entry;
mod load;
mod names;
pub mod number_word;
mod page;
mod pattern;
mod pull;
mod source;
mod term;
mod trie;

pub use catalogue::{Catalogue, Kind, Row};
pub use check::{Finding, check};
pub use class::{WordClass, WordClasses};
pub use entry::Entry;
pub use load::Error;
pub use names::{Names, plain};
pub use page::page;
pub use pattern::fold;
pub use source::Source;
pub use term::{Cue, Example, NumberTerm, OneOrMany, Part, Role, Saying};
pub use trie::{Hit, Match, TermRef, Trie};

use rustc_hash::FxHashSet;
use std::sync::OnceLock;

/// All that the reading knows of the trade.
#[derive(Debug)]
pub struct Lexicon {
    pub catalogue: Catalogue,
    pub parts: Vec<Part>,
    pub sayings: Vec<Saying>,
    pub readings: Vec<NumberTerm>,
    pub cues: Vec<Cue>,
    pub trie: Trie,
    /// Words of everyday English, to tell a maker's name from an ordinary word.
    pub english: FxHashSet<&'static str>,
    /// Every word of every form, folded.
    pub vocabulary: FxHashSet<String>,
    /// Every form without gaps, as people say it, for the pull on recognition; made when something is to be heard.
    forms: OnceLock<Vec<String>>,
    /// Which text each entry came from, for messages.
    pub origin: Vec<Source>,
}

impl Lexicon {
    /// The lexicon that ships with the program; a test proves that it is well made.
    pub fn shipped() -> Result<Self, Error> {
        Self::load(&source::shipped())
    }

    /// The shipped lexicon with an office's own files laid over it; an unreadable or ill-made file is an error.
    pub fn with_office(paths: &[std::path::PathBuf]) -> Result<Self, Error> {
        let mut sources = source::shipped();
        for path in paths {
            sources.push(source::from_disk(path)?);
        }
        Self::load(&sources)
    }

    /// The lexicon with an office's files and, on top of them, a text that is in no file yet.
    pub fn with_more(paths: &[std::path::PathBuf], text: &str) -> Result<Self, Error> {
        let mut sources = source::shipped();
        for path in paths {
            sources.push(source::from_disk(path)?);
        }
        sources.push(Source { name: "proposal".to_owned(), text: text.to_owned(), about: String::new() });
        Self::load(&sources)
    }

    /// The forms that speech recognition should lean towards.
    pub fn spoken_forms(&self) -> &[String] {
        self.forms.get_or_init(|| pull::forms(self))
    }

    /// Whether a term is a command to the note or to the program.
    fn is_command(&self, term: TermRef) -> bool {
        use Role::{EndOfNote, NextItem, ReadBack, ScratchThat, StartListening, StopListening, WhatIsLeft};
        let commands = [ScratchThat, NextItem, EndOfNote, WhatIsLeft, ReadBack, StopListening, StartListening];
        matches!(term, TermRef::Cue(at) if commands.contains(&self.cues[at].role))
    }

    /// A hash over all that shapes a reading, so that a cached result can be told stale.
    pub fn version(&self) -> String {
        use sha2::{Digest, Sha256};
        let mut hash = Sha256::new();
        for source in &self.origin {
            hash.update(source.text.as_bytes());
        }
        hash.update(class::SHIPPED.as_bytes());
        hash.finalize().iter().take(8).map(|b| format!("{b:02x}")).collect()
    }

    /// Whether a component can have `attribute`, and `value` where given.
    pub fn supports(&self, component: &str, attribute: &str, value: Option<&str>) -> bool {
        self.catalogue
            .row(component, attribute)
            .is_some_and(|row| value.is_none_or(|value| row.values.is_empty() || row.values.iter().any(|v| v == value)))
    }
}

#[cfg(test)]
mod tests;
