//! Photographs that the words speak of.
use super::mention::Mention;
use super::note::{Note, part_of};
use super::reach;
use super::scope::Polarity;
use super::token::Stop;
use crate::lexicon::{Role, TermRef, WordClass};
use std::ops::Range;

/// A photograph that the words speak of.
#[derive(Debug, Clone, PartialEq)]
pub struct PhotoMark {
    pub of: String,
    pub at: Range<usize>,
}

/// All photographs.
pub fn marks(note: &Note) -> Vec<PhotoMark> {
    let mut marks: Vec<PhotoMark> = Vec::new();
    for cue in &note.mentions {
        let before = cue.is(note.lexicon, Role::PhotoBefore) || closes_part(note, cue);
        let after = cue.is(note.lexicon, Role::Photo) || (before && note.text(cue.span.end) == "of");
        if !(after || before) || !is_taken(note, cue) {
            continue;
        }
        let sentence = note.sentence(cue.span.start);
        let ahead = cue.span.end..sentence.end.min(cue.span.end + 8);
        let pronoun = points_back(note, cue);
        let each = of_each(note, cue);
        if !each.is_empty() {
            marks.extend(each.into_iter().map(|of| PhotoMark { of, at: cue.span.clone() }));
            continue;
        }
        let following = item(note, ahead).map(|p| (p, true)).filter(|_| after && !pronoun);
        let behind = || told_of_word(note, cue).or_else(|| nearest_before(note, cue).filter(|_| before || pronoun));
        let listed = if pronoun { Vec::new() } else { listed_behind(note, cue) };
        if !listed.is_empty() {
            marks.extend(listed.into_iter().map(|(of, part)| PhotoMark { of, at: cue.span.start..part.end }));
            continue;
        }
        let Some(((component, part), forward)) = following.or_else(|| behind().map(|p| (p, false))) else {
            continue;
        };
        // "A shot of the heater, that's the photo you get": one photograph.
        if !forward && marks.iter().any(|m| m.of == component && m.at.start >= sentence.start) {
            continue;
        }
        let at = if forward { cue.span.start..part.end } else { cue.span.clone() };
        let also = others_named(note, &part, &component);
        marks.extend(also.into_iter().map(|of| PhotoMark { of, at: at.clone() }));
        marks.push(PhotoMark { of: component.clone(), at });
        if forward {
            follow_list(note, cue, part, &mut marks);
        } else if pronoun {
            // "I photographed that, and the breaker."
            follow_list(note, cue, cue.span.clone(), &mut marks);
        }
    }
    marks
}

/// "Two photos. One's the pan, the other's that stain", "got one picture, the valve": what a list behind the words names,
/// in sentences that do nothing else.
fn listed_behind(note: &Note, cue: &Mention) -> Vec<(String, Range<usize>)> {
    let sentence = note.sentence(cue.span.start);
    let rest = cue.span.end..sentence.end;
    let closes = note.tokens[cue.span.end - 1].stop > Stop::None;
    // What was told right before it is what it shows.
    let named = note.mentions_in(&(sentence.start..cue.span.start)).iter().any(|m| component_of(note, m).is_some());
    if named || !closes {
        return Vec::new();
    }
    let mut found = if only_lists(note, &rest) { parts_in(note, &rest) } else { Vec::new() };
    let led = rest.clone().all(|at| note.is(at, WordClass::AroundPicture));
    if found.is_empty() && (!led || !is_counted(note, &(cue.span.start..sentence.end))) {
        return Vec::new();
    }
    let mut next = note.sentence(sentence.end);
    while !next.is_empty() && only_lists(note, &next) {
        found.extend(parts_in(note, &next));
        next = note.sentence(next.end);
    }
    found
}

/// "Two photos", "pictures", "photo log, three entries": more than one.
fn is_counted(note: &Note, words: &Range<usize>) -> bool {
    note.tokens[words.clone()].iter().any(|t| {
        matches!(t.text.as_str(), "two" | "three" | "four" | "five" | "log")
            || (t.text.len() > 4 && t.text.ends_with('s'))
    })
}

/// Whether words name parts, or harm to them, and do nothing else.
fn only_lists(note: &Note, words: &Range<usize>) -> bool {
    let mentions = note.mentions_in(words);
    let shown = |at: usize| mentions.iter().any(|m| m.span.contains(&at) && is_shown(note, m));
    let beside = |at: usize| note.is(at, WordClass::AroundPicture) || note.is_preposition(at);
    mentions.iter().any(|m| is_shown(note, m)) && words.clone().all(|at| shown(at) || beside(at))
}

/// What can be in a picture: a part, or harm to one.
fn is_shown(note: &Note, mention: &Mention) -> bool {
    let harm = |state: &str| HARM.iter().any(|attribute| state.contains(attribute)) && !state.ends_with("none");
    reach::holds(note, mention) || note.states(mention).any(harm)
}

const HARM: [&str; 3] = [".damage", "corrosion", ".scorch"];

/// The things that a list names, each once.
fn parts_in(note: &Note, words: &Range<usize>) -> Vec<(String, Range<usize>)> {
    let mut found: Vec<(String, Range<usize>)> = Vec::new();
    for mention in note.mentions_in(words).iter().filter(|m| is_shown(note, m)) {
        let whole = || component_of(note, mention).filter(|_| reach::holds(note, mention));
        let Some(of) = whole().or_else(|| shown_by(note, mention)) else { continue };
        let joins = |before: &Range<usize>| {
            let between = before.end..mention.span.start;
            // "The stain on the ceiling", "the stained baseboard" are one thing.
            let on = between.len() <= 3 && between.clone().any(|at| note.is_preposition(at));
            (on || between.is_empty()) && !between.clone().any(|at| note.text(at) == "and")
        };
        match found.last_mut() {
            Some((_, before)) if joins(before) && note.oblique(&mention.span) => {}
            Some(last) if joins(&last.1) => *last = (of, mention.span.clone()),
            _ => found.push((of, mention.span.clone())),
        }
    }
    found
}

/// What words speak of no photograph of: "I didn't photograph the tank" says nothing of the tank.
pub fn passed_over(note: &Note) -> Vec<Range<usize>> {
    let cues = note.cues(Role::Photo).filter(|cue| !is_taken(note, cue));
    let named = cues.filter_map(|cue| {
        let (_, part) = named(note, cue.span.end..note.clause(cue.span.start).end.min(cue.span.end + 3))?;
        Some(cue.span.start..part.end)
    });
    named.collect()
}

/// "Heater photographed": the part right before it, and nothing behind.
fn closes_part(note: &Note, cue: &Mention) -> bool {
    let before = note.mentions_in(&(cue.span.start.saturating_sub(4)..cue.span.start));
    let part = before.last().is_some_and(|m| m.span.end == cue.span.start && reach::holds(note, m));
    part && cue.is(note.lexicon, Role::Photo) && note.tokens[cue.span.end - 1].stop > Stop::None
}

/// "A shot of each", "both photographed": the two parts told of last, or three.
fn of_each(note: &Note, cue: &Mention) -> Vec<String> {
    let until = note.clause(cue.span.start).end.min(cue.span.end + 4);
    let word = |at: usize| note.text(at);
    let each = (cue.span.start.saturating_sub(1)..until).find(|at| matches!(word(*at), "each" | "both" | "all"));
    let Some(each) = each.filter(|at| !note.is(at + 1, WordClass::Determiner) || word(at + 1) == "of") else {
        return Vec::new();
    };
    let count = if (each..until).any(|at| word(at) == "three") { 3 } else { 2 };
    let sentence = note.sentence_of(cue.span.start);
    let from = note.segments.sentences[sentence.saturating_sub(1)].start;
    let mut found: Vec<String> = Vec::new();
    // "Both connections are photographed" names them itself.
    if note.mentions_in(&(each..until)).iter().any(|m| component_of(note, m).is_some())
        || word(each) == "all" && count < 3
    {
        return Vec::new();
    }
    for mention in note.mentions_in(&(from..cue.span.start)).iter().rev() {
        let held = reach::holds(note, mention) && !note.oblique(&mention.span);
        let of = held.then(|| component_of(note, mention)).flatten();
        found.extend(of.filter(|of| found.len() < count && !found.contains(of)));
    }
    if found.len() == count { found } else { Vec::new() }
}

/// Whether the words speak of a photograph that the inspector takes here.
fn is_taken(note: &Note, cue: &Mention) -> bool {
    let here = !note.scopes.elsewhere(cue.span.clone()) && !note.is_abroad(cue.span.start);
    let clause = note.clause(cue.span.start);
    let sentence = note.sentence(cue.span.start);
    // "Make sure you get a picture" is said as a duty, and done.
    let duty = note.text(clause.start) == "make" || note.text(clause.start) == "be";
    let said = match note.scopes.of(cue.span.clone()) {
        Polarity::Affirmed => true,
        Polarity::Hypothetical => duty,
        _ => false,
    };
    let asked = note.is_question(&sentence)
        && matches!(note.text(sentence.start), "did" | "do" | "does" | "have" | "has" | "is" | "was" | "were");
    let hung = note.is(cue.span.end, WordClass::Hanging) && !note.is(cue.span.end - 1, WordClass::Definite);
    let others = (clause.start..cue.span.end)
        .any(|at| note.is(at, WordClass::Somebody) && (at + 1..at + 4).any(|at| note.is(at, WordClass::Taking)));
    // "Never got a picture of it", "cancel the photo".
    let denied = (clause.start.max(cue.span.start.saturating_sub(3))..cue.span.start).any(|at| {
        note.text(at).ends_with("n't")
            || matches!(note.text(at), "never" | "no" | "not" | "cancel" | "without" | "skip")
    });
    let reminds = (clause.start..cue.span.start).any(|at| note.text(at) == "forget");
    let another_day = note.tokens[sentence].iter().any(|t| t.is(WordClass::AnotherDay));
    said && here && (!denied || reminds) && !asked && !hung && !others && !another_day
}

/// The parts listed behind the first: "of the pan and the valve", "one of the seam, one of the valve. And one of the screw."
fn follow_list(note: &Note, cue: &Mention, first: Range<usize>, marks: &mut Vec<PhotoMark>) {
    let mut end = note.sentence(cue.span.start).end;
    while goes_on(note, end) {
        end = note.sentence(end).end;
    }
    let mut last = first;
    while let Some((more, span)) = item(note, last.end..end.min(last.end + 8)) {
        let between = last.end..span.start;
        if between.len() <= 2 && note.text(last.end) == "of" {
            // "The seam of the tank" is one thing.
            last = span;
            continue;
        }
        let listed = note.only_list_words(between.clone())
            || (note.tokens[last.end - 1].stop == Stop::Comma && span.start <= last.end + 1)
            || another(note, between.clone())
            || unknown_between(note, between);
        if !listed || is_cued(note, &(last.end..span.start)) {
            break;
        }
        let at = cue.span.start..span.end;
        if !marks.iter().rev().any(|m| m.of == more && m.at.start == at.start) {
            marks.push(PhotoMark { of: more, at });
        }
        last = span;
    }
}

/// What is photographed first in a range: a part, or a sign of harm that is told of no part behind it.
fn item(note: &Note, range: Range<usize>) -> Option<(String, Range<usize>)> {
    let part = named(note, range.clone());
    let sign = shown(note, range.start..range.end.min(range.start + 4));
    match (part, sign) {
        (Some(part), Some(sign)) => {
            let apart = |at: usize| matches!(note.text(at), "and" | "of") || note.tokens[at - 1].stop > Stop::None;
            let own = sign.1.end <= part.1.start && (sign.1.end..part.1.start + 1).any(apart);
            Some(if own { sign } else { part })
        }
        (part, sign) => part.or(sign),
    }
}

/// "Photo of that": of what was told of before.
fn points_back(note: &Note, cue: &Mention) -> bool {
    let pronoun = |at: usize| note.is(at, WordClass::Pointing);
    let ends = |at: usize| {
        at >= note.tokens.len() || note.tokens[at].stop > Stop::None || note.is(at + 1, WordClass::BehindPointing)
    };
    (cue.span.end - 1..cue.span.end + 1).any(|at| pronoun(at) && ends(at))
}

/// "Rust on the flue at the elbow ... a picture of that elbow": the part that the same word was told of before.
fn told_of_word(note: &Note, cue: &Mention) -> Option<(String, Range<usize>)> {
    let end = note.clause(cue.span.end - 1).end.min(cue.span.end + POINTED);
    let plain = |at: &usize| note.text(*at).len() > 3 && !note.is(*at, WordClass::Small);
    let word = (cue.span.end..end).rev().find(plain)?;
    let before =
        (cue.span.start.saturating_sub(TOLD)..cue.span.start).rev().find(|at| note.text(*at) == note.text(word))?;
    let sentence = note.sentence_of(before);
    let from = note.segments.sentences[sentence.saturating_sub(1)].start;
    let told = note.mentions_in(&(from..note.sentence(before).end));
    told.iter().rev().filter(|m| m.span.start <= before).find_map(|m| Some((component_of(note, m)?, word..word + 1)))
}

/// So many tokens back the word may have been said.
const TOLD: usize = 400;

/// Words between a photograph and what it points back to.
const POINTED: usize = 4;

/// Whether a sentence only adds to a list of photographs: "And one of that screw", "another of the plate".
fn goes_on(note: &Note, start: usize) -> bool {
    let sentence = note.sentence(start);
    let of = (sentence.start..sentence.end.min(sentence.start + 5)).find(|at| note.text(*at) == "of");
    of.is_some_and(|of| another(note, sentence.start..of + 1)) && !is_cued(note, &sentence)
}

/// Whether words speak of a photograph themselves.
fn is_cued(note: &Note, words: &Range<usize>) -> bool {
    let cue = |m: &Mention| m.is(note.lexicon, Role::Photo) || m.is(note.lexicon, Role::PhotoBefore);
    note.mentions_in(words).iter().any(cue)
}

/// "The plate, the switch, and the valve", "the flue, then the tag": what stands between two parts of a list may be a thing
/// that has no name here, or words for what comes next.
fn unknown_between(note: &Note, between: Range<usize>) -> bool {
    let comma = |at: usize| note.tokens[at].stop == Stop::Comma;
    let next =
        |at: usize| note.is(at, WordClass::Listing) || matches!(note.text(at), "then" | "after" | "that" | "next");
    let listed = between.len() <= 5 && between.start > 0 && comma(between.start - 1);
    let thing = between.clone().any(comma) && between.clone().all(|at| note.tokens[at].stop <= Stop::Comma);
    listed && note.mentions_in(&between).is_empty() && (thing || between.clone().all(next))
}

/// Whether words lead to one more of what was counted: "and one of the", "then another one of that".
fn another(note: &Note, words: Range<usize>) -> bool {
    let text = |at: usize| note.text(at);
    words.clone().any(|at| matches!(text(at), "one" | "another" | "second"))
        && words.clone().any(|at| text(at) == "of")
        && words
            .clone()
            .rev()
            .take_while(|at| text(*at) != "one" && text(*at) != "another")
            .all(|at| note.is(at, WordClass::OneMore))
}

/// What else the words of a part that names several show: "both connections".
fn others_named(note: &Note, part: &Range<usize>, first: &str) -> Vec<String> {
    let mention = note.mentions_in(&(part.start..part.start + 1)).iter().find(|m| m.span == *part);
    let index = mention.and_then(part_of).map(|(index, _)| index);
    let all = index.map(|index| &note.lexicon.parts[index]).filter(|part| part.all);
    all.map_or(Vec::new(), |part| part.component.list().iter().filter(|c| *c != first).cloned().collect())
}

/// The first part in a range and the component that a photograph of it shows.
fn named(note: &Note, range: Range<usize>) -> Option<(String, Range<usize>)> {
    note.mentions_in(&range).iter().find_map(|m| component_of(note, m).map(|c| (c, m.span.clone())))
}

/// What a photograph of a sign of harm shows: "photo of that stain".
fn shown(note: &Note, range: Range<usize>) -> Option<(String, Range<usize>)> {
    let first = note.mentions_in(&range).first()?;
    let gap = range.start..first.span.start;
    if note.tokens[gap].iter().any(|t| t.stop > Stop::None) {
        return None;
    }
    shown_by(note, first).map(|component| (component, first.span.clone()))
}

/// The component that a sign of harm is on.
fn shown_by(note: &Note, sign: &Mention) -> Option<String> {
    sign.terms.iter().find_map(|(term, _)| {
        let TermRef::Saying(index) = term else { return None };
        let saying = &note.lexicon.sayings[*index];
        let state = saying.states.list().first()?;
        let own = state.split_once(" = ")?.0.split_once('.').map(|(component, _)| component.to_owned());
        own.or_else(|| saying.need.first().cloned())
            .or_else(|| told_before(note, sign, state))
            .or_else(|| owner(note, &sign.span, state).or_else(|| saying.default.clone()))
    })
}

/// What the same was said of before, where words only point back: "the cold union drips ... picture of the drip".
fn told_before(note: &Note, sign: &Mention, state: &str) -> Option<String> {
    let points_back =
        sign.span.start > 0 && matches!(note.text(sign.span.start - 1), "the" | "that" | "this" | "those");
    let named_here = note.mentions_in(&(sign.span.end..note.sentence(sign.span.start).end));
    if !points_back || named_here.iter().any(|m| part_of(m).is_some()) {
        return None;
    }
    let floor = note.sentence(sign.span.start).start;
    let same = |m: &&Mention| note.states(m).any(|s| s == state);
    let before = note.mentions_in(&(0..floor)).iter().rev().find(|m| same(m) && !note.negated(&m.span))?;
    owner(note, &before.span, state)
}

/// The component near these words that can be in the state they tell of.
fn owner(note: &Note, at: &Range<usize>, state: &str) -> Option<String> {
    let (attribute, value) = state.split_once(" = ")?;
    let fits = |c: &str| note.lexicon.supports(c, attribute, Some(value));
    let near = reach::find(note, at, &fits).filter(|r| r.cost < SHOWN_WITHIN)?;
    near.parts.first().map(|(component, _)| component.clone())
}

/// What is shown is of a part no further away than this, or of the whole.
const SHOWN_WITHIN: f64 = 2.4;

/// The component that a mention names, the heater where it names several with it.
pub fn component_of(note: &Note, mention: &Mention) -> Option<String> {
    let (index, _) = part_of(mention)?;
    let part = &note.lexicon.parts[index];
    let first = part.component.list().first()?;
    let whole = part.component.list().iter().any(|c| c == "water-heater");
    Some(if whole { "water-heater".to_owned() } else { first.clone() })
}

fn nearest_before(note: &Note, cue: &Mention) -> Option<(String, Range<usize>)> {
    let sentence = note.sentence_of(cue.span.start);
    let from = note.segments.sentences[sentence.saturating_sub(1)].start;
    let before = note.mentions_in(&(from..cue.span.start));
    let of = |m: &Mention| {
        let whole = || component_of(note, m).filter(|_| reach::holds(note, m));
        let component = whole().or_else(|| reach::named_within(note, m))?;
        Some((component, m.span.clone()))
    };
    // "It hangs between the joists": what only tells where is shown if nothing else is.
    let subjects = before.iter().rev().filter(|m| !note.oblique(&m.span));
    subjects.filter_map(of).next().or_else(|| before.iter().rev().find_map(of))
}
