//! A number that stands in the place of one said before.
use super::claim::Claim;
use super::mention::Mention;
use super::note::Note;
use super::number::{Quantity, Unit};
use super::value::{converted, make};
use crate::lexicon::{Match, Role};
use crate::record::{Spoken, Value};
use std::ops::Range;

/// "No wait, make that seventy two": a bare number after words that take the one before back stands in its place.
pub fn corrected(note: &Note, quantity: &Quantity, before: &[Claim]) -> Option<Claim> {
    let given_up = before.iter().rev().take(RECENT).find(|c| gives_up(note, quantity, c));
    let last = given_up.or_else(|| before.iter().rev().find(|c| c.at.end <= quantity.span.start))?;
    if repeats(quantity, last) || (given_up.is_none() && !turned_from(note, quantity, last)) {
        return None;
    }
    let key = format!("{}.{}", last.component, last.attribute);
    let mut claim = match quantity.year {
        Some(year) if last.attribute == "made-year" => {
            let mut claim = make(note, quantity, &key, CORRECTION)?;
            claim.value = Value::Number(f64::from(year));
            claim
        }
        _ => make(note, quantity, &key, CORRECTION)?,
    };
    if quantity.unit.is_none() {
        claim = in_unit_of(claim, last)?;
    }
    claim.signs.reach = 0.5;
    Some(claim)
}

/// The rule of what stands in the place of a number said before.
pub const CORRECTION: &str = "correction";
/// So many readings back a number may be taken back by being told again.
const RECENT: usize = 4;

/// A bare number counts what the one in whose place it stands counted: "two kilowatts ... it's three".
fn in_unit_of(mut claim: Claim, last: &Claim) -> Option<Claim> {
    let Value::Number(number) = claim.value else { return Some(claim) };
    let spoken = last.spoken.as_ref();
    let code = spoken.and_then(|s| s.unit.as_deref());
    let unit = Unit::ALL.iter().copied().find(|u| Some(u.ucum()) == code);
    if let (Some(from), Some(to)) = (unit, last.unit.as_deref()) {
        claim.value = Value::Number(converted(number, from, to)?);
        claim.spoken = Some(Spoken { number, unit: Some(from.ucum().to_owned()) });
    }
    claim.unit.clone_from(&last.unit);
    Some(claim)
}

/// Whether a number only says once more what a reading said.
fn repeats(quantity: &Quantity, claim: &Claim) -> bool {
    claim.spoken.as_ref().is_some_and(|spoken| (spoken.number - quantity.value).abs() < 1e-9)
}

/// Whether a number is told again only to be given up, so that it is no reading of another kind: "I read sixteen".
pub fn only_repeats(note: &Note, quantity: &Quantity, before: &[Claim]) -> bool {
    let sentence = note.sentence(quantity.span.start).start..quantity.span.start;
    quantity.unit.is_none()
        && note.side_in(&sentence).iter().any(|m| m.is(note.lexicon, Role::GivenUp))
        && before.iter().rev().take(RECENT).any(|claim| repeats(quantity, claim))
}

/// Whether a reading is told again in the number's sentence, to be given up: "five, not eight", "I wrote two, it's three",
/// "twenty is the dryer's, ours is the thirty".
fn gives_up(note: &Note, quantity: &Quantity, claim: &Claim) -> bool {
    let sentence = note.sentence(quantity.span.start);
    let near = note.sentence_of(quantity.span.start) <= note.sentence_of(claim.at.start) + 2;
    let unlike = claim
        .spoken
        .as_ref()
        .is_none_or(|s| s.unit.is_some() && quantity.unit.is_some_and(|u| Some(u.ucum()) != s.unit.as_deref()));
    if !near || unlike || claim.at.start >= quantity.span.start || repeats(quantity, claim) {
        return false;
    }
    note.quantities_in(&sentence).iter().filter(|again| repeats(again, claim)).any(|again| {
        let at = again.span.start;
        let denied = (at.saturating_sub(2)..at).any(|at| note.text(at) == "not");
        let told = again.span.end <= quantity.span.start
            && note.side_in(&(sentence.start..at)).iter().any(|m| m.is(note.lexicon, Role::GivenUp));
        let others = again.span.end <= quantity.span.start
            && matches!(note.text(again.span.end), "is" | "'s" | "was")
            && (again.span.end..quantity.span.start)
                .any(|at| matches!(note.text(at), "ours" | "this" | "one" | "here" | "mine"));
        denied || told || others
    })
}

/// Whether the words between a reading and a number right behind it turn from the one to the other.
fn turned_from(note: &Note, quantity: &Quantity, last: &Claim) -> bool {
    let between = last.at.end..quantity.span.start;
    let near = |from: usize, to: usize| note.sentence_of(from) + 2 > note.sentence_of(to) && to - from <= TURNED_WITHIN;
    let cue = corrections_in(note, &between).filter(|c| c.span.end <= between.end).last();
    // "Sixteen inches. No, I was on the wrong mark. Nineteen": why it is taken back may stand between.
    let by_cue = cue.is_some_and(|c| near(last.at.end, c.span.start) && near(c.span.end, quantity.span.start));
    let by_words = cue.is_some() || super::revise::turns(note, between.clone());
    let turned = by_cue || (near(last.at.end, quantity.span.start) && by_words);
    // What is named before it is taken back is of the number that is.
    let since = cue.map_or(between.start, |c| c.span.end)..between.end;
    let told = note.mentions_in(&since).iter().any(|m| {
        super::note::part_of(m).is_some_and(|(_, q)| q == Match::Exact) && !m.is(note.lexicon, Role::Correction)
    });
    let plate = note
        .mentions_in(&between)
        .iter()
        .any(|m| super::note::part_of(m).is_some_and(|(i, _)| note.lexicon.parts[i].id == "data-plate"));
    // "Wasps, three, no, four" corrects the number in between.
    let other = note.quantities_in(&between).iter().any(|q| q.span.start >= between.start && q.span.end <= between.end);
    turned && !other && (!told || plate)
}

/// A number is taken back, and told anew, within so many tokens.
const TURNED_WITHIN: usize = 12;

/// The spoken corrections that begin in a range.
pub fn corrections_in<'a>(note: &'a Note, range: &Range<usize>) -> impl Iterator<Item = &'a Mention> {
    note.mentions_in(range).iter().filter(|m| m.is(note.lexicon, Role::Correction))
}
