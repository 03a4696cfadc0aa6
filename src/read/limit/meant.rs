//! Which part the words of not seeing mean.
use super::{always_there, measured};
use crate::lexicon::{Role, WordClass};
use crate::read::mention::Mention;
use crate::read::note::{Note, part_of, strong_part};
use crate::read::photo::component_of;
use crate::read::reach;
use crate::read::scope::Polarity;
use crate::read::token::{Stop, Token};
use std::ops::Range;

/// The part that a pronoun means: "the tank's up in the joists, couldn't reach it". Behind and around a thing not named
/// is the heater itself.
pub fn meant_by_pronoun(note: &Note, cue: &Mention, sentence: &Range<usize>) -> Option<(String, Range<usize>)> {
    let (behind, ahead) = (pronoun_behind(note, cue), pronoun_ahead(note, cue));
    if !behind && !ahead {
        return None;
    }
    let strong = |m: &&Mention| strong_part(m).is_some();
    let before = note.mentions_in(&(sentence.start..cue.span.start));
    let mut subjects = before.iter().filter(|m| strong(m) && !note.oblique(&m.span));
    let subject = if behind { subjects.next() } else { subjects.next_back() }.or_else(|| before.iter().find(strong));
    let around = matches!(note.text(cue.span.end - 1), "behind" | "around" | "past");
    let subject = subject.or_else(|| told_before(note, cue, sentence, ahead));
    match subject.filter(|m| !is_only_told(note, m)) {
        Some(mention) => component_of(note, mention).map(|c| (of_heater(note, cue, c), mention.span.clone())),
        None if around => Some(("casing".to_owned(), cue.span.end..cue.span.end + 1)),
        None => None,
    }
}

/// "What color the flame burns? Beats me." "Next, the drain valve. Behind a wall of boxes, so no luck." "The hood and the
/// vent are behind a riveted screen. I could examine neither."
pub fn meant_by_heading(note: &Note, cue: &Mention, sentence: &Range<usize>) -> Vec<(String, Range<usize>)> {
    let named = |m: &Mention| reach::holds(note, m) && !surrounds(note, m) && !m.span.contains(&cue.span.start);
    let until = sentence.start..cue.span.end.max(object(note, cue).end);
    let before = note.sentence_of(sentence.start).checked_sub(1).map(|n| note.segments.sentences[n].clone());
    let Some(before) = before.filter(|_| !note.mentions_in(&until).iter().any(named)) else { return Vec::new() };
    let asks = before.len() <= ASKED && note.is_question(&before);
    let strong = note.mentions_in(&before).iter().filter(|m| strong_part(m).is_some() && !surrounds(note, m));
    let heads = is_heading(note, &before);
    // "A dog lies by the switch. Not inspected."
    let short = cue.span.start <= sentence.start + 2 && sentence.len() <= cue.span.len() + 4;
    let alone = short && states_nothing(note, &before) && strong.clone().count() == 1;
    if !asks && !heads && !alone && !only_hides(note, &before) {
        return Vec::new();
    }
    let mut parts: Vec<&Mention> = strong.filter(|m| heads || alone || !note.oblique(&m.span)).collect();
    if asks {
        parts.truncate(1);
    }
    let meant = |m: &Mention| component_of(note, m).map(|c| (of_heater(note, cue, c), m.span.clone()));
    parts.into_iter().filter_map(meant).collect()
}

/// Whether a sentence names parts and says nothing of them: "Next, the drain valve."
pub fn is_heading(note: &Note, sentence: &Range<usize>) -> bool {
    let mentions = note.mentions_in(sentence);
    let part = |at: usize| mentions.iter().any(|m| m.span.contains(&at) && strong_part(m).is_some());
    let beside: Vec<usize> = sentence.clone().filter(|at| !part(*at)).collect();
    beside.len() < sentence.len() && beside.len() <= 6 && beside.iter().all(|at| note.is(*at, WordClass::AroundHeading))
}

/// Whether a sentence says of its parts only what they are behind.
fn only_hides(note: &Note, sentence: &Range<usize>) -> bool {
    let hides = note.tokens[sentence.clone()].iter().any(|t| matches!(t.text.as_str(), "behind" | "above" | "beneath"));
    hides && states_nothing(note, sentence)
}

/// Whether nothing in a sentence may state anything of a part.
fn states_nothing(note: &Note, sentence: &Range<usize>) -> bool {
    let states = |m: &Mention| reach::only_says(note, m) || m.is(note.lexicon, Role::There);
    !note.mentions_in(sentence).iter().any(states)
}

/// A part and, where words behind a list are said of all of it, those listed before it: "the trap and the valve, neither
/// was seen".
pub fn with_list(note: &Note, cue: &Mention, one: (String, Range<usize>)) -> Vec<(String, Range<usize>)> {
    let sentence = note.sentence(cue.span.start);
    let after = one.1.end..(cue.span.end + 2).min(sentence.end);
    // "Neither the inlet nor the drain could be reached."
    let nor = note.text(cue.span.start) == "nor"
        && (sentence.start..cue.span.start).any(|at| note.text(at) == "neither")
        && cue.span.contains(&one.1.start);
    if nor {
        let before = note.mentions_in(&(sentence.start..cue.span.start));
        let first = before.iter().rev().find(|m| strong_part(m).is_some());
        let first = first.and_then(|m| component_of(note, m).map(|c| (c, m.span.clone())));
        return first.into_iter().chain([one]).collect();
    }
    if one.1.end > cue.span.start || !after.clone().any(|at| note.is(at, WordClass::Several)) {
        return vec![one];
    }
    let begun = note.sentence(one.1.start).start;
    let mut next = one.1.start;
    let mut found = vec![one];
    for mention in note.mentions_in(&(begun..next)).iter().rev() {
        let between = mention.span.end..next;
        let joined =
            between.len() <= 4 && between.clone().all(|at| note.is(at, WordClass::Listing) || note.text(at) == "its");
        if strong_part(mention).is_none() || !joined {
            break;
        }
        next = mention.span.start;
        found.extend(component_of(note, mention).map(|c| (of_heater(note, cue, c), mention.span.clone())));
    }
    found
}

/// "Couldn't reach it", "didn't see any of that".
fn pronoun_behind(note: &Note, cue: &Mention) -> bool {
    let open = |at: usize| note.tokens[at].stop == Stop::None;
    let of = (cue.span.end..(cue.span.end + 3).min(note.tokens.len())).find(|at| note.text(*at) == "of" && open(*at));
    open(cue.span.end - 1) && note.is(of.map_or(cue.span.end, |of| of + 1), WordClass::UnseenPronoun)
}

/// "It was not exercised", "so that goes unchecked": nothing but the pronoun is said not to have been seen.
fn pronoun_ahead(note: &Note, cue: &Mention) -> bool {
    let clause = note.clause(cue.span.start);
    let pronoun =
        (clause.start..cue.span.start.min(clause.start + 2)).find(|at| note.is(*at, WordClass::UnseenPronoun));
    pronoun.is_some_and(|at| cue.span.start - at <= 2)
}

/// The part of a sentence before: that asked for, "the drain valve? Couldn't see it", or, where a pronoun stands `ahead`,
/// that told of last, "relief valve's there. It was not exercised".
fn told_before<'n>(note: &'n Note, cue: &Mention, sentence: &Range<usize>, ahead: bool) -> Option<&'n Mention> {
    let before = note.segments.sentences.get(note.sentence_of(sentence.start).checked_sub(1)?)?;
    let opens = cue.span.start <= sentence.start + 2;
    let question = before.len() <= ASKED && note.tokens[before.end - 1].stop == Stop::Question;
    let mut strong = note.mentions_in(before).iter().filter(|m| strong_part(m).is_some() && !note.oblique(&m.span));
    // "It's seized, so I left it untested": of what was told of last.
    let leans = matches!(note.text(sentence.start), "it" | "it's" | "that" | "that's" | "they" | "they're" | "she");
    if question && opens { strong.next() } else { strong.next_back().filter(|_| ahead && (opens || leans)) }
}

/// A question that only names a part is no longer.
const ASKED: usize = 8;

/// "The seller says it was serviced, which I can't verify": what is only told of is nothing to see.
fn is_only_told(note: &Note, mention: &Mention) -> bool {
    matches!(note.scopes.of(mention.span.clone()), Polarity::Hearsay | Polarity::Hypothetical)
}

/// Of the heater as a whole it is the casing that was not seen; what was not inspected or could not be run is all of it.
fn of_heater(note: &Note, cue: &Mention, component: String) -> String {
    let whole = note.tokens[cue.span.clone()].iter().any(|t| t.is(WordClass::Inspecting));
    if component == "water-heater" && !whole { "casing".to_owned() } else { component }
}

/// The parts set before what is said of them: "Ground, can't call it", "The pressure I could not measure", "the tap and
/// the valve, I couldn't get to either".
pub fn topic(note: &Note, cue: &Mention, reasoned: bool) -> Vec<(String, Range<usize>)> {
    let sentence = note.sentence(cue.span.start);
    let before = note.mentions_in(&(sentence.start..cue.span.start));
    let last = before.iter().rposition(|m| reach::holds(note, m)).or(before.len().checked_sub(1));
    let Some(last) = last.filter(|last| is_topic(note, cue, &before[*last], reasoned)) else { return Vec::new() };
    let mut next = before[last].span.start;
    let listed = before[..last].iter().rev().take_while(|m| {
        let leads = strong_part(m).is_some() && note.only_list_words(m.span.end..next);
        next = m.span.start;
        leads
    });
    let parts = listed.chain([&before[last]]);
    let named = |m: &Mention| Some((of_heater(note, cue, note.components(m).first()?.clone()), m.span.clone()));
    parts.filter_map(named).collect()
}

/// Whether a part is set before what is said of its not being seen.
fn is_topic(note: &Note, cue: &Mention, part: &Mention, reasoned: bool) -> bool {
    let Some(component) = note.components(part).first().filter(|_| strong_part(part).is_some()) else { return false };
    let component = of_heater(note, cue, component.clone());
    let between = part.span.end..cue.span.start;
    let begun = note.clause(part.span.start).start;
    // "Whether it has a pipe I can't see", "if there's a pan down there is anybody's guess".
    if super::wondered(note, &(begun..part.span.start)) && between.len() <= WONDERED {
        return true;
    }
    // "The back of the tank I never saw": a part of the part.
    let subject = !note.oblique(&part.span) || note.tokens[begun..part.span.start].iter().any(|t| t.text == "of");
    let leads = part.span.start - begun <= 5 && subject;
    let close = between.len() <= 5 && between.clone().all(|at| note.is(at, WordClass::BeforeUnseen));
    let set_off = note.tokens[part.span.end - 1].stop == Stop::Comma
        || between.clone().any(|at| matches!(note.text(at), "i" | "we" | "you" | "i'd" | "i've" | "we'd" | "you'll"));
    let object = note.tokens.get(cue.span.end).filter(|_| note.tokens[cue.span.end - 1].stop == Stop::None);
    let whole = object.is_none_or(|t| t.is(WordClass::BehindUnseen));
    // "The trap I couldn't see" says that there is none, unless it is told why.
    let seeing = note.tokens[cue.span.clone()].iter().any(|t| t.is(WordClass::Seeing));
    let told = reasoned || !seeing || always_there(note, &component) || note.text(cue.span.end - 1) == "tell";
    leads && close && set_off && whole && told
}

/// Words between a part that is wondered about and what is said of not knowing.
const WONDERED: usize = 6;

/// What the words right behind the cue say was not seen, up to the next stop.
fn object(note: &Note, cue: &Mention) -> Range<usize> {
    let sentence = note.sentence(cue.span.start);
    let open = note.tokens[cue.span.end - 1].stop == Stop::None;
    let stop =
        (cue.span.end..sentence.end).find(|at| note.tokens[*at].stop > Stop::None).map_or(sentence.end, |at| at + 1);
    cue.span.end..if open { stop } else { cue.span.end }
}

/// The pipe named last, of those that end somewhere.
pub fn pipe_before(note: &Note, at: usize) -> Option<String> {
    let ends = |c: &&String| *c == "vent" || note.lexicon.catalogue.row(c, "end-place").is_some();
    let told = note.mentions_in(&(0..at)).iter().rev().filter(|m| strong_part(m).is_some());
    told.take(PIPE_WITHIN).find_map(|m| note.components(m).iter().find(ends).cloned())
}

/// How many parts back the pipe was named whose end is told of.
const PIPE_WITHIN: usize = 4;

/// The back of the heater, or the end of the pipe that is told of: behind the cue, or set before it.
pub fn hidden(note: &Note, cue: &Mention) -> Option<(String, Range<usize>)> {
    let whole = |c: &String| matches!(c.as_str(), "water-heater" | "casing" | "surround");
    let own = |m: &Mention| strong_part(m).is_some() && note.components(m).first().is_some_and(|c| !whole(c));
    let sentence = note.sentence(cue.span.start).start;
    let own_it = object(note, cue).any(|at| note.text(at) == "it");
    let from = if own_it { 0 } else { note.clause(cue.span.start.saturating_sub(1)).start };
    let before = from.max(sentence)..cue.span.start;
    // The cue may hold the word itself: "couldn't get behind it".
    let within = cue.span.start..object(note, cue).end;
    [within, before].into_iter().find_map(|range| {
        let cues = note.side_in(&range);
        let place = cues.iter().find(|m| m.is(note.lexicon, Role::OutOfView) || m.is(note.lexicon, Role::FarEnd))?;
        let apart = |m: &Mention| m.span.end <= place.span.start || m.span.start >= place.span.end;
        let room = |m: &Mention| m.is(note.lexicon, Role::Place) && m.span.start <= place.span.end;
        let beside = note.is(place.span.end, WordClass::RoomEdge)
            || note.mentions_in(&(place.span.start..place.span.end + 1)).iter().any(room);
        if beside || note.mentions_in(&range).iter().any(|m| apart(m) && own(m)) {
            return None;
        }
        if place.is(note.lexicon, Role::OutOfView) {
            return Some(("casing".to_owned(), place.span.clone()));
        }
        pipe_before(note, place.span.start).map(|component| (component, place.span.clone()))
    })
}

/// The part of the sentence before that "the bottom one", "the other" means.
pub fn meant_by_one(note: &Note, cue: &Mention, sentence: &Range<usize>) -> Option<(String, Range<usize>)> {
    let near = sentence.start.max(cue.span.start.saturating_sub(4))..cue.span.start;
    let small = |at: usize| (at + 1..cue.span.start).all(|at| note.is(at, WordClass::BeforeUnseen));
    let one = near.rev().find(|at| matches!(note.text(*at), "one" | "ones" | "other") && small(*at))?;
    let number = note.sentence_of(sentence.start).checked_sub(1)?;
    let before = note.mentions_in(&note.segments.sentences[number]);
    let strong = before.iter().find(|m| strong_part(m).is_some())?;
    component_of(note, strong).map(|c| (of_heater(note, cue, c), one..one + 1))
}

/// The parts that a limit is about: those after it, or else the one before.
pub fn limited(note: &Note, cue: &Mention, sentence: &Range<usize>) -> Vec<(String, Range<usize>)> {
    let mut found: Vec<(String, Range<usize>)> = subjects(note, cue);
    // "Couldn't get a pressure": the words themselves name what was not taken.
    let named = note.inner_in(&cue.span).find_map(|(span, index)| {
        let component = note.lexicon.parts[*index].component.list().first()?;
        // "My view of the valve was blocked": words with a gap hold the part that they are said of.
        let held = cue.span.len() > cue.words;
        (held || measured(note, component)).then(|| (component.clone(), span.clone()))
    });
    if let Some(named) = named {
        return vec![named];
    }
    let reasons: Vec<&Mention> = note.side_in(sentence).iter().filter(|m| m.is(note.lexicon, Role::Reason)).collect();
    // "Boxes in the way" names no part.
    let excuse = |m: &Mention| reasons.iter().any(|r| r.span.start <= m.span.start && m.span.end <= r.span.end);
    // "In the wall", "the ceiling's closed": where it hides, if another part is named.
    let others = note.mentions_in(sentence);
    let elsewhere = others.iter().any(|m| part_of(m).is_some() && !surrounds(note, m));
    let hides = |m: &Mention| elsewhere && surrounds(note, m) && m.span.start > cue.span.end + 1;
    // A lone "in" is an inlet only where pipes are told of.
    let holds = |m: &Mention| reach::holds(note, m);
    let mut last = cue.span.end;
    let after = if found.is_empty() { cue.span.end..sentence.end } else { 0..0 };
    let own = object(note, cue);
    let vague = |at: usize| {
        note.is(at, WordClass::BeforeUnseen) || note.is_preposition(at) || matches!(note.text(at), "it" | "them" | "a")
    };
    // Something else than a part was not seen: what follows behind a stop is why.
    let spoken = own.clone().any(|at| !vague(at));
    for mention in note.mentions_in(&after) {
        if spoken && found.is_empty() && mention.span.start >= own.end {
            break;
        }
        let part = part_of(mention).filter(|_| holds(mention) && !excuse(mention) && !hides(mention));
        let Some((meant, all)) = part.map(|(index, _)| components(note, index)).or_else(|| {
            // "Didn't see the ground on this one": words that would state something had it been seen.
            let next = found.is_empty() && cue.words > 1 && note.only_small_words(cue.span.end..mention.span.start);
            stated(note, mention).filter(|_| next).map(|component| (vec![component], false))
        }) else {
            continue;
        };
        let near = if found.is_empty() {
            mention.span.start <= last + 6
        } else {
            let bare = || note.tokens[last..mention.span.start].iter().all(|t| t.is(WordClass::Listing));
            note.only_list_words(last..mention.span.start)
                || (note.tokens[last - 1].stop == Stop::Comma
                    && mention.span.start <= last + 3
                    && bare()
                    && !note.tokens[mention.span.end..note.clause(mention.span.start).end]
                        .iter()
                        .any(|t| t.is(WordClass::Being))
                    && note.clause(mention.span.start).len() <= mention.span.len() + 3)
        };
        if !near {
            break;
        }
        found.extend(meant.into_iter().take(if all { 9 } else { 1 }).map(|c| (c, mention.span.clone())));
        last = mention.span.end;
    }
    if found.is_empty() {
        let before = note.mentions_in(&(sentence.start..cue.span.start));
        let hidden = || before.iter().rev().filter(|m| holds(m) && !(elsewhere && surrounds(note, m)));
        // "The ground screw is behind the plate, which I didn't remove": what stands behind a preposition is not meant.
        let meant = hidden().find(|m| !note.oblique(&m.span)).or_else(|| hidden().next());
        let meant = meant.filter(|m| !is_only_told(note, m));
        found.extend(meant.and_then(|m| Some((note.components(m).first()?.clone(), m.span.clone()))));
    }
    found.into_iter().map(|(component, part)| (of_heater(note, cue, component), part)).collect()
}

/// The components of a part, and whether it means them all.
fn components(note: &Note, index: usize) -> (Vec<String>, bool) {
    let part = &note.lexicon.parts[index];
    (part.component.list().to_vec(), part.all)
}

/// The one component that words which state something are about: by what they state, or by a part named in them.
fn stated(note: &Note, mention: &Mention) -> Option<String> {
    reach::stands_for(note, mention).map(str::to_owned).or_else(|| reach::named_within(note, mention))
}

/// Whether a mention names what surrounds the heater: a wall, a floor, a ceiling.
pub fn surrounds(note: &Note, mention: &Mention) -> bool {
    note.components(mention).first().is_some_and(|c| c == "surround")
}

/// The parts that stand before the words as what they are said of: "The inlet and the outlet weren't visible."
fn subjects(note: &Note, cue: &Mention) -> Vec<(String, Range<usize>)> {
    let clause = note.clause(cue.span.start);
    // "I left the ground unchecked."
    let trailing = cue.span.len() == 1 && note.text(cue.span.start).starts_with("un");
    let speaker = |t: &Token| !trailing && matches!(t.text.as_str(), "i" | "we" | "you" | "i'm" | "we're");
    if note.tokens[clause.start..cue.span.end].iter().any(speaker) {
        return Vec::new();
    }
    let mut found: Vec<(String, Range<usize>)> = Vec::new();
    for mention in note.mentions_in(&(clause.start..cue.span.start)).iter().rev() {
        if strong_part(mention).is_none() {
            continue;
        }
        if found.last().is_some_and(|(_, next)| !note.only_list_words(mention.span.end..next.start)) {
            break;
        }
        found.extend(note.components(mention).first().map(|c| (c.clone(), mention.span.clone())));
    }
    found
}
