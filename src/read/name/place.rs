//! Rooms: where the heater stands, by how it is said.
use super::{joined, unlisted};
use crate::lexicon::{Role, WordClass};
use crate::read::claim::Claim;
use crate::read::mention::Mention;
use crate::read::note::Note;
use crate::read::token::Stop;
use crate::record::Value;
use std::ops::Range;

/// All of a note.
pub fn claims(note: &Note) -> Vec<Claim> {
    let mut claims = Vec::new();
    let mut begins: Vec<usize> = note.cues(Role::NextItem).map(|m| m.span.start).collect();
    begins.sort_unstable();
    for (at, mention) in note.mentions.iter().enumerate() {
        if !mention.is(note.lexicon, Role::Place) || !note.observed(&mention.span) || note.negated(&mention.span) {
            continue;
        }
        if goes_on(note, at) {
            continue;
        }
        let start = with_words_before(note, at);
        let span = start..mention.span.end;
        let Some(mut weight) = place_weight(note, &span) else { continue };
        if heater_stands(note, &span) {
            weight = SAID_OF_IT;
        } else if is_late(note, &begins, &span) {
            weight -= LATER;
        }
        let mut claim = Claim::new("water-heater", "place", Value::Text(joined(note, &span)), span.clone(), "room");
        claim.signs.reach = 2.0 - weight;
        claim.signs.word = note.surety(&span);
        claims.push(claim);
    }
    if claims.is_empty() {
        claims.extend(unlisted::claim(note));
    }
    claims
}

/// "The heater's in the mud room" says it plainer than a heading does.
const SAID_OF_IT: f64 = 1.8;
/// A room first named in the midst of the findings is hardly the heater's.
const LATER: f64 = 0.5;
/// The heater's room is told within so many sentences.
const SOON: usize = 5;

/// Whether the words before a room say of the heater that it stands there.
fn heater_stands(note: &Note, span: &Range<usize>) -> bool {
    let clause = note.clause(span.start);
    let before = span.start.saturating_sub(6).max(clause.start)..span.start;
    let heater = names_heater(note, &before);
    let stands = |at: usize| note.is(at, WordClass::Standing);
    let within = |at: usize| matches!(note.text(at), "in" | "inside" | "on" | "at" | "under");
    heater && before.clone().any(stands) && before.clone().any(within)
}

/// Whether words name the heater.
pub fn names_heater(note: &Note, words: &Range<usize>) -> bool {
    note.mentions_in(words).iter().any(|m| note.components(m).iter().any(|c| c == "water-heater"))
}

/// Whether much was told of this heater before the room was named; `begins` are the tokens where another one begins.
fn is_late(note: &Note, begins: &[usize], span: &Range<usize>) -> bool {
    let begun = begins[..begins.partition_point(|at| *at <= span.start)].last().copied().unwrap_or(0);
    note.sentence_of(span.start) > note.sentence_of(begun) + SOON
}

/// Takes in "second floor", "attached" and the like before the room.
fn with_words_before(note: &Note, at: usize) -> usize {
    let mut start = note.mentions[at].span.start;
    let belongs = |m: &&Mention| m.is(note.lexicon, Role::PlaceBefore) || m.is(note.lexicon, Role::Place);
    for previous in note.mentions[..at].iter().rev().take(6).filter(belongs) {
        let joined = match only_before(note, previous) {
            true => previous.span.end == start || storey(note, previous, start),
            false => previous.span.end == start || linked(note, previous, start),
        };
        let broken = note.tokens[start - 1].stop > Stop::None && !storey(note, previous, start);
        if !joined || broken {
            break;
        }
        start = previous.span.start;
    }
    start
}

/// Whether a room is but the first word of a longer one: "greenhouse north wall", "cupboard of the kitchen".
fn goes_on(note: &Note, at: usize) -> bool {
    let room = &note.mentions[at];
    let place = |m: &&Mention| m.is(note.lexicon, Role::Place) && !note.negated(&m.span);
    let next = note.mentions[at + 1..].iter().take(2).find(place);
    let next = next.filter(|_| note.tokens[room.span.end - 1].stop == Stop::None);
    next.is_some_and(|m| m.span.start == room.span.end || linked(note, room, m.span.start))
}

/// Whether the room at `next` only tells which one is meant: "closet in the entry", "room off the kitchen".
fn linked(note: &Note, room: &Mention, next: usize) -> bool {
    let between = room.span.end..next.max(room.span.end);
    let words: Vec<&str> = between.clone().map(|at| note.text(at)).collect();
    // "Back room of the shop" is told already; a cupboard may be anywhere.
    let single = room.span.len() == 1 && note.is(room.span.start, WordClass::Recess);
    let link = |word: &str| single && matches!(word, "of" | "in" | "off");
    let small = |word: &&str| WordClass::Article.holds(word);
    let unbroken = note.tokens[room.span.start..next].iter().all(|t| t.stop == Stop::None);
    unbroken && words.len() <= 2 && words.first().is_some_and(|w| link(w)) && words[1..].iter().all(small)
}

/// "Second floor, in the wardrobe": the storey is told first.
fn storey(note: &Note, before: &Mention, room: usize) -> bool {
    let between = before.span.end..room.max(before.span.end);
    let words: Vec<&str> = between.map(|at| note.text(at)).collect();
    before.span.len() > 1 && only_before(note, before) && matches!(words[..], ["in"] | ["in", "the" | "a"])
}

/// A word such as "upstairs" that stands only before a room.
fn only_before(note: &Note, mention: &Mention) -> bool {
    !mention.is(note.lexicon, Role::Place)
}

/// "Hot at the kitchen was one eighteen": a room where a reading was taken.
fn taken_there(note: &Note, span: &Range<usize>) -> bool {
    let clause = note.clause(span.start);
    note.quantities_in(&note.sentence(span.start)).iter().any(|q| {
        let reading = q.measures("psi") || q.measures("degF");
        reading
            || (q.unit.is_none()
                && q.distractor.is_none()
                && q.year.is_none()
                && clause.contains(&q.span.start)
                && q.value >= 30.0)
    })
}

/// "At the cottage, in the pantry": the next words tell where in it.
fn narrowed(note: &Note, span: &Range<usize>) -> bool {
    let next = note.clause(span.end);
    let opens = note.tokens[span.end - 1].stop == Stop::Comma && note.text(span.end) == "in";
    opens && note.mentions_in(&next).iter().any(|m| m.is(note.lexicon, Role::Place) && m.span.start <= span.end + 4)
}

/// "We have come to the roof store": going there, the speaker stands there.
fn arrives(note: &Note, span: &Range<usize>) -> bool {
    let before = span.start.saturating_sub(6).max(note.clause(span.start).start)..span.start;
    let speaker = before.clone().any(|at| note.is(at, WordClass::Speaker));
    speaker && before.clone().any(|at| note.is(at, WordClass::Coming))
}

/// "The ceiling of the bedroom" is told of as a surface.
fn of_a_surface(note: &Note, span: &Range<usize>) -> bool {
    let before = note.clause(span.start).start..span.start;
    let of = before.clone().rev().take(2).find(|at| note.text(*at) == "of");
    of.and_then(|at| at.checked_sub(1)).is_some_and(|head| note.is(head, WordClass::Surface))
}

/// A room of which something is told may be that of the heater.
const TOLD_OF: f64 = 0.4;

/// How likely a room is where the heater stands; nothing if it is not.
fn place_weight(note: &Note, span: &Range<usize>) -> Option<f64> {
    let clause = note.clause(span.start);
    let before = |back: usize| {
        if span.start >= back && span.start - back >= clause.start { note.text(span.start - back) } else { "" }
    };
    let lead = if WordClass::Article.holds(before(1)) { before(2) } else { before(1) };
    let next = note.tokens.get(span.end).map_or("", |t| t.text.as_str());
    // "In the bathroom above the door" is in the bathroom.
    let next = if lead == "in" && matches!(next, "above" | "below") { "" } else { next };
    let unbroken = note.tokens[span.end - 1].stop == Stop::None;
    // "Cellar's unfinished", "this attic's hot" tell of the room that the speaker stands in.
    let told_of = next == "'s" && span.start <= note.sentence(span.start).start + 1;
    if told_of
        && note
            .mentions_in(&(span.end..clause.end))
            .iter()
            .any(|m| m.is_saying() || note.is(m.span.start, WordClass::Heat))
    {
        return Some(TOLD_OF);
    }
    if WordClass::NotInRoom.holds(lead) || (unbroken && WordClass::BehindNoRoom.holds(next)) {
        return None;
    }
    if taken_there(note, span) || (matches!(lead, "to" | "into") && !arrives(note, span)) || of_a_surface(note, span) {
        return None;
    }
    let sentence = note.sentence(span.start);
    let opens = (sentence.start..span.start).all(|at| note.is(at, WordClass::BeforeRoom));
    if opens && clause.len() < 12 && !narrowed(note, span) {
        return Some(1.65);
    }
    if WordClass::Within.holds(lead) || (lead == "of" && before(1) != lead) {
        return Some(if narrowed(note, span) { 1.55 } else { 1.6 });
    }
    if clause.len() == span.len() {
        // "Guest bath, under the sink" is in the guest bath.
        return Some(if matches!(note.text(span.start), "under" | "above" | "beneath") { 1.5 } else { 1.7 });
    }
    if span.start == clause.start || span.end == clause.end {
        return Some(1.0);
    }
    Some(0.4)
}
