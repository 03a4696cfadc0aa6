//! All spoken forms in one net of words, walked along a note.
use super::pattern::Form;
use rustc_hash::FxHashMap;

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

/// A word's number in the net: a note's words are looked up once, not at every step of every walk.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Word(u32);

/// A word that stands in no form.
const UNKNOWN: Word = Word(u32::MAX);

/// The end of a form; `order` is when it was laid down, for between equals the earlier entry stands first.
#[derive(Debug, Clone, Copy)]
struct Leaf {
    term: TermRef,
    quality: Match,
    order: usize,
}

#[derive(Debug, Default)]
struct Node {
    /// Where each next word leads, in the order of the words; one word may lead to several nodes.
    next: Vec<(Word, u32)>,
    gap: Vec<usize>,
    leaves: Vec<Leaf>,
    /// Whether one path alone leads here, so that another form may go on from here too.
    alone: bool,
}

impl Node {
    /// The nodes that a word leads to, in the order in which they were laid down.
    fn after(&self, word: Word) -> impl Iterator<Item = usize> {
        let from = self.next.partition_point(|(next, _)| *next < word);
        self.next[from..].iter().take_while(move |(next, _)| *next == word).map(|(_, node)| *node as usize)
    }

    fn lead(&mut self, word: Word, to: usize) {
        let at = self.next.partition_point(|(next, _)| *next <= word);
        self.next.insert(at, (word, to as u32));
    }
}

/// The forms, compiled.
#[derive(Debug)]
pub struct Trie {
    numbers: FxHashMap<String, Word>,
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
        Trie { numbers: FxHashMap::default(), nodes: vec![Node { alone: true, ..Node::default() }] }
    }
}

impl Trie {
    /// Adds a form: its choices branch and join again, so that it costs no more than its words.
    pub fn insert(&mut self, form: &Form, term: TermRef, quality: Match) {
        for end in self.grow(form, vec![0]) {
            let order = self.nodes.len();
            self.nodes[end].leaves.push(Leaf { term, quality, order });
        }
    }

    /// Lays a form behind each of the nodes and returns the nodes at its end.
    fn grow(&mut self, form: &Form, from: Vec<usize>) -> Vec<usize> {
        match form {
            Form::Word(word) => {
                let word = self.number(word);
                if let Some(known) = self.shared(&from, word) {
                    return vec![known];
                }
                let fresh = self.fresh();
                self.nodes[fresh].alone = matches!(from[..], [node] if self.nodes[node].alone);
                for node in from {
                    self.nodes[node].lead(word, fresh);
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
            Form::Choice(any) => self.branch(any, &from),
        }
    }

    /// Every branch's ends. Two branches of the same words weigh twice, as two forms would; where several may be left
    /// out, the way past them is one.
    fn branch(&mut self, any: &[Form], from: &[usize]) -> Vec<usize> {
        let mut ends: Vec<usize> = Vec::new();
        let mut passed = false;
        for one in any {
            let mut own = self.grow(one, from.to_vec());
            own.retain(|end| !(passed && from.contains(end)));
            passed |= own.iter().any(|end| from.contains(end));
            ends.extend(own);
        }
        ends
    }

    /// The node behind `from` that forms beginning alike have in common: with one for each of them, a walk would try
    /// all of them at every step.
    fn shared(&self, from: &[usize], word: Word) -> Option<usize> {
        let [node] = from else { return None };
        self.nodes[*node].after(word).find(|known| self.nodes[*known].alone)
    }

    fn fresh(&mut self) -> usize {
        self.nodes.push(Node::default());
        self.nodes.len() - 1
    }

    fn number(&mut self, word: &str) -> Word {
        if let Some(number) = self.numbers.get(word) {
            return *number;
        }
        let number = Word(self.numbers.len() as u32);
        self.numbers.insert(word.to_owned(), number);
        number
    }

    /// A note's folded words, as [`Trie::find`] takes them.
    pub fn words(&self, words: &[String]) -> Vec<Word> {
        words.iter().map(|word| self.numbers.get(word).copied().unwrap_or(UNKNOWN)).collect()
    }

    /// Every form in a text of folded words, wherever it begins.
    pub fn find_all(&self, words: &[String]) -> Vec<Hit> {
        let words = self.words(words);
        (0..words.len()).flat_map(|start| self.find(&words, start, words.len())).collect()
    }

    /// Every form that begins at `start` and ends by `stop`; those on the same words are one hit, its terms the surest
    /// first, each once for every form that fits.
    pub fn find(&self, words: &[Word], start: usize, stop: usize) -> Vec<Hit> {
        let mut ends: Vec<End> = Vec::new();
        self.walk(&words[..stop.min(words.len())], End { at: start, words: 0, node: 0 }, &mut ends);
        ends.sort_by_key(|end| (end.at, end.words));
        let same = ends.chunk_by(|a, b| (a.at, a.words) == (b.at, b.words));
        same.map(|ends| Hit { start, end: ends[0].at, words: ends[0].words, terms: self.terms(ends) }).collect()
    }

    fn terms(&self, ends: &[End]) -> Vec<(TermRef, Match)> {
        let mut leaves: Vec<Leaf> = ends.iter().flat_map(|end| &self.nodes[end.node].leaves).copied().collect();
        leaves.sort_by_key(|leaf| (leaf.quality, leaf.order));
        leaves.into_iter().map(|leaf| (leaf.term, leaf.quality)).collect()
    }

    /// Follows the words from a place in the net and notes where forms end.
    fn walk(&self, words: &[Word], here: End, ends: &mut Vec<End>) {
        let node = &self.nodes[here.node];
        if !node.leaves.is_empty() {
            ends.push(here);
        }
        self.step(words, here.at, here, ends);
        for gap in &node.gap {
            for at in here.at..words.len().min(here.at + GAP + 1) {
                self.step(words, at, End { node: *gap, ..here }, ends);
            }
        }
    }

    /// Takes the word at `at`, if a form goes on with it.
    fn step(&self, words: &[Word], at: usize, from: End, ends: &mut Vec<End>) {
        let Some(word) = words.get(at) else { return };
        for node in self.nodes[from.node].after(*word) {
            self.walk(words, End { at: at + 1, words: from.words + 1, node }, ends);
        }
    }
}

/// How far a walk has come: the word after it, the words of the form, and where in the net.
#[derive(Debug, Clone, Copy)]
struct End {
    at: usize,
    words: usize,
    node: usize,
}
