//! "The cold side's got rust, the hot one's got none": what is said of one part and denied of another, or the other way.
use super::claim::{Claim, Signs};
use super::mention::Mention;
use super::note::{Note, strong_part};
use crate::lexicon::{Kind, WordClass};
use crate::record::Value;
use std::ops::Range;

/// The rule of these claims.
pub const CONTRARY: &str = "the contrary of the part before";

/// What follows from saying of a part only that it is not, or is, as the one before it.
pub fn claims(note: &Note, stated: &[Claim]) -> Vec<Claim> {
    let mut sorted: Vec<&Claim> = stated.iter().collect();
    sorted.sort_by_key(|claim| claim.at.start);
    note.segments.clauses.iter().filter_map(|clause| contrasted(note, clause, &sorted)).collect()
}

/// `stated` is in order, so that a long note is not searched for each clause.
fn contrasted(note: &Note, clause: &Range<usize>, stated: &[&Claim]) -> Option<Claim> {
    let (part, component) = lone_part(note, clause)?;
    let denied = denies(note, &(part.end..clause.end))?;
    let from = |at: usize| stated.partition_point(|c| c.at.start < at);
    let before = &stated[from(note.sentence(clause.start).start)..from(clause.start)];
    let last = before.iter().filter(|c| c.component != component).max_by_key(|c| c.at.end)?;
    let row = note.lexicon.catalogue.row(&component, &last.attribute).filter(|row| row.kind == Kind::Choice)?;
    let least = row.values.first().filter(|v| v.starts_with("none"))?;
    let good = last.value.as_text() == Some(least);
    let value = match (denied, good) {
        (true, false) => least.clone(),
        (false, true) if last.attribute == "leak" => "active".to_owned(),
        _ => return None,
    };
    if !note.observed(&part) || !note.lexicon.supports(&component, &last.attribute, Some(&value)) {
        return None;
    }
    let at = part.start..clause.end;
    let mut claim = Claim::new(&component, &last.attribute, Value::Text(value), at, CONTRARY);
    claim.signs = Signs { word: note.surety(&claim.at), reach: 1.0, ..Signs::default() };
    claim.part = Some(part);
    Some(claim)
}

/// The part that a clause is about, if it states nothing itself.
fn lone_part(note: &Note, clause: &Range<usize>) -> Option<(Range<usize>, String)> {
    let mentions = note.mentions_in(clause);
    let subject = mentions.iter().find(|m| strong_part(m).is_some() && m.span.start <= clause.start + 2);
    let one = subject.filter(|_| !mentions.iter().any(Mention::is_saying))?;
    Some((one.span.clone(), note.components(one).first()?.clone()))
}

/// Whether the few words behind a part deny, or affirm, and say nothing else: "isn't", "one's got none", "is".
fn denies(note: &Note, rest: &Range<usize>) -> Option<bool> {
    let last = rest.clone().next_back().filter(|_| rest.len() <= FEW)?;
    let word = note.text(last);
    if word.ends_with("n't") || note.is(last, WordClass::Denial) {
        return Some(true);
    }
    let verbs = rest.clone().all(|at| matches!(note.text(at), "one" | "side" | "is" | "'s" | "does"));
    (verbs && matches!(word, "is" | "does")).then_some(false)
}

/// Words behind a part that only deny.
const FEW: usize = 4;
