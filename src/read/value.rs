//! Numbers to claims: which reading of the catalogue a spoken quantity is.
use super::amend;
use super::claim::{Claim, Signs};
use super::mention::Mention;
use super::note::{Note, gap, strong_part};
use super::number::{self, Approx, Plausibility, Quantity, Unit};
use super::reach;
use crate::lexicon::{Kind, Match, NumberTerm, TermRef, WordClass};
use crate::record::{Spoken, Value};
use std::ops::Range;

/// A reading scored lower than this is none.
const ENOUGH: f64 = 0.9;
/// Cues further away than this many tokens do not count for a number.
const NEAR: usize = 9;

/// All claims that numbers make.
pub fn claims(note: &Note, spent: &dyn Fn(&Range<usize>) -> bool) -> Vec<Claim> {
    let mut claims: Vec<Claim> = Vec::new();
    for quantity in &note.quantities {
        if quantity.distractor.is_some() || spent(&quantity.span) || !note.observed(&quantity.span) {
            continue;
        }
        if amend::only_repeats(note, quantity, &claims) {
            continue;
        }
        let claim =
            year(note, quantity).or_else(|| best(note, quantity)).or_else(|| amend::corrected(note, quantity, &claims));
        claims.extend(claim);
    }
    drop_denied(note, &mut claims);
    claims
}

/// "Not three quarter, half inch", "isn't twelve gauge but eight": a number denied for the one that follows it.
fn drop_denied(note: &Note, claims: &mut Vec<Claim>) {
    let replaced = |(at, claim): (usize, &Claim)| {
        let end = note.sentence(claim.at.start).end;
        let next = claims[at + 1..].iter().take_while(|c| c.at.start < end);
        note.negated(&claim.at)
            && next.into_iter().any(|c| c.is(&claim.component, &claim.attribute) && !note.negated(&c.at))
    };
    let mut gone = claims.iter().enumerate().map(replaced).collect::<Vec<_>>().into_iter();
    claims.retain(|_| !gone.next().unwrap_or(false));
}

/// The claim of the reading that fits a quantity best, if it fits well enough.
fn best(note: &Note, quantity: &Quantity) -> Option<Claim> {
    let (score, term, reached) = fittest(note, quantity)?;
    if score < ENOUGH {
        return None;
    }
    let mut claim = make(note, quantity, &term.states, &term.id)?;
    claim.part = reached.part;
    claim.signs.reach = reached.cost;
    Some(claim)
}

/// The fact of the reading that fits a quantity best, however little it fits.
pub fn nearest<'a>(note: &'a Note, quantity: &Quantity) -> Option<&'a str> {
    fittest(note, quantity).map(|(_, term, _)| term.states.as_str())
}

/// The reading that fits a quantity best, with how well, and what was reached for it.
fn fittest<'a>(note: &'a Note, quantity: &Quantity) -> Option<(f64, &'a NumberTerm, Reached)> {
    if quantity.unit.is_none() && is_no_reading(note, quantity.span.end) {
        return None;
    }
    let readings = note.lexicon.readings.iter().enumerate();
    let scored = readings.filter_map(|(index, term)| score(note, quantity, index, term).map(|(s, r)| (s, term, r)));
    scored.max_by(|a, b| a.0.total_cmp(&b.0))
}

struct Reached {
    cost: f64,
    part: Option<Range<usize>>,
}

/// How well a quantity fits a reading; nothing if it cannot be.
fn score(note: &Note, quantity: &Quantity, index: usize, term: &NumberTerm) -> Option<(f64, Reached)> {
    let (component, attribute) = term.states.split_once('.')?;
    let row = note.lexicon.catalogue.row(component, attribute)?;
    if row.kind != Kind::Number {
        return None;
    }
    let mut amount = quantity.value;
    let mut score = match quantity.unit {
        Some(unit) => {
            let to = row.unit.as_deref()?;
            amount = number::convert(quantity.value, unit, to)?;
            // Watts are an electric heater's, Btu an hour a burner's, though each converts to the other.
            let foreign = (to == "Btu/h" && unit.ucum().contains('W')) || (to == "W" && unit.ucum().contains("Btu"));
            if foreign { 0.3 } else { 1.0 }
        }
        None if term.bare => 0.0,
        None => return None,
    };
    if !term.only.is_empty() && !term.only.iter().any(|v| (v - amount).abs() < 0.01) {
        return None;
    }
    if quantity.unit.is_none() && !term.only.is_empty() {
        // One of a few standard values speaks for itself.
        score += 0.5;
    }
    let clause = note.clause(quantity.span.start);
    let sentence = note.sentence(quantity.span.start);
    let (mut own, mut wide) = (0.0, 0.0);
    for cue in note.side_in(&sentence) {
        let Some(speaks_for) = cue.terms.iter().find_map(|(t, _)| match t {
            TermRef::Reading(i, speaks_for) if *i == index => Some(*speaks_for),
            _ => None,
        }) else {
            continue;
        };
        let away = gap(&cue.span, &quantity.span);
        let weight = cue.words as f64 * 0.2 + 0.8;
        let sign = if speaks_for { weight } else { -1.5 * weight };
        if clause.contains(&cue.span.start) && away <= NEAR {
            own += sign * (1.0 - away as f64 / 20.0);
        } else if !speaks_for || cue.span.start < quantity.span.start {
            wide += sign * 0.35;
        }
    }
    if quantity.unit.is_none() && term.id == "static-pressure" && super::taken::at_fixture(note, quantity) {
        own += 1.0;
    }
    if term.strict && own <= 0.0 && wide <= 0.0 {
        return None;
    }
    if quantity.unit.is_none() && own < 0.7 && wide < 0.3 {
        return None;
    }
    if quantity.unit.is_none() && number::plausible(&term.states, quantity.value) == Plausibility::Implausible {
        // "Reads zero", "got two of them": hardly a reading unless much else says so.
        score -= 1.5;
    }
    score += own.clamp(-3.0, 2.5) + wide.clamp(-1.0, 0.8);
    let mut reached = Reached { cost: 0.3, part: None };
    if !term.need.is_empty() {
        let fits = |c: &str| term.need.iter().any(|n| n == c);
        let found = reach::find(note, &quantity.span, &fits)?;
        if found.cost > 3.3 || (found.cost >= reach::CARRIED && own < 0.7 && told_of_another(note, quantity, term)) {
            return None;
        }
        score += 1.5 - 0.5 * found.cost;
        reached = Reached { cost: found.cost, part: found.parts.first().map(|(_, span)| span.clone()) };
    }
    if score >= ENOUGH && row.applies == "gas" && own < SURE_OF_FUEL && is_electric(note, quantity.span.start) {
        return None;
    }
    Some((score, reached))
}

/// "Got two of 'em on this house", "it's got to be a hundred and thirty up here": counted, or felt.
fn is_no_reading(note: &Note, behind: usize) -> bool {
    let next = note.text(behind + 1);
    match note.text(behind) {
        "of" => matches!(next, "them" | "'em" | "em" | "these" | "those" | "each"),
        "up" | "in" | "down" | "out" => next == "here",
        _ => false,
    }
}

/// Words that name what only a burner has outweigh the fuel that was told.
const SURE_OF_FUEL: f64 = 1.6;

/// Whether the fuel told last is electricity: such a heater has no burner to measure.
fn is_electric(note: &Note, at: usize) -> bool {
    let fuel = |m: &Mention| {
        let electric = note.states(m).find_map(|s| s.strip_prefix("water-heater.energy = "))? == "electric";
        note.observed(&m.span).then_some(electric)
    };
    note.mentions_in(&(0..at)).iter().rev().find_map(fuel).unwrap_or(false)
}

/// Whether the sentence names, before the number, a part that the reading is not of: "Standing water in the pan, half an
/// inch" is nothing of the vent told of before.
fn told_of_another(note: &Note, quantity: &Quantity, term: &NumberTerm) -> bool {
    let before = note.sentence(quantity.span.start).start..quantity.span.start;
    note.mentions_in(&before).iter().any(|mention| {
        let near = |c: &str| reach::AROUND.contains(&c) || c == "water-system";
        let other = |c: &String| !term.need.contains(c) && !near(c);
        strong_part(mention).is_some() && note.components(mention).iter().all(other)
    })
}

/// A year of manufacture: said with a word for making, or standing alone.
fn year(note: &Note, quantity: &Quantity) -> Option<Claim> {
    let year = quantity.year?;
    if quantity.unit.is_some() {
        return None;
    }
    let clause = note.clause(quantity.span.start);
    let sentence = note.sentence(quantity.span.start);
    let says = |range: Range<usize>, class| note.tokens[range].iter().any(|t| t.is(class));
    if says(clause.clone(), WordClass::OtherYear) {
        return None;
    }
    let before = sentence.start.max(quantity.span.start.saturating_sub(8))..quantity.span.start;
    let made = says(clause.clone(), WordClass::Making) || says(before, WordClass::Making);
    let beside = |at: &usize| !quantity.span.contains(at);
    // "September of twenty fourteen" tells as much as the year alone.
    let dating = |at: usize| number::is_month(note.text(at)) || matches!(note.text(at), "of" | "in" | "it" | "says");
    let alone = clause.len() <= quantity.span.len() + 1 || clause.clone().filter(beside).all(dating);
    let at = quantity.span.start;
    let corrects =
        amend::corrections_in(note, &(at.saturating_sub(12)..at)).any(|c| c.span.end <= at && c.span.end + 4 >= at);
    // "It's a two thousand and three."
    let before = |back: usize| at.checked_sub(back).map_or("", |at| note.text(at));
    let called = matches!(before(1), "a" | "an") && matches!(before(2), "'s" | "is" | "was");
    let stands = made || called || alone || (!corrects && ends_a_heading(note, quantity, &clause));
    if !stands {
        return None;
    }
    let mut claim = make(note, quantity, "water-heater.made-year", "made-year")?;
    claim.value = Value::Number(f64::from(year));
    claim.signs.reach = if made { 0.2 } else { 1.0 };
    Some(claim)
}

/// "Electric forty gallon Halvorsen twenty twenty two": a year at the end of what names the heater.
fn ends_a_heading(note: &Note, quantity: &Quantity, clause: &Range<usize>) -> bool {
    let capacity = note.quantities_in(clause).iter().any(|q| q.measures("gal"));
    capacity && (1950..=2100).contains(&quantity.year.unwrap_or_default()) && quantity.value >= 1950.0
}

/// The claim of a quantity on `component.attribute`, in the catalogue's unit.
pub fn make(note: &Note, quantity: &Quantity, key: &str, rule: &str) -> Option<Claim> {
    let (component, attribute) = key.split_once('.')?;
    let row = note.lexicon.catalogue.row(component, attribute)?;
    let to = row.unit.as_deref();
    let convert = |value: f64| match (quantity.unit, to) {
        (Some(unit), Some(to)) => converted(value, unit, to),
        _ => Some(value),
    };
    let range = match quantity.range {
        Some([low, high]) => Some([convert(low)?, convert(high)?]),
        None => None,
    };
    let value = match range {
        Some(ends) => nearest_to_breaking(key, ends),
        None => convert(quantity.value)?,
    };
    let mut claim = Claim::new(component, attribute, Value::Number(value), quantity.span.clone(), rule);
    claim.unit = to.map(str::to_owned);
    claim.range = range;
    claim.spoken = Some(Spoken { number: quantity.value, unit: quantity.unit.map(|u| u.ucum().to_owned()) });
    claim.signs = Signs {
        matched: Match::Exact,
        word: note.surety(&quantity.span),
        hedged: quantity.approx != Approx::Exact || note.scopes.hedged(quantity.span.clone()),
        implausible: match number::plausible(key, value) {
            Plausibility::Implausible => true,
            // A bare number out of the common may be of something else.
            Plausibility::Unusual => quantity.unit.is_none(),
            _ => false,
        },
        number: true,
        certainty: quantity.certainty,
        ..Signs::default()
    };
    Some(claim)
}

/// Of a spoken range, the end that is nearer to breaking a rule: the low one where too little is the fault.
fn nearest_to_breaking(key: &str, [low, high]: [f64; 2]) -> f64 {
    let low_is_bad = matches!(key, "vent.slope" | "vent.clearance" | "ignition.height" | "breaker.rating")
        || (key == "water-system.static-pressure" && high < 60.0);
    if low_is_bad { low } else { high }
}

/// A number in another unit, to two places; one that stays the same stays whole.
pub fn converted(value: f64, from: Unit, to: &str) -> Option<f64> {
    number::convert(value, from, to).map(|v| if (v - value).abs() < 1e-9 { value } else { (v * 100.0).round() / 100.0 })
}
