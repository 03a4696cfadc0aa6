//! Makers: named by a cue, or standing alone where the heater is introduced.
use super::tells_kind;
use crate::lexicon::{Role, TermRef, WordClass, fold};
use crate::read::claim::Claim;
use crate::read::mention::Mention;
use crate::read::note::{Note, strong_part};
use crate::read::token::Stop;
use crate::record::Value;
use std::ops::Range;

/// Makers: after "made by", before "is the brand", or a name standing alone where the heater is introduced.
pub fn claims(note: &Note) -> Vec<Claim> {
    let mut claims: Vec<Claim> = Vec::new();
    let mut push = |span: Range<usize>, reach: f64| {
        if !note.observed(&span) && !note.scopes.hedged(span.clone()) {
            return;
        }
        if note.scopes.elsewhere(span.clone())
            || claims.iter().any(|c: &Claim| c.at.start < span.end && span.start < c.at.end)
        {
            return;
        }
        let mut claim =
            Claim::new("water-heater", "brand", Value::Text(title(note, &span)), span.clone(), "maker's name");
        claim.signs.reach = reach;
        claim.signs.word = note.surety(&span);
        claim.signs.hedged = note.scopes.hedged(span);
        claims.push(claim);
    };
    for cue in note.side.iter().filter(|m| m.is(note.lexicon, Role::Brand)) {
        let strong = strong_cue(note, cue);
        if let Some(span) = name_after(note, cue.span.end, strong) {
            push(span, if strong { 0.1 } else { 0.8 });
        }
    }
    for cue in note.side.iter().filter(|m| m.is(note.lexicon, Role::BrandBefore)) {
        if let Some(span) = name_before(note, cue.span.start) {
            push(span, 0.5);
        }
    }
    for clause in &note.segments.clauses {
        if let Some(span) = lone_name(note, clause) {
            push(span, 1.2);
        }
    }
    claims
}

fn strong_cue(note: &Note, cue: &Mention) -> bool {
    note.tokens[cue.span.clone()].iter().any(|t| t.is(WordClass::Maker))
}

/// Whether a token can be part of a name: unknown to the trade and to everyday English, or a capital inside a sentence.
fn namely(note: &Note, at: usize) -> bool {
    let Some(token) = note.tokens.get(at) else { return false };
    let word = token.text.as_str();
    let street = note.is(at + 1, WordClass::Street);
    let number = note
        .quantities_in(&(at.saturating_sub(6)..at + 1))
        .iter()
        .any(|q| q.span.contains(&at) || (q.span.end == at && q.distractor.is_some()));
    if street || number {
        return false;
    }
    if word.len() < 2 || token.is(WordClass::NoName) || word.contains(|c: char| !c.is_alphabetic()) {
        return false;
    }
    let first = note.sentence(at).start == at;
    let folded = fold(word);
    let trade = note.lexicon.vocabulary.contains(&folded);
    let unknown = !trade && !note.lexicon.is_english(word) && (token.capital || !note.cased);
    unknown || (token.capital && !first && !trade) || (token.capital && note.clause(at).len() <= 3 && !trade)
}

/// A further word of a firm's name: a capital within the sentence that is no word for the heater itself.
fn firm_word(note: &Note, at: usize) -> bool {
    let Some(token) = note.tokens.get(at) else { return false };
    let heater = |m: &Mention| {
        m.span == (at..at + 1)
            && m.terms.iter().any(|(term, _)| match term {
                TermRef::Saying(index) => {
                    let states = note.lexicon.sayings[*index].states.list();
                    states.iter().any(|s| s.starts_with("water-heater.energy") || s.starts_with("water-heater.style"))
                }
                TermRef::Part(index) => note.lexicon.parts[*index].component.list().iter().any(|c| c == "water-heater"),
                _ => false,
            })
    };
    token.capital
        && token.text.len() > 2
        && token.text.chars().all(char::is_alphabetic)
        && !token.is(WordClass::NoName)
        && !counted(note, at)
        && !note.mentions_in(&(at.saturating_sub(1)..at + 1)).iter().any(|m| m.span.len() > 1 || heater(m))
}

/// Whether a word is part of a number.
fn counted(note: &Note, at: usize) -> bool {
    note.quantities_in(&(at.saturating_sub(6)..at + 1)).iter().any(|q| q.span.contains(&at))
}

/// The name that begins right here, over "and" within it.
fn name_from(note: &Note, start: usize, loose: bool) -> Option<Range<usize>> {
    let plain = |at: usize| {
        note.tokens.get(at).is_some_and(|t| {
            t.text.len() > 1
                && t.text.chars().all(char::is_alphabetic)
                && !t.is(WordClass::NoName)
                && !note.lexicon.vocabulary.contains(&fold(&t.text))
                && !counted(note, at)
        })
    };
    // "Copper Hollow": two capitals after "made by" are a name, whatever the first word means by itself.
    let firm =
        |at: usize| at == start && note.tokens[at].stop == Stop::None && firm_word(note, at) && firm_word(note, at + 1);
    let fits = |at: usize| {
        namely(note, at)
            || (loose && at < note.tokens.len() && firm(at))
            || (loose && (plain(at) || (note.tokens.get(at).is_some_and(|t| t.capital) && second_name(note, at))))
    };
    if !fits(start) {
        return None;
    }
    let mut end = start + 1;
    while end < note.tokens.len() && end < start + 4 && note.tokens[end - 1].stop == Stop::None {
        let joins = matches!(note.text(end), "and" | "&")
            && note.tokens[end].stop == Stop::None
            && (fits(end + 1) || second_name(note, end + 1));
        if joins {
            end += 2;
        } else if (fits(end) && (namely(note, end) || !loose || note.tokens[end].capital)) || firm_word(note, end) {
            end += 1;
        } else {
            break;
        }
    }
    Some(start..end)
}

/// The second half of a firm's name may be any word that is no term of its own: "Pell and Stone".
fn second_name(note: &Note, at: usize) -> bool {
    note.tokens
        .get(at)
        .is_some_and(|t| t.text.len() > 2 && t.text.chars().all(char::is_alphabetic) && !t.is(WordClass::NoName))
        && note.mentions_in(&(at..at + 1)).is_empty()
}

fn name_after(note: &Note, from: usize, strong: bool) -> Option<Range<usize>> {
    let mut at = from;
    // A comma after the cue is a breath: "maker, Halvorsen".
    while at < from + 3 && note.is(at, WordClass::BeforeName) {
        at += 1;
    }
    let ends = |at: usize| at > 0 && note.tokens[at - 1].stop >= Stop::Sentence;
    // "Maker. Halvorsen." runs on; "Halvorsen brand. Somebody wrapped it." does not.
    let heading = strong && from > 0 && note.sentence(from - 1).len() <= HEADING;
    if (at > from && ends(at)) || (ends(from) && !heading) {
        return None;
    }
    name_from(note, at, strong)
}

/// A sentence that only announces a name is no longer.
const HEADING: usize = 3;

fn name_before(note: &Note, until: usize) -> Option<Range<usize>> {
    let mut start = until;
    while start > 0 && until - start < 3 && note.tokens[start - 1].stop == Stop::None
        || (start == until && start > 0 && note.tokens[start - 1].stop == Stop::Comma)
    {
        let word = note.text(start - 1);
        let joins = matches!(word, "and" | "&") && start < until && start >= 2 && namely(note, start - 2);
        if namely(note, start - 1)
            || joins
            || (note.tokens[start - 1].capital
                && !note.is(start - 1, WordClass::NoName)
                && !note.lexicon.vocabulary.contains(&fold(word)))
        {
            start -= 1;
        } else {
            break;
        }
    }
    let begins = start < until && !matches!(note.text(start), "and" | "&");
    begins.then_some(start..until)
}

/// A clause that is nothing but a name, in a sentence that introduces the heater or near one.
fn lone_name(note: &Note, clause: &Range<usize>) -> Option<Range<usize>> {
    let here = note.sentence_of(clause.start);
    let sentence = |at: usize| note.segments.sentences.get(at).cloned().unwrap_or(0..0);
    let near = sentence(here.saturating_sub(1)).start..sentence(here).end;
    let wide = sentence(here.saturating_sub(2)).start..near.end;
    let close = introduces(note, &near);
    if !close && !introduces(note, &wide) && !dated(note, &sentence(here)) {
        return None;
    }
    let span = firm(note, clause).or_else(|| {
        let inside = clause.clone().find(|at| namely(note, *at))?;
        name_from(note, inside, false)
    })?;
    // "Gull Rock again."
    let again = span.end + 1 == clause.end && matches!(note.text(span.end), "again" | "too" | "also");
    let alone = span.start == clause.start && (span.end == clause.end || again);
    let unknown =
        span.clone().all(|at| !note.lexicon.is_english(note.text(at)) || matches!(note.text(at), "and" | "&"));
    let capital = span.clone().all(|at| note.tokens[at].capital || matches!(note.text(at), "and" | "&"));
    // A first word alone greets or sighs more often than it names, "Aloha.", "Hmm.", but in "Halloran, electric, forty gallon".
    let heads = || tells_kind(note, &note.clause(span.end)) && note.sentence(span.end).start == span.start;
    let long = span.len() > 1 || (note.text(span.start).len() > 3 && (span.start > 0 || heads()));
    (long && if close { alone || unknown } else { alone && unknown && capital }).then_some(span)
}

/// Two to four capitals that make up a clause within a sentence that is not all in capitals: "Red Dirt Thermal".
fn firm(note: &Note, clause: &Range<usize>) -> Option<Range<usize>> {
    let small = |at: usize| note.tokens.get(at).is_some_and(|t| !t.capital);
    let word = |at: usize| {
        let first = at + 1 < clause.end && note.tokens[at].capital && !note.is(at, WordClass::NoName);
        firm_word(note, at) || first || matches!(note.text(at), "and" | "&")
    };
    let ours = |m: &Mention| strong_part(m).is_some() && m.span.len() > 1;
    let unknown = clause.clone().any(|at| !note.lexicon.vocabulary.contains(&fold(note.text(at))));
    let named = (2..=4).contains(&clause.len())
        && note.sentence(clause.start).start < clause.start
        && small(clause.start - 1)
        && clause.clone().all(word)
        && (unknown || clause.len() > 2)
        && !note.mentions_in(clause).iter().any(ours);
    named.then(|| clause.clone())
}

/// Whether the words tell what heater it is: its energy, kind, volume, plate.
fn introduces(note: &Note, range: &Range<usize>) -> bool {
    let heater = |m: &Mention| {
        m.terms.iter().any(|(term, _)| match term {
            TermRef::Part(index) => matches!(note.lexicon.parts[*index].id.as_str(), "heater" | "data-plate"),
            _ => false,
        })
    };
    tells_kind(note, range) || note.mentions_in(range).iter().any(heater)
}

/// Whether a year is said: "Cedarbank, twenty nineteen."
fn dated(note: &Note, range: &Range<usize>) -> bool {
    note.quantities_in(range).iter().any(|q| q.year.is_some() && q.unit.is_none() && q.distractor.is_none())
}

fn title(note: &Note, span: &Range<usize>) -> String {
    let word = |text: &str| {
        if matches!(text, "and" | "&") {
            return "and".to_owned();
        }
        let mut letters = text.chars();
        letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
    };
    let words: Vec<String> = note.tokens[span.clone()].iter().map(|t| word(&t.text)).collect();
    words.join(" ")
}
