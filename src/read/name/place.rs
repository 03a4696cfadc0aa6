//! Rooms: where the heater stands, by how it is said.
use super::joined;
use crate::lexicon::Role;
use crate::read::claim::Claim;
use crate::read::note::Note;
use crate::read::number;
use crate::read::token::Stop;
use crate::record::Value;
use std::ops::Range;

/// All of a note.
pub fn claims(note: &Note) -> Vec<Claim> {
    let mut claims = Vec::new();
    for (at, mention) in note.mentions.iter().enumerate() {
        if !mention.is(note.lexicon, Role::Place) || !note.observed(&mention.span) || note.negated(&mention.span) {
            continue;
        }
        let start = with_words_before(note, at);
        let span = start..mention.span.end;
        let Some(weight) = place_weight(note, &span) else { continue };
        let mut claim = Claim::new("water-heater", "place", Value::Text(joined(note, &span)), span.clone(), "room");
        claim.signs.reach = 2.0 - weight;
        claim.signs.word = note.surety(&span);
        claims.push(claim);
    }
    claims
}

/// Takes in "second floor", "attached" and the like before the room.
fn with_words_before(note: &Note, at: usize) -> usize {
    let mut start = note.mentions[at].span.start;
    for previous in note.mentions[..at].iter().rev() {
        let belongs = previous.is(note.lexicon, Role::PlaceBefore) || previous.is(note.lexicon, Role::Place);
        if !belongs || previous.span.end != start || note.tokens[start - 1].stop > Stop::None {
            break;
        }
        start = previous.span.start;
    }
    start
}

/// "Hot at the kitchen was one eighteen": a room where a reading was taken.
fn taken_there(note: &Note, span: &Range<usize>) -> bool {
    let clause = note.clause(span.start);
    note.quantities_in(&note.sentence(span.start)).iter().any(|q| {
        let reading = q
            .unit
            .is_some_and(|u| number::convert(1.0, u, "psi").is_some() || (number::convert(1.0, u, "degF").is_some()));
        reading
            || (q.unit.is_none()
                && q.distractor.is_none()
                && q.year.is_none()
                && clause.contains(&q.span.start)
                && q.value >= 30.0)
    })
}

/// How likely a room is where the heater stands; nothing if it is not.
fn place_weight(note: &Note, span: &Range<usize>) -> Option<f64> {
    let clause = note.clause(span.start);
    let before = |back: usize| {
        if span.start >= back && span.start - back >= clause.start { note.text(span.start - back) } else { "" }
    };
    let lead = if matches!(before(1), "the" | "a" | "an" | "this" | "my" | "their" | "his" | "her" | "our" | "that") {
        before(2)
    } else {
        before(1)
    };
    let next = note.tokens.get(span.end).map_or("", |t| t.text.as_str());
    if matches!(
        lead,
        "over"
            | "above"
            | "below"
            | "beneath"
            | "into"
            | "from"
            | "off"
            | "behind"
            | "toward"
            | "towards"
            | "through"
            | "between"
            | "outside"
            | "for"
            | "to"
            | "leaving"
            | "near"
            | "like"
            | "past"
    ) || (note.tokens[span.end - 1].stop == Stop::None
        && matches!(
            next,
            "ceiling"
                | "sink"
                | "wall"
                | "door"
                | "floor"
                | "faucet"
                | "tub"
                | "panel"
                | "light"
                | "window"
                | "cabinet"
                | "below"
                | "above"
                | "slab"
                | "was"
                | "were"
                | "'s"
                | "has"
                | "had"
        ))
    {
        return None;
    }
    if taken_there(note, span) {
        return None;
    }
    let sentence = note.sentence(span.start);
    let opens = (sentence.start..span.start).all(|at| {
        matches!(
            note.text(at),
            "the"
                | "a"
                | "an"
                | "okay"
                | "so"
                | "and"
                | "um"
                | "well"
                | "now"
                | "alright"
                | "right"
                | "this"
                | "is"
                | "here"
                | "it"
                | "'s"
        )
    });
    if opens && clause.len() < 12 {
        return Some(1.65);
    }
    if matches!(lead, "in" | "inside" | "at" | "on" | "within" | "under") || (lead == "of" && before(1) != lead) {
        return Some(1.6);
    }
    if clause.len() == span.len() {
        return Some(1.7);
    }
    if span.start == clause.start || span.end == clause.end {
        return Some(1.0);
    }
    Some(0.4)
}
