//! Names as read out: the maker, the model, the serial number, the room.
mod brand;
mod code;
mod place;
mod unlisted;

use super::claim::Claim;
use super::note::Note;
use super::token::{Stop, Token};
use crate::lexicon::WordClass;
use std::ops::Range;

/// All names of a note.
pub fn claims(note: &Note) -> Vec<Claim> {
    let mut claims = code::claims(note);
    claims.extend(brand::claims(note));
    claims.extend(place::claims(note));
    claims
}

/// Whether words tell what kind of heater it is: its fuel, its make-up or its volume.
pub fn tells_kind(note: &Note, range: &Range<usize>) -> bool {
    let kind = |state: &str| state.starts_with("water-heater.energy") || state.starts_with("water-heater.style");
    note.mentions_in(range).iter().any(|m| note.states(m).any(kind))
        || note.quantities_in(range).iter().any(|q| q.measures("gal"))
}

/// The words from `start` on of a thing that no list knows, up to the first that cannot be of its name or to a stop; no
/// more than one beyond `most`, which is too long for a name.
pub fn unlisted_words(note: &Note, start: usize, most: usize, ends: &dyn Fn(&Token) -> bool) -> Range<usize> {
    let names = |token: &Token| {
        let joins = token.is(WordClass::Preposition) || token.is(WordClass::Binding);
        !joins && !ends(token) && token.text.chars().all(char::is_alphabetic)
    };
    let mut end = start;
    while end <= start + most && note.tokens.get(end).is_some_and(names) {
        end += 1;
        if note.tokens[end - 1].stop > Stop::None {
            break;
        }
    }
    start..end
}

/// Words of a note as they are written in a row: "owner" and "'s" are one.
pub fn joined(note: &Note, span: &Range<usize>) -> String {
    let mut text = String::new();
    for token in &note.tokens[span.clone()] {
        if !text.is_empty() && !token.text.starts_with('\'') {
            text.push(' ');
        }
        text.push_str(&token.text);
    }
    text
}
