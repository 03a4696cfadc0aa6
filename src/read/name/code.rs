//! Model and serial numbers, spelled out or written.
use crate::lexicon::Role;
use crate::read::claim::Claim;
use crate::read::note::Note;
use crate::read::number;
use crate::record::Value;
use std::ops::Range;

/// All of a note.
pub fn claims(note: &Note) -> Vec<Claim> {
    let mut claims: Vec<Claim> = Vec::new();
    for (role, attribute) in [(Role::Model, "model"), (Role::Serial, "serial")] {
        for cue in note.cues(role) {
            let from = cue.span.end;
            let until = from + 6;
            let written =
                spelled(note, cue.span.start).into_iter().find(|(span, _)| (from..until).contains(&span.start));
            let Some((span, text)) = written.or_else(|| written_code(note, from, until)) else { continue };
            if !note.observed(&span) {
                continue;
            }
            let mut claim =
                Claim::new("water-heater", attribute, Value::Text(text.to_uppercase()), span.clone(), attribute);
            claim.part = Some(cue.span.clone());
            claim.signs.word = note.surety(&span);
            claim.signs.number = true;
            claims.push(claim);
        }
    }
    claims
}

/// No code is longer than this, with the words that lead to it.
const LONGEST: usize = 48;

/// The spelled runs right behind a token: a long note is not looked through for each.
fn spelled(note: &Note, from: usize) -> Vec<(Range<usize>, String)> {
    let near = &note.tokens[from..note.tokens.len().min(from + LONGEST)];
    number::spelled(near).into_iter().map(|s| (s.span.start + from..s.span.end + from, s.text)).collect()
}

/// A word with figures in it, as recognisers write spelled codes.
fn written_code(note: &Note, from: usize, until: usize) -> Option<(Range<usize>, String)> {
    let at = (from..until.min(note.tokens.len())).find(|at| note.text(*at).contains(|c: char| c.is_ascii_digit()))?;
    let mut end = at + 1;
    while end < note.tokens.len() && note.tokens[end].joined {
        end += 1;
    }
    let text: String = note.tokens[at..end].iter().map(|t| t.text.as_str()).collect();
    Some((at..end, text.chars().filter(|c| c.is_alphanumeric()).collect()))
}
