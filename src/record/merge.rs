//! The notes of a visit, read one by one, become one record; what a person decided stands above what was heard.
use super::item::count_on;
use super::settle::settle;
use super::{Decision, Fact, Limit, RECORD_VERSION, Record, Value};
use crate::read::Reading;
use std::collections::HashMap;

#[cfg(test)]
mod tests;

/// Two numbers that differ by less than this share are one reading: the record's own measure of equality.
const SAME_NUMBER: f64 = 0.01;
/// How sure a fact can be that another statement contradicts.
const DISPUTED_CONFIDENCE: f64 = 0.5;
/// A correction replaces what was said before if its fact follows within this many words.
const CORRECTION_REACH: usize = 12;

/// Merges the readings of notes, in the order recorded, and applies the decisions, in the order made.
pub fn merge(mut readings: Vec<(String, Reading)>, decisions: &[Decision]) -> Record {
    count_on(&mut readings);
    let mut record = Record { version: RECORD_VERSION, ..Record::default() };
    let mut slots = Slots::default();
    for (_, reading) in readings {
        add(&mut record, &mut slots, reading);
    }
    dispute(&mut record.facts, &slots);
    settle(&mut record.facts, decisions);
    record
}

/// Where the facts of one item, component and attribute stand, so that a long record is not searched for each fact.
#[derive(Default)]
pub struct Slots(HashMap<(u32, String, String), Vec<usize>>);

impl Slots {
    pub fn over(facts: &[Fact]) -> Self {
        let mut slots = Slots::default();
        for (at, fact) in facts.iter().enumerate() {
            slots.put(fact, at);
        }
        slots
    }

    fn put(&mut self, fact: &Fact, at: usize) {
        self.0.entry(Self::key(fact)).or_default().push(at);
    }

    fn key(fact: &Fact) -> (u32, String, String) {
        (fact.item, fact.component.clone(), fact.attribute.clone())
    }

    pub fn of(&self, fact: &Fact) -> &[usize] {
        self.0.get(&Self::key(fact)).map_or(&[], Vec::as_slice)
    }
}

/// Adds what one note says to what the notes before it said.
fn add(record: &mut Record, slots: &mut Slots, reading: Reading) {
    let earlier = record.facts.len();
    let first = reading.facts.iter().flat_map(|f| &f.evidence).map(|e| e.span[0]).min().unwrap_or(0);
    let corrects: Vec<bool> = reading.facts.iter().map(|f| is_correction(f, &reading, first)).collect();
    for (fact, corrects) in reading.facts.into_iter().zip(corrects) {
        add_fact(&mut record.facts, slots, earlier, fact, corrects);
    }
    for limit in reading.limits {
        add_limit(&mut record.limits, limit);
    }
    record.photos.extend(reading.photos);
    record.commands.extend(reading.commands);
    for (words, evidence) in reading.remarks {
        record.remarks.push(words);
        record.remark_evidence.push(evidence);
    }
}

/// Adds a fact; one that an earlier note stated gets a second proof, one that it corrects is replaced.
fn add_fact(facts: &mut Vec<Fact>, slots: &mut Slots, earlier: usize, fact: Fact, corrects: bool) {
    let own = slots.of(&fact);
    let same = |at: &&usize| same_slot(&facts[**at], &fact) && same_value(&facts[**at].value, &fact.value);
    if let Some(at) = own.iter().find(same).copied() {
        return join(&mut facts[at], fact);
    }
    let replaced = own.iter().rev().find(|at| **at < earlier && same_slot(&facts[**at], &fact)).copied();
    if corrects && let Some(at) = replaced {
        let known = &mut facts[at];
        let before = std::mem::replace(known, fact);
        // The words that were taken back stay: nothing said is lost.
        known.evidence.extend(before.evidence.into_iter().map(|mut e| {
            e.rule = format!("taken back: {} ({})", before.value, e.rule);
            e
        }));
        return;
    }
    slots.put(&fact, facts.len());
    facts.push(fact);
}

/// Whether a fact corrects an earlier note: a spoken correction stands right before its words, and nothing that could
/// be meant stands before that in its own note (`first` is where the first proof of all begins). In doubt it is no correction, and both statements stand as disputed.
fn is_correction(fact: &Fact, reading: &Reading, first: usize) -> bool {
    let Some(proof) = fact.evidence.first() else { return false };
    let said = reading.commands.iter().filter(|c| c.kind == "correction").flat_map(|c| &c.evidence);
    said.map(|e| e.span[0]).any(|at| at <= first && (at..=at + CORRECTION_REACH).contains(&proof.span[0]))
}

/// The same fact from another statement: both proofs, the surer reading, whatever either tells more.
fn join(known: &mut Fact, other: Fact) {
    // Hearing it twice may be the same mistake twice, so it makes nothing surer than the better of both.
    if other.confidence > known.confidence {
        known.confidence = other.confidence;
        known.doubts = other.doubts;
    }
    known.disputed |= other.disputed;
    known.place = known.place.take().or(other.place);
    known.range = known.range.or(other.range);
    known.spoken = known.spoken.take().or(other.spoken);
    known.evidence.extend(other.evidence);
}

/// Marks the facts that contradict each other.
fn dispute(facts: &mut [Fact], slots: &Slots) {
    for at in 0..facts.len() {
        if slots.of(&facts[at]).iter().any(|other| contradicts(&facts[*other], &facts[at])) {
            facts[at].disputed = true;
        }
        if facts[at].disputed {
            facts[at].confidence = facts[at].confidence.min(DISPUTED_CONFIDENCE);
        }
    }
}

fn add_limit(limits: &mut Vec<Limit>, limit: Limit) {
    match limits.iter_mut().find(|l| l.component == limit.component && l.item == limit.item && l.why == limit.why) {
        Some(known) => known.evidence.extend(limit.evidence),
        None => limits.push(limit),
    }
}

/// Whether two facts answer the same question. Readings at two named places do not: both stand. Whether a part is
/// there at all does not depend on the place named with it.
pub fn same_slot(a: &Fact, b: &Fact) -> bool {
    let same_key = a.item == b.item && a.component == b.component && a.attribute == b.attribute;
    let places_differ = matches!((&a.place, &b.place), (Some(a), Some(b)) if !a.eq_ignore_ascii_case(b));
    same_key && (!places_differ || a.attribute == "presence")
}

/// Whether two facts answer the same question differently.
pub fn contradicts(a: &Fact, b: &Fact) -> bool {
    same_slot(a, b) && !same_value(&a.value, &b.value)
}

/// Whether two values are the same for the record: numbers within one percent, words whatever their capitals.
pub fn same_value(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Number(a), Value::Number(b)) => (a - b).abs() <= SAME_NUMBER * a.abs().max(b.abs()),
        (Value::Text(a), Value::Text(b)) => a.eq_ignore_ascii_case(b),
        _ => false,
    }
}
