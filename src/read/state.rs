//! Sayings to claims: what is stated, of which part, and with which sign.
use super::claim::{Claim, Signs};
use super::mention::Mention;
use super::note::{Note, gap, strong_part};
use super::reach::{self, Reach};
use super::sense;
use super::token::Stop;
use crate::lexicon::{Match, Role, Saying, TermRef, WordClass};
use crate::record::Value;
use std::ops::Range;

/// Cost of the component that a saying means when none is named.
const BY_DEFAULT: f64 = 2.45;
/// A part further away than this does not take a saying that asks for it.
const NEED_WITHIN: f64 = 3.4;

/// All claims that sayings make; `spent` are tokens that belong to a photograph, a limit or a name.
pub fn claims(note: &Note, spent: &dyn Fn(&Range<usize>) -> bool) -> Vec<Claim> {
    let mut claims = Vec::new();
    for mention in &note.mentions {
        if spent(&mention.span) || !(note.observed(&mention.span) || unseen(note, mention)) {
            continue;
        }
        let best = mention
            .terms
            .iter()
            .filter(|(_, matched)| *matched != Match::Weak || sense::stands_alone(note, mention))
            .filter_map(|(term, matched)| match term {
                TermRef::Saying(index) => resolve(note, mention, &note.lexicon.sayings[*index], *matched),
                _ => None,
            })
            .min_by(|a, b| a.0.total_cmp(&b.0));
        // "Cold comes in on steel": a word that names a part says nothing of one told of before.
        if let Some((_, mut made)) = best.filter(|(cost, _)| *cost < reach::CARRIED || !names_part(note, mention)) {
            // "The plate faces the wall, I couldn't read it": that could not be seen, and nothing is said of it.
            let doubts = note.scopes.doubts_itself(&mention.span) && !limits(note, mention);
            let hidden = |claim: &Claim| doubts && claim.part.as_ref().is_some_and(spent);
            made.retain(|claim| !hidden(claim));
            claims.extend(made);
        }
    }
    claims
}

/// Whether words name a part of which their clause goes on to say something.
fn names_part(note: &Note, mention: &Mention) -> bool {
    let said = |m: &Mention| m.span.start >= mention.span.end && super::note::part_of(m).is_none();
    reach::holds(note, mention) && note.mentions_in(&note.clause(mention.span.start)).iter().any(said)
}

/// Words that say themselves that something could not be seen: their doubt is what they state.
fn unseen(note: &Note, mention: &Mention) -> bool {
    let own = note.scopes.doubts_itself(&mention.span) && !note.is_abroad(mention.span.start);
    (own || limits(note, mention)) && !note.scopes.elsewhere(mention.span.clone())
}

/// Whether the words themselves make a limit.
fn limits(note: &Note, mention: &Mention) -> bool {
    let states = |t: &TermRef| matches!(t, TermRef::Saying(index) if note.lexicon.sayings[*index].limit.is_some());
    mention.terms.iter().any(|(t, _)| states(t))
}

/// The claims of one saying and the cost of reaching its part.
fn resolve(note: &Note, mention: &Mention, saying: &Saying, matched: Match) -> Option<(f64, Vec<Claim>)> {
    if saying.said.as_ref().is_some_and(|attribute| !was_said(note, mention, attribute)) {
        return None;
    }
    let reached = match needed(note, mention, saying) {
        Need::None => None,
        Need::Missing => return None,
        Need::Reached(reach) => Some(reach),
    };
    let mut negated = note.negated(&mention.span);
    if let Some((_, part)) = reached.as_ref().and_then(|r| r.parts.first()) {
        // "No ground wire on the screw": what is not there is not on the screw.
        negated |= part.end <= mention.span.start
            && note.clause_of(part.start) == note.clause_of(mention.span.start)
            && note.denied(part);
    }
    let states = if negated { saying.not.as_ref()?.list() } else { saying.states.list() };
    let mut cost: f64 = reached.as_ref().map_or(0.3, |r| r.cost);
    let mut claims = Vec::new();
    for state in states {
        let (key, value) = state.split_once(" = ")?;
        match key.split_once('.') {
            Some((component, attribute)) => {
                let part = reached.as_ref().and_then(|r| r.parts.first()).map(|(_, span)| span.clone());
                let heard = reached.as_ref().map_or(matched, |r| worse(matched, r.matched));
                claims.push(claim(note, mention, saying, (component, attribute, value), part, (cost, heard)));
            }
            None => {
                let (far, parts, of) = owners(note, mention, saying, key, value)?;
                let matched = worse(matched, of);
                cost = cost.max(far);
                for (component, span) in parts {
                    let value = degree(note, mention, key, value);
                    claims.push(claim(note, mention, saying, (&component, key, &value), span, (far, matched)));
                }
            }
        }
    }
    Some((cost, claims))
}

/// Whether a part that the saying needs is in reach.
pub fn need_met(note: &Note, mention: &Mention, saying: &Saying) -> bool {
    !matches!(needed(note, mention, saying), Need::Missing)
}

enum Need {
    None,
    Missing,
    Reached(Reach),
}

fn needed(note: &Note, mention: &Mention, saying: &Saying) -> Need {
    if saying.need.is_empty() {
        return Need::None;
    }
    let fits = |component: &str| saying.need.iter().any(|n| n == component);
    match reach::find(note, &mention.span, &fits) {
        Some(reach) if reach.cost <= NEED_WITHIN => Need::Reached(reach),
        _ if inner_part(note, mention, &fits).is_some() => {
            let parts = inner_part(note, mention, &fits).into_iter().collect();
            Need::Reached(Reach { cost: 0.0, parts, matched: Match::Exact })
        }
        _ if fits("water-heater") && said_of_it(note, mention) => {
            Need::Reached(Reach { cost: 1.5, parts: Vec::new(), matched: Match::Exact })
        }
        _ => Need::Missing,
    }
}

/// How surely both were heard: a misheard part makes what is said of it as unsure.
fn worse(one: Match, other: Match) -> Match {
    if other > Match::Weak { one.max(other) } else { one }
}

type Owners = (f64, Vec<(String, Option<Range<usize>>)>, Match);

/// The components that take an attribute: those in reach, or the default.
fn owners(note: &Note, mention: &Mention, saying: &Saying, attribute: &str, value: &str) -> Option<Owners> {
    let fits = |component: &str| {
        note.lexicon.supports(component, attribute, Some(value))
            && (saying.need.is_empty() || saying.need.iter().any(|n| n == component))
    };
    let found = reach::find(note, &mention.span, &fits);
    // "On either", "on it": of something told of before.
    let back = reach::points_back(note, &mention.span) || reach::shares(note, &mention.span);
    let general = saying.default.is_some() && !back;
    let limit = if general { default_cost(note, mention) } else { NEED_WITHIN };
    match found {
        Some(reach) if reach.cost < limit => {
            Some((reach.cost, reach.parts.into_iter().map(|(c, span)| (c, Some(span))).collect(), reach.matched))
        }
        // "I smell gas at the union, so there's a leak": of the gas, not of the tank.
        _ if told_of_its_own(note, mention, attribute) => None,
        _ => saying.default.as_ref().map(|component| (BY_DEFAULT, vec![(component.clone(), None)], Match::Exact)),
    }
}

/// Whether the sentence said this before of a component that goes by other values.
fn told_of_its_own(note: &Note, mention: &Mention, attribute: &str) -> bool {
    let before = note.sentence(mention.span.start).start..mention.span.start;
    note.mentions_in(&before).iter().flat_map(|m| m.terms.iter()).any(|(term, _)| {
        let TermRef::Saying(index) = term else { return false };
        let keys = note.lexicon.sayings[*index].states.list().iter().filter_map(|s| s.split_once(" = "));
        keys.filter_map(|(key, _)| key.split_once('.')).any(|(_, own)| own == attribute)
    })
}

/// "No rust, no leaks" in a sentence of its own is about the heater; "no leaks" right after a part may be about that.
fn default_cost(note: &Note, mention: &Mention) -> f64 {
    let sentence = note.sentence(mention.span.start);
    let general = note
        .mentions_in(&sentence)
        .iter()
        .flat_map(|m| m.terms.iter())
        .filter_map(|(t, _)| match t {
            TermRef::Saying(index) => note.lexicon.sayings[*index].default.as_ref().map(|_| index),
            _ => None,
        })
        .collect::<std::collections::HashSet<_>>();
    if general.len() > 1 { 2.0 } else { BY_DEFAULT }
}

/// A part named within the words themselves: the pilot of "pilot's out".
fn inner_part(note: &Note, mention: &Mention, fits: &dyn Fn(&str) -> bool) -> Option<(String, Range<usize>)> {
    note.inner_in(&mention.span).find_map(|(span, index)| {
        let component = note.lexicon.parts[*index].component.list().iter().find(|c| fits(c))?;
        Some((component.clone(), span.clone()))
    })
}

/// "It was running": with no other part in the sentence, it is the heater.
fn said_of_it(note: &Note, mention: &Mention) -> bool {
    let clause = note.clause(mention.span.start);
    let sentence = note.sentence(mention.span.start);
    let it = note.tokens[clause.start..mention.span.end].iter().any(|t| matches!(t.text.as_str(), "it" | "she" | "he"));
    it && !note.mentions_in(&sentence).iter().any(|m| reach::holds(note, m))
}

fn was_said(note: &Note, mention: &Mention, attribute: &str) -> bool {
    let sentence = note.sentence_of(mention.span.start);
    let from = note.segments.sentences[sentence.saturating_sub(1)].start;
    note.mentions_in(&(from..mention.span.start)).iter().any(|m| {
        m.terms.iter().any(|(t, _)| match t {
            TermRef::Saying(index) => {
                note.lexicon.sayings[*index].states.list().iter().any(|s| s.starts_with(attribute))
            }
            _ => false,
        })
    })
}

/// The degree said beside a corrosion: light where none is.
fn degree(note: &Note, mention: &Mention, attribute: &str, value: &str) -> String {
    if attribute != "corrosion" || value == "none" {
        return value.to_owned();
    }
    let clause = note.clause(mention.span.start);
    let within = widened(note, &clause);
    let nearest = note
        .mentions_in(&within)
        .iter()
        .filter_map(|m| {
            let (own, far) = (m.span.start < clause.end, gap(&m.span, &mention.span));
            // "Light rust, nothing heavy."
            let denied = !own && (note.negated(&m.span) || note.is(m.span.start - 1, WordClass::Denial));
            // "Some rust by the bottom, I'd say moderate": the verdict counts, and not "some".
            degree_of(note, m).filter(|_| !denied && far <= DEGREE_WITHIN).map(|degree| ((own, far), degree))
        })
        .min_by_key(|(rank, _)| *rank);
    nearest.map_or_else(|| value.to_owned(), |(_, degree)| degree.to_owned())
}

/// A degree belongs to a rust no further away than this: "some rust by the bottom of the tank, I'd say moderate".
const DEGREE_WITHIN: usize = 10;

/// The clause and, if the next one is a bare degree ("rusted at the base, heavy", "I'd put that at heavy"), that too.
fn widened(note: &Note, clause: &Range<usize>) -> Range<usize> {
    let mut end = clause.end;
    let sentence = note.sentence(clause.start);
    let answer = note.sentence(sentence.end);
    // "Rust? Yeah, at the base, and it's heavy."
    let asked = note.tokens[sentence.end - 1].stop == Stop::Question && clause.end == sentence.end;
    let named = |m: &Mention| strong_part(m).is_some() && !note.oblique(&m.span);
    if asked && answer.len() <= ANSWER && !note.mentions_in(&answer).iter().any(|m| named(m) || m.is_saying()) {
        return clause.start..answer.end;
    }
    // "Rust, yes, heavy": an answer may stand between.
    for _ in 0..2 {
        let next = note.clause(end);
        let opinion = note.is(next.start, WordClass::Opining);
        let bare = !next.is_empty()
            && next.len() <= if opinion { 9 } else { 5 }
            && note.sentence_of(next.start) == note.sentence_of(clause.start)
            && !note.mentions_in(&next).iter().any(|m| super::note::part_of(m).is_some());
        if !bare {
            break;
        }
        end = next.end;
        if !note.is(next.start, WordClass::Agreeing) {
            break;
        }
    }
    clause.start..end
}

/// The answer to whether there is rust is no longer.
const ANSWER: usize = 12;

/// "Outlet, heavy": so short a sentence may be nothing but a part and a degree.
const TERSE: usize = 6;

/// Whether the sentences right before speak of rust, or give degrees alone as this one does.
fn rust_is_the_topic(note: &Note, at: usize) -> bool {
    let rust = |t: &TermRef| match t {
        TermRef::Saying(i) => note.lexicon.sayings[*i].states.list().iter().any(|s| s.starts_with("corrosion")),
        _ => false,
    };
    let mut sentence = note.sentence_of(at);
    while sentence > 0 {
        sentence -= 1;
        let before = note.segments.sentences[sentence].clone();
        let said = note.mentions_in(&before);
        if said.iter().any(|m| m.terms.iter().any(|(t, _)| rust(t))) {
            return true;
        }
        if before.len() > TERSE || !said.iter().any(|m| degree_of(note, m).is_some()) {
            return before.len() <= 2 && sentence > 0 && said.is_empty();
        }
    }
    false
}

/// The degree a cue stands for.
pub fn degree_of(note: &Note, mention: &Mention) -> Option<&'static str> {
    match mention.role(note.lexicon)? {
        Role::DegreeLight => Some("light"),
        Role::DegreeModerate => Some("moderate"),
        Role::DegreeHeavy => Some("heavy"),
        _ => None,
    }
}

fn claim(
    note: &Note,
    mention: &Mention,
    saying: &Saying,
    (component, attribute, value): (&str, &str, &str),
    part: Option<Range<usize>>,
    (cost, matched): (f64, Match),
) -> Claim {
    let mut claim = Claim::new(component, attribute, Value::Text(value.to_owned()), mention.span.clone(), &saying.id);
    claim.part = part;
    claim.signs = Signs {
        matched,
        reach: cost,
        word: note.surety(&mention.span),
        hedged: note.scopes.hedged(mention.span.clone()),
        ..Signs::default()
    };
    claim
}

/// "Moderate on the outlet, light on the inlet": a degree alone goes on with what was said of the part before.
pub fn bare_degrees(note: &Note, spent: &dyn Fn(&Range<usize>) -> bool, claims: &[Claim]) -> Vec<Claim> {
    let mut made = Vec::new();
    let mut corroded: Vec<usize> = claims.iter().filter(|c| c.attribute == "corrosion").map(|c| c.at.start).collect();
    corroded.sort_unstable();
    let said_in = |range: Range<usize>| {
        corroded.get(corroded.partition_point(|at| *at < range.start)).is_some_and(|at| *at < range.end)
    };
    for mention in &note.mentions {
        let Some(degree) = degree_of(note, mention) else { continue };
        if spent(&mention.span) || !note.observed(&mention.span) || note.negated(&mention.span) {
            continue;
        }
        let clause = note.clause(mention.span.start);
        let sentence = note.sentence(mention.span.start);
        let elsewhere = said_in(sentence.start..clause.start)
            || (sentence.len() <= TERSE && rust_is_the_topic(note, sentence.start));
        if !elsewhere || said_in(clause) {
            continue;
        }
        let fits = |c: &str| note.lexicon.supports(c, "corrosion", Some(degree));
        // "Outlet, heavy": a comma between takes nothing away where nothing else is said.
        let next = |r: &Reach| r.parts.iter().any(|(_, part)| part.end == mention.span.start);
        let near = |r: &Reach| r.cost < 0.6 || (r.cost < 1.0 && next(r) && sentence.len() <= TERSE);
        let here = reach::find(note, &mention.span, &fits).filter(near);
        for (component, span) in here.map(|r| r.parts).unwrap_or_default() {
            let mut claim =
                Claim::new(&component, "corrosion", Value::Text(degree.into()), mention.span.clone(), "degree");
            claim.part = Some(span);
            claim.signs.word = note.surety(&mention.span);
            claim.signs.reach = 0.5;
            made.push(claim);
        }
    }
    made
}
