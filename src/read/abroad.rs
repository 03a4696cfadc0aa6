//! Sentences about another appliance: what is said of the furnace is no fact of the water heater.
use super::note::{Note, part_of};
use crate::lexicon::{Match, Role};
use std::ops::Range;

/// The sentences, or the clauses of them, whose talk is of another appliance.
pub fn find(note: &Note) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut away = false;
    for sentence in &note.segments.sentences {
        let mentions = note.mentions_in(sentence);
        let other = mentions.iter().find(|m| m.is(note.lexicon, Role::Other) && is_subject(note, &m.span));
        let own = mentions.iter().find(|m| {
            part_of(m)
                .is_some_and(|(index, quality)| quality == Match::Exact && note.lexicon.parts[index].presence.is_some())
                || names_heater(note, m)
        });
        match (other, own) {
            (Some(_), None) => {
                found.push(sentence.clone());
                away = true;
            }
            // The part named after the appliance is its own: "the boiler relief valve".
            (Some(other), Some(own)) if own.span.start >= other.span.end && !names_heater(note, own) => {
                found.push(note.clause(other.span.start));
            }
            (Some(_), Some(_)) => away = false,
            (None, None) if away && leans_back(note, sentence) => found.push(sentence.clone()),
            (None, _) => away = false,
        }
    }
    found
}

/// Whether a note that talks of other appliances is about a water heater at all: it is named, or two parts of one are.
pub fn leaves_heater_out(note: &Note) -> bool {
    if !note.mentions.iter().any(|m| m.is(note.lexicon, Role::Other) && is_subject(note, &m.span)) {
        return false;
    }
    let here = |m: &&super::mention::Mention| note.abroad.iter().all(|a| !a.contains(&m.span.start));
    let mut parts = std::collections::HashSet::new();
    for mention in note.mentions.iter().filter(here) {
        if names_heater(note, mention) {
            return false;
        }
        if let Some((index, Match::Exact)) = part_of(mention) {
            parts.extend(note.lexicon.parts[index].presence.as_deref());
        }
    }
    parts.len() < 2
}

fn names_heater(note: &Note, mention: &super::mention::Mention) -> bool {
    part_of(mention).is_some_and(|(index, quality)| {
        quality == Match::Exact && note.lexicon.parts[index].component.list().iter().any(|c| c == "water-heater")
    })
}

/// "By the furnace" only says where.
fn is_subject(note: &Note, span: &Range<usize>) -> bool {
    let clause = note.clause(span.start);
    span.start - clause.start <= 4 && (clause.start..span.start).all(|at| !note.is_preposition(at))
}

/// A sentence that goes on about what was named before: "It's a natural gas one."
fn leans_back(note: &Note, sentence: &Range<usize>) -> bool {
    note.tokens[sentence.clone()].iter().take(4).any(|t| matches!(t.text.as_str(), "it" | "its" | "that" | "they"))
        || sentence.len() <= 5
}
