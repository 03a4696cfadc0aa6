//! The note's own commands, and what each of them reaches.
use super::name;
use super::note::Note;
use super::token::Stop;
use crate::lexicon::{Match, Role, WordClass};
use std::ops::Range;

/// A command heard, with the tokens that say it.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    pub kind: &'static str,
    pub at: Range<usize>,
    /// "Scratch that" right behind it took it back.
    pub undone: bool,
}

/// A silence this long, as word times tell it, parts two statements.
const PAUSE_MS: u64 = 500;

/// All commands of a note, in order.
pub fn orders(note: &Note) -> Vec<Order> {
    let mut orders: Vec<Order> = Vec::new();
    let counted = counts_headings(note);
    for mention in &note.mentions {
        let at = mention.span.clone();
        let alone = || stands_alone(note, &at);
        // "Did you catch that" scratches nothing: what only sounds like it has to be a statement of its own.
        let said = || mention.terms.iter().any(|(_, quality)| *quality <= Match::Weak) || alone();
        let kind = match mention.role(note.lexicon) {
            Some(Role::ScratchThat) if said() => "scratch-that",
            Some(Role::Correction) => "correction",
            Some(Role::NextItem) if counted && is_heading(note, &at) => continue,
            Some(Role::NextItem) if starts_thought(note, at.start) && !is_measure(note, &at) => "next-item",
            Some(Role::FirstItem) if starts_thought(note, at.start) => "first-item",
            Some(Role::EndOfNote) if said() => "end-of-note",
            Some(Role::WhatIsLeft) if alone() => "what-is-left",
            Some(Role::ReadBack) if alone() => "read-that-back",
            Some(Role::StopListening) if alone() => "stop-listening",
            Some(Role::StartListening) if alone() => "start-listening",
            _ => continue,
        };
        // "The other one" alone is the next heater, "the other one is copper" is a pipe.
        let plain = mention.terms.iter().any(|(_, quality)| *quality != Match::Weak);
        let leads = || kind == "next-item" && leads_in_heater(note, &at);
        if (plain || alone() || leads()) && !note.scopes.elsewhere(at.clone()) {
            orders.push(Order { kind, at, undone: false });
        }
    }
    take_back(note, &mut orders);
    orders
}

/// "Cylinder, two hundred litres": a number that goes on counts no heater.
fn is_measure(note: &Note, at: &Range<usize>) -> bool {
    note.quantities_in(at).iter().any(|q| at.end < q.span.end)
}

/// Whether headings are counted in a note, and no heaters: "Number one, the basics. Number two, wiring. Number three, ...".
fn counts_headings(note: &Note) -> bool {
    note.tokens.windows(2).any(|pair| pair[0].text == "number" && matches!(pair[1].text.as_str(), "three" | "3"))
}

/// Whether a number counts a heading here: no heater is told of behind it.
fn is_heading(note: &Note, at: &Range<usize>) -> bool {
    note.text(at.start) == "number" && !name::tells_kind(note, &(at.end..at.end + HEADING))
}

/// A change of heater opens its sentence, after at most a few small words.
fn starts_thought(note: &Note, at: usize) -> bool {
    let clause = note.clause(at);
    at - clause.start <= 3 || matches!(note.text(at), "next" | "new")
}

/// What names a heater stands within so many tokens of the words that lead it in.
const HEADING: usize = 28;

/// "The second one's up in the attic. Gas, forty gallons": a room and then a fuel or a volume name a heater where one has
/// been named before, as no part is named.
fn leads_in_heater(note: &Note, at: &Range<usize>) -> bool {
    let sentence = note.sentence(at.start);
    let next = note.sentence(sentence.end);
    let room = |range: Range<usize>| note.mentions_in(&range).iter().any(|m| m.is(note.lexicon, Role::Place));
    let stands = room(at.end..sentence.end) || room(next.start..next.end.min(next.start + 4));
    stands && name::tells_kind(note, &(0..at.start)) && name::tells_kind(note, &(at.end..at.end + HEADING))
}

/// Whether these tokens are a statement of their own: a sentence, or words between two pauses.
pub fn stands_alone(note: &Note, at: &Range<usize>) -> bool {
    let filler = |at: usize| note.is(at, WordClass::AroundCommand);
    let (mut first, mut last) = (at.start, at.end);
    while first > 0 && !parted(note, first) && filler(first - 1) {
        first -= 1;
    }
    while last < note.tokens.len() && !parted(note, last) && filler(last) {
        last += 1;
    }
    (first == 0 || parted(note, first)) && (last == note.tokens.len() || parted(note, last))
}

/// Whether a statement ends before this token.
fn parted(note: &Note, at: usize) -> bool {
    note.tokens[at - 1].stop >= Stop::Sentence || note.tokens[at].pause_ms >= PAUSE_MS
}

/// Marks the commands that "scratch that", said right behind them, takes back.
fn take_back(note: &Note, orders: &mut [Order]) {
    for at in 1..orders.len() {
        let between = orders[at - 1].at.end..orders[at].at.start;
        let nothing = between.clone().all(|at| note.is(at, WordClass::AroundCommand));
        let takes = orders[at].kind == "scratch-that" && !matches!(orders[at - 1].kind, "scratch-that" | "correction");
        let own = stands_alone(note, &orders[at - 1].at) || orders[at - 1].kind == "end-of-note";
        orders[at - 1].undone = takes && nothing && own;
    }
}

/// The tokens between "stop listening" and "start listening", which say nothing for the record.
pub fn unheard(note: &Note, orders: &[Order]) -> Vec<Range<usize>> {
    let mut unheard = Vec::new();
    let mut stopped: Option<usize> = None;
    for order in orders.iter().filter(|o| !o.undone) {
        match (order.kind, stopped) {
            ("stop-listening", None) => stopped = Some(order.at.end),
            ("start-listening", Some(from)) => {
                unheard.push(from..order.at.start);
                stopped = None;
            }
            _ => {}
        }
    }
    unheard.extend(stopped.map(|from| from..note.tokens.len()));
    unheard
}
