//! "Rust? On the jacket, no. On the hot connection, yes, moderate.": one question, answered part by part.
use super::claim::Claim;
use super::mention::Mention;
use super::note::{Note, strong_part};
use super::reach;
use super::state::degree_of;
use crate::lexicon::{Kind, WordClass};
use crate::record::Value;
use std::ops::Range;

/// The rule of these claims.
const ANSWER: &str = "the answer for this part";
/// So many sentences behind a question may answer it.
const ANSWERS: usize = 4;
/// An answer that names its part has no more words beside it.
const FEW: usize = 9;

/// What the answers to a question say of the parts that they name.
pub fn claims(note: &Note) -> Vec<Claim> {
    let sentences = &note.segments.sentences;
    let mut made = Vec::new();
    for at in (0..sentences.len()).filter(|at| note.is_question(&sentences[*at])) {
        let Some((attribute, value)) = asked(note, &sentences[at]) else { continue };
        for answer in sentences[at + 1..].iter().take(ANSWERS) {
            let found = answered(note, answer, attribute, value);
            if found.is_empty() && note.mentions_in(answer).iter().any(|m| strong_part(m).is_some()) {
                break;
            }
            made.extend(found);
        }
    }
    made
}

/// What a question asks of no part in particular: "Rust?", "Any leaks?"
fn asked<'n>(note: &'n Note, question: &Range<usize>) -> Option<(&'n str, &'n str)> {
    let mentions = note.mentions_in(question);
    if mentions.iter().any(|m| strong_part(m).is_some()) || question.len() > FEW {
        return None;
    }
    let state = mentions.iter().flat_map(|m| note.states(m)).find_map(|state| state.split_once(" = "))?;
    (!state.0.contains('.')).then_some(state)
}

/// What one sentence answers: "on the jacket, no", "on the hot one, yes, moderate".
fn answered(note: &Note, sentence: &Range<usize>, attribute: &str, value: &str) -> Vec<Claim> {
    let mentions = note.mentions_in(sentence);
    let mut parts = mentions.iter().filter(|m| reach::holds(note, m));
    let Some(part) = parts.next().filter(|_| parts.next().is_none()) else { return Vec::new() };
    let says = |m: &Mention| reach::only_says(note, m) && degree_of(note, m).is_none();
    if sentence.len() > part.span.len() + FEW || mentions.iter().any(says) {
        return Vec::new();
    }
    let Some(component) = note.components(part).first() else { return Vec::new() };
    let row = note.lexicon.catalogue.row(component, attribute).filter(|row| row.kind == Kind::Choice);
    let Some(none) = row.and_then(|row| row.values.first()).filter(|value| value.starts_with("none")) else {
        return Vec::new();
    };
    let degree = mentions.iter().find_map(|m| degree_of(note, m)).filter(|_| attribute == "corrosion");
    let beside = || sentence.clone().filter(|at| !part.span.contains(at));
    let denied = beside().any(|at| matches!(note.text(at), "no" | "none" | "nope" | "nothing" | "not" | "clean"));
    let agreed =
        beside().any(|at| note.is(at, WordClass::Agreeing) || matches!(note.text(at), "some" | "bit" | "little"));
    let told = match (denied, degree) {
        (true, None) => none.as_str(),
        (false, Some(degree)) => degree,
        (false, None) if agreed => value,
        _ => return Vec::new(),
    };
    if !note.lexicon.supports(component, attribute, Some(told)) || note.is_abroad(sentence.start) {
        return Vec::new();
    }
    let value = Value::Text(told.to_owned());
    vec![Claim::inferred(note, (component, attribute), value, sentence.clone(), &part.span).by(ANSWER)]
}
