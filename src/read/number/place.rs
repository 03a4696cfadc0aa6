//! Where in a line of text each token stands.
use crate::read::Token;
use crate::recognize::{Transcript, Word};
use std::ops::Range;

/// The words of a line with their bytes; typed marks such as `[pause 1]` have no meaning here.
pub(super) fn words(text: &str) -> (Transcript, Vec<Range<usize>>) {
    let mut places = Vec::new();
    let mut words = Vec::new();
    let mut end = 0;
    for piece in text.split_whitespace() {
        let start = end + text[end..].find(piece).unwrap_or(0);
        end = start + piece.len();
        let start_ms = words.len() as u64;
        words.push(Word { text: piece.to_owned(), start_ms, end_ms: start_ms + 1, probability: 1.0 });
        places.push(start..end);
    }
    (Transcript { version: 1, timed: false, model: String::new(), reason: None, words }, places)
}

/// The bytes of each token, found within its word; a token that is not there letter by letter gets the whole word.
pub(super) fn tokens(text: &str, tokens: &[Token], words: &[Range<usize>]) -> Vec<Range<usize>> {
    let mut found: Vec<Range<usize>> = Vec::with_capacity(tokens.len());
    for (index, token) in tokens.iter().enumerate() {
        let word = words.get(token.word).cloned().unwrap_or(0..0);
        let same_word = index > 0 && tokens[index - 1].word == token.word;
        let from = if same_word { found[index - 1].end.clamp(word.start, word.end) } else { word.start };
        found.push(locate(text, from..word.end, &token.text).unwrap_or(word));
    }
    found
}

/// The first place in a part of the text that reads as a lower-case word.
fn locate(text: &str, part: Range<usize>, lower: &str) -> Option<Range<usize>> {
    let starts = text.get(part.clone())?.char_indices().map(|(at, _)| part.start + at);
    starts.into_iter().find_map(|start| {
        let end = match_lower(text.get(start..part.end)?, lower)?;
        Some(start..start + end)
    })
}

/// How many bytes of the text read as the lower-case word, if it begins with it.
fn match_lower(text: &str, lower: &str) -> Option<usize> {
    let mut rest = lower;
    for (at, c) in text.char_indices() {
        if rest.is_empty() {
            return Some(at);
        }
        let c = if matches!(c, '’' | '‘') { '\'' } else { c };
        for l in c.to_lowercase() {
            rest = rest.strip_prefix(l)?;
        }
    }
    rest.is_empty().then_some(text.len())
}
