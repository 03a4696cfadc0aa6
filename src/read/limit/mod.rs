//! Parts that could not be inspected, with why.
mod meant;

use super::mention::Mention;
use super::note::{Note, strong_part};
use super::token::Stop;
use crate::lexicon::{Kind, Role, TermRef, WordClass};
use meant::{
    hidden, is_heading, limited, meant_by_heading, meant_by_one, meant_by_pronoun, pipe_before, surrounds, topic,
    with_list,
};
use std::ops::Range;

/// A part that could not be inspected.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitMark {
    pub component: String,
    pub why: String,
    pub at: Range<usize>,
    /// Where the part is named, so that it makes no fact of being there.
    pub parts: Vec<Range<usize>>,
}

/// All limits.
pub fn marks(note: &Note) -> Vec<LimitMark> {
    let mut marks: Vec<LimitMark> = Vec::new();
    for mention in note.mentions.iter().filter(|m| is_unread_plate(note, m)) {
        let Some(why) = reason(note, mention, &note.sentence(mention.span.start)) else { continue };
        let (at, parts) = (mention.span.clone(), vec![mention.span.clone()]);
        marks.push(LimitMark { component: "data-plate".into(), why, at, parts });
    }
    let unseen = |m: &&Mention| m.is(note.lexicon, Role::Limit) || hindrance(note, m).is_some();
    for cue in note.mentions.iter().filter(unseen) {
        if is_idle(note, cue) || is_why(note, cue, &marks) {
            continue;
        }
        let sentence = note.sentence(cue.span.start);
        let why = hindrance(note, cue).or_else(|| reason(note, cue, &sentence));
        let rest = cue.span.end..sentence.end;
        let mut told = topic(note, cue, why.is_some());
        if told.is_empty() {
            told.extend(hidden(note, cue));
        }
        if !told.is_empty() {
            let why = why.unwrap_or_else(|| words(note, if rest.is_empty() { &sentence } else { &rest }));
            for (component, part) in told {
                marks.retain(|m| m.component != component || m.at.start < sentence.start);
                marks.push(LimitMark { component, why: why.clone(), at: spanned(cue, &part), parts: vec![part] });
            }
            continue;
        }
        let one = meant_by_pronoun(note, cue, &sentence).or_else(|| meant_by_one(note, cue, &sentence));
        let mut meant = one.map_or_else(Vec::new, |one| with_list(note, cue, one));
        if meant.is_empty() {
            meant = meant_by_heading(note, cue, &sentence);
        }
        let pronoun = !meant.is_empty();
        if !pronoun {
            meant = limited(note, cue, &sentence);
            if let [one] = &meant[..] {
                meant = with_list(note, cue, one.clone());
            }
        }
        for (component, part) in meant {
            if !is_unseen(note, cue, (&component, &part), pronoun, why.is_some()) {
                continue;
            }
            // "A washer blocks the valve, so I didn't see the valve": said twice.
            if let Some(told) = marks.iter_mut().find(|m| m.component == component && m.at.start >= sentence.start) {
                told.parts.push(part);
                continue;
            }
            let why = why.clone().unwrap_or_else(|| words(note, &note.clause(cue.span.start)));
            // "Relief valve's there. It was not exercised": that it is there stays said.
            let before = note.sentence(part.start);
            let told = before.end <= sentence.start
                && note.tokens[before.end - 1].stop == Stop::Sentence
                && !is_heading(note, &before);
            let (at, parts) = if told { (cue.span.clone(), Vec::new()) } else { (spanned(cue, &part), vec![part]) };
            marks.push(LimitMark { component, why, at, parts });
        }
    }
    for mention in &note.mentions {
        let stated = mention.terms.iter().find_map(|(t, _)| match t {
            TermRef::Saying(index) => note.lexicon.sayings[*index].limit.as_ref(),
            _ => None,
        });
        let Some(component) = stated.filter(|_| !note.scopes.elsewhere(mention.span.clone())) else { continue };
        // The words for the end of a pipe are those of a vent as well.
        let pipe = (component == "relief-discharge").then(|| pipe_before(note, mention.span.start)).flatten();
        let component = pipe.as_ref().unwrap_or(component);
        if marks.iter().all(|m| m.component != *component || m.at.start < note.sentence(mention.span.start).start) {
            let why = words(note, &note.sentence(mention.span.start));
            marks.push(LimitMark { component: component.clone(), why, at: mention.span.clone(), parts: Vec::new() });
        }
    }
    marks.extend(undone(note));
    marks.retain(|mark| mark.component != "data-plate" || !is_marred(note, mark));
    for mark in marks.iter_mut().filter(|mark| mark.component == "insulation-jacket") {
        "casing".clone_into(&mut mark.component);
    }
    // What stands around a heater hides it, and is nothing to inspect.
    marks.retain(|mark| mark.component != "surround");
    once(note, marks)
}

/// "Did I check the gas pipe for leaks? I did not, the battery's flat": the work asked for was not done.
fn undone(note: &Note) -> Vec<LimitMark> {
    let asked = note.segments.sentences.iter().filter(|sentence| note.asks_of_work(sentence));
    let denied = asked.filter(|sentence| {
        let answer = note.sentence(sentence.end);
        (answer.start..answer.end.min(answer.start + 4)).any(|at| {
            note.text(at).ends_with("n't") || matches!(note.text(at), "no" | "not" | "nope" | "never" | "nah")
        })
    });
    let marked = denied.filter_map(|sentence| {
        let part = note.mentions_in(sentence).iter().find(|m| strong_part(m).is_some())?;
        let (component, at) = (note.components(part).first()?.clone(), part.span.clone());
        let why = words(note, &note.sentence(sentence.end));
        Some(LimitMark { component, why, parts: vec![at.clone()], at })
    });
    marked.collect()
}

/// "I couldn't get around the back of it, so I didn't see that side of the jacket": one limit, said twice.
fn once(note: &Note, marks: Vec<LimitMark>) -> Vec<LimitMark> {
    let mut kept: Vec<LimitMark> = Vec::new();
    for mark in marks {
        let near = |k: &LimitMark| note.sentence_of(k.at.start).abs_diff(note.sentence_of(mark.at.start)) <= 1;
        match kept.iter_mut().rev().take(SAID_TWICE).find(|k| k.component == mark.component && near(k)) {
            Some(told) => told.parts.extend(mark.parts),
            None => kept.push(mark),
        }
    }
    kept
}

/// So many limits back the same one may have been told.
const SAID_TWICE: usize = 8;

/// "Can't make out the label, somebody's painted over it": the plate was seen, and nothing can be read on it.
fn is_marred(note: &Note, mark: &LimitMark) -> bool {
    let sentence = note.sentence(mark.at.start);
    let hidden = note.tokens[sentence.clone()].iter().any(|t| t.is(WordClass::Hiding));
    let said = |m: &Mention| note.states(m).any(|state| state == "data-plate.legibility = illegible");
    !hidden
        && note.mentions_in(&sentence).iter().any(said)
        && note.tokens[sentence].iter().any(|t| t.is(WordClass::Marring))
}

fn spanned(cue: &Mention, part: &Range<usize>) -> Range<usize> {
    cue.span.start.min(part.start)..cue.span.end.max(part.end)
}

/// "Couldn't read the plate, it faces the wall": with a reason of its own it is not the plate's fault.
fn is_unread_plate(note: &Note, mention: &Mention) -> bool {
    note.states(mention).any(|state| state == "data-plate.legibility = illegible")
        && note.scopes.doubts_itself(&mention.span)
        && !note.scopes.elsewhere(mention.span.clone())
}

/// "Cold side I couldn't see, it's boxed in": the second says why of the first.
fn is_why(note: &Note, cue: &Mention, marks: &[LimitMark]) -> bool {
    let clause = note.clause(cue.span.start);
    // "The flame I didn't get to see, the cabinet is sealed and I don't open those."
    let refused = matches!(note.text(cue.span.end), "those" | "them" | "these" | "people's");
    let pronoun = matches!(note.text(clause.start), "it" | "they" | "that" | "this" | "all") && clause.start > 0;
    let around = note.mentions_in(&(clause.start..cue.span.start)).iter().any(|m| surrounds(note, m));
    let sentence = note.sentence(cue.span.start).start;
    (pronoun || around || refused) && marks.iter().any(|m| m.at.start >= sentence && m.at.end <= cue.span.start)
}

/// What hindered a wish: "I wanted to read the breaker, but the panel is locked".
fn hindrance(note: &Note, wish: &Mention) -> Option<String> {
    if !wish.is(note.lexicon, Role::Wish) {
        return None;
    }
    let end = note.sentence(wish.span.start).end;
    let but = (wish.span.end..end).find(|at| matches!(note.text(*at), "but" | "only" | "except" | "though"));
    // "Wanted a look at the breaker. Panel's padlocked."
    let next = note.sentence(end);
    let hinders = |m: &Mention| m.is(note.lexicon, Role::Reason);
    let own = next.len() <= BESIDE && note.side_in(&next).iter().any(hinders);
    let why = but.map(|but| but + 1..end).or_else(|| own.then(|| next.clone()))?;
    Some(words(note, &why))
}

/// Whether words of not seeing tell of nothing that the inspector could not inspect here.
fn is_idle(note: &Note, cue: &Mention) -> bool {
    is_away(note, cue)
        || is_answered_no(note, cue)
        || is_told_to(note, cue)
        || is_of_no_part(note, cue)
        || overcome(note, cue)
        || others_cannot(note, cue)
        || judged_from_here(note, cue)
        || only_told(note, cue)
}

/// Whether the talk is of another appliance, and not of one that is in the way: "the freezer keeps me from seeing it",
/// "the drain valve: the freezer's in front, can't see it".
fn is_away(note: &Note, cue: &Mention) -> bool {
    let sentence = note.sentence(cue.span.start);
    let other = || note.mentions_in(&sentence).iter().any(|m| m.is(note.lexicon, Role::Other));
    let away = note.scopes.elsewhere(cue.span.clone()) || (note.is_abroad(cue.span.start) && other());
    let named = sentence.start..sentence.end.min(cue.span.end + OBJECT);
    let own = |m: &Mention| strong_part(m).is_some() && !surrounds(note, m) && !note.scopes.elsewhere(m.span.clone());
    let headed = sentence.start > 0 && is_heading(note, &note.sentence(sentence.start - 1));
    away && !note.is(cue.span.start, WordClass::Hindering) && !headed && !note.mentions_in(&named).iter().any(own)
}

/// Words behind the cue that may name what was not seen.
const OBJECT: usize = 8;

/// "Don't pull that": said to somebody else.
fn is_told_to(note: &Note, cue: &Mention) -> bool {
    let told = note.text(cue.span.start) == "don't" && note.clause(cue.span.start).start == cue.span.start;
    told && !matches!(note.text(cue.span.start + 1), "know" | "have" | "see" | "think" | "ask")
}

/// "I haven't taken any pictures yet." "Where the wet came from I couldn't tell you."
fn is_of_no_part(note: &Note, cue: &Mention) -> bool {
    let ahead = cue.span.start..note.sentence(cue.span.start).end.min(cue.span.end + 4);
    let came_from = |at: usize| note.text(at) == "from" && matches!(note.text(at - 1), "came" | "comes");
    note.mentions_in(&ahead).iter().any(|m| m.is(note.lexicon, Role::Photo))
        || (note.clause(cue.span.start).start + 1..cue.span.start).any(came_from)
}

/// "Was the flue hidden? No." "Where'd they hide it?"
fn is_answered_no(note: &Note, cue: &Mention) -> bool {
    let sentence = note.sentence(cue.span.start);
    let where_is = matches!(note.text(sentence.start), "where" | "where'd" | "where's");
    note.is_question(&sentence) && (where_is || matches!(note.text(sentence.end), "no" | "nope" | "nah"))
}

/// "Boxes were in the way, so I shifted them": it was seen all the same.
fn overcome(note: &Note, cue: &Mention) -> bool {
    let rest = cue.span.end..note.sentence(cue.span.start).end;
    note.side_in(&rest).iter().any(|m| m.is(note.lexicon, Role::Overcome))
}

/// "A post, so the car can't reach it": who cannot is not who inspects.
fn others_cannot(note: &Note, cue: &Mention) -> bool {
    cue.span.start > 0 && note.is(cue.span.start - 1, WordClass::OtherDoer)
}

/// "Can't be seen from the heater" judges where the thing is; it was seen.
fn judged_from_here(note: &Note, cue: &Mention) -> bool {
    let at = cue.span.end + usize::from(matches!(note.text(cue.span.end), "it" | "that" | "them"));
    note.text(at) == "from" && (at + 1..at + 4).any(|at| note.is(at, WordClass::Standpoint))
}

/// "The seller says it was serviced, which I can't verify": a tale that could not be checked.
fn only_told(note: &Note, cue: &Mention) -> bool {
    let led = (cue.span.start.saturating_sub(3)..cue.span.start).any(|at| matches!(note.text(at), "which" | "that"));
    led && note.is(cue.span.end - 1, WordClass::Verifying)
}

/// Whether not having seen a part leaves open whether it is there; to have looked for it and not seen it may be to find none.
fn is_unseen(note: &Note, cue: &Mention, (component, part): (&str, &Range<usize>), pronoun: bool, told: bool) -> bool {
    let before = part.start.wrapping_sub(1);
    let definite = note.is(before, WordClass::Definite);
    let any = matches!(note.text(before), "any" | "a" | "an" | "no" | "one");
    // To want to reach or measure it is not to look for it.
    let reached = !seeks(note, &cue.span);
    // Nobody finds "a pressure" missing, and who cannot see whether there is one has not found that there is none.
    let open = always_there(note, component) || wondered(note, &(cue.span.start..part.start));
    let never_sought = pronoun || measured(note, component) || (open && told);
    (!any || never_sought) && (told || definite || pronoun || reached)
}

/// Whether a component belongs to every heater, so that not seeing it never means that it is missing.
fn always_there(note: &Note, component: &str) -> bool {
    let row = note.lexicon.catalogue.row(component, "presence");
    row.is_none_or(|row| row.kind != Kind::Presence)
}

/// Whether a component is a thing to measure.
fn measured(note: &Note, component: &str) -> bool {
    matches!(component, "water-system" | "hot-water") && always_there(note, component)
}

/// Whether the words up to a part leave open whether it is there: "couldn't see whether there's a", "don't know about a".
pub(super) fn wondered(note: &Note, words: &Range<usize>) -> bool {
    words.clone().any(|at| matches!(note.text(at), "whether" | "if" | "about"))
}

/// Why it could not be seen: the clause that holds a word of reason, in the same sentence, or in the one after or before.
fn reason(note: &Note, cue: &Mention, sentence: &Range<usize>) -> Option<String> {
    let reasons = |span: &Range<usize>| {
        let found = note.side_in(span).iter().filter(|m| m.is(note.lexicon, Role::Reason));
        found.map(|m| m.span.clone()).collect::<Vec<_>>()
    };
    let own = reasons(sentence);
    let other = own.iter().find(|at| note.clause_of(at.start) != note.clause_of(cue.span.start));
    if let Some(at) = other.or(own.first()) {
        return Some(words(note, &note.clause(at.start)));
    }
    let number = note.sentence_of(cue.span.start);
    let beside = [number + 1, number.wrapping_sub(1)];
    beside.iter().filter_map(|at| note.segments.sentences.get(*at)).find_map(|near| {
        let at = reasons(near).into_iter().next()?;
        let only = near.len() <= BESIDE && !note.mentions_in(near).iter().any(Mention::is_saying);
        only.then(|| words(note, &note.clause(at.start)))
    })
}

/// A sentence that gives but the reason for the one beside it is no longer.
const BESIDE: usize = 14;

/// Whether words of not seeing could mean that there was nothing to see.
fn seeks(note: &Note, cue: &Range<usize>) -> bool {
    note.tokens[cue.clone()].iter().any(|t| t.is(WordClass::Finding))
}

fn words(note: &Note, span: &Range<usize>) -> String {
    let words: Vec<&str> = note.tokens[span.clone()].iter().map(|t| t.text.as_str()).collect();
    words.join(" ").replace(" 's", "'s")
}
