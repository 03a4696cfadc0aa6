//! "Moderate rust on the hot side, same on the cold", "so has the other": what was said of one part is said of another.
use super::claim::Claim;
use super::mention::Mention;
use super::note::Note;
use super::reach;
use super::state::degree_of;
use crate::lexicon::{Kind, Role, Row, WordClass};
use crate::record::Value;
use std::collections::HashSet;
use std::ops::Range;

/// The rule of these claims.
pub const SAME: &str = "the same as the part before";
/// A statement of sameness is no longer than so many words beside its parts.
const FEW: usize = 8;

/// What follows from saying of a part only that it is as the one before it.
pub fn claims(note: &Note, stated: &[Claim]) -> Vec<Claim> {
    of_clauses(note, stated, &|claim, row| claim.attribute != "presence" && row.kind == Kind::Choice)
}

/// "No drip leg. Same for the expansion tank": what is missing like the part before it.
pub fn missing(note: &Note, stated: &[Claim]) -> Vec<Claim> {
    of_clauses(note, stated, &|claim, row| row.kind == Kind::Presence && claim.value.as_text() == Some("absent"))
}

type Kept<'k> = &'k dyn Fn(&Claim, &Row) -> bool;

fn of_clauses(note: &Note, stated: &[Claim], kept: Kept) -> Vec<Claim> {
    let mut sorted: Vec<&Claim> = stated.iter().collect();
    sorted.sort_by_key(|claim| claim.at.start);
    let known = stated.iter().map(|c| (c.component.as_str(), c.attribute.as_str())).collect();
    let told = Told { sorted, known };
    note.segments.clauses.iter().flat_map(|clause| likened(note, clause, &told, kept)).collect()
}

/// All that is stated, in order, so that a long note is not searched for each clause.
struct Told<'c> {
    sorted: Vec<&'c Claim>,
    /// Of which component which attribute is told.
    known: HashSet<(&'c str, &'c str)>,
}

/// How much of what was said of the part before is taken over.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Likeness {
    /// "Same on the cold", "the cold, identical".
    All,
    /// "So has the cold", "neither does the cold".
    Last,
}

fn likened(note: &Note, clause: &Range<usize>, stated: &Told, kept: Kept) -> Vec<Claim> {
    let clause = &with_answer(note, clause);
    let Some((likeness, part)) = likeness(note, clause) else { return Vec::new() };
    let Some(component) = note.components(part).first().filter(|_| note.observed(&part.span)) else {
        return Vec::new();
    };
    let sentence = note.sentence(clause.start);
    // In a sentence of its own it goes on with the one before.
    let before = note.sentence(sentence.start.saturating_sub(1));
    let floor = if clause.start <= sentence.start + 1 { before.start } else { sentence.start };
    let from = |at: usize| stated.sorted.partition_point(|c| c.at.start < at);
    let told = &stated.sorted[from(floor)..from(clause.start)];
    let fits = |c: &&&Claim| {
        let row = note.lexicon.catalogue.row(component, &c.attribute);
        c.component != *component
            && row.is_some_and(|row| kept(c, row))
            && note.lexicon.supports(component, &c.attribute, c.value.as_text())
    };
    let Some(last) = told.iter().filter(fits).max_by_key(|c| c.at.end) else { return Vec::new() };
    let own = |c: &&&Claim| c.component == last.component && (likeness == Likeness::All || c.at.end == last.at.end);
    // "Copper, same as the hot one" says nothing new of that one, if it was told.
    let known = |attribute: &str| stated.known.contains(&(component.as_str(), attribute));
    let only_compared = is_compared(note, clause);
    let mut made: Vec<Claim> = Vec::new();
    for claim in told.iter().rev().filter(fits).filter(own) {
        if only_compared && known(&claim.attribute) {
            continue;
        }
        if made.iter().all(|m| m.attribute != claim.attribute) {
            made.push(likewise(note, claim, component, &part.span, clause));
        }
    }
    made
}

fn likewise(note: &Note, told: &Claim, component: &str, part: &Range<usize>, clause: &Range<usize>) -> Claim {
    let rest = clause.end..note.sentence(clause.start).end;
    // "So's the cold one, only moderate there."
    let degree = || note.mentions_in(&rest).iter().find_map(|m| degree_of(note, m));
    let other = degree().filter(|_| told.attribute == "corrosion").map(|degree| Value::Text(degree.into()));
    let value = other.unwrap_or_else(|| told.value.clone());
    Claim::inferred(note, (component, &told.attribute), value, clause.clone(), part).by(SAME)
}

fn is_compared(note: &Note, clause: &Range<usize>) -> bool {
    clause.clone().any(|at| note.text(at) == "same" && note.text(at + 1) == "as")
}

/// "The cold inlet, identical": the clause behind a part alone that only likens it goes with it.
fn with_answer(note: &Note, clause: &Range<usize>) -> Range<usize> {
    let next = note.clause(clause.end);
    let goes_with = next.start == clause.end
        && !next.is_empty()
        && note.sentence_of(next.start) == note.sentence_of(clause.start)
        && next.clone().all(|at| note.is(at, WordClass::Likening));
    clause.start..if goes_with { next.end } else { clause.end }
}

/// The part that a clause likens to what was said before, if it says nothing else.
fn likeness<'n>(note: &'n Note, clause: &Range<usize>) -> Option<(Likeness, &'n Mention)> {
    let mentions = note.mentions_in(clause);
    let mut parts = mentions.iter().filter(|m| reach::holds(note, m));
    let part = parts.next().filter(|_| parts.next().is_none())?;
    let beside = || (clause.start..part.span.start).chain(part.span.end..clause.end);
    if clause.len().saturating_sub(part.span.len()) > FEW
        || mentions.iter().any(|m| m.is_saying() && m.span != part.span)
    {
        return None;
    }
    // "The relief valve's there too" says that it is.
    let there = mentions.iter().any(|m| m.is(note.lexicon, Role::There));
    if there || !beside().all(|at| note.is(at, WordClass::Likening)) {
        return None;
    }
    let leads: Vec<&str> = (clause.start..part.span.start).map(|at| note.text(at)).filter(|w| *w != "and").collect();
    let alike = |at: usize| matches!(note.text(at), "same" | "ditto" | "likewise" | "identical" | "alike" | "similar");
    // "The hot one's just as bad."
    let as_much = |at: usize| matches!(note.text(at), "bad" | "good") && note.text(at.wrapping_sub(1)) == "as";
    match leads[..] {
        [first, second, ..] if so_is(first, second) || (second == "have" && so_is(first, "has")) => {
            Some((Likeness::Last, part))
        }
        _ if beside().any(alike) => Some((Likeness::All, part)),
        // "The cold as well", "the cold too".
        _ => (part.span.end..clause.end)
            .any(|at| matches!(note.text(at), "too" | "well" | "likewise") || as_much(at))
            .then_some((Likeness::Last, part)),
    }
}

/// Whether a clause opens with words that only liken: "and so's", "neither is".
pub fn opens(note: &Note, clause: &Range<usize>) -> bool {
    let first = clause.start + usize::from(note.text(clause.start) == "and");
    so_is(note.text(first), note.text(first + 1)) || (note.text(first) == "same" && note.text(first + 1) == "as")
}

/// "So is", "neither does".
fn so_is(first: &str, second: &str) -> bool {
    matches!(first, "so" | "neither" | "nor")
        && matches!(second, "'s" | "is" | "are" | "has" | "does" | "do" | "was" | "did")
}
