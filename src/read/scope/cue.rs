//! The cues and word classes of `lexicon/scope.toml`, compiled once into a tree of words.
use super::super::Stop;
use super::Polarity;
use super::bracket::{self, Piece};
use super::group::BINDING;
use super::word::{COMMA, GAP, Lexeme, NO, NOT, UNKNOWN, Vocabulary, WordId, class, forms};
use serde::Deserialize;
use std::collections::HashMap;
use std::sync::LazyLock;

/// What a cue does to the words it reaches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    Negated,
    Doubtful,
    Hypothetical,
    Hearsay,
    /// Takes back a question or a negation: "yes", "there is one".
    Affirmed,
    Hedged,
    Elsewhere,
    /// Ends what the cues before it reach.
    Stop,
    /// Looks like a cue and is none: "no wait", "not only".
    Plain,
}

/// Which words a cue reaches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Default)]
#[serde(rename_all = "lowercase")]
pub enum Reach {
    /// Itself only.
    #[default]
    Itself,
    /// The noun group that follows, with what is joined to it.
    Noun,
    /// The noun group that follows; under another negation the two cancel out.
    Lack,
    /// The noun groups that follow, in a list of any length.
    List,
    /// The predicate that follows, with its object.
    Verb,
    /// The subject before it.
    Subject,
    /// The fragment or question just before it.
    Answer,
    /// Like `Answer`, for words that answer only as a fragment of their own: "negative".
    Reply,
    /// All of the statement that follows: "I don't think ...".
    Claim,
    /// The words that follow up to the next stop, or a few where there are none: "I thought it was wet, wiped it".
    Breath,
    /// The clause just before it, which it answers in a clause of its own: "there isn't one".
    Anaphor,
    /// The number that follows, if one does.
    Number,
    /// The next few words of the clause.
    Near,
    /// The predicate that follows, but not its subject: "neither union is leaking".
    Each,
    /// The word before it: "rust-free".
    Suffix,
    /// What stands in the gap of the cue itself: "left ... off".
    Inside,
    /// Like `Verb`, where a predicate and no noun follows: "nothing leaking".
    Predicate,
    /// The list after the comma that ends it: "missing: pan, straps, and trap".
    Head,
    /// The clause it stands in.
    Clause,
    /// The clause that it opens, if it opens one: "the furnace ...".
    Topic,
    /// From it to the end of the sentence.
    Onward,
    /// Everything in the sentence before it.
    Back,
    /// The whole sentence.
    Sentence,
}

/// An example phrase: the concept in brackets, and how it is meant if not as its list says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Example {
    pub sentence: String,
    pub span: std::ops::Range<usize>,
    pub expected: Polarity,
}

/// Words that decide how others are meant, with examples.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cue {
    pub kind: Kind,
    #[serde(default)]
    pub reach: Reach,
    /// Phrases; "(a|b c|)" stands for each of its parts, the empty one too; "..." for one to four words.
    pub says: Vec<String>,
    /// Phrases whose bracketed words are meant as `kind` says.
    #[serde(default)]
    pub yes: Vec<String>,
    /// Phrases whose bracketed words are affirmed, or what stands after " = ".
    #[serde(default)]
    pub no: Vec<String>,
}

#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    class: HashMap<String, String>,
    cue: Vec<Cue>,
    examples: HashMap<String, Vec<String>>,
}

/// A cue found in a note.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hit {
    pub kind: Kind,
    pub reach: Reach,
    /// Lexemes it takes up.
    pub len: usize,
}

#[derive(Debug, Default)]
struct Node {
    /// Few enough to look through one by one, except at the root.
    next: Vec<(WordId, u32)>,
    cue: Option<(Kind, Reach)>,
}

/// All cues, ready to be looked for.
#[derive(Debug)]
pub struct Cues {
    pub vocabulary: Vocabulary,
    pub list: Vec<Cue>,
    /// Further examples by what is expected of them.
    pub examples: HashMap<String, Vec<String>>,
    nodes: Vec<Node>,
    /// The node of each word that begins a cue, 0 for none.
    roots: Vec<u32>,
}

/// Words in the gap of a cue, at most.
const LONGEST_GAP: usize = 4;

const SOURCE: &str = include_str!("../../../lexicon/scope.toml");

static SHIPPED: LazyLock<Cues> = LazyLock::new(|| {
    // A test parses the same text, so a broken file never leaves the house; without cues everything is affirmed.
    Cues::parse(SOURCE).unwrap_or_else(|_| Cues::compile(File::default()))
});

/// The cues that ship with the program.
pub fn cues() -> &'static Cues {
    &SHIPPED
}

impl Cues {
    /// Compiles the text of a cue file.
    pub fn parse(text: &str) -> Result<Self, toml::de::Error> {
        let file: File = toml::from_str(text)?;
        if let Some(name) = file.class.keys().find(|name| class_of(name).is_none()) {
            return Err(serde::de::Error::custom(format!("there is no word class '{name}'")));
        }
        Ok(Self::compile(file))
    }

    fn compile(file: File) -> Self {
        let (list, examples) = (Vec::new(), file.examples);
        let mut cues =
            Cues { vocabulary: Vocabulary::new(), list, examples, nodes: vec![Node::default()], roots: Vec::new() };
        for (name, words) in &file.class {
            for word in words.split_whitespace() {
                cues.vocabulary.classify(word, class_of(name).unwrap_or(0));
            }
        }
        for cue in &file.cue {
            cue.says.iter().for_each(|says| cues.lay(says, (cue.kind, cue.reach)));
        }
        cues.list = file.cue;
        cues
    }

    /// Lays down every phrase that an entry stands for.
    fn lay(&mut self, says: &str, meaning: (Kind, Reach)) {
        let pieces = bracket::parse(says);
        for Place { at, word } in self.branch(&pieces, vec![Place::default()]) {
            let at = self.finish(at, &word);
            // The first entry of the file wins, so that a clash is seen in one place.
            self.nodes[at].cue.get_or_insert(meaning);
        }
    }

    /// The places to which any of these alternatives lead.
    fn branch(&mut self, any: &[Vec<Piece>], from: Vec<Place>) -> Vec<Place> {
        let mut ends = Vec::new();
        for pieces in any {
            let mut places = from.clone();
            for piece in pieces {
                places = match piece {
                    Piece::Choice(any) => self.branch(any, places),
                    Piece::Text(text) => places.into_iter().map(|place| self.follow(place, text)).collect(),
                };
            }
            ends.extend(places);
        }
        ends.sort_unstable();
        // Ways that come together go on as one.
        ends.dedup();
        ends
    }

    /// Goes on from a place with a piece of text, whose last word may go on in the next piece: "leak(s|ing)".
    fn follow(&mut self, Place { mut at, mut word }: Place, text: &str) -> Place {
        let mut parts = text.split(char::is_whitespace);
        word.push_str(parts.next().unwrap_or(""));
        for part in parts {
            at = self.finish(at, &word);
            word.clear();
            word.push_str(part);
        }
        Place { at, word }
    }

    /// The node behind one and a whole word.
    fn finish(&mut self, mut at: usize, word: &str) -> usize {
        for form in forms(word).into_iter().filter(|form| !form.is_empty()) {
            let id = self.vocabulary.intern(form);
            at = self.step(at, id).unwrap_or_else(|| self.grow(at, id));
        }
        at
    }

    /// Adds a node below one.
    fn grow(&mut self, at: usize, id: WordId) -> usize {
        let node = self.nodes.len();
        self.nodes.push(Node::default());
        if at == 0 {
            self.roots.resize(self.roots.len().max(id as usize + 1), 0);
            self.roots[id as usize] = node as u32;
        } else {
            self.nodes[at].next.push((id, node as u32));
        }
        node
    }

    /// The cues of a note by the lexeme each starts at: the longest from the left, none inside another.
    pub fn find(&self, words: &[Lexeme]) -> Vec<Option<Hit>> {
        let mut hits = vec![None; words.len()];
        let mut at = 0;
        while at < words.len() {
            // "it is" answers, "it is not" does not.
            let denied = |hit: &Hit| {
                let goes_on = words[at + hit.len - 1].stop == Stop::None;
                hit.kind == Kind::Affirmed && goes_on && words.get(at + hit.len).is_some_and(|w| w.id == NOT)
            };
            let hit = self.longest(&words[at..]).filter(|hit| !denied(hit) && !self.open_ended(words, at, hit));
            // "Never plug a relief valve", but "somebody never put the cap on".
            let led =
                at > 0 && words[at - 1].stop == Stop::None && words[at - 1].is(BINDING | class::PRON | class::HEAD);
            let hit = hit.filter(|hit| hit.reach != Reach::Topic || !led);
            hits[at] = hit;
            at += hit.map_or(1, |hit| hit.len);
        }
        hits
    }

    /// Whether "it isn't" or the like goes on, so that it is no answer of its own: "it isn't missing".
    fn open_ended(&self, words: &[Lexeme], at: usize, hit: &Hit) -> bool {
        let (first, last) = (&words[at], &words[at + hit.len - 1]);
        let next = words.get(at + hit.len);
        if hit.kind == Kind::Affirmed && hit.reach == Reach::Anaphor {
            return last.stop == Stop::None && next.is_some();
        }
        let no = last.id == NO && hit.len > 1;
        let not = last.id == NOT && first.is(class::PRON | class::AUX) && first.id != self.vocabulary.id("there");
        let answers = hit.reach == Reach::Anaphor && (no || not);
        let ends = last.stop != Stop::None || next.is_none_or(|next| next.is(class::AND | class::CLOSER));
        answers && !ends
    }

    fn longest(&self, words: &[Lexeme]) -> Option<Hit> {
        let (mut node, mut best, mut soft) = (0, None, 0);
        for (at, word) in words.iter().enumerate() {
            if at > 0 && words[at - 1].stop >= Stop::Sentence {
                break;
            }
            if at > 0 && words[at - 1].stop == Stop::Comma {
                match self.step(node, COMMA) {
                    Some(next) => node = next,
                    None => break,
                }
            }
            if let Some(gap) = self.step(node, GAP) {
                let closed = (1..=LONGEST_GAP).find_map(|skip| self.after_gap(gap, words, at + skip));
                return closed.or(best);
            }
            match self.step(node, word.id) {
                Some(next) if word.id != UNKNOWN => node = next,
                // "isn't really there": adverbs may stand inside a cue.
                _ if at > 0 && word.is(class::SOFT) && soft < 2 => {
                    soft += 1;
                    continue;
                }
                _ => break,
            }
            // "It isn't leaking and never has": what closes a clause may close a sentence, where it looks like a cue only.
            let last = word.stop > Stop::Comma || at + 1 == words.len();
            let plain = |node: &usize| self.nodes[*node].cue.is_some_and(|(kind, _)| kind == Kind::Plain);
            let closing = self.step(node, COMMA).filter(|node| word.stop == Stop::Comma || (last && plain(node)));
            let ends = [closing, Some(node)].into_iter().flatten().find_map(|node| self.nodes[node].cue);
            if let Some((kind, reach)) = ends {
                best = Some(Hit { kind, reach, len: at + 1 });
            }
        }
        best
    }

    /// The rest of a cue whose gap ends before the word at `at`.
    fn after_gap(&self, mut node: usize, words: &[Lexeme], at: usize) -> Option<Hit> {
        let open = words.get(at - 1)?.stop == Stop::None && !words[at - 1].is(class::FINITE);
        for (step, word) in words.get(at..)?.iter().enumerate().filter(|_| open) {
            node = self.step(node, word.id)?;
            if let Some((kind, reach)) = self.nodes[node].cue {
                return Some(Hit { kind, reach, len: at + step + 1 });
            }
        }
        None
    }

    fn step(&self, node: usize, word: WordId) -> Option<usize> {
        if node == 0 {
            return self.roots.get(word as usize).map(|&next| next as usize).filter(|&next| next != 0);
        }
        self.nodes[node].next.iter().find(|(id, _)| *id == word).map(|&(_, next)| next as usize)
    }
}

/// The class that a name in the file stands for.
fn class_of(name: &str) -> Option<u32> {
    Some(match name {
        "article" => class::DET,
        "definite" => class::DET | class::DEFINITE,
        "pronoun" => class::PRON,
        "auxiliary" => class::FINITE | class::AUX,
        "verb" => class::FINITE,
        "place" => class::PLACE,
        "link" => class::LINK,
        "toward" => class::TOWARD,
        "or" => class::OR,
        "and" => class::AND,
        "head" => class::HEAD,
        "opener" => class::OPENER,
        "state" => class::STATE,
        "soft" => class::SOFT,
        "finding" => class::FINDING | class::HEAD,
        "unit" => class::UNIT,
        "number" => class::NUMBER,
        "filler" => class::FILLER,
        "closer" => class::CLOSER,
        "relation" => class::RELATION,
        "noun" => class::NOUN,
        "closing" => class::CLOSING,
        "condition" => class::CONDITION,
        "change" => class::CHANGE,
        "object" => class::OBJECT,
        "existing" => class::EXISTING | class::STATE,
        "sound" => class::SOUND,
        "full" => class::FULL | class::FINDING | class::HEAD,
        _ => return None,
    })
}

/// How far a phrase is laid down: behind which node, and what there is of its next word.
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Place {
    at: usize,
    word: String,
}

impl Kind {
    /// The polarity that the kind's examples have.
    pub fn polarity(self) -> Polarity {
        match self {
            Kind::Negated => Polarity::Negated,
            Kind::Doubtful => Polarity::Doubtful,
            Kind::Hypothetical => Polarity::Hypothetical,
            Kind::Hearsay => Polarity::Hearsay,
            _ => Polarity::Affirmed,
        }
    }
}

impl Cue {
    /// The examples with what is expected of each; one that is not well formed is named in the error.
    pub fn examples(&self) -> Result<Vec<Example>, String> {
        let yes = self.yes.iter().map(|text| Example::parse(text, self.kind.polarity()));
        yes.chain(self.no.iter().map(|text| Example::parse(text, Polarity::Affirmed))).collect()
    }
}

impl Example {
    /// Reads an example; the concept stands in brackets, and what is expected, if not `usual`, after " = ".
    pub fn parse(text: &str, usual: Polarity) -> Result<Self, String> {
        let (marked, expected) = match text.rsplit_once(" = ") {
            Some((marked, name)) => {
                (marked, Polarity::named(name).ok_or_else(|| format!("'{name}' in '{text}' is no polarity"))?)
            }
            None => (text, usual),
        };
        let (before, rest) = marked.split_once('[').ok_or_else(|| format!("no [concept] in '{text}'"))?;
        let (concept, after) = rest.split_once(']').ok_or_else(|| format!("'[' is never closed in '{text}'"))?;
        let span = before.len()..before.len() + concept.len();
        Ok(Example { sentence: format!("{before}{concept}{after}"), span, expected })
    }
}
