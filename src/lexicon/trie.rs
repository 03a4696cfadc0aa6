//! All spoken forms in one net of words, walked along a note.
use super::pattern::Form;
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
    next: HashMap<String, Vec<usize>>,
    gap: Vec<usize>,
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
    /// Adds a form: its choices branch and join again, so that it costs no more than its words.
    pub fn insert(&mut self, form: &Form, term: TermRef, quality: Match) {
        for end in self.grow(form, vec![0]) {
            if !self.nodes[end].leaves.iter().any(|(t, _)| *t == term) {
                self.nodes[end].leaves.push((term, quality));
            }
        }
    }

    /// Lays a form behind each of the nodes and returns the nodes at its end.
    fn grow(&mut self, form: &Form, from: Vec<usize>) -> Vec<usize> {
        match form {
            Form::Word(word) => {
                let fresh = self.fresh();
                for node in from {
                    self.nodes[node].next.entry(word.clone()).or_default().push(fresh);
                }
                vec![fresh]
            }
            Form::Gap => {
                let fresh = self.fresh();
                for node in from {
                    self.nodes[node].gap.push(fresh);
                }
                vec![fresh]
            }
            Form::Sequence(parts) => parts.iter().fold(from, |from, part| self.grow(part, from)),
            Form::Choice(any) => {
                let mut ends: Vec<usize> = any.iter().flat_map(|one| self.grow(one, from.clone())).collect();
                ends.sort_unstable();
                ends.dedup();
                ends
            }
        }
    }

    fn fresh(&mut self) -> usize {
        self.nodes.push(Node::default());
        self.nodes.len() - 1
    }

    /// Every form that begins at `start` and ends by `stop`.
    pub fn find(&self, words: &[String], start: usize, stop: usize) -> Vec<Hit> {
        let mut found = Vec::new();
        self.walk(words, start, start, stop, 0, 0, &mut found);
        found
    }

    #[allow(clippy::too_many_arguments, reason = "a recursive walk carries its state")]
    fn walk(
        &self,
        words: &[String],
        start: usize,
        at: usize,
        stop: usize,
        node: usize,
        count: usize,
        found: &mut Vec<Hit>,
    ) {
        let here = &self.nodes[node];
        if !here.leaves.is_empty() {
            found.push(Hit { start, end: at, words: count, terms: here.leaves.clone() });
        }
        for next in words[..stop].get(at).and_then(|word| here.next.get(word)).into_iter().flatten() {
            self.walk(words, start, at + 1, stop, *next, count + 1, found);
        }
        for gap in &here.gap {
            for here in at..stop.min(at + GAP + 1) {
                for next in self.nodes[*gap].next.get(&words[here]).into_iter().flatten() {
                    self.walk(words, start, here + 1, stop, *next, count + 1, found);
                }
            }
        }
    }
}
