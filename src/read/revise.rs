//! Taking back and correcting what was said, and settling what is said twice.
use super::amend::CORRECTION;
use super::claim::Claim;
use super::note::Note;
use super::order::Order;
use crate::lexicon::WordClass;
use crate::record::Value;
use std::collections::HashSet;
use std::ops::Range;

/// Takes back what "scratch that" takes back.
pub fn scratch(note: &Note, orders: &[Order], claims: &mut Vec<Claim>) -> Vec<Range<usize>> {
    let mut gone = Vec::new();
    for order in orders.iter().filter(|o| o.kind == "scratch-that") {
        let Some(target) = statement_before(note, order, claims) else { continue };
        claims.retain(|c| !target.contains(&c.at.start));
        gone.push(target);
    }
    gone
}

/// The statement that a command to take back means: the rest of its own sentence before it, or the sentence before.
fn statement_before(note: &Note, order: &Order, claims: &[Claim]) -> Option<Range<usize>> {
    let sentence = note.sentence_of(order.at.start);
    let own = note.segments.sentences[sentence].start..order.at.start;
    if claims.iter().any(|c| own.contains(&c.at.start)) {
        let clause = note.clause(order.at.start.checked_sub(1)?);
        let recent = claims.iter().any(|c| clause.contains(&c.at.start));
        return Some(if recent { clause.start..order.at.start } else { own });
    }
    let before = note.segments.sentences.get(sentence.checked_sub(1)?)?.clone();
    Some(before.start..order.at.start)
}

/// Whether the words between two statements turn from the one to the other.
pub fn turns(note: &Note, between: Range<usize>) -> bool {
    between.start < between.end && note.tokens[between].iter().any(|t| t.is(WordClass::Turning))
}

/// Lets a value take the place of another said just before, where the words between take that one back.
pub fn correct(note: &Note, orders: &[Order], claims: &mut Vec<Claim>) {
    let mut gone = vec![false; claims.len()];
    for (later, new) in claims.iter().enumerate() {
        let sentence = note.sentence_of(new.at.start);
        for (earlier, old) in claims.iter().enumerate().take(later).rev() {
            let apart = sentence - note.sentence_of(old.at.start).min(sentence);
            if apart > 3 {
                break;
            }
            if !old.same_key(new) || old.value == new.value || new.at.start <= old.at.start {
                continue;
            }
            let between = old.at.end..new.at.start.max(old.at.end);
            let ordered = orders_in(orders, &(old.at.start..new.at.start))
                .any(|o| o.kind == "correction" && o.at.end <= new.at.end);
            if ordered || new.rule == CORRECTION || (apart <= 2 && turns(note, between)) {
                gone[earlier] = true;
            }
        }
    }
    let mut kept = gone.iter().map(|g| !g);
    claims.retain(|_| kept.next().unwrap_or(true));
}

/// The commands that begin in a range.
fn orders_in<'a>(orders: &'a [Order], range: &Range<usize>) -> impl Iterator<Item = &'a Order> {
    let from = orders.partition_point(|o| o.at.start < range.start);
    orders[from..].iter().take_while(move |o| o.at.start < range.end)
}

/// Values that win over others of the same attribute, whatever the order in which they are said.
const STRONGER: [(&str, &str, &str); 13] = [
    ("style", "tankless", "storage"),
    ("style", "heat-pump", "storage"),
    ("style", "indirect", "storage"),
    ("leak", "past", "none-seen"),
    ("kind", "breaker-lock", "panel"),
    ("energy", "propane", "natural-gas"),
    ("end-place", "drain", "floor"),
    ("end-place", "pan", "floor"),
    ("end-place", "unseen", "outside"),
    ("loop", "closed", "open"),
    ("protection", "armored", "none"),
    ("presence", "loose", "present"),
    ("finish", "garage-slab", "unfinished"),
];

/// Merges what is said twice, lets the stronger value stand, and keeps one room a heater.
pub fn settle(claims: &mut Vec<Claim>) {
    let said: HashSet<(String, String, String)> = claims
        .iter()
        .filter_map(|c| Some((c.component.clone(), c.attribute.clone(), c.value.as_text()?.to_owned())))
        .collect();
    let weaker = |claim: &Claim| {
        let value = claim.value.as_text().unwrap_or_default();
        STRONGER.iter().any(|(attribute, strong, weak)| {
            claim.attribute == *attribute
                && value == *weak
                && said.contains(&(claim.component.clone(), claim.attribute.clone(), (*strong).to_owned()))
        })
    };
    claims.retain(|c| !weaker(c));
    let named = claims.iter().any(|c| c.attribute == "energy" && c.rule != "gas-plain");
    claims.retain(|c| !(named && c.rule == "gas-plain"));
    keep_best(claims, "water-heater", "place");
    keep_best(claims, "water-heater", "brand");
    keep_strongest_degree(claims);
}

/// Of several names for one thing the one nearest to certain stands, the earlier of equals.
fn keep_best(claims: &mut Vec<Claim>, component: &str, attribute: &str) {
    let best = claims
        .iter()
        .filter(|c| c.is(component, attribute))
        .min_by(|a, b| a.signs.reach.total_cmp(&b.signs.reach).then(a.at.start.cmp(&b.at.start)))
        .map(|c| c.at.clone());
    if let Some(best) = best {
        claims.retain(|c| !c.is(component, attribute) || c.at == best);
    }
}

/// "Rust on the jacket, heavy at the base": one part, the worse degree, if both stand close together.
fn keep_strongest_degree(claims: &mut Vec<Claim>) {
    let rank = |value: &Value| match value.as_text() {
        Some("heavy") => 3,
        Some("moderate") => 2,
        Some("light") => 1,
        _ => 0,
    };
    let all: Vec<Claim> = claims.iter().filter(|c| c.attribute == "corrosion" && rank(&c.value) > 1).cloned().collect();
    let from = |at: usize| all.partition_point(|o| o.at.start + 40 <= at);
    claims.retain(|c| {
        c.attribute != "corrosion"
            || rank(&c.value) == 0
            || !all[from(c.at.start)..]
                .iter()
                .take_while(|o| o.at.start < c.at.start + 40)
                .any(|o| o.same_key(c) && rank(&o.value) > rank(&c.value))
    });
}
