//! Sentences that lead in a heater: "the left one's gas", "unit B, in the attic", "back to the garage one".
use crate::lexicon::{Role, WordClass};
use crate::read::note::Note;
use std::ops::Range;

/// Words that may lead in a heater; whether they do is told by what they go on with.
#[derive(Debug, Clone, PartialEq)]
pub struct Lead {
    pub at: usize,
    /// Where the sentence ends.
    pub end: usize,
    /// What tells this heater from the others: a room, a side, a fuel, a number.
    pub named: Vec<String>,
    /// Whether the words themselves speak of another one.
    pub other: bool,
    /// Whether they name a heater, and not but "one".
    pub heater: bool,
    /// Whether nothing but a room leads it in.
    pub room_only: bool,
    /// Whether they go back to one that was told of.
    pub back: bool,
}

/// A heater is named within so many tokens of its sentence's beginning.
const WITHIN: usize = 9;
/// A room told behind "the one in the" is no further away.
const ROOM_WITHIN: usize = 5;

/// All of a note, in order; at most one a sentence.
pub fn find(note: &Note) -> Vec<Lead> {
    note.segments.sentences.iter().filter_map(|sentence| lead(note, sentence)).collect()
}

fn lead(note: &Note, sentence: &Range<usize>) -> Option<Lead> {
    let words = sentence.start..sentence.end.min(sentence.start + WITHIN);
    if note.scopes.elsewhere(words.start..words.start + 1) || note.is_abroad(words.start) {
        return None;
    }
    let noun = words.clone().find(|at| note.is(*at, WordClass::HeaterNoun) && !is_counted(note, *at));
    let before = words.start..noun.map_or(words.end, |noun| noun + 1);
    let other = before.clone().any(|at| note.is(at, WordClass::Another));
    let back = words.clone().any(|at| note.text(at) == "back" && note.text(at + 1) == "to");
    let mut named = rooms(note, &before);
    named.extend(before.filter(|at| note.is(*at, WordClass::WhichOne)).map(|at| plain(note.text(at))));
    if let Some(noun) = noun {
        named.extend(number_behind(note, noun));
        // "The one out in the shed", "the heater in the attic".
        named.extend(rooms(note, &(noun + 1..sentence.end.min(noun + 1 + ROOM_WITHIN))));
    }
    let heater = noun.is_some_and(|at| note.text(at) != "one");
    let room_only = noun.is_none() && !other;
    (!named.is_empty() || other).then_some(Lead {
        at: sentence.start,
        end: sentence.end,
        named,
        other,
        heater,
        room_only,
        back,
    })
}

/// "One gas, one electric", "two thousand one", "one of them": no pronoun for a heater.
fn is_counted(note: &Note, at: usize) -> bool {
    let pointed = at > 0
        && (note.is(at - 1, WordClass::WhichOne)
            || note.is(at - 1, WordClass::Another)
            || matches!(note.text(at - 1), "the" | "this" | "that" | "hand" | "side")
            || note
                .mentions_in(&(at.saturating_sub(ROOM_WITHIN)..at))
                .iter()
                .any(|m| m.span.end == at && m.is(note.lexicon, Role::Place)));
    note.text(at) == "one" && !pointed
}

/// The rooms told of in a range, word by word.
fn rooms(note: &Note, range: &Range<usize>) -> Vec<String> {
    let told = note.mentions_in(range).iter().filter(|m| m.is(note.lexicon, Role::Place));
    let words = told.flat_map(|m| m.span.clone()).filter(|at| !note.is(*at, WordClass::AnyRoom));
    words.map(|at| note.text(at).to_owned()).collect()
}

/// The number or letter right behind the noun: "unit two", "heater B".
fn number_behind(note: &Note, noun: usize) -> Option<String> {
    let at = noun + 1 + usize::from(note.text(noun + 1) == "number");
    number(note.text(at)).map(|number| number.to_string())
}

/// The number that a word counts a heater by.
pub fn number(word: &str) -> Option<u32> {
    match word {
        "one" | "1" | "first" => Some(1),
        "two" | "2" | "ii" | "b" | "second" => Some(2),
        "three" | "3" | "iii" | "c" | "third" => Some(3),
        _ => None,
    }
}

/// A word that tells one heater from another, in one form for all: "second" is "2".
fn plain(word: &str) -> String {
    number(word).map_or_else(|| word.to_owned(), |number| number.to_string())
}
