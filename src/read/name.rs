//! Names as read out: the maker, the model, the serial number, the room.
use super::claim::Claim;
use super::mention::Mention;
use super::note::Note;
use super::number;
use super::token::Stop;
use crate::lexicon::{Role, fold};
use crate::record::Value;
use std::ops::Range;

/// Words that end a name or never begin one.
const NO_NAME: &[&str] = &[
    "um",
    "uh",
    "er",
    "ah",
    "the",
    "a",
    "an",
    "is",
    "was",
    "it",
    "its",
    "and",
    "or",
    "of",
    "on",
    "in",
    "at",
    "to",
    "for",
    "with",
    "no",
    "not",
    "this",
    "that",
    "i",
    "we",
    "you",
    "they",
    "here",
    "there",
    "by",
    "from",
    "but",
    "so",
    "which",
    "who",
    "what",
    "as",
    "model",
    "serial",
    "number",
    "year",
    "made",
    "built",
    "brand",
    "maker",
    "unknown",
    "illegible",
    "looks",
    "like",
    "my",
    "me",
    "some",
    "guess",
    "believe",
    "think",
    "says",
    "reads",
    "manufactured",
    "'s",
    "be",
    "are",
    "has",
    "yeah",
];

/// All names of a note.
pub fn claims(note: &Note) -> Vec<Claim> {
    let mut claims = codes(note);
    claims.extend(brands(note));
    claims.extend(places(note));
    claims
}

/// Model and serial numbers, spelled or written.
fn codes(note: &Note) -> Vec<Claim> {
    let spelled = number::spelled(&note.tokens);
    let mut claims: Vec<Claim> = Vec::new();
    for (role, attribute) in [(Role::Model, "model"), (Role::Serial, "serial")] {
        for cue in note.cues(role) {
            let from = cue.span.end;
            let until = from + 6;
            let written = spelled
                .iter()
                .find(|s| s.span.start >= from && s.span.start < until)
                .map(|s| (s.span.clone(), s.text.clone()));
            let Some((span, text)) = written.or_else(|| written_code(note, from, until)) else { continue };
            if !note.observed(&span) {
                continue;
            }
            let mut claim =
                Claim::new("water-heater", attribute, Value::Text(text.to_uppercase()), span.clone(), attribute);
            claim.part = Some(cue.span.clone());
            claim.signs.word = note.surety(&span);
            claim.signs.number = true;
            claims.push(claim);
        }
    }
    claims
}

/// A word with figures in it, as recognisers write spelled codes.
fn written_code(note: &Note, from: usize, until: usize) -> Option<(Range<usize>, String)> {
    let at = (from..until.min(note.tokens.len())).find(|at| note.text(*at).contains(|c: char| c.is_ascii_digit()))?;
    let mut end = at + 1;
    while end < note.tokens.len() && note.tokens[end].joined {
        end += 1;
    }
    let text: String = note.tokens[at..end].iter().map(|t| t.text.as_str()).collect();
    Some((at..end, text.chars().filter(|c| c.is_alphanumeric()).collect()))
}

/// Makers: after "made by", before "is the brand", or a name standing alone where the heater is introduced.
fn brands(note: &Note) -> Vec<Claim> {
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
    note.tokens[cue.span.clone()].iter().any(|t| {
        matches!(
            t.text.as_str(),
            "made"
                | "brand"
                | "maker"
                | "make"
                | "manufacturer"
                | "manufactured"
                | "built"
                | "branded"
                | "badge"
                | "nameplate"
        )
    })
}

/// Whether a token can be part of a name: unknown to the trade and to everyday English, or a capital inside a sentence.
fn namely(note: &Note, at: usize) -> bool {
    let Some(token) = note.tokens.get(at) else { return false };
    let word = token.text.as_str();
    let street = matches!(
        note.text(at + 1),
        "lane"
            | "street"
            | "road"
            | "drive"
            | "avenue"
            | "court"
            | "way"
            | "boulevard"
            | "place"
            | "circle"
            | "terrace"
    );
    let number = note
        .quantities_in(&(at.saturating_sub(6)..at + 1))
        .iter()
        .any(|q| q.span.contains(&at) || (q.span.end == at && q.distractor.is_some()));
    if street || number {
        return false;
    }
    if word.len() < 2 || NO_NAME.contains(&word) || word.contains(|c: char| !c.is_alphabetic()) {
        return false;
    }
    let first = note.sentence(at).start == at;
    let folded = fold(word);
    let trade = note.lexicon.vocabulary.contains(&folded);
    let unknown = !trade && !note.lexicon.english.contains(word) && !note.lexicon.english.contains(folded.as_str());
    unknown || (token.capital && !first && !trade) || (token.capital && note.clause(at).len() <= 3 && !trade)
}

/// The name that begins right here, over "and" within it.
fn name_from(note: &Note, start: usize, loose: bool) -> Option<Range<usize>> {
    let plain = |at: usize| {
        note.tokens.get(at).is_some_and(|t| {
            t.text.len() > 1
                && t.text.chars().all(char::is_alphabetic)
                && !NO_NAME.contains(&t.text.as_str())
                && !note.lexicon.vocabulary.contains(&fold(&t.text))
        })
    };
    let fits = |at: usize| {
        namely(note, at)
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
        } else if fits(end) && (namely(note, end) || !loose || note.tokens[end].capital) {
            end += 1;
        } else {
            break;
        }
    }
    Some(start..end)
}

/// The second half of a firm's name may be any word that is no term of its own: "Pell and Stone".
fn second_name(note: &Note, at: usize) -> bool {
    note.tokens.get(at).is_some_and(|t| {
        t.text.len() > 2 && t.text.chars().all(char::is_alphabetic) && !NO_NAME.contains(&t.text.as_str())
    }) && note.mentions_in(&(at..at + 1)).is_empty()
}

fn name_after(note: &Note, from: usize, strong: bool) -> Option<Range<usize>> {
    let mut at = from;
    // A comma after the cue is a breath: "maker, Halvorsen".
    while at < from + 3
        && matches!(note.text(at), "a" | "an" | "the" | "is" | "'s" | "it" | "of" | "by" | "maybe" | "like" | "um")
    {
        at += 1;
    }
    let sentence_ended = at > 0 && at > from && note.tokens[at - 1].stop >= Stop::Sentence;
    if sentence_ended || (from > 0 && note.tokens[from - 1].stop >= Stop::Sentence && !strong) {
        return None;
    }
    name_from(note, at, strong)
}

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
                && !NO_NAME.contains(&word)
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

/// A clause that is nothing but a name, in a sentence that introduces the heater.
fn lone_name(note: &Note, clause: &Range<usize>) -> Option<Range<usize>> {
    let sentence = note.sentence(clause.start);
    let around = note.segments.sentences[note.sentence_of(clause.start).saturating_sub(1)].start..sentence.end;
    let introduces = note.mentions_in(&around).iter().any(|m| {
        m.terms.iter().any(|(t, _)| match t {
            crate::lexicon::TermRef::Saying(i) => {
                matches!(
                    note.lexicon.sayings[*i].id.as_str(),
                    "electric" | "natural-gas" | "propane" | "storage" | "tankless" | "heat-pump" | "indirect" | "oil"
                )
            }
            crate::lexicon::TermRef::Part(i) => matches!(note.lexicon.parts[*i].id.as_str(), "heater" | "data-plate"),
            _ => false,
        })
    }) || note
        .quantities_in(&around)
        .iter()
        .any(|q| q.unit.is_some_and(|u| number::convert(1.0, u, "gal").is_some()));
    if !introduces {
        return None;
    }
    let inside = clause.clone().find(|at| namely(note, *at))?;
    let span = name_from(note, inside, false)?;
    let alone = span.start == clause.start && span.end == clause.end;
    let unknown =
        span.clone().all(|at| !note.lexicon.english.contains(note.text(at)) || matches!(note.text(at), "and" | "&"));
    (alone || unknown).then_some(span)
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

/// Rooms: where the heater stands, by how it is said.
fn places(note: &Note) -> Vec<Claim> {
    let mut claims = Vec::new();
    for (at, mention) in note.mentions.iter().enumerate() {
        if !mention.is(note.lexicon, Role::Place) || !note.observed(&mention.span) || note.negated(&mention.span) {
            continue;
        }
        let start = with_words_before(note, at);
        let span = start..mention.span.end;
        let Some(weight) = place_weight(note, &span) else { continue };
        let words: Vec<&str> = note.tokens[span.clone()].iter().map(|t| t.text.as_str()).collect();
        let mut claim = Claim::new("water-heater", "place", Value::Text(words.join(" ")), span.clone(), "room");
        claim.signs.reach = 2.0 - weight;
        claim.signs.word = note.surety(&span);
        claims.push(claim);
    }
    claims
}

/// Takes in "second floor", "attached" and the like before the room.
fn with_words_before(note: &Note, at: usize) -> usize {
    let mut start = note.mentions[at].span.start;
    for previous in note.mentions[..at].iter().rev() {
        let belongs = previous.is(note.lexicon, Role::PlaceBefore) || previous.is(note.lexicon, Role::Place);
        if !belongs || previous.span.end != start || note.tokens[start - 1].stop > Stop::None {
            break;
        }
        start = previous.span.start;
    }
    start
}

/// "Hot at the kitchen was one eighteen": a room where a reading was taken.
fn taken_there(note: &Note, span: &Range<usize>) -> bool {
    let clause = note.clause(span.start);
    note.quantities_in(&note.sentence(span.start)).iter().any(|q| {
        let reading = q
            .unit
            .is_some_and(|u| number::convert(1.0, u, "psi").is_some() || (number::convert(1.0, u, "degF").is_some()));
        reading
            || (q.unit.is_none()
                && q.distractor.is_none()
                && q.year.is_none()
                && clause.contains(&q.span.start)
                && q.value >= 30.0)
    })
}

/// How likely a room is where the heater stands; nothing if it is not.
fn place_weight(note: &Note, span: &Range<usize>) -> Option<f64> {
    let clause = note.clause(span.start);
    let before = |back: usize| {
        if span.start >= back && span.start - back >= clause.start { note.text(span.start - back) } else { "" }
    };
    let lead = if matches!(before(1), "the" | "a" | "an" | "this" | "my" | "their" | "his" | "her" | "our" | "that") {
        before(2)
    } else {
        before(1)
    };
    let next = note.tokens.get(span.end).map_or("", |t| t.text.as_str());
    if matches!(
        lead,
        "over"
            | "above"
            | "below"
            | "beneath"
            | "into"
            | "from"
            | "off"
            | "behind"
            | "toward"
            | "towards"
            | "through"
            | "between"
            | "outside"
            | "for"
            | "to"
            | "leaving"
            | "near"
            | "like"
            | "past"
    ) || (note.tokens[span.end - 1].stop == Stop::None
        && matches!(
            next,
            "ceiling"
                | "sink"
                | "wall"
                | "door"
                | "floor"
                | "faucet"
                | "tub"
                | "panel"
                | "light"
                | "window"
                | "cabinet"
                | "below"
                | "above"
                | "slab"
                | "was"
                | "were"
                | "'s"
                | "has"
                | "had"
        ))
    {
        return None;
    }
    if taken_there(note, span) {
        return None;
    }
    let sentence = note.sentence(span.start);
    let opens = (sentence.start..span.start).all(|at| {
        matches!(
            note.text(at),
            "the"
                | "a"
                | "an"
                | "okay"
                | "so"
                | "and"
                | "um"
                | "well"
                | "now"
                | "alright"
                | "right"
                | "this"
                | "is"
                | "here"
                | "it"
                | "'s"
        )
    });
    if opens && clause.len() < 12 {
        return Some(1.65);
    }
    if matches!(lead, "in" | "inside" | "at" | "on" | "within" | "under") || (lead == "of" && before(1) != lead) {
        return Some(1.6);
    }
    if clause.len() == span.len() {
        return Some(1.7);
    }
    if span.start == clause.start || span.end == clause.end {
        return Some(1.0);
    }
    Some(0.4)
}
