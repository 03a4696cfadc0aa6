//! Which heater words are about, where a house has several.
mod heading;
mod lead;

use super::claim::Claim;
use super::note::Note;
use super::order::Order;
use super::token::Stop;
use crate::lexicon::{Role, WordClass};
use heading::Headings;
use std::ops::Range;

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
        let several = Several::of(note);
        let shared = shared(note);
        // What is told of all, or to say that there are several, is told of none by itself.
        told.retain(|at| !shared[*at] && !several.in_sentence(note.sentence_of(*at)));
        told.sort_unstable();
        let ordered = ordered(note, orders, &told);
        let headings = Headings::of(claims, &shared);
        let begins = heading::begins(note, &headings, &told, ordered, &several);
        let mut of = vec![1; note.tokens.len()];
        begins.iter().for_each(|(at, item)| of[*at..].fill(*item));
        of_one_sentence(note, orders, &mut of);
        let last = begins.iter().map(|(_, item)| *item).max().unwrap_or(1);
        share_out(note, &several, &shared, &mut of, last);
        Items { of, shared, last }
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

/// Where a heater begins to be told of, and which.
pub type Begin = (usize, u32);

/// Where commands change the heater, and to which: one that is named by its number is that one, another is the next to be
/// told of, but only once something was told of the one before; `told` is in order.
fn ordered(note: &Note, orders: &[Order], told: &[usize]) -> Vec<Begin> {
    let (mut begins, mut highest, mut current) = (Vec::new(), 1, 1);
    let mut since = 0;
    for order in orders.iter().filter(|o| !o.undone) {
        let at = order.at.start;
        let number = order.at.clone().find_map(|at| lead::number(note.text(at))).filter(|n| *n <= highest + 1);
        let told_since = told.partition_point(|told| *told < since) < told.partition_point(|told| *told < at);
        let other = order.at.clone().any(|at| note.text(at) == "other");
        let item = match order.kind {
            "first-item" => 1,
            // "Heater one is in the attic, heater two in the barn": counted from the first on, nothing need be told.
            "next-item" if begins.is_empty() && !told_since => continue,
            "next-item" if number.is_some_and(|n| n > 1) => number.unwrap_or(highest),
            // With two told of, "the other heater" is the one that is not told of now.
            "next-item" if other && highest == 2 => 3 - current,
            "next-item" if told_since => highest + 1,
            "next-item" => highest,
            _ => continue,
        };
        (highest, current, since) = (highest.max(item), item, at);
        begins.push((at, item));
    }
    begins
}

/// "Photo of the pan on number one": a heater named at the end of a sentence is that of the sentence.
fn of_one_sentence(note: &Note, orders: &[Order], of: &mut [u32]) {
    for order in orders.iter().filter(|o| !o.undone && matches!(o.kind, "next-item" | "first-item")) {
        let sentence = note.sentence(order.at.start);
        if order.at.end == sentence.end && note.is_preposition(order.at.start) {
            let item = of[order.at.start];
            of[sentence].fill(item);
        }
    }
}

/// What is said of all heaters of the house: "Both heaters are on city water, and neither has an expansion tank".
fn shared(note: &Note) -> Vec<bool> {
    let mut shared = vec![false; note.tokens.len()];
    for cue in note.side.iter().filter(|m| m.is(note.lexicon, Role::AllItems)) {
        let back = matches!(note.text(cue.span.end - 1), "each" | "apiece");
        let from = if back { note.clause(cue.span.start).start } else { cue.span.start };
        shared[from..note.sentence(cue.span.start).end].fill(true);
    }
    // "Two heaters in the garage, the left one is gas": where they stand is said of both.
    for cue in note.cues(Role::SeveralItems) {
        shared[cue.span.start..note.clause(cue.span.start).end.max(cue.span.start)].fill(true);
    }
    shared
}

/// "Two heaters, one gas, one electric": the first of what is told so is of the first, the second of the second.
fn share_out(note: &Note, several: &Several, shared: &[bool], of: &mut [u32], last: u32) {
    if last < 2 {
        return;
    }
    for sentence in several.0.iter().map(|sentence| &note.segments.sentences[*sentence]) {
        let ones: Vec<usize> =
            sentence.clone().filter(|at| note.text(*at) == "one" && follows_stop(note, *at)).collect();
        if ones.len() != 2 || shared[ones[0]] {
            continue;
        }
        of[ones[0]..ones[1]].fill(1);
        of[ones[1]..sentence.end].fill(2);
    }
}

fn follows_stop(note: &Note, at: usize) -> bool {
    at > 0 && (note.tokens[at - 1].stop > Stop::None || matches!(note.text(at - 1), "and" | "'s" | "is"))
}

/// How many sentences open a note.
const OPENING: usize = 2;

/// The sentences that say that there is more than one heater, in order.
pub struct Several(Vec<usize>);

impl Several {
    fn of(note: &Note) -> Self {
        // "Two of them" is said of many things, of heaters where a note begins.
        let opening = |at: usize| note.sentence_of(at) < OPENING;
        let heaters = |span: &Range<usize>| span.clone().any(|at| note.is(at, WordClass::HeaterNoun));
        let cues = note.cues(Role::SeveralItems).filter(|m| opening(m.span.start) || heaters(&m.span));
        let mut sentences: Vec<usize> = cues.map(|m| note.sentence_of(m.span.start)).collect();
        sentences.sort_unstable();
        Several(sentences)
    }

    fn in_sentence(&self, sentence: usize) -> bool {
        self.0.binary_search(&sentence).is_ok()
    }

    pub fn is_announced(&self) -> bool {
        !self.0.is_empty()
    }
}
