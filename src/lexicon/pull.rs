//! Which forms speech recognition should lean towards: the trade's own words, not those of every talk.
use super::pattern::{Form, phrases};
use std::collections::HashSet;

/// A form that stands for more phrases is too loose to lean towards.
const MOST_PHRASES: usize = 150;
/// A longer phrase is met in its parts.
const MOST_WORDS: usize = 4;

const WORDS: &str = include_str!("../../lexicon/plain.txt");

/// Words of every talk, which alone are no term.
pub struct Plain(HashSet<&'static str>);

impl Plain {
    /// All of them, folded as forms are.
    pub fn words() -> Self {
        Plain(WORDS.lines().filter(|line| !line.starts_with('#')).flat_map(str::split_whitespace).collect())
    }

    /// The phrases of a form that are terms: up to four words, and one of them at least the trade's own.
    pub fn pulling(&self, form: &Form) -> Vec<String> {
        let mut all = phrases(form, MOST_PHRASES).unwrap_or_default();
        all.retain(|phrase| {
            let words = phrase.split(' ');
            words.clone().count() <= MOST_WORDS && words.into_iter().any(|word| !self.0.contains(word))
        });
        all.iter().map(|phrase| phrase.replace(" 's", "'s")).collect()
    }
}
