//! "The cold side's got rust, the hot one's got none": what is said of one part and denied of another, or the other way.
use super::claim::Claim;
use super::note::Note;
use super::reach;
use crate::lexicon::{Kind, WordClass};
use crate::record::Value;
use std::ops::Range;

/// The rule of these claims.
pub const CONTRARY: &str = "the contrary of the part before";

/// What follows from saying of a part only that it is not, or is, as the one before it.
pub fn claims(note: &Note, stated: &[Claim]) -> Vec<Claim> {
    let mut sorted: Vec<&Claim> = stated.iter().collect();
    sorted.sort_by_key(|claim| claim.at.start);
    note.segments.clauses.iter().flat_map(|clause| contrasted(note, clause, &sorted)).collect()
}

/// `stated` is in order, so that a long note is not searched for each clause.
fn contrasted(note: &Note, clause: &Range<usize>, stated: &[&Claim]) -> Vec<Claim> {
    let Some((part, component)) = lone_part(note, clause) else { return Vec::new() };
    let none = denied_first(note, clause, &part);
    let denied = denies(note, &(part.end..clause.end)).or_else(|| none.then_some(true));
    let Some(denied) = denied.filter(|_| note.observed(&part) || note.negated(&part)) else { return Vec::new() };
    let sentence = note.sentence(clause.start);
    let from = |at: usize| stated.partition_point(|c| c.at.start < at);
    let told_in = |range: Range<usize>| &stated[from(range.start)..from(range.end)];
    let mut before = told_in(sentence.start..clause.start);
    // "Light rust on the inlet. None on the outlet": a sentence of its own goes on with the one before.
    let plain = none || matches!(note.text(clause.end - 1), "none" | "neither") || is_denied_verb(note, clause);
    if before.is_empty() && clause.start == sentence.start && sentence.start > 0 && plain {
        before = told_in(note.sentence(sentence.start - 1));
    }
    let choice = |c: &&&Claim| c.component != component && least(note, &component, c).is_some();
    let Some(last) = before.iter().filter(choice).max_by_key(|c| c.at.end) else { return Vec::new() };
    // "The hot one is neither": of all that was told of the other.
    let all = note.text(clause.end - 1) == "neither";
    let told = before.iter().filter(choice).filter(|c| all || (c.at == last.at && c.attribute == last.attribute));
    let mut made: Vec<Claim> = Vec::new();
    for claim in told {
        // "No rust on the one, none on the other."
        let value =
            if none { least(note, &component, claim).cloned() } else { contrary(note, &component, claim, denied) };
        let Some(value) = value else { continue };
        if made.iter().all(|m| m.attribute != claim.attribute) {
            let (key, at) = ((component.as_str(), claim.attribute.as_str()), part.start.min(clause.start)..clause.end);
            made.push(Claim::inferred(note, key, Value::Text(value), at, &part).by(CONTRARY));
        }
    }
    made
}

/// The value that says of a component that there is none of what a claim tells.
fn least<'n>(note: &'n Note, component: &str, claim: &Claim) -> Option<&'n String> {
    let row = note.lexicon.catalogue.row(component, &claim.attribute).filter(|row| row.kind == Kind::Choice)?;
    row.values.first().filter(|value| value.starts_with("none"))
}

/// What follows for the other part.
fn contrary(note: &Note, component: &str, claim: &Claim, denied: bool) -> Option<String> {
    let least = least(note, component, claim)?;
    let value = match (denied, claim.value.as_text() == Some(least)) {
        (true, false) => least.clone(),
        (false, true) if claim.attribute == "leak" => "active".to_owned(),
        _ => return None,
    };
    note.lexicon.supports(component, &claim.attribute, Some(&value)).then_some(value)
}

/// The part that a clause is about, if it states nothing itself.
fn lone_part(note: &Note, clause: &Range<usize>) -> Option<(Range<usize>, String)> {
    let mentions = note.mentions_in(clause);
    let subject = mentions.iter().find(|m| reach::holds(note, m) && m.span.start <= clause.start + LEAD);
    let one = subject.filter(|_| !mentions.iter().any(|m| reach::only_says(note, m)))?;
    Some((one.span.clone(), note.components(one).first()?.clone()))
}

/// Words before the part: "and none on the".
const LEAD: usize = 4;

/// "None on the outlet", "not at the cold": what is denied stands before, and nothing behind.
fn denied_first(note: &Note, clause: &Range<usize>, part: &Range<usize>) -> bool {
    let first = clause.start + usize::from(matches!(note.text(clause.start), "and" | "but"));
    let none = matches!(note.text(first), "none" | "nothing" | "not");
    let small = (first + 1..part.start).all(|at| note.is_preposition(at) || note.is(at, WordClass::Article));
    let placed = (first + 1..part.start).any(|at| note.is_preposition(at));
    let rest = part.end..clause.end;
    let over = rest.clone().all(|at| matches!(note.text(at), "side" | "one" | "whatsoever" | "though" | "at" | "all"));
    none && small && placed && over && rest.len() <= FEW
}

/// Whether the few words behind a part deny, or affirm, and say nothing else: "isn't", "one's got none", "never was", "is".
fn denies(note: &Note, rest: &Range<usize>) -> Option<bool> {
    let last = rest.clone().next_back().filter(|_| rest.len() <= FEW)?;
    let word = note.text(last);
    if is_denied_verb(note, rest) || note.is(last, WordClass::Denial) || word == "neither" {
        return Some(true);
    }
    let verbs = rest.clone().all(|at| matches!(note.text(at), "one" | "side" | "is" | "'s" | "does"));
    (verbs && matches!(word, "is" | "does")).then_some(false)
}

/// "Doesn't", "isn't", "never was": a verb alone, as no word for what is missing.
fn is_denied_verb(note: &Note, words: &Range<usize>) -> bool {
    let last = note.text(words.end - 1);
    let never = words.len() > 1 && note.text(words.end - 2) == "never";
    last.ends_with("n't") || (never && VERBS.contains(&last))
}

const VERBS: [&str; 5] = ["was", "is", "did", "does", "has"];

/// Words behind a part that only deny.
const FEW: usize = 4;
