//! What came nearest to a fact in the sentences that made none, and what kept it from being one.
use super::mention::Mention;
use super::note::{Note, part_of};
use super::scope::Polarity;
use super::{number, order, presence, reach, state, value};
use crate::lexicon::{Lexicon, Match, Role, TermRef, fold};
use crate::recognize::Transcript;
use crate::record::{Evidence, Value};
use std::ops::Range;

/// For each of the remarks the reasons why it made no fact: at least one.
pub fn reasons(transcript: &Transcript, lexicon: &Lexicon, remarks: &[Evidence]) -> Vec<Vec<String>> {
    let note = Note::of(transcript, lexicon);
    let claims = first_claims(&note);
    let first = |word: usize| note.tokens.partition_point(|token| token.word < word);
    remarks
        .iter()
        .map(|remark| {
            let tokens = first(remark.span[0])..first(remark.span[1]);
            let mut told = Vec::new();
            told.extend(undone(&note, &claims, &tokens));
            told.extend(note.mentions_in(&tokens).iter().filter_map(|m| kept_back(&note, m)));
            told.extend(note.quantities_in(&tokens).iter().map(|q| number_left(&note, q)));
            told.extend(framed(&note, &tokens));
            if told.is_empty() {
                told.extend(number_wanting(&note, &tokens));
                told.extend(given_up(&note, &tokens));
                told.extend(tokens.clone().filter_map(|at| misspelled(&note, at)));
            }
            if told.is_empty() {
                told.push("no word in it is known to state anything".to_owned());
            }
            told.dedup();
            told
        })
        .collect()
}

/// What the words state before anything is taken back: the key, the value and the tokens of each.
type Said = (String, Range<usize>);

fn first_claims(note: &Note) -> Vec<Said> {
    let free = |_: &Range<usize>| false;
    let mut claims = state::claims(note, &free);
    claims.extend(value::claims(note, &free));
    let there = presence::claims(note, &free, &claims);
    claims.extend(there);
    claims.sort_by_key(|claim| claim.at.start);
    let said = |value: &Value| match value {
        Value::Text(text) => text.clone(),
        Value::Number(number) => number.to_string(),
    };
    claims.iter().map(|c| (format!("{}.{} = {}", c.component, c.attribute, said(&c.value)), c.at.clone())).collect()
}

/// Facts that the words would have made, had they not been taken back afterwards.
fn undone(note: &Note, claims: &[Said], tokens: &Range<usize>) -> Vec<String> {
    let unheard = order::unheard(note, &order::orders(note)).iter().any(|stretch| stretch.contains(&tokens.start));
    let why = if unheard {
        "listening was switched off"
    } else {
        "it was taken back, or the talk around it is of no house at hand"
    };
    let from = claims.partition_point(|(_, at)| at.start < tokens.start);
    let own = claims[from..].iter().take_while(|(_, at)| at.start < tokens.end);
    own.map(|(key, at)| format!("{} would be {key}: {why}", quoted(note, at))).collect()
}

/// Why a term found made no fact.
fn kept_back(note: &Note, mention: &Mention) -> Option<String> {
    let words = quoted(note, &mention.span);
    let cue = mention.role(note.lexicon);
    if cue == Some(Role::Other) {
        return Some(format!("{words} is another appliance, whose parts are not the heater's"));
    }
    if cue == Some(Role::Nothing) {
        return Some(format!("{words} only looks like a term"));
    }
    let meaning = meaning(note, mention)?;
    if let Some(why) = scope(note, mention) {
        return Some(format!("{words} is {meaning}: {why}"));
    }
    if let Some((index, quality)) = part_of(mention) {
        if quality == Match::Weak && !reach::weak_holds(note, mention, index) {
            let near = one_of(&note.lexicon.parts[index].near, "what is said of it right before");
            return Some(format!("{words} is short for {meaning}: it counts only near {near}"));
        }
        return Some(format!("{words} is {meaning}: it is named, and nothing is said of it here"));
    }
    let needs = mention.terms.iter().find_map(|(term, _)| match term {
        TermRef::Saying(index) => Some(&note.lexicon.sayings[*index]).filter(|s| !state::need_met(note, mention, s)),
        _ => None,
    });
    Some(match needs {
        Some(saying) => format!("{words} is {meaning}: it needs {} named near it", saying.need.join(" or ")),
        None if note.negated(&mention.span) => format!("{words} is {meaning}: it is denied, which states nothing here"),
        None => format!("{words} is {meaning}: no part that takes it is named near it"),
    })
}

/// What a term stands for: the component of a part, the facts of a saying.
fn meaning(note: &Note, mention: &Mention) -> Option<String> {
    mention.terms.iter().find_map(|(term, _)| match term {
        TermRef::Part(index) => note.lexicon.parts[*index].component.list().first().cloned(),
        TermRef::Saying(index) => Some(note.lexicon.sayings[*index].states.list().join(", ")),
        _ => None,
    })
}

/// What keeps the words from being an observation of the speaker, if anything does.
fn scope(note: &Note, mention: &Mention) -> Option<&'static str> {
    let span = mention.span.clone();
    if note.is_abroad(span.start) {
        return Some("the sentence is about another appliance");
    }
    if note.scopes.elsewhere(span.clone()) {
        return Some("told of another house, heater or time");
    }
    match note.scopes.of(span.clone()) {
        Polarity::Hypothetical => Some("supposed, advised, asked for, put off or quoted from a code, not observed"),
        Polarity::Hearsay => Some("told by somebody else, not observed"),
        Polarity::Doubtful => Some("the speaker could not tell or did not look"),
        _ if !note.observed(&span) => Some("only asked, and not answered"),
        _ => None,
    }
}

/// Words for a reading without a number.
fn number_wanting(note: &Note, tokens: &Range<usize>) -> Option<String> {
    let (cue, states) = note.side_in(tokens).iter().find_map(|m| reading_of(note, m).map(|states| (m, states)))?;
    Some(format!("{} speaks of {states}: no number is said", quoted(note, &cue.span)))
}

/// Short or open terms that were given up for want of what they lean on.
fn given_up(note: &Note, tokens: &Range<usize>) -> Option<String> {
    let own = &note.tokens[tokens.clone()];
    let words: Vec<String> = own.iter().map(|token| fold(&token.text)).collect();
    let hits = note.lexicon.trie.find_all(&words).into_iter();
    let (hit, lacks) =
        hits.filter_map(|hit| lacking(note, &hit.terms).map(|lacks| (hit, lacks))).max_by_key(|(hit, _)| hit.words)?;
    Some(format!("{} {lacks}", quoted(note, &(tokens.start + hit.start..tokens.start + hit.end))))
}

/// What terms need beside them before they count.
fn lacking(note: &Note, terms: &[(TermRef, Match)]) -> Option<String> {
    terms.iter().find_map(|(term, quality)| match term {
        TermRef::Part(index) if *quality == Match::Weak => {
            let part = &note.lexicon.parts[*index];
            let near = one_of(&part.near, "what is said of it");
            Some(format!("is short for {}: it counts only beside {near}", part.component.list().join(" or ")))
        }
        TermRef::Saying(index) => {
            let saying = &note.lexicon.sayings[*index];
            let needs = one_of(&saying.need, "a part that takes it");
            Some(format!("is {}: it needs {needs} named near it", saying.states.list().join(", ")))
        }
        _ => None,
    })
}

fn one_of(names: &[String], otherwise: &str) -> String {
    if names.is_empty() { otherwise.to_owned() } else { names.join(" or ") }
}

fn number_left(note: &Note, quantity: &number::Quantity) -> String {
    let words = quoted(note, &quantity.span);
    if let Some(kind) = quantity.distractor {
        return format!("{words} is a number of another sort: {}", kind.name());
    }
    if !note.observed(&quantity.span) {
        return format!("{words} is a number that is not said of this heater as observed");
    }
    match value::nearest(note, quantity) {
        Some(states) => format!("{words} is nearest to {states}: too little near it says so"),
        None if quantity.unit.is_none() => format!("{words} has no unit, and nothing near it says what it counts"),
        None => format!("{words} is a quantity, and nothing near it says what was measured"),
    }
}

/// The fact that words around a number speak for.
fn reading_of<'a>(note: &'a Note, mention: &Mention) -> Option<&'a str> {
    mention.terms.iter().find_map(|(term, _)| match term {
        TermRef::Reading(index, true) => Some(note.lexicon.readings[*index].states.as_str()),
        _ => None,
    })
}

/// Words that tell that the talk is of something else.
fn framed(note: &Note, tokens: &Range<usize>) -> Option<String> {
    let frame = note.side_in(tokens).iter().find(|m| m.role(note.lexicon).is_some_and(Role::frames_talk))?;
    Some(format!("{} tells that the talk is of no house at hand", quoted(note, &frame.span)))
}

/// An unknown word that nearly is one of the lexicon's, and the entry that has it.
fn misspelled(note: &Note, at: usize) -> Option<String> {
    let word = note.text(at);
    let lexicon = note.lexicon;
    if word.len() < 4 || !word.is_ascii() || lexicon.vocabulary.contains(word) || lexicon.english.contains(word) {
        return None;
    }
    let most = if word.len() > 6 { 2 } else { 1 };
    let known = lexicon.vocabulary.iter().filter(|w| w.len().abs_diff(word.len()) <= most);
    let (_, near) = known
        .map(|known| (strsim::damerau_levenshtein(word, known), known))
        .filter(|(far, known)| *far <= most && known.len() >= 4)
        .min_by_key(|(far, known)| (*far, !known.starts_with(&word[..1]), known.as_str()))?;
    let holds = |form: &String| form.split(|c: char| !c.is_alphanumeric()).any(|w| w == near);
    let entry = lexicon.entries().find(|entry| entry.says.iter().any(holds));
    let of = entry.map_or(String::new(), |entry| format!(" of '{}'", entry.id));
    Some(format!("\"{word}\" is no known word: nearest is \"{near}\"{of}"))
}

fn quoted(note: &Note, span: &Range<usize>) -> String {
    let words: Vec<&str> = note.tokens[span.clone()].iter().map(|t| t.text.as_str()).collect();
    format!("\"{}\"", words.join(" ").replace(" '", "'"))
}
