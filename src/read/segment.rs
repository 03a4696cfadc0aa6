//! Sentences and clauses, from punctuation, pauses and the words that open a new thought.
use super::token::{Stop, Token};
use std::ops::Range;

/// The cuts of a note.
#[derive(Debug, Default)]
pub struct Segments {
    pub sentences: Vec<Range<usize>>,
    pub clauses: Vec<Range<usize>>,
    /// Sentence and clause of each token.
    pub sentence_of: Vec<usize>,
    pub clause_of: Vec<usize>,
}

/// A silence this long ends a sentence even without punctuation; recognisers end words early, so it is generous.
const SENTENCE_PAUSE_MS: u64 = 1400;
/// A silence this long ends a clause.
const CLAUSE_PAUSE_MS: u64 = 800;

const OPENERS: [&str; 10] =
    ["but", "so", "then", "although", "though", "while", "because", "which", "however", "except"];
const AFTER_AND: [&str; 34] = [
    "the", "it", "its", "there", "there's", "no", "a", "an", "i", "they", "he", "she", "we", "that", "this", "then",
    "not", "neither", "both", "looks", "is", "has", "ends", "stops", "runs", "goes", "pitches", "drops", "you", "my",
    "your", "don't", "didn't", "couldn't",
];

/// For each token, whether a sentence surely ends after it.
pub fn ends(tokens: &[Token]) -> Vec<bool> {
    let pause = |at: usize| tokens.get(at + 1).is_none_or(|next| next.pause_ms >= SENTENCE_PAUSE_MS);
    tokens.iter().enumerate().map(|(at, t)| t.stop >= Stop::Sentence || pause(at)).collect()
}

/// Cuts the note; `breaks` are tokens before which a new sentence is thought to begin though nothing marks it.
pub fn cut(tokens: &[Token], ends: &[bool], breaks: &[usize]) -> Segments {
    let mut segments = Segments::default();
    let (mut sentence_from, mut clause_from) = (0, 0);
    for at in 0..tokens.len() {
        let last = at + 1 == tokens.len();
        let sentence_ends = last || ends[at] || breaks.binary_search(&(at + 1)).is_ok();
        let clause_ends = sentence_ends || tokens[at].stop == Stop::Comma || opens_clause(tokens, at + 1);
        segments.sentence_of.push(segments.sentences.len());
        segments.clause_of.push(segments.clauses.len());
        if clause_ends {
            segments.clauses.push(clause_from..at + 1);
            clause_from = at + 1;
        }
        if sentence_ends {
            segments.sentences.push(sentence_from..at + 1);
            sentence_from = at + 1;
        }
    }
    segments
}

fn opens_clause(tokens: &[Token], at: usize) -> bool {
    let Some(token) = tokens.get(at) else { return false };
    let next = tokens.get(at + 1).map_or("", |t| t.text.as_str());
    token.pause_ms >= CLAUSE_PAUSE_MS
        || OPENERS.contains(&token.text.as_str())
        || (token.text == "and" && AFTER_AND.contains(&next))
}
