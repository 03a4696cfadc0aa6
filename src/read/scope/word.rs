//! Tokens in the form that the cues are written in.
use super::super::view::in_full;
use super::super::{Stop, Token};
use crate::lexicon::WordClass;
use rustc_hash::FxHashMap;

/// What a word can be in a sentence; a word may be several of these.
pub mod class {
    /// a, the, this, any, its.
    pub const DET: u32 = 1;
    /// the, this, its: what they stand before is taken to exist.
    pub const DEFINITE: u32 = 1 << 1;
    /// it, there, we, somebody.
    pub const PRON: u32 = 1 << 2;
    /// A verb that carries a clause: is, has, looks.
    pub const FINITE: u32 = 1 << 3;
    /// at, on, under: what follows is a place.
    pub const PLACE: u32 = 1 << 4;
    /// of, with, for: what follows is a place only after "the" and its like.
    pub const LINK: u32 = 1 << 5;
    pub const OR: u32 = 1 << 6;
    pub const AND: u32 = 1 << 7;
    /// The noun that ends a group: pan, valve, leak.
    pub const HEAD: u32 = 1 << 8;
    /// What opens a new group when it stands after a head: expansion, bare, copper.
    pub const OPENER: u32 = 1 << 9;
    /// What can be said of a thing without a verb: present, dry, missing.
    pub const STATE: u32 = 1 << 10;
    /// Adverbs and fillers that a cue reaches across: really, actually, um.
    pub const SOFT: u32 = 1 << 11;
    /// Signs of harm, which are listed after one "no": rust, dents.
    pub const FINDING: u32 = 1 << 12;
    /// Units of measure, which end what stands before them.
    pub const UNIT: u32 = 1 << 13;
    /// Sounds without meaning.
    pub const FILLER: u32 = 1 << 14;
    /// gallon, inch, number words.
    pub const NUMBER: u32 = 1 << 15;
    /// Whole forms of be, have, do and the modals.
    pub const AUX: u32 = 1 << 16;
    /// Words ending in -ing.
    pub const ING: u32 = 1 << 17;
    /// A possessive 's.
    pub const OWNS: u32 = 1 << 18;
    /// to, into, through.
    pub const TOWARD: u32 = 1 << 19;
    /// anywhere, at all: they close what a negation reaches.
    pub const CLOSER: u32 = 1 << 20;
    /// change, difference: "no change in the flue" leaves the flue.
    pub const RELATION: u32 = 1 << 21;
    /// Nouns that look like verbs: casing, ceiling.
    pub const NOUN: u32 = 1 << 22;
    /// so, then: nothing after it belongs to the group before.
    pub const CLOSING: u32 = 1 << 23;
    /// Ends its noun group whatever follows: rust, leaks, dripping.
    pub const FULL: u32 = 1 << 24;
    /// present, there, found: denied of a thing, they deny the thing.
    pub const EXISTING: u32 = 1 << 25;
    /// it, them, one: the object of a denial is already named.
    pub const OBJECT: u32 = 1 << 26;
    /// Verbs that do something to what is there: denied, they leave it there ("didn't fix the leak").
    pub const CHANGE: u32 = 1 << 27;
    /// if, unless.
    pub const CONDITION: u32 = 1 << 28;
    /// dry, clean: said of what is as it should be.
    pub const SOUND: u32 = 1 << 29;
}

/// A word of the cue files, as a number.
pub type WordId = u32;

/// A word that no cue and no class knows.
pub const UNKNOWN: WordId = 0;
/// The comma inside a cue.
pub const COMMA: WordId = 1;
/// Any form of "be".
pub const BE: WordId = 2;
/// An "'s" that may be short for "is" or show an owner.
pub const SHORT: WordId = 3;
pub const NOT: WordId = 4;
pub const NO: WordId = 5;
/// The gap inside a cue.
pub const GAP: WordId = 6;

/// The words that matter, each with its classes.
#[derive(Debug)]
pub struct Vocabulary {
    ids: FxHashMap<String, WordId>,
    classes: Vec<u32>,
}

impl Vocabulary {
    /// A vocabulary of the words that the code itself asks for.
    pub fn new() -> Self {
        let mut new = Vocabulary { ids: FxHashMap::default(), classes: vec![0] };
        for word in [",", "be", "'s", "not", "no", "..."] {
            new.intern(word);
        }
        new
    }

    /// The number of a word, a new one if it has none.
    pub fn intern(&mut self, word: &str) -> WordId {
        if let Some(&id) = self.ids.get(word) {
            return id;
        }
        let id = self.classes.len() as WordId;
        self.ids.insert(word.to_owned(), id);
        self.classes.push(0);
        id
    }

    /// Adds a class to a word.
    pub fn classify(&mut self, word: &str, class: u32) {
        let id = self.intern(word);
        self.classes[id as usize] |= class;
    }

    /// The number of a word.
    pub fn id(&self, word: &str) -> WordId {
        self.ids.get(word).copied().unwrap_or(UNKNOWN)
    }

    fn class(&self, id: WordId, text: &str) -> u32 {
        let known = self.classes.get(id as usize).copied().unwrap_or(0);
        let ing = text.len() > 4 && text.ends_with("ing") && known & class::NOUN == 0;
        let ing = if ing { class::ING } else { 0 };
        let digits = if text.starts_with(|c: char| c.is_ascii_digit()) { class::NUMBER } else { 0 };
        known | ing | digits
    }
}

/// One word of a note as the cues see it; a contraction gives two.
#[derive(Debug, Clone)]
pub struct Lexeme {
    pub id: WordId,
    pub class: u32,
    pub token: usize,
    /// What ends after it.
    pub stop: Stop,
    pub pause_ms: u64,
    /// Joined to the word before by a hyphen.
    pub joined: bool,
    /// A single letter.
    pub letter: bool,
    /// Ends like a plural.
    pub plural: bool,
    /// Ends like a past participle.
    pub past: bool,
}

impl Lexeme {
    /// Whether it is a verb of its own, no form of "be" or "have" and no modal.
    pub fn is_lexical_verb(&self) -> bool {
        self.is(class::FINITE) && !self.is(class::AUX)
    }

    /// Whether it is any of these classes.
    pub fn is(&self, class: u32) -> bool {
        self.class & class != 0
    }
}

/// A word taken apart into the forms that cues are written in: "isn't" is "be not".
pub fn forms(word: &str) -> [&str; 2] {
    match word {
        "is" | "are" | "was" | "were" | "am" | "been" | "being" | "'re" | "'m" | "s" => ["be", ""],
        "has" | "have" | "had" | "'ve" => ["have", ""],
        "do" | "does" | "did" => ["do", ""],
        "'ll" => ["will", ""],
        "'d" => ["would", ""],
        "isn't" | "isnt" | "wasn't" | "wasnt" | "aren't" | "arent" | "weren't" | "werent" | "ain't" | "aint"
        | "ainnt" => ["be", "not"],
        "doesn't" | "doesnt" | "don't" | "dont" | "didn't" | "didnt" => ["do", "not"],
        "hasn't" | "hasnt" | "haven't" | "havent" | "hadn't" | "hadnt" => ["have", "not"],
        "can't" | "cant" | "cannot" => ["can", "not"],
        "couldn't" | "couldnt" => ["could", "not"],
        "wouldn't" | "wouldnt" => ["would", "not"],
        "won't" | "wont" => ["will", "not"],
        "shouldn't" | "shouldnt" => ["should", "not"],
        "mustn't" | "mustnt" => ["must", "not"],
        "needn't" | "neednt" => ["need", "not"],
        "shan't" => ["shall", "not"],
        "n't" | "nt" => ["not", ""],
        "it'd" => ["it", "would"],
        "that'd" => ["that", "would"],
        "there'd" => ["there", "would"],
        "it'll" => ["it", "will"],
        "that'll" => ["that", "will"],
        "there'll" => ["there", "will"],
        "should've" => ["should", "have"],
        "could've" => ["could", "have"],
        "would've" => ["would", "have"],
        "might've" => ["might", "have"],
        "must've" => ["must", "have"],
        "coulda" => ["could", "have"],
        "woulda" => ["would", "have"],
        "shoulda" => ["should", "have"],
        "theres" => ["there", "be"],
        "thats" => ["that", "be"],
        "whats" => ["what", "be"],
        "gonna" => ["going", "to"],
        "gotta" => ["got", "to"],
        "lets" => ["let", "us"],
        "i'm" | "im" => ["i", "be"],
        "i've" | "ive" => ["i", "have"],
        "i'd" => ["i", "would"],
        "i'll" => ["i", "will"],
        "you're" | "youre" => ["you", "be"],
        "you've" | "youve" => ["you", "have"],
        "you'd" | "youd" => ["you", "would"],
        "you'll" => ["you", "will"],
        "we're" => ["we", "be"],
        "we've" | "weve" => ["we", "have"],
        "we'd" => ["we", "would"],
        "we'll" => ["we", "will"],
        "they're" | "theyre" => ["they", "be"],
        "they've" | "theyve" => ["they", "have"],
        "they'd" | "theyd" => ["they", "would"],
        "they'll" => ["they", "will"],
        "he'd" => ["he", "would"],
        "she'd" => ["she", "would"],
        "neighbour" => ["neighbor", ""],
        "nothin" => ["nothing", ""],
        "nae" | "naw" => ["no", ""],
        "isnae" | "wasnae" | "arenae" | "werenae" | "isna" | "wasna" => ["be", "not"],
        "couldnae" | "couldna" => ["could", "not"],
        "cannae" | "canna" => ["can", "not"],
        "dinnae" | "didnae" | "doesnae" | "dinna" | "didna" | "doesna" => ["do", "not"],
        "hasnae" | "havenae" | "hadnae" | "hasna" => ["have", "not"],
        "wouldnae" | "wouldna" => ["would", "not"],
        "nowt" => ["nothing", ""],
        _ => [in_full(word).unwrap_or(word), ""],
    }
}

/// The words of a note without fillers, contractions taken apart.
pub fn lexemes(tokens: &[Token], vocabulary: &Vocabulary) -> Vec<Lexeme> {
    let mut out: Vec<Lexeme> = Vec::with_capacity(tokens.len() + tokens.len() / 8);
    let mut silence = 0;
    for (at, token) in tokens.iter().enumerate() {
        silence = token.pause_ms.max(silence);
        let known = vocabulary.class(vocabulary.id(&token.text), &token.text);
        if known & class::FILLER != 0 {
            // The stop after a filler belongs to the word before it; a comma only sets the filler off ("no, um, leaks").
            if let Some(last) = out.last_mut() {
                let open = last.is(class::DET | class::PLACE | class::LINK | class::AUX | class::AND) || last.id == NO;
                if token.stop >= Stop::Sentence {
                    last.stop = last.stop.max(token.stop);
                } else if open && last.stop == Stop::Comma {
                    last.stop = Stop::None;
                }
            }
            continue;
        }
        let [first, mut second] = if token.text == "'s" { ["'s", ""] } else { forms(&token.text) };
        // "He'd replaced it" has happened, "he'd replace it" has not.
        if second == "would" && tokens.get(at + 1).is_some_and(|next| is_participle(&next.text)) {
            second = "have";
        }
        for text in [first, second].into_iter().filter(|t| !t.is_empty()) {
            let id = vocabulary.id(text);
            let letter = token.text.chars().count() == 1 && token.text.chars().all(char::is_alphabetic);
            let class = vocabulary.class(id, text);
            out.push(Lexeme {
                id,
                class,
                token: at,
                stop: Stop::None,
                pause_ms: silence,
                joined: token.joined,
                letter,
                past: text.len() > 3 && (text.ends_with("ed") || text.ends_with("en")),
                plural: text.len() > 3 && text.ends_with('s') && !text.ends_with("ss"),
            });
            silence = 0;
        }
        if let Some(last) = out.last_mut() {
            last.stop = token.stop;
        }
    }
    tell_verbs_from_owners(&mut out, vocabulary);
    out
}

/// Whether a word can only be a past participle.
fn is_participle(word: &str) -> bool {
    WordClass::Participle.holds(word)
        || (word.len() > 4 && word.ends_with("ed") && !WordClass::NoParticiple.holds(word))
}

/// Settles for each "'s" whether it is short for "is" or shows who owns what follows.
fn tell_verbs_from_owners(words: &mut [Lexeme], vocabulary: &Vocabulary) {
    let verb_class = vocabulary.class(BE, "be");
    for at in 0..words.len() {
        if words[at].id != SHORT {
            continue;
        }
        let after_pronoun = at > 0 && words[at - 1].is(class::PRON);
        let before_predicate = words.get(at + 1).is_none_or(|next| {
            let opens =
                class::DET | class::SOFT | class::STATE | class::PLACE | class::ING | class::NUMBER | class::PRON;
            next.is(opens | class::AUX | class::LINK) || matches!(next.id, NOT | NO)
        });
        if after_pronoun || before_predicate || words[at].stop != Stop::None {
            words[at].id = BE;
            words[at].class = verb_class;
        } else {
            words[at].class = class::OWNS;
        }
    }
}
