//! Whether a part is there: said of it, negated, named as a thing, or implied by what else is told.
use super::claim::{Claim, Signs};
use super::contrast::CONTRARY;
use super::mention::Mention;
use super::note::{Note, part_of};
use super::reach::weak_holds;
use super::same::SAME;
use super::scope::Polarity;
use super::token::Stop;
use crate::lexicon::{Kind, Match, Part, Role, WordClass};
use crate::record::Value;
use std::collections::{HashMap, HashSet};
use std::ops::Range;

/// Claims on the being there of each part named.
pub fn claims(note: &Note, spent: &dyn Fn(&Range<usize>) -> bool, stated: &[Claim]) -> Vec<Claim> {
    let mut claims = Vec::new();
    let mut said: HashMap<&Range<usize>, Vec<&Claim>> = HashMap::new();
    for claim in stated {
        claim.part.iter().for_each(|part| said.entry(part).or_default().push(claim));
    }
    for (mention, index, matched) in note.parts() {
        let part = &note.lexicon.parts[index];
        let Some(key) = &part.presence else { continue };
        if spent(&mention.span) || !note.observed(&mention.span) {
            continue;
        }
        if matched == Match::Weak && !weak_holds(note, mention, index) {
            continue;
        }
        let own = said.get(&mention.span).map_or(&[][..], Vec::as_slice);
        // "The flue has none": no rust, that is. "Neither has the flue."
        if own.iter().any(|claim| claim.rule == CONTRARY || claim.rule == SAME) {
            continue;
        }
        let Some((there, at)) = is_there(note, mention, part, own) else { continue };
        let found = (!there).then(|| found_after_all(note, &at)).flatten();
        let (there, at) = found.map_or((there, at), |found| (true, found));
        let Some((component, attribute)) = key.split_once('.') else { continue };
        let value = if there { &part.there } else { &part.gone };
        let mut claim = Claim::new(component, attribute, Value::Text(value.clone()), at.clone(), &part.id);
        claim.part = Some(mention.span.clone());
        claim.signs = Signs {
            certainty: if there && at == mention.span && taken_back(note, mention) { TAKEN_BACK } else { 1.0 },
            matched,
            word: note.surety(&mention.span).min(note.surety(&at)),
            hedged: note.scopes.hedged(mention.span.clone()),
            ..Signs::default()
        };
        claims.push(claim);
    }
    claims
}

/// How certain it is that a part is there that was but named, with a denial behind it that nothing else takes.
const TAKEN_BACK: f64 = 0.3;
/// A denial further behind than this many tokens is of something else.
const DENIED_WITHIN: usize = 9;

/// Whether words of denial that no other term takes in follow a part in its sentence: "the trap, forget it". What they
/// mean may be beyond the reading, but that the part is there is then not sure.
fn taken_back(note: &Note, mention: &Mention) -> bool {
    let sentence = note.sentence(mention.span.start);
    let rest = mention.span.end..sentence.end.min(mention.span.end + DENIED_WITHIN);
    let others = note.mentions_in(&rest);
    let named = |m: &&Mention| part_of(m).is_some() && !note.oblique(&m.span);
    let until = others.iter().find(named).map_or(rest.end, |m| m.span.start);
    let said = |at: usize| others.iter().any(|m| m.span.contains(&at) && m.is_saying());
    let denies = |at: usize| note.is(at, WordClass::Denial) || note.text(at).ends_with("n't");
    // "No leaks" and "not leaking" deny what is said of the part.
    let own = |at: usize| (at + 1..(at + 4).min(until)).any(said);
    (rest.start..until).any(|at| denies(at) && !said(at) && !own(at))
}

/// Whether the part is said to be there, with the tokens that say so, given what is stated of it; nothing if it is only named in passing.
fn is_there(note: &Note, mention: &Mention, part: &Part, stated: &[&Claim]) -> Option<(bool, Range<usize>)> {
    let denied = note.scopes.of(mention.span.clone()) == Polarity::Negated;
    // "Looked for a disconnect, none": what was looked for is meant, what stands behind another preposition is not.
    if note.oblique(&mention.span) && !(denied && sought(note, &mention.span)) && !fronted(note, mention) {
        // "I'm reaching up to the relief valve, it's there."
        return cue_of(note, mention).filter(|(_, at)| resumed(note, mention, at));
    }
    if denied && negation_is_its_own(note, mention, stated) {
        // "The pan's dry. The relief valve isn't, it drips": it is there.
        return Some((breaks_off(note, mention), mention.span.clone()));
    }
    if let Some((there, cue)) = cue_of(note, mention) {
        return Some((there, cue));
    }
    if let Some(before) = added_to(note, mention) {
        let absent = note.denied(&before.span) || cue_of(note, before).is_some_and(|(there, _)| !there);
        if absent {
            return Some((false, mention.span.clone()));
        }
    }
    // "Tee with a drip leg, flex connector": what is said of the gas line says nothing of the trap it stands beside.
    let own = part.presence.as_deref().and_then(|key| key.split_once('.')).map(|(component, _)| component);
    // A leak or a cap of a drain valve proves no hose cap, though both are of one component.
    let proves = part.presence.as_deref().is_some_and(|key| key.ends_with(".presence"));
    let told = proves && stated.iter().any(|c| Some(c.component.as_str()) == own);
    // To name a vent is not to say that it is connected.
    let joins = proves && part.there != "present";
    let subject = !joins && (part.named || has_before(note, mention));
    (subject && !told && !note.negated(&mention.span)).then(|| (true, mention.span.clone()))
}

/// Whether a part's clause ends with a verb denied that says nothing more: "the valve over it isn't, ...".
fn breaks_off(note: &Note, mention: &Mention) -> bool {
    let clause = note.clause(mention.span.start);
    let last = clause.end - 1;
    let verb = matches!(note.text(last), "isn't" | "aren't" | "wasn't" | "doesn't" | "hasn't" | "ain't");
    let there = note.tokens[clause.start..last].iter().any(|t| matches!(t.text.as_str(), "there" | "it" | "they"));
    verb && last >= mention.span.end && !there && clause.end < note.sentence(last).end
}

/// "There's no tank. Ah no, there is", "no shutoff. Wait, it's up behind the duct": found after all.
fn found_after_all(note: &Note, denied: &Range<usize>) -> Option<Range<usize>> {
    let sentence = note.sentence(denied.start);
    // "Didn't think there was a trap, then I found it round the back."
    let then = (denied.end..sentence.end).find(|at| matches!(note.text(*at), "then" | "but" | "till" | "until"));
    let found = |at: usize| {
        matches!(note.text(at), "found") && matches!(note.text(at + 1), "it" | "one" | "him" | "her" | "that")
            || note.text(at) == "there" && note.text(at + 1) == "it" && note.is(at + 2, WordClass::Being)
    };
    if let Some(at) = then.and_then(|then| (then..sentence.end.min(then + FOUND)).find(|at| found(*at))) {
        return Some(at..at + 2);
    }
    let next = note.sentence(sentence.end);
    let opening = next.start..next.end.min(next.start + TURN);
    let turns = opening.clone().find(|at| note.is(*at, WordClass::Turning) || matches!(note.text(*at), "ah" | "oh"))?;
    if note.mentions_in(&(next.start..next.end.min(next.start + FOUND))).iter().any(|m| part_of(m).is_some()) {
        return None;
    }
    let until = next.end.min(turns + FOUND);
    let there = |at: usize| {
        let (pronoun, verb) = (note.text(at), note.text(at + 1));
        let closes = note.tokens.get(at + 1).is_some_and(|t| t.stop > Stop::None);
        let placed = note.is_preposition(at + 2) || matches!(note.text(at + 2), "up" | "there" | "here" | "right");
        let is = matches!(verb, "is" | "'s" | "are" | "was");
        (pronoun == "there" && is && (closes || note.text(at + 2) == "one"))
            || (matches!(pronoun, "it" | "she" | "he") && is && placed && note.is(turns, WordClass::Turning))
            || (matches!(pronoun, "found" | "see") && matches!(verb, "it" | "one" | "him" | "her" | "that"))
            || (matches!(pronoun, "there" | "here") && matches!(verb, "it" | "she" | "he"))
    };
    (turns..until).find(|at| there(*at)).map(|at| turns..at + 2)
}

/// Words before those that turn, and from there to what was found.
const TURN: usize = 4;
const FOUND: usize = 9;

/// "For the disconnect, there is none": set before what is said of it.
fn fronted(note: &Note, mention: &Mention) -> bool {
    let start = note.sentence(mention.span.start).start;
    note.scopes.of(mention.span.clone()) != Polarity::Hypothetical
        && mention.span.start - start <= 3
        && (start..mention.span.start).any(|at| matches!(note.text(at), "for" | "on" | "of"))
        && note.tokens[mention.span.end - 1].stop == Stop::Comma
}

/// Whether a clause of its own goes on with "it": "..., it's there".
fn resumed(note: &Note, mention: &Mention, cue: &Range<usize>) -> bool {
    let clause = note.clause(cue.start);
    clause.start >= mention.span.end && matches!(note.text(clause.start), "it" | "they" | "that" | "she" | "he")
}

/// The part whose fate "also the straps" shares.
fn added_to<'a>(note: &'a Note, mention: &Mention) -> Option<&'a Mention> {
    let clause = note.clause(mention.span.start);
    let alone = clause.end == mention.span.end && mention.span.start - clause.start <= 3;
    let also = note.tokens[clause.start..mention.span.start]
        .iter()
        .any(|t| matches!(t.text.as_str(), "also" | "plus" | "too"));
    let sentence = note.sentence(mention.span.start);
    let before = note.mentions_in(&(sentence.start..clause.start));
    before.iter().rev().find(|m| part_of(m).is_some()).filter(|_| alone && also)
}

/// Whether a part is what was looked for.
fn sought(note: &Note, part: &Range<usize>) -> bool {
    let before = part.start.saturating_sub(3)..part.start;
    before.clone().any(|at| note.text(at) == "for")
        && (part.start.saturating_sub(8)..part.start).any(|at| note.is(at, WordClass::Seeking))
}

/// A negation near a part is its own unless it belongs to what is said of the part: "the valve is not leaking".
fn negation_is_its_own(note: &Note, mention: &Mention, stated: &[&Claim]) -> bool {
    let clause = note.clause(mention.span.start);
    let said = stated.iter().find(|c| clause.contains(&c.at.start));
    let Some(said) = said else { return true };
    // "No copper pipe": the negation stands before both.
    let first = mention.span.start.min(said.at.start);
    note.negators_in(&clause).iter().any(|n| n.end <= first && n.end + 4 > first && clause.contains(&n.start))
        && said.at.end <= mention.span.start
        && mention.span.start - said.at.end <= 1
}

/// "There", "yes", "missing", "none" said of the part, after it or in a list with it.
fn cue_of(note: &Note, mention: &Mention) -> Option<(bool, Range<usize>)> {
    let sentence = note.sentence(mention.span.start);
    let after = note.mentions_in(&(mention.span.end..sentence.end));
    let mut last = mention.span.clone();
    // "There is, not leaking" does not say "there is not".
    let whole = |m: &&Mention| note.tokens[m.span.start..m.span.end - 1].iter().all(|t| t.stop == Stop::None);
    // The "in" of "in the gas line" is neither "there" nor the inlet.
    let place = |m: &&Mention| m.words == 1 && note.is_preposition(m.span.start) && !closes(note, m);
    for next in after.iter().filter(|m| !place(m) && (m.span.is_empty() || part_of(m).is_some() || whole(m))) {
        let there = match next.role(note.lexicon) {
            Some(Role::There) => true,
            // "It's not missing."
            Some(Role::Gone) => denies(note, next),
            Some(Role::Both) => continue,
            // "The trap in the gas line is missing": where it is does not come between.
            _ if part_of(next).is_some()
                && (note.only_list_words(last.end..next.span.start)
                    || (note.oblique(&next.span) && next.span.start <= last.end + 3)) =>
            {
                last = next.span.clone();
                continue;
            }
            _ => return answered(note, mention),
        };
        let sought = searches(note, &(mention.span.end..next.span.start));
        let clauses = note.clause_of(next.span.start) - note.clause_of(mention.span.start);
        let far = clauses > 1 || next.span.start > last.end + 4;
        if (far && !(sought && next.span.start <= last.end + SEARCH)) || !closes(note, next) {
            return answered(note, mention);
        }
        let negated = there && note.negated(&next.span);
        return Some((there && !negated, next.span.clone()));
    }
    answered(note, mention)
}

/// "The disconnect, I searched and there is none": only the search stands in between.
fn searches(note: &Note, between: &Range<usize>) -> bool {
    between.clone().any(|at| note.is(at, WordClass::Seeking))
        && note.mentions_in(between).iter().all(|m| part_of(m).is_none())
}

/// A search told of between a part and whether it was found is no longer.
const SEARCH: usize = 10;

/// Whether a "not" stands right before a word of absence.
fn denies(note: &Note, gone: &Mention) -> bool {
    let before = gone.span.start.checked_sub(1).map_or("", |at| note.text(at));
    gone.words == 1 && (before == "not" || before.ends_with("n't"))
}

/// "Pan? None." and "Disconnect. Yes.": the answer stands in the sentence after.
fn answered(note: &Note, mention: &Mention) -> Option<(bool, Range<usize>)> {
    let sentence = note.sentence(mention.span.start);
    if sentence.end - mention.span.end > 1 || mention.span.start - sentence.start > 4 {
        return None;
    }
    let next = note.sentence(sentence.end);
    let said = note.mentions_in(&next);
    let opening = said.first().filter(|m| m.span.start == next.start && next.len() <= m.span.len() + 3);
    // "Expansion valve? Went over the whole house and didn't find one."
    let asked = note.tokens[sentence.end - 1].stop == Stop::Question && next.len() <= SEARCH + 4;
    let closing = || note.closing(&next).filter(|_| asked && said.iter().all(|m| part_of(m).is_none()));
    let answer = opening.or_else(closing)?;
    match answer.role(note.lexicon)? {
        Role::There => Some((true, answer.span.clone())),
        Role::Gone => Some((false, answer.span.clone())),
        _ => None,
    }
}

/// A short word such as "yes" or "in" says that something is there only where it ends the thought.
fn closes(note: &Note, cue: &Mention) -> bool {
    let clause = note.clause(cue.span.start);
    cue.words > 1 || cue.span.end == clause.end || note.is(cue.span.start, WordClass::Existing)
}

/// "There's a", "it's got a", "I see a", "with a" before the part.
fn has_before(note: &Note, mention: &Mention) -> bool {
    let clause = note.clause(mention.span.start);
    note.tokens[clause.start..mention.span.end - 1].iter().rev().take(6).any(|t| t.is(WordClass::Having))
        || clause.start == mention.span.start
}

/// What else is told of a component proves that it is there.
pub fn implied(note: &Note, claims: &[Claim]) -> Vec<Claim> {
    let mut made: Vec<Claim> = Vec::new();
    let mut known: HashSet<&str> =
        claims.iter().filter(|c| c.attribute == "presence").map(|c| c.component.as_str()).collect();
    for claim in claims {
        let component = claim.component.as_str();
        let row = note.lexicon.catalogue.row(component, "presence");
        if row.is_none_or(|r| r.kind != Kind::Presence) || claim.attribute == "presence" {
            continue;
        }
        if !known.insert(component) {
            continue;
        }
        let mut proof =
            Claim::new(component, "presence", Value::Text("present".into()), claim.at.clone(), "told of, so there");
        proof.part = claim.part.clone();
        proof.signs = Signs { implied: true, ..claim.signs.clone() };
        made.push(proof);
    }
    made
}
