//! Which heater words are about, where a house has several.
use super::claim::Claim;
use super::note::Note;
use super::order::Order;
use crate::lexicon::Role;
use std::collections::BTreeMap;

/// The heaters of a note.
pub struct Items {
    /// Which heater each token is about, from 1.
    of: Vec<u32>,
    /// Whether what is said at a token is said of all heaters.
    shared: Vec<bool>,
    last: u32,
}

impl Items {
    /// `told` are the places of all that the note tells; `claims` what it states, in order.
    pub fn find(note: &Note, orders: &[Order], mut told: Vec<usize>, claims: &[Claim]) -> Self {
        told.sort_unstable();
        let mut begins = ordered(orders, &told);
        if begins.iter().all(|(_, item)| *item == 1) {
            begins.extend(second_heading(note, claims).map(|at| (at, 2)));
        }
        let mut of = vec![1; note.tokens.len()];
        begins.iter().for_each(|(at, item)| of[*at..].fill(*item));
        let last = begins.iter().map(|(_, item)| *item).max().unwrap_or(1);
        Items { of, shared: shared(note), last }
    }

    /// The heater that the word at `at` is about.
    pub fn of(&self, at: usize) -> u32 {
        self.of.get(at).copied().unwrap_or(1)
    }

    /// All heaters that what is said there is said of.
    pub fn all_of(&self, at: usize) -> std::ops::RangeInclusive<u32> {
        if self.shared.get(at) == Some(&true) { 1..=self.last } else { self.of(at)..=self.of(at) }
    }
}

/// Where commands change the heater, and to which: to the next one only once something was told of the one before; `told`
/// is in order.
fn ordered(orders: &[Order], told: &[usize]) -> Vec<(usize, u32)> {
    let (mut begins, mut highest) = (Vec::new(), 1);
    let mut since = 0;
    for order in orders.iter().filter(|o| !o.undone) {
        let at = order.at.start;
        let item = match order.kind {
            "next-item" if told.partition_point(|told| *told < since) < told.partition_point(|told| *told < at) => {
                highest += 1;
                highest
            }
            "next-item" if begins.is_empty() => continue,
            "next-item" => highest,
            "first-item" => 1,
            _ => continue,
        };
        since = at;
        begins.push((at, item));
    }
    begins
}

/// What is said of all heaters of the house: "Both heaters are on city water, and neither has an expansion tank".
fn shared(note: &Note) -> Vec<bool> {
    let mut shared = vec![false; note.tokens.len()];
    for cue in note.side.iter().filter(|m| m.is(note.lexicon, Role::AllItems)) {
        shared[cue.span.start..note.sentence(cue.span.start).end].fill(true);
    }
    shared
}

/// What a heading tells of a heater.
const HEADING: [&str; 5] = ["capacity", "brand", "made-year", "energy", "style"];
/// A heading is no longer than so many tokens.
const LONGEST: usize = 40;
/// Another heater's heading tells so many things otherwise than the one before.
const UNLIKE: usize = 3;

/// Where another heater is told of without a word for "next": "Now I'm out in the barn. This one's propane, thirty gallons,
/// a Lowick, two thousand eight": no heater has two volumes, two makers and two years.
fn second_heading(note: &Note, claims: &[Claim]) -> Option<usize> {
    let heads: Vec<&Claim> =
        claims.iter().filter(|c| c.component == "water-heater" && HEADING.contains(&c.attribute.as_str())).collect();
    let mut first: BTreeMap<&str, &Claim> = BTreeMap::new();
    for (index, head) in heads.iter().enumerate() {
        let known = *first.entry(&head.attribute).or_insert(head);
        if known.value == head.value || head.at.start < known.at.start + LONGEST {
            continue;
        }
        let near = heads[index..].iter().take_while(|c| c.at.start < head.at.start + LONGEST);
        let mut unlike: Vec<&str> = near
            .filter(|c| {
                first.get(c.attribute.as_str()).is_some_and(|k| k.value != c.value && k.at.start < head.at.start)
            })
            .map(|c| c.attribute.as_str())
            .collect();
        unlike.sort_unstable();
        unlike.dedup();
        if unlike.len() >= UNLIKE {
            return Some(led_in(note, claims, head.at.start));
        }
    }
    None
}

/// The beginning of the sentences that lead a heading in: the one it stands in, and those before that only tell a room.
fn led_in(note: &Note, claims: &[Claim], at: usize) -> usize {
    let mut sentence = note.sentence_of(at);
    for _ in 0..2 {
        let Some(before) = sentence.checked_sub(1).map(|n| note.segments.sentences[n].clone()) else { break };
        let mut own = claims.iter().filter(|c| before.contains(&c.at.start));
        if own.any(|c| !c.is("water-heater", "place")) {
            break;
        }
        sentence -= 1;
    }
    note.segments.sentences[sentence].start
}
