//! Sentences about another appliance: what is said of the furnace is no fact of the water heater.
use super::claim::Claim;
use super::note::{Note, part_of};
use super::reach::stands_for;
use super::token::Stop;
use crate::lexicon::{Match, Role, WordClass};
use std::ops::Range;

/// Talk states something in fewer than one of so many sentences.
const SPARSE: usize = 2;

/// Where so many sentences state something, hardly a class or a call is heard, unless two of three state nothing.
const FULL: usize = 5;
const SPARSER: usize = 3;

/// In a call no more than so many sentences state something.
const NOTE: usize = 6;

/// A call in the midst of a note has no more sentences.
const LONG_ASIDE: usize = 10;

/// A cue in the first sentences says what the whole note is.
const OPENING: usize = 3;

/// The sentences, or the clauses of them, whose talk is of another appliance.
pub fn find(note: &Note) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut away = false;
    for sentence in &note.segments.sentences {
        let mentions = note.mentions_in(sentence);
        let other = mentions.iter().find(|m| m.is(note.lexicon, Role::Other) && is_subject(note, &m.span));
        let own = mentions.iter().find(|m| {
            part_of(m)
                .is_some_and(|(index, quality)| quality == Match::Exact && note.lexicon.parts[index].presence.is_some())
                || names_heater(note, m)
                || stands_for(note, m).is_some()
        });
        match (other, own) {
            (Some(other), None) => {
                // "Twenty is the dryer, ours is the thirty": from there on it is told of the heater again.
                let ours = (other.span.end..sentence.end).find(|at| matches!(note.text(*at), "ours" | "mine"));
                found.push(sentence.start..ours.unwrap_or(sentence.end));
                away = ours.is_none();
            }
            // The part named after the appliance is its own: "the boiler relief valve".
            (Some(other), Some(own)) if own.span.start >= other.span.end && !names_heater(note, own) => {
                found.push(note.clause(other.span.start));
            }
            (Some(_), Some(_)) => away = false,
            (None, None) if away && leans_back(note, sentence) => found.push(sentence.clone()),
            (None, _) => away = false,
        }
    }
    found
}

/// Whether a note that talks of other appliances is about a water heater at all: it is named, or two parts of one are.
pub fn leaves_heater_out(note: &Note) -> bool {
    if !note.mentions.iter().any(|m| m.is(note.lexicon, Role::Other) && is_subject(note, &m.span)) {
        return false;
    }
    let here = |m: &&super::mention::Mention| !note.is_abroad(m.span.start);
    let mut parts = std::collections::HashSet::new();
    for mention in note.mentions.iter().filter(here) {
        // "The heater" may be the pool's.
        if names_heater(note, mention) && mention.span.clone().any(|at| note.is(at, WordClass::HotWater)) {
            return false;
        }
        if let Some((index, Match::Exact)) = part_of(mention) {
            parts.extend(note.lexicon.parts[index].presence.as_deref());
        }
    }
    // What opens with a furnace and never comes to a tank is about the furnace, however many parts both have.
    let furnace = |m: &&super::mention::Mention| m.is(note.lexicon, Role::Other) && is_subject(note, &m.span);
    let opens = note.mentions.iter().find(furnace).is_some_and(|m| note.sentence_of(m.span.start) < OPENING);
    parts.len() < 2 || (opens && !note.quantities.iter().any(|q| q.measures("gal")))
}

/// Drops what is drawn from a class, a call or a story: its words say that no house at hand is meant, and on the same
/// side of them few sentences state anything. Notes of a heater are dense with findings.
pub fn drop_talk(note: &Note, claims: &mut Vec<Claim>) {
    let mut stating = vec![false; note.segments.sentences.len()];
    claims.iter().for_each(|claim| stating[note.sentence_of(claim.at.start)] = true);
    let mut told = vec![false; stating.len()];
    let states = running(stating.iter().copied());
    let talk = running(stating.iter().enumerate().map(|(at, states)| *states || !is_questioned(note, at)));
    for cue in note.cues(Role::NotHere) {
        let at = note.sentence_of(cue.span.start);
        for side in [0..at + 1, at..stating.len()] {
            let count = |counts: &[usize]| counts[side.end] - counts[side.start];
            let sparse = if count(&states) < FULL { SPARSE } else { SPARSER };
            if count(&states) * sparse < count(&talk) {
                told[side].fill(true);
            }
        }
    }
    // Only as the last word: "wrong house" with findings behind it takes back a sentence, not the note.
    let taken = note.cues(Role::NoneOfIt).map(|m| note.sentence_of(m.span.start)).max();
    let taken = taken.filter(|last| last + OPENING >= told.len() && !stating[last + 1..].contains(&true));
    taken.into_iter().for_each(|last| told[..=last].fill(true));
    let opening = |role| {
        let opening = note.cues(role).filter(|m| opens(note, &m.span));
        let mut at: Vec<usize> = opening.map(|m| note.sentence_of(m.span.start)).collect();
        at.sort_unstable();
        at
    };
    let back = opening(Role::AsideEnds);
    for at in opening(Role::AsideBegins) {
        let end = back.get(back.partition_point(|back| *back <= at)).copied().unwrap_or(told.len());
        // In the midst of a note it is soon over, unless it is said where it ends.
        let last = if at < OPENING - 1 || (end < told.len() && end < at + LONG_ASIDE) { end } else { end.min(at + 2) };
        // "Hi, this is the mudroom at the lake house": dense with findings it is a note, however it greets.
        let states = states[last] - states[at];
        if states < NOTE || states * SPARSER < (last - at) * SPARSE {
            told[at..last].fill(true);
        }
    }
    claims.retain(|claim| !told[note.sentence_of(claim.at.start)]);
}

/// How many are true before each place: a long note has many sentences and many cues.
fn running(flags: impl Iterator<Item = bool>) -> Vec<usize> {
    let mut count = 0;
    std::iter::once(0)
        .chain(flags.map(|flag| {
            count += usize::from(flag);
            count
        }))
        .collect()
}

/// Whether a sentence is a question or answers one: "Rust? None." An inspector reads a list to himself like that.
fn is_questioned(note: &Note, sentence: usize) -> bool {
    let asks = |at: usize| {
        let tokens = &note.tokens[note.segments.sentences[at].clone()];
        tokens.last().is_some_and(|last| last.stop == Stop::Question)
    };
    asks(sentence) || (sentence > 0 && asks(sentence - 1))
}

/// Whether a cue stands at the beginning of its sentence, but for a few small words.
fn opens(note: &Note, span: &Range<usize>) -> bool {
    span.start - note.sentence(span.start).start <= 4
}

fn names_heater(note: &Note, mention: &super::mention::Mention) -> bool {
    part_of(mention).is_some_and(|(index, quality)| {
        quality == Match::Exact && note.lexicon.parts[index].component.list().iter().any(|c| c == "water-heater")
    })
}

/// "By the furnace" only says where.
fn is_subject(note: &Note, span: &Range<usize>) -> bool {
    let clause = note.clause(span.start);
    // "Next to it there's a softener leaking."
    let from = span.start.saturating_sub(4).max(clause.start);
    let told = (from..span.start).any(|at| note.text(at) == "there" && note.is(at + 1, WordClass::Being));
    told || span.start - clause.start <= 4 && (clause.start..span.start).all(|at| !note.is_preposition(at))
}

/// A sentence that goes on about what was named before: "It's a natural gas one."
fn leans_back(note: &Note, sentence: &Range<usize>) -> bool {
    note.tokens[sentence.clone()].iter().take(4).any(|t| matches!(t.text.as_str(), "it" | "its" | "that" | "they"))
        || sentence.len() <= 5
}
