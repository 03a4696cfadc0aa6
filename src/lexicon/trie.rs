//! All spoken forms in one trie, walked along the words of a note.
use super::pattern::Piece;
use std::collections::HashMap;

/// Which entry a form belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum TermRef {
    Part(usize),
    Saying(usize),
    Cue(usize),
    /// Words for a number: the entry, and whether they speak for it.
    Reading(usize, bool),
}

/// How a form was matched.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Match {
    Exact,
    /// A short form that leans on its neighbours.
    Weak,
    /// A form that recognisers are known to write for it.
    Misheard,
    /// Close in sound or letters.
    Fuzzy,
}

#[derive(Debug, Default)]
struct Node {
    next: HashMap<String, usize>,
    gap: Option<usize>,
    leaves: Vec<(TermRef, Match)>,
}

/// The forms, compiled.
#[derive(Debug)]
pub struct Trie {
    nodes: Vec<Node>,
}

/// A form found: its words, whether they are all there without a gap, and whose it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Hit {
    pub start: usize,
    pub end: usize,
    /// Words of the form itself, without those skipped.
    pub words: usize,
    pub terms: Vec<(TermRef, Match)>,
}

/// Words that a gap may skip.
const GAP: usize = 3;

impl Default for Trie {
    fn default() -> Self {
        Trie { nodes: vec![Node::default()] }
    }
}

impl Trie {
    /// Adds one flat form.
    pub fn insert(&mut self, form: &[Piece], term: TermRef, quality: Match) {
        let mut at = 0;
        for piece in form {
            let fresh = self.nodes.len();
            let slot = match piece {
                Piece::Word(word) => self.nodes[at].next.entry(word.clone()).or_insert(fresh),
                Piece::Gap => self.nodes[at].gap.get_or_insert(fresh),
            };
            let to = *slot;
            if to == fresh {
                self.nodes.push(Node::default());
            }
            at = to;
        }
        if !self.nodes[at].leaves.iter().any(|(t, _)| *t == term) {
            self.nodes[at].leaves.push((term, quality));
        }
    }

    /// Whether some form begins with, or holds, this word; used to tell trade words from names.
    pub fn begins(&self, word: &str) -> bool {
        self.nodes[0].next.contains_key(word)
    }

    /// Every form that begins at `start`, the words given by `word_at`; `may_skip` says whether a gap may cross a word.
    pub fn find<'a>(&self, words: &'a [String], start: usize, stop: usize) -> Vec<Hit> {
        let mut found = Vec::new();
        self.walk(words, start, start, stop, 0, 0, &mut found);
        found
    }

    #[allow(clippy::too_many_arguments, reason = "a recursive walk carries its state")]
    fn walk(&self, words: &[String], start: usize, at: usize, stop: usize, node: usize, count: usize, found: &mut Vec<Hit>) {
        let here = &self.nodes[node];
        if !here.leaves.is_empty() {
            found.push(Hit { start, end: at, words: count, terms: here.leaves.clone() });
        }
        if at < stop
            && let Some(next) = here.next.get(&words[at])
        {
            self.walk(words, start, at + 1, stop, *next, count + 1, found);
        }
        if let Some(gap) = here.gap {
            for skip in 0..=GAP {
                if at + skip >= stop {
                    break;
                }
                if let Some(next) = self.nodes[gap].next.get(&words[at + skip]) {
                    self.walk(words, start, at + skip + 1, stop, *next, count + 1, found);
                }
            }
        }
    }
}
