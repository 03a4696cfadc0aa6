//! Names as read out: the maker, the model, the serial number, the room.
mod brand;
mod code;
mod place;
mod unlisted;

use super::claim::Claim;
use super::note::Note;
use std::ops::Range;

/// All names of a note.
pub fn claims(note: &Note) -> Vec<Claim> {
    let mut claims = code::claims(note);
    claims.extend(brand::claims(note));
    claims.extend(place::claims(note));
    claims
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
