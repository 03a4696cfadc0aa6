//! What is drawn from the words before corrections are obeyed: a fact in the making, with what speaks for it.
use super::note::Note;
use crate::lexicon::Match;
use crate::record::{Spoken, Value};
use std::ops::Range;

/// A fact in the making.
#[derive(Debug, Clone, PartialEq)]
pub struct Claim {
    pub component: String,
    pub attribute: String,
    pub value: Value,
    pub unit: Option<String>,
    pub range: Option<[f64; 2]>,
    pub spoken: Option<Spoken>,
    pub place: Option<String>,
    /// Tokens of the words that state it.
    pub at: Range<usize>,
    /// Tokens of the part it is about, if one was named.
    pub part: Option<Range<usize>>,
    /// The lexicon entry that made it.
    pub rule: String,
    pub signs: Signs,
}

/// What the confidence is computed from.
#[derive(Debug, Clone, PartialEq)]
pub struct Signs {
    /// How the words matched a term.
    pub matched: Match,
    /// How far the part was reached for: 0 beside it, 3 by default.
    pub reach: f64,
    /// Lowest probability of the words that state it.
    pub word: f32,
    pub hedged: bool,
    /// Follows from another fact rather than from words of its own.
    pub implied: bool,
    /// The number lies outside its plausible range.
    pub implausible: bool,
    pub number: bool,
    /// Certainty of the number's own reading.
    pub certainty: f64,
}

impl Default for Signs {
    fn default() -> Self {
        Signs {
            matched: Match::Exact,
            reach: 0.0,
            word: 1.0,
            hedged: false,
            implied: false,
            implausible: false,
            number: false,
            certainty: 1.0,
        }
    }
}

impl Claim {
    /// A claim from the tokens `at`.
    pub fn new(component: &str, attribute: &str, value: Value, at: Range<usize>, rule: &str) -> Self {
        Claim {
            component: component.to_owned(),
            attribute: attribute.to_owned(),
            value,
            unit: None,
            range: None,
            spoken: None,
            place: None,
            at,
            part: None,
            rule: rule.to_owned(),
            signs: Signs::default(),
        }
    }

    /// A claim of a named part that its own words do not state: it follows from what is said beside it.
    pub fn inferred(note: &Note, key: (&str, &str), value: Value, at: Range<usize>, part: &Range<usize>) -> Self {
        let mut claim = Claim::new(key.0, key.1, value, at, "");
        claim.signs = Signs { word: note.surety(&claim.at), reach: 1.0, ..Signs::default() };
        claim.part = Some(part.clone());
        claim
    }

    /// The same claim by another rule.
    pub fn by(mut self, rule: &str) -> Self {
        rule.clone_into(&mut self.rule);
        self
    }

    /// Whether both are about the same attribute.
    pub fn same_key(&self, other: &Claim) -> bool {
        self.component == other.component && self.attribute == other.attribute
    }

    pub fn is(&self, component: &str, attribute: &str) -> bool {
        self.component == component && self.attribute == attribute
    }

    /// All tokens it rests on.
    pub fn reach(&self) -> Range<usize> {
        match &self.part {
            Some(part) => self.at.start.min(part.start)..self.at.end.max(part.end),
            None => self.at.clone(),
        }
    }
}
