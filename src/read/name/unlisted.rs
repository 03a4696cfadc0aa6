//! A room that no list names, told in the first sentences as where the heater is: "It's out in the smokehouse."
use super::place::names_heater;
use super::{joined, unlisted_words};
use crate::lexicon::{Role, WordClass};
use crate::read::claim::Claim;
use crate::read::note::{Note, strong_part};
use crate::record::Value;
use std::ops::Range;

/// The heater's room is told within so many sentences.
const SOON: usize = 4;
/// A room has no more words.
const LONGEST: usize = 3;
/// How far what no list knows is from being a room for certain.
const REACH: f64 = 1.2;

/// The first such room.
pub fn claim(note: &Note) -> Option<Claim> {
    let soon = note.segments.sentences.iter().take(SOON).next_back()?.end;
    let span = (0..soon).find_map(|at| room(note, at))?;
    let mut claim =
        Claim::new("water-heater", "place", Value::Text(joined(note, &span)), span.clone(), "unlisted room");
    claim.signs.reach = REACH;
    claim.signs.word = note.surety(&span);
    Some(claim)
}

/// The words of a room behind "it's in the", beginning at the "in".
fn room(note: &Note, at: usize) -> Option<Range<usize>> {
    if !matches!(note.text(at), "in" | "inside" | "under") || !note.is(at + 1, WordClass::Article) {
        return None;
    }
    let clause = note.clause(at);
    let before = clause.start.max(at.saturating_sub(6))..at;
    let stands = before
        .clone()
        .any(|at| note.is(at, WordClass::Standing) || note.is(at, WordClass::Coming) || note.text(at) == "i'm");
    let of_it = before.clone().any(|at| matches!(note.text(at), "it" | "this" | "she" | "i" | "we" | "here" | "i'm"));
    let span = unlisted_words(note, at + 2, LONGEST, &|t| t.is(WordClass::NoRoom) || t.text.len() <= 2);
    let bounded = !span.is_empty() && span.len() <= LONGEST;
    let no_room = note.is(span.end, WordClass::NoRoom);
    let own = note.mentions_in(&span).iter().any(|m| strong_part(m).is_some() || m.is(note.lexicon, Role::Other));
    let here = bounded
        && stands
        && (of_it || names_heater(note, &before))
        && !own
        && !no_room
        && note.observed(&span)
        && !note.negated(&span);
    here.then_some(span)
}
