//! The words of a sentence that the lexicon does not know, or only as something misheard.
use crate::lexicon::{Lexicon, Match, TermRef, fold};
use crate::read::tokenize;
use crate::recognize::Transcript;

/// Words that belong to any sentence and mean nothing of the trade.
const PLAIN: [&str; 44] = [
    "the", "a", "an", "is", "are", "was", "were", "be", "been", "it", "its", "'s", "of", "in", "on", "to", "and",
    "with", "this", "that", "these", "those", "here", "there", "looks", "look", "like", "i", "think", "at", "for",
    "has", "have", "got", "made", "from", "all", "both", "some", "we", "see", "which", "as", "so",
];
/// More words than this are a sentence, not a name for something.
const MOST: usize = 3;

/// A sentence's words as forms of the lexicon are written, and whether each is one that it knows for sure.
fn known(sentence: &str, lexicon: &Lexicon) -> Vec<(String, bool)> {
    let tokens: Vec<String> = tokenize(&Transcript::from_text(sentence)).into_iter().map(|t| t.text).collect();
    let folded: Vec<String> = tokens.iter().map(|t| fold(t)).collect();
    let mut known: Vec<bool> = tokens.iter().map(|t| PLAIN.contains(&t.as_str())).collect();
    for hit in lexicon.trie.find_all(&folded) {
        // A gap may skip words that are none of the form's.
        if hit.words == hit.end - hit.start && hit.terms.iter().any(|&(term, how)| is_sure(term, how)) {
            known[hit.start..hit.end].fill(true);
        }
    }
    tokens.into_iter().zip(known).collect()
}

fn is_sure(term: TermRef, how: Match) -> bool {
    !matches!(term, TermRef::Reading(..)) && matches!(how, Match::Exact | Match::Weak)
}

/// The one run of words that the lexicon has no sure meaning for; none, if there is no such run or more than one.
pub fn unknown(sentence: &str, lexicon: &Lexicon) -> Option<String> {
    let words = known(sentence, lexicon);
    let mut runs = words.split(|(_, known)| *known).filter(|run| !run.is_empty());
    let (run, other) = (runs.next()?, runs.next());
    let is_number = |word: &str| word.chars().any(|c| c.is_ascii_digit());
    if other.is_some() || run.len() > MOST || run.iter().any(|(word, _)| is_number(word)) {
        return None;
    }
    Some(run.iter().map(|(word, _)| word.as_str()).collect::<Vec<_>>().join(" "))
}

/// The sentence around some words of a transcript.
pub fn sentence(transcript: &Transcript, span: [usize; 2]) -> Option<String> {
    let words = &transcript.words;
    if span[0] >= span[1] || span[1] > words.len() {
        return None;
    }
    let ends = |at: usize| words[at].text.ends_with(['.', '?', '!']);
    let start = (0..span[0]).rev().find(|&at| ends(at)).map_or(0, |at| at + 1);
    let end = (span[1] - 1..words.len()).find(|&at| ends(at)).map_or(words.len(), |at| at + 1);
    Some(words[start..end].iter().map(|w| w.text.as_str()).collect::<Vec<_>>().join(" "))
}

/// Every sentence of a transcript.
pub fn sentences(transcript: &Transcript) -> Vec<String> {
    let text = |words: &[crate::recognize::Word]| words.iter().map(|w| w.text.as_str()).collect::<Vec<_>>().join(" ");
    transcript.words.split_inclusive(|w| w.text.ends_with(['.', '?', '!'])).map(text).collect()
}
