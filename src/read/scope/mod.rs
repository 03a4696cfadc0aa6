//! Whether a phrase is affirmed, negated, doubted, supposed or only told.
//!
//! The words that decide it are data (`lexicon/scope.toml`); how far each of them reaches is code. A note is walked once
//! from left to right: words are put into the form the cues are written in (`word`), cues are found (`cue`), and each
//! cue marks the words it reaches (`reach`). The question for one phrase is then a look at the marks of its words.
mod back;
mod bracket;
mod clause;
mod cue;
mod group;
mod list;
mod mark;
mod reach;
mod word;

#[cfg(test)]
mod tests;

use super::{Token, tokenize};
use crate::recognize::Transcript;
use std::ops::Range;

pub use cue::{Cue, Example, cues};
use mark::{Mark, Marker};

/// How a phrase is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Polarity {
    /// Said to be so.
    #[default]
    Affirmed,
    /// Said to be absent or not so.
    Negated,
    /// The speaker cannot tell.
    Doubtful,
    /// Supposed, advised, asked or quoted from a code, not observed.
    Hypothetical,
    /// Told by somebody else.
    Hearsay,
}

impl Polarity {
    /// All of them.
    pub const ALL: [Polarity; 5] =
        [Polarity::Affirmed, Polarity::Negated, Polarity::Doubtful, Polarity::Hypothetical, Polarity::Hearsay];

    /// The one of that name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|polarity| polarity.as_str() == name)
    }

    /// The word for it, as the cue file and the command line write it.
    pub fn as_str(self) -> &'static str {
        match self {
            Polarity::Affirmed => "affirmed",
            Polarity::Negated => "negated",
            Polarity::Doubtful => "doubtful",
            Polarity::Hypothetical => "hypothetical",
            Polarity::Hearsay => "hearsay",
        }
    }
}

impl std::fmt::Display for Polarity {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(self.as_str())
    }
}

/// How the phrase at `span` (bytes) of a sentence is meant.
pub fn polarity(sentence: &str, span: Range<usize>) -> Polarity {
    let tokens = tokenize(&Transcript::from_text(sentence));
    analyse(&tokens).of(token_span(sentence, span, tokens.len()))
}

/// Where a concept stands in a sentence (bytes), whatever its case and spacing; of several places the one in capitals,
/// else the first that is a whole word.
pub fn locate(concept: &str, sentence: &str) -> Option<Range<usize>> {
    let words: Vec<String> = concept.split_whitespace().map(regex::escape).collect();
    if words.is_empty() {
        return None;
    }
    let pattern = regex::RegexBuilder::new(&words.join(r"\s+")).case_insensitive(true).build().ok()?;
    let places: Vec<Range<usize>> = pattern.find_iter(sentence).map(|found| found.range()).collect();
    let capitals = |text: &str| !text.chars().any(char::is_lowercase) && text.chars().any(char::is_uppercase);
    let whole = |place: &&Range<usize>| {
        !sentence[..place.start].ends_with(char::is_alphanumeric)
            && !sentence[place.end..].starts_with(char::is_alphanumeric)
    };
    let marked = places.iter().filter(|place| capitals(&sentence[(*place).clone()]));
    let mut marked = marked.filter(|_| !capitals(sentence));
    marked.find(whole).or_else(|| places.iter().find(whole)).or(places.first()).cloned()
}

/// The tokens that the bytes `span` of a sentence fall into, given how many tokens it has.
fn token_span(sentence: &str, span: Range<usize>, count: usize) -> Range<usize> {
    let counted = |end: usize| {
        let end = (0..=end.min(sentence.len())).rev().find(|&at| sentence.is_char_boundary(at)).unwrap_or(0);
        tokenize(&Transcript::from_text(&sentence[..end])).len().min(count)
    };
    let start = counted(span.start).min(count.saturating_sub(1));
    start..counted(span.end).max(start + 1).min(count)
}

/// The scopes of one note: ask them how each phrase is meant.
#[derive(Debug, Clone, Default)]
pub struct Scopes {
    marks: Vec<Mark>,
    negators: Vec<Range<usize>>,
    doubters: Vec<Range<usize>>,
}

/// Finds the scopes of a whole note, in time that grows with its length.
pub fn analyse(tokens: &[Token]) -> Scopes {
    analyse_terms(tokens, &[])
}

/// Like [`analyse`], told where the things that can be there or not stand: a negation in unpunctuated words then ends
/// where the next thing begins.
pub fn analyse_terms(tokens: &[Token], things: &[Range<usize>]) -> Scopes {
    let (marks, negators, doubters) = Marker::run(tokens, things);
    Scopes { marks, negators, doubters }
}

impl Scopes {
    /// How the phrase of these tokens is meant.
    pub fn of(&self, span: Range<usize>) -> Polarity {
        self.deciding(span).map_or(Polarity::Affirmed, Mark::polarity)
    }

    /// The tokens of each negation, for those who account for every word.
    pub fn negators(&self) -> &[Range<usize>] {
        &self.negators
    }

    /// Whether the words doubt themselves: "not legible", "can't be read" hold the doubt within.
    pub fn doubts_itself(&self, span: &Range<usize>) -> bool {
        self.doubters.iter().any(|d| span.start <= d.start && d.end <= span.end)
    }

    /// Whether it is told of something that is not the heater under inspection: another house, another appliance, a story.
    pub fn elsewhere(&self, span: Range<usize>) -> bool {
        self.deciding(span).is_some_and(|mark| mark.elsewhere)
    }

    /// Whether the speaker hedges ("looks like", "maybe"): still a fact, only less sure.
    pub fn hedged(&self, span: Range<usize>) -> bool {
        self.marks.get(span).is_some_and(|marks| marks.iter().any(|mark| mark.hedged))
    }

    /// The mark that decides for a phrase: that of its first word that is no cue itself.
    fn deciding(&self, span: Range<usize>) -> Option<&Mark> {
        let marks = self.marks.get(span)?;
        marks.iter().find(|mark| !mark.cue && !mark.light).or_else(|| marks.iter().find(|m| !m.cue)).or(marks.first())
    }
}
