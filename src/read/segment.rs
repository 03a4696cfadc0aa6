//! Sentences and clauses, from punctuation, pauses and the words that open a new thought.
use super::token::{Stop, Token};
use crate::lexicon::WordClass;
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

/// For each token, whether a sentence surely ends after it. Heard times are rough, typed ones are as meant.
pub fn ends(tokens: &[Token], heard: bool) -> Vec<bool> {
    let pause = |at: usize| tokens.get(at + 1).is_none_or(|next| next.pause_ms >= SENTENCE_PAUSE_MS);
    let ends = |(at, t): (usize, &Token)| {
        t.stop >= Stop::Sentence || (pause(at) && !(heard && t.stop == Stop::None && is_torn_off(tokens, at + 1)))
    };
    tokens.iter().enumerate().map(ends).collect()
}

/// Whether a token is the last word of a sentence that the recogniser put on the far side of the pause after it:
/// "scratch ... that. There is".
fn is_torn_off(tokens: &[Token], at: usize) -> bool {
    let alone = tokens.get(at).is_some_and(|t| t.stop >= Stop::Sentence);
    alone && tokens.get(at + 1).is_none_or(|next| next.pause_ms < CLAUSE_PAUSE_MS / 2)
}

/// Fewer than one comma in so many tokens is no punctuation.
const SPARSE: usize = 14;

/// Stretches between sure ends that have more than `short` tokens and hardly a comma.
pub fn bare(tokens: &[Token], ends: &[bool], short: usize) -> Vec<Range<usize>> {
    let mut bare = Vec::new();
    let mut from = 0;
    while from < tokens.len() {
        let to = (from..tokens.len()).find(|at| ends[*at]).map_or(tokens.len(), |at| at + 1);
        let commas = tokens[from..to].iter().filter(|t| t.stop == Stop::Comma).count();
        if to - from > short && commas * SPARSE < to - from {
            bare.push(from..to);
        }
        from = to;
    }
    bare
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
    let next = tokens.get(at + 1);
    token.pause_ms >= CLAUSE_PAUSE_MS
        || token.is(WordClass::ClauseOpener)
        || (token.text == "and" && next.is_some_and(|next| next.is(WordClass::AfterAnd)))
}

#[cfg(test)]
mod tests {
    use super::super::token::tokenize;
    use super::*;
    use crate::recognize::Transcript;

    #[test]
    fn a_last_word_put_behind_the_pause_stays_with_its_sentence_in_what_was_heard() {
        let transcript =
            Transcript::from_text("Fifty gallon. Scratch [pause 1.4] that. There is a pan [pause 1.5] dry.");
        let tokens = tokenize(&transcript);
        let after = |heard| {
            let ends = ends(&tokens, heard);
            tokens.iter().zip(ends).filter(|(_, end)| *end).map(|(t, _)| t.text.clone()).collect::<Vec<_>>()
        };
        assert_eq!(after(false), ["gallon", "scratch", "that", "pan", "dry"]);
        assert_eq!(after(true), ["gallon", "that", "dry"]);
    }
}
