//! Which part a statement is about: beside it, in its sentence, or carried over from before.
use super::mention::Mention;
use super::note::{Note, part_of, strong_part};
use super::same;
use super::token::Stop;
use crate::lexicon::{Match, Part, TermRef, WordClass};
use std::ops::Range;

/// A part found for a statement, or several where a list shares it.
#[derive(Debug, Clone, PartialEq)]
pub struct Reach {
    /// 0 beside the words, 1 in the sentence, 2 and more carried over.
    pub cost: f64,
    /// Components, each with the tokens of the part that names it.
    pub parts: Vec<(String, Range<usize>)>,
    pub matched: Match,
}

/// A part of another sentence costs at least this.
pub const CARRIED: f64 = 2.0;
/// Reaching further back than this many sentences finds nothing.
const CARRY: usize = 3;
/// A part taken by its second meaning (a valve for its pipe) is that much further.
const SECOND_MEANING: f64 = 0.6;
/// A part that is only meant by what is said of it is that much further.
const STANDS_FOR: f64 = 0.25;
/// Each other part told of in between pushes a carried-over one this much further.
const SHIFT: f64 = 0.7;
/// A sentence that names what it is about before it says something of that is hardly about a part of the one before:
/// "There's a relief valve. Drain valve's brass with a cap on it."
const OWN_SUBJECT: f64 = 1.2;
/// "Either" stands so close behind what is said of both.
const BOTH_WITHIN: usize = 3;

/// Where on a part something is said to be does not name another part as surely.
const BODY: f64 = 1.0;

/// The nearest part that one of the fitting components is named by.
pub fn find(note: &Note, at: &Range<usize>, fits: &dyn Fn(&str) -> bool) -> Option<Reach> {
    let sentence = note.sentence_of(at.start);
    let floor = note.segments.sentences[note.carry.floor(sentence, CARRY)].start;
    let ceiling = note.segments.sentences[sentence].end;
    let near = note.mentions_in(&(floor..ceiling));
    let mut best: Option<(f64, &Mention, Vec<String>, Match)> = None;
    for mention in near {
        let Some((index, quality)) = part_of(mention) else {
            let Some(component) = stands_for(note, mention).filter(|c| fits(c)) else { continue };
            let cost = distance(note, at, mention) + STANDS_FOR;
            if mention.span != *at && best.as_ref().is_none_or(|(least, ..)| cost < *least) {
                best = Some((cost, mention, vec![component.to_owned()], Match::Exact));
            }
            continue;
        };
        if mention.span == *at || (quality == Match::Weak && !weak_holds(note, mention, index)) {
            continue;
        }
        let part = &note.lexicon.parts[index];
        let fitting: Vec<(usize, &String)> =
            part.component.list().iter().enumerate().filter(|(_, c)| fits(c)).collect();
        let Some((rank, first)) = fitting.first() else { continue };
        let second = if *rank > 0 && !part.all { SECOND_MEANING } else { 0.0 };
        let cost = distance(note, at, mention) + second + if whereabouts(note, at, mention, part) { BODY } else { 0.0 };
        if best.as_ref().is_none_or(|(least, ..)| cost < *least) {
            let components =
                if part.all { fitting.iter().map(|(_, c)| (*c).clone()).collect() } else { vec![(*first).clone()] };
            best = Some((cost, mention, components, quality));
        }
    }
    let (cost, mention, components, matched) = best?;
    let mut parts: Vec<_> = components.into_iter().map(|c| (c, mention.span.clone())).collect();
    if note.sentence_of(mention.span.start) == sentence || shares(note, at) {
        share_list(note, near, mention, fits, at, &mut parts);
    }
    Some(Reach { cost, parts, matched })
}

/// Whether "from the bottom", "at the seam" only tell where on the part named right before: "the expansion tank leaks at
/// the seam".
fn whereabouts(note: &Note, at: &Range<usize>, place: &Mention, part: &Part) -> bool {
    let body = place.span.start >= at.end
        && note.oblique(&place.span)
        && part.component.list().first().is_some_and(|c| c == "casing");
    let named = |m: &&Mention| strong_part(m).is_some();
    let subject = || note.mentions_in(&(note.sentence(at.start).start..at.start)).iter().rev().find(named);
    // "There's an expansion tank, and water's coming out around its seam."
    let its = place.span.start > 0 && note.text(place.span.start - 1) == "its";
    body && subject().is_some_and(|m| {
        // "The vent's connected, B vent, with rust along the seam."
        let with = note.text(note.clause(at.start).start) == "with";
        let near =
            its || with || note.clause_of(m.span.start) == note.clause_of(at.start) || m.span.end + 2 >= at.start;
        near && !note.oblique(&m.span)
    })
}

/// Words that state something of one component alone name it too: "B vent, connected".
pub fn stands_for<'a>(note: &'a Note, mention: &Mention) -> Option<&'a str> {
    mention.terms.iter().find_map(|(term, _)| {
        let TermRef::Saying(index) = term else { return None };
        let saying = &note.lexicon.sayings[*index];
        let (component, _) = saying.states.list().first()?.split_once('.')?;
        // "The copper off that" needs a valve, and tells of its pipe.
        let own = saying.need.is_empty() || saying.need.iter().all(|need| need != component);
        (own && component != "water-heater" && component != "water-system").then_some(component)
    })
}

/// The first component named by a part that lies within longer words: the pan of "water in the pan".
pub fn named_within(note: &Note, mention: &Mention) -> Option<String> {
    let (_, index) = note.inner_in(&mention.span).next()?;
    note.lexicon.parts[*index].component.list().first().cloned()
}

/// Whether a mention names a part, by its name or by a short form that counts here.
pub fn holds(note: &Note, mention: &Mention) -> bool {
    part_of(mention).is_some_and(|(index, quality)| quality != Match::Weak || weak_holds(note, mention, index))
}

/// Whether a mention states something and names no part.
pub fn only_says(note: &Note, mention: &Mention) -> bool {
    mention.is_saying() && !holds(note, mention)
}

/// A short form counts only while what it is short for is talked about.
pub fn weak_holds(note: &Note, mention: &Mention, index: usize) -> bool {
    // "The cover's off, it's lying there" names nothing "off it".
    let anew = |at: usize| note.tokens[at - 1].stop > Stop::None && matches!(note.text(at), "it" | "that" | "there");
    if (mention.span.start + 1..mention.span.end).any(anew) {
        return false;
    }
    // "Beading out of the cold connection": from where, and no outlet.
    if mention.span.len() == 1 && note.text(mention.span.start) == "out" && note.text(mention.span.end) == "of" {
        return false;
    }
    let part = &note.lexicon.parts[index];
    let sentence = note.sentence_of(mention.span.start);
    let floor = note.segments.sentences[note.carry.floor(sentence, 2)].start;
    let ceiling = note.segments.sentences[sentence].end;
    if part.near.is_empty() {
        // "Copper in, copper out": only right behind what is said of it.
        let said = note.mentions_in(&(mention.span.start.saturating_sub(3)..mention.span.start));
        return said.last().is_some_and(|m| {
            m.span.end == mention.span.start
                && m.terms.iter().any(|(t, _)| match t {
                    TermRef::Saying(index) => note.lexicon.sayings[*index].states.list().iter().any(|s| {
                        s.split_once(" = ").is_some_and(|(key, value)| {
                            part.component.list().iter().any(|c| note.lexicon.supports(c, key, Some(value)))
                        })
                    }),
                    _ => false,
                })
        });
    }
    let strong = |m: &&Mention| strong_part(m).is_some() || stands_for(note, m).is_some();
    let before = note.mentions_in(&(floor..mention.span.start));
    let after = note.mentions_in(&(mention.span.end..ceiling));
    let names = |m: &Mention| {
        stands_for(note, m).is_some_and(|c| part.near.iter().any(|n| n == c))
            || part_of(m)
                .is_some_and(|(i, _)| note.lexicon.parts[i].component.list().iter().any(|c| part.near.contains(c)))
    };
    // The nearest thing named decides, whatever it is.
    match before.iter().rev().find(|m| strong(m) && !note.oblique(&m.span)) {
        Some(last) => {
            let next = after.iter().find(strong).filter(|m| note.sentence_of(m.span.start) == sentence);
            names(last) || before.iter().rev().filter(strong).take(3).any(names) || next.is_some_and(names)
        }
        None => before.iter().rev().find(strong).or_else(|| after.iter().find(strong)).is_some_and(names),
    }
}

/// How far a part is from the words said of it.
fn distance(note: &Note, at: &Range<usize>, part: &Mention) -> f64 {
    let sentences = note.carry.between(note.sentence_of(part.span.start), note.sentence_of(at.start));
    let after = part.span.start >= at.end;
    let between = if after { at.end..part.span.start } else { part.span.end..at.start.max(part.span.end) };
    let words = between.len() as f64;
    if sentences > 0 {
        let pronoun = leads_with_pronoun(note, at.start) || followed_by_pronoun(note, at);
        let oblique = if note.oblique(&part.span) { 0.6 } else { 0.0 };
        let begun = note.sentence(at.start).start;
        let shifts = other_subjects(note, part.span.end..begun, part).count() as f64;
        let apart = |m: &Mention| note.components(m).iter().all(|c| !AROUND.contains(&c.as_str()));
        let own = if other_subjects(note, begun..at.start, part).any(apart) { OWN_SUBJECT } else { 0.0 };
        return 2.0
            + own
            + 0.5 * (sentences - 1) as f64
            + if pronoun { 0.0 } else { 0.3 }
            + oblique
            + SHIFT * shifts
            + words * 0.001;
    }
    let clauses = note.clause_of(at.start).abs_diff(note.clause_of(part.span.start)) as f64;
    match (after, clauses as usize) {
        (true, 0) if note.only_small_words(between.clone()) => 0.08 * words,
        (true, 0) => 1.0 + 0.05 * words,
        // "It's not leaking, and neither's the valve": that is of what was told of before.
        (true, _) if same::opens(note, &note.clause(part.span.start)) => 1.6 + 0.2 * clauses + OWN_SUBJECT,
        (true, _) => 1.6 + 0.2 * clauses,
        (false, 0) => 0.15 + 0.03 * words + if note.oblique(&part.span) { 0.25 } else { 0.0 },
        (false, _) => 0.6 + 0.15 * clauses + 0.01 * words + if note.oblique(&part.span) { 0.4 } else { 0.0 },
    }
}

/// The other parts told of in a range as what the talk is of: by each of them it has moved on.
fn other_subjects<'a>(note: &'a Note, range: Range<usize>, part: &Mention) -> impl Iterator<Item = &'a Mention> {
    let own = note.components(part);
    let other = |m: &&Mention| note.components(m).iter().all(|c| !own.contains(c));
    let told = note.mentions_in(&range).iter().filter(|m| strong_part(m).is_some() && !note.oblique(&m.span));
    told.filter(other)
}

/// What stands around the heater, or is all of it, takes nothing away from a part: "the panel's on the opposite wall".
pub const AROUND: [&str; 4] = ["water-heater", "casing", "surround", "data-plate"];

fn leads_with_pronoun(note: &Note, at: usize) -> bool {
    let sentence = note.sentence(at);
    note.tokens[sentence.start..at].iter().any(|t| t.is(WordClass::Pronoun))
}

/// "Light rust on it": what is said is of something told of before, not of the heater as a whole.
pub fn followed_by_pronoun(note: &Note, at: &Range<usize>) -> bool {
    let end = note.sentence(at.start).end.min(at.end + 3);
    (at.end..end.saturating_sub(1)).any(|at| {
        note.is_preposition(at)
            && note.tokens[at].stop == Stop::None
            && matches!(note.text(at + 1), "it" | "that" | "them" | "its")
    })
}

/// Whether words go on with what was told of before: "light rust on it", "rust round its collar, no drips".
pub fn points_back(note: &Note, at: &Range<usize>) -> bool {
    let begun = note.sentence(at.start).start;
    followed_by_pronoun(note, at) || (begun..at.start).any(|at| note.text(at) == "its")
}

/// Adds the parts of one list: "no rust at the inlet or the outlet", "inlet and outlet are clean", "both are dry".
fn share_list(
    note: &Note,
    near: &[Mention],
    found: &Mention,
    fits: &dyn Fn(&str) -> bool,
    at: &Range<usize>,
    parts: &mut Vec<(String, Range<usize>)>,
) {
    let Some(place) = near.iter().position(|m| m.span == found.span) else { return };
    let mut add = |mention: &Mention| {
        let Some((index, _)) = part_of(mention) else { return false };
        let Some(component) = note.lexicon.parts[index].component.list().iter().find(|c| fits(c)) else { return false };
        if parts.iter().all(|(c, _)| c != component) {
            parts.push((component.clone(), mention.span.clone()));
        }
        true
    };
    if found.span.start >= at.end {
        let mut last = found;
        for next in &near[place + 1..] {
            if !note.only_list_words(last.span.end..next.span.start) || !add(next) {
                break;
            }
            last = next;
        }
        return;
    }
    let mut first = found;
    let shared = note.tokens[found.span.end..at.start].iter().any(|t| t.is(WordClass::Shared));
    for previous in near[..place].iter().rev() {
        let list = note.only_list_words(previous.span.end..first.span.start)
            || (previous.span.end == first.span.start && note.tokens[previous.span.end - 1].stop == Stop::Comma);
        if shared && list && note.sentence_of(previous.span.start) == note.sentence_of(at.start) {
            if !add(previous) {
                break;
            }
            first = previous;
        } else {
            break;
        }
    }
    if shares(note, at) {
        let known = note.components(found);
        near[..place].iter().rev().find(|m| !note.components(m).iter().any(|c| known.contains(c)) && add(m));
    }
}

/// Whether words are said of two parts: "both are dry", "no leaks at either one".
pub fn shares(note: &Note, at: &Range<usize>) -> bool {
    let sentence = note.sentence(at.start);
    let until = (at.end + BOTH_WITHIN).min(sentence.end).max(at.end);
    let from = note.clause(at.start).start;
    note.mentions_in(&(from..until)).iter().any(|m| m.is(note.lexicon, crate::lexicon::Role::Both))
}
