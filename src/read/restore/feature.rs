//! What stands around a gap between two words: the words themselves, and the terms and numbers that end or begin there.
use crate::lexicon::{Lexicon, TermRef};
use crate::read::mention::Mention;
use crate::read::note::thought_breaks;
use crate::read::number::Quantity;
use crate::read::token::Token;

/// The words and terms around every gap of a note.
pub struct Around<'a> {
    words: Vec<&'a str>,
    /// Kind and entry of the term that begins at each token.
    begins: Vec<Option<(&'static str, &'a str)>>,
    /// Kind and entry of the term that ends with each token.
    closes: Vec<Option<(&'static str, &'a str)>>,
    /// Whether one term goes on over the gap after each token.
    held: Vec<bool>,
    /// Tokens before which the rules think that a new thought begins.
    thoughts: Vec<usize>,
}

const NOTHING: (&str, &str) = ("-", "-");

impl<'a> Around<'a> {
    pub fn of(tokens: &'a [Token], terms: &[Mention], numbers: &[Quantity], lexicon: &'a Lexicon) -> Self {
        let plain: Vec<_> = numbers.iter().filter(|q| q.distractor.is_none()).map(|q| q.span.clone()).collect();
        let mut ends = vec![false; tokens.len()];
        ends.iter_mut().next_back().into_iter().for_each(|last| *last = true);
        let mut around = Around {
            words: tokens.iter().map(|t| t.text.as_str()).collect(),
            begins: vec![None; tokens.len()],
            closes: vec![None; tokens.len()],
            held: vec![false; tokens.len()],
            thoughts: thought_breaks(tokens, &ends, terms, &plain, lexicon),
        };
        for number in numbers {
            around.take(&number.span, ("number", number.unit.map_or("bare", |u| u.ucum())));
        }
        for term in terms {
            if let Some(label) = term.terms.iter().find_map(|(t, _)| label(lexicon, *t)) {
                around.take(&term.span, label);
            }
        }
        around
    }

    fn take(&mut self, span: &std::ops::Range<usize>, label: (&'static str, &'a str)) {
        if span.is_empty() {
            return;
        }
        self.begins[span.start] = Some(label);
        self.closes[span.end - 1] = Some(label);
        self.held[span.start..span.end - 1].fill(true);
    }

    fn word(&self, at: usize, back: usize, on: usize) -> &'a str {
        let place = (at + on).checked_sub(back);
        place.and_then(|p| self.words.get(p)).copied().unwrap_or("^")
    }

    /// Hands each feature of the gap after a token to `take`: its name and the words that fill it.
    pub fn each(&self, at: usize, since: usize, take: &mut dyn FnMut(&str, &[&str])) {
        let (before, last) = (self.word(at, 1, 0), self.word(at, 0, 0));
        let (next, after, third) = (self.word(at, 0, 1), self.word(at, 0, 2), self.word(at, 0, 3));
        let (closed, closed_by) = self.closes[at].unwrap_or(NOTHING);
        let (begun, begun_by) = self.begins.get(at + 1).copied().flatten().unwrap_or(NOTHING);
        let (soon, _) = self.begins.get(at + 2).copied().flatten().unwrap_or(NOTHING);
        let held = if self.held[at] { "held" } else { "free" };
        let since = since_name(since);
        let thought = if self.thoughts.binary_search(&(at + 1)).is_ok() { "thought" } else { "same" };
        take("always", &[]);
        take("thought", &[thought]);
        take("thought-last", &[thought, last]);
        take("thought-next", &[thought, next]);
        take("thought-terms", &[thought, closed, begun, held]);
        take("last", &[last]);
        take("next", &[next]);
        take("before", &[before]);
        take("after", &[after]);
        take("last-next", &[last, next]);
        take("next-after", &[next, after]);
        take("before-last", &[before, last]);
        take("next-after-third", &[next, after, third]);
        take("last-next-after", &[last, next, after]);
        take("held", &[held]);
        take("terms", &[closed, begun, held]);
        take("terms-soon", &[closed, begun, soon, held]);
        take("closed-next", &[closed, next]);
        take("last-begun", &[last, begun]);
        take("closed-by", &[closed_by]);
        take("begun-by", &[begun_by]);
        take("closed-by-begun", &[closed_by, begun]);
        take("since", &[since]);
        take("since-terms", &[since, closed, begun]);
        take("since-next", &[since, next]);
    }
}

fn since_name(since: usize) -> &'static str {
    match since {
        0..=1 => "1",
        2 => "2",
        3 => "3",
        4..=5 => "4",
        6..=8 => "6",
        9..=13 => "9",
        _ => "14",
    }
}

fn label(lexicon: &Lexicon, term: TermRef) -> Option<(&'static str, &str)> {
    match term {
        TermRef::Part(index) => Some(("part", lexicon.parts[index].id.as_str())),
        TermRef::Saying(index) => Some(("saying", lexicon.sayings[index].id.as_str())),
        TermRef::Cue(index) => Some(("cue", lexicon.cues[index].id.as_str())),
        TermRef::Reading(..) => None,
    }
}

/// A feature as one line of the model's file.
pub fn text(name: &str, words: &[&str]) -> String {
    let mut text = name.to_owned();
    for word in words {
        text.push(' ');
        text.push_str(word);
    }
    text
}

/// The same as a number, without making the text: FNV-1a over its bytes.
pub fn key(name: &str, words: &[&str]) -> u64 {
    let mut key = hash(START, name.as_bytes());
    for word in words {
        key = hash(hash(key, b" "), word.as_bytes());
    }
    key
}

pub const START: u64 = 0xcbf2_9ce4_8422_2325;

pub fn hash(from: u64, bytes: &[u8]) -> u64 {
    bytes.iter().fold(from, |key, byte| (key ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3))
}
