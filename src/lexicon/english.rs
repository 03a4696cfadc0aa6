//! Everyday English words, to tell a maker's name or a garbled word from an ordinary one.
use super::Lexicon;
use super::pattern::fold;
use rustc_hash::FxHashSet;

const WORDS: &str = include_str!("../../lexicon/english.txt");

/// All of them, lower case.
pub fn words() -> FxHashSet<&'static str> {
    WORDS.lines().filter(|line| !line.starts_with('#')).collect()
}

impl Lexicon {
    /// Whether everyday English has a word, or what it is the plural of.
    pub fn is_english(&self, word: &str) -> bool {
        self.english.contains(word)
            || self.english.contains(fold(word).as_str())
            || word.strip_suffix('s').is_some_and(|one| one.len() > 3 && self.english.contains(one))
    }
}
