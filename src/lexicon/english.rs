//! Everyday English words, to tell a maker's name from an ordinary word.
use std::collections::HashSet;

const WORDS: &str = include_str!("../../lexicon/english.txt");

/// All of them, lower case.
pub fn words() -> HashSet<&'static str> {
    WORDS.lines().filter(|line| !line.starts_with('#')).collect()
}
