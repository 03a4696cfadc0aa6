//! Where a pressure or a temperature was taken.
use super::claim::Claim;
use super::mention::Mention;
use super::name::{joined, unlisted_words};
use super::note::{Note, gap, strong_part};
use super::number::Quantity;
use super::token::Stop;
use crate::lexicon::{Role, WordClass};
use crate::record::Value;
use std::ops::Range;

/// How certain a reading stays that may as well be of another part.
const EITHER: f64 = 0.4;

/// Where a pressure or a temperature was taken: the fixture named with it.
pub fn places(note: &Note, claims: &mut Vec<Claim>) {
    let mut made = Vec::new();
    for claim in claims.iter_mut() {
        let pressure = claim.is("water-system", "static-pressure");
        if !pressure && !claim.is("hot-water", "temperature") {
            continue;
        }
        let Some((span, text)) = fixture(note, &claim.at).or_else(|| unnamed(note, &claim.at)) else {
            if pressure && tank_is_the_topic(note, &claim.at) {
                // "Expansion tank, strapped, pressure forty" may well be the air in the tank.
                claim.signs.certainty *= EITHER;
            }
            continue;
        };
        if pressure {
            let mut place = Claim::new(
                "water-system",
                "pressure-place",
                Value::Text(text),
                span.clone(),
                "fixture beside a pressure",
            );
            place.part = Some(claim.at.clone());
            place.signs.word = note.surety(&span);
            made.push(place);
        } else {
            claim.place = Some(text);
            claim.part = Some(span);
        }
    }
    claims.extend(made);
}

/// Whether the part named last before a pressure in its sentence is one that holds a pressure of its own.
fn tank_is_the_topic(note: &Note, at: &Range<usize>) -> bool {
    let before = note.mentions_in(&(note.sentence(at.start).start..at.start));
    let components = |m: &Mention| strong_part(m).map(|_| note.components(m));
    let named = before.iter().rev().filter_map(components).find(|list| !list.iter().any(|c| c == "water-system"));
    named.is_some_and(|list| list.iter().any(|c| note.lexicon.catalogue.row(c, "precharge").is_some()))
}

/// The fixture that a reading was taken at: in its own clause before another, behind it before before it, and a tap before
/// a room: "regulator by the meter, sixty two at the spigot in the garage".
fn fixture(note: &Note, at: &Range<usize>) -> Option<(Range<usize>, String)> {
    let sentence = note.sentence(at.start);
    let mention = note
        .mentions_in(&sentence)
        .iter()
        .filter(|m| m.is(note.lexicon, Role::Fixture) || m.is(note.lexicon, Role::Place))
        .filter(|m| follows_at(note, m.span.start) || stands_beside(note, &m.span, at) || reads(note, &m.span, at))
        .min_by_key(|m| {
            let apart = note.clause_of(m.span.start).abs_diff(note.clause_of(at.start));
            let before = m.span.end <= at.start;
            (apart > 0 && before, !m.is(note.lexicon, Role::Fixture), gap(&m.span, at))
        })?;
    Some((mention.span.clone(), joined(note, &mention.span)))
}

/// "Fifty four on the laundry bib": a bare number of the size of a pressure, taken where a gauge is screwed on.
pub fn at_fixture(note: &Note, quantity: &Quantity) -> bool {
    let before = note.sentence(quantity.span.start).start..note.clause(quantity.span.start).end;
    let hot = note.tokens[before].iter().any(|t| t.is(WordClass::Heat));
    let gauge = |span: Range<usize>| note.mentions_in(&span).iter().any(|m| m.is(note.lexicon, Role::Fixture));
    !hot && (30.0..=160.0).contains(&quantity.value)
        && fixture(note, &quantity.span).is_some_and(|(span, _)| gauge(span))
}

/// "Fifty four, laundry tub": a fixture that is all of the next clause.
fn stands_beside(note: &Note, fixture: &Range<usize>, at: &Range<usize>) -> bool {
    let clause = note.clause(fixture.start);
    clause.len() <= fixture.len() + 2 && note.clause_of(fixture.start) == note.clause_of(at.start) + 1
}

/// "The front hose bib read seventy four."
fn reads(note: &Note, fixture: &Range<usize>, at: &Range<usize>) -> bool {
    let between = fixture.end..at.start;
    let gives = |at: usize| note.is(at, WordClass::Reading);
    !between.is_empty()
        && between.len() <= 3
        && gives(fixture.end)
        && note.sentence_of(fixture.start) == note.sentence_of(at.start)
}

/// Words of a place that no list knows: "thirty two pounds at the yard pipe", "the gauge at the pump reads".
const LONGEST: usize = 3;

/// A thing that no list names, which a reading is said to be taken at: right behind it, or right before what reads it.
fn unnamed(note: &Note, at: &Range<usize>) -> Option<(Range<usize>, String)> {
    let clause = note.clause(at.start);
    let behind = at.end..clause.end.min(at.end + 2);
    let before = clause.start..at.start;
    let gives = |place: &Range<usize>| note.is(place.end, WordClass::Reading) && place.end < at.start;
    let behind = behind.into_iter().find_map(|at| thing_at(note, at));
    let place = behind.or_else(|| before.rev().find_map(|at| thing_at(note, at)).filter(gives))?;
    let own = note.mentions_in(&place).iter().any(|m| strong_part(m).is_some());
    (!own).then(|| (place.clone(), joined(note, &place)))
}

/// The words of a thing behind "at the".
fn thing_at(note: &Note, at: usize) -> Option<Range<usize>> {
    let leads = note.text(at) == "at" && note.is(at + 1, WordClass::Article) && note.tokens[at].stop == Stop::None;
    let words = |start: usize| unlisted_words(note, start, LONGEST, &|t| t.is(WordClass::Reading));
    let thing = Some(words(at + 2)).filter(|thing| leads && !thing.is_empty() && thing.len() <= LONGEST)?;
    let open = note.tokens[thing.end - 1].stop == Stop::None;
    // "The pipe in the yard."
    let within = matches!(note.text(thing.end), "in" | "by" | "outside") && note.is(thing.end + 1, WordClass::Article);
    let goes_on = open && within && !words(thing.end + 2).is_empty();
    Some(if goes_on { thing.start..thing.end + 3 } else { thing })
}

fn follows_at(note: &Note, at: usize) -> bool {
    (1..=3)
        .any(|back| at >= back && note.tokens[at - back].stop == Stop::None && note.is(at - back, WordClass::TakenAt))
}
