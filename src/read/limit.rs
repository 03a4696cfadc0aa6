//! Parts that could not be inspected, with why.
use super::mention::Mention;
use super::note::{Note, part_of};
use super::photo::component_of;
use super::reach;
use super::scope::Polarity;
use super::token::Stop;
use crate::lexicon::{Match, Role, TermRef};
use std::ops::Range;

/// A part that could not be inspected.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitMark {
    pub component: String,
    pub why: String,
    pub at: Range<usize>,
    /// The part named, so that it makes no fact of being there.
    pub part: Range<usize>,
}

/// All limits.
pub fn marks(note: &Note) -> Vec<LimitMark> {
    let mut marks: Vec<LimitMark> = Vec::new();
    for mention in note.mentions.iter().filter(|m| is_unread_plate(note, m)) {
        let Some(why) = reason(note, mention, &note.sentence(mention.span.start)) else { continue };
        let (at, part) = (mention.span.clone(), mention.span.clone());
        marks.push(LimitMark { component: "data-plate".into(), why, at, part });
    }
    for cue in note.mentions.iter().filter(|m| m.is(note.lexicon, Role::Limit)) {
        if note.scopes.elsewhere(cue.span.clone()) {
            continue;
        }
        let sentence = note.sentence(cue.span.start);
        if judged_from_here(note, cue) || only_told(note, cue) || is_why(note, cue, &marks) {
            continue;
        }
        let why = reason(note, cue, &sentence);
        let rest = cue.span.end..sentence.end;
        if let Some((component, part)) = topic(note, cue, why.is_some()).or_else(|| hidden(note, cue)) {
            let why = why.unwrap_or_else(|| words(note, if rest.is_empty() { &sentence } else { &rest }));
            marks.retain(|m| m.component != component || m.at.start < sentence.start);
            marks.push(LimitMark { component, why, at: spanned(cue, &part), part });
            continue;
        }
        let meant = meant_by_pronoun(note, cue, &sentence).or_else(|| meant_by_one(note, cue, &sentence));
        let pronoun = meant.is_some();
        for (component, part) in meant.map_or_else(|| limited(note, cue, &sentence), |one| vec![one]) {
            if is_unseen(note, cue, (&component, &part), pronoun, why.is_some())
                && !marks.iter().any(|m| m.component == component && m.at.start >= sentence.start)
            {
                let why = why.clone().unwrap_or_else(|| words(note, &note.clause(cue.span.start)));
                marks.push(LimitMark { component, why, at: spanned(cue, &part), part });
            }
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
            marks.push(LimitMark { component: component.clone(), why, at: mention.span.clone(), part: 0..0 });
        }
    }
    marks
}

fn spanned(cue: &Mention, part: &Range<usize>) -> Range<usize> {
    cue.span.start.min(part.start)..cue.span.end.max(part.end)
}

/// "Couldn't read the plate, it faces the wall": with a reason of its own it is not the plate's fault.
fn is_unread_plate(note: &Note, mention: &Mention) -> bool {
    let unread = |term: &TermRef| match term {
        TermRef::Saying(index) => {
            note.lexicon.sayings[*index].states.list().iter().any(|s| s == "data-plate.legibility = illegible")
        }
        _ => false,
    };
    mention.terms.iter().any(|(term, _)| unread(term))
        && note.scopes.doubts_itself(&mention.span)
        && !note.scopes.elsewhere(mention.span.clone())
}

/// "Cold side I couldn't see, it's boxed in": the second says why of the first.
fn is_why(note: &Note, cue: &Mention, marks: &[LimitMark]) -> bool {
    let clause = note.clause(cue.span.start);
    let pronoun = matches!(note.text(clause.start), "it" | "they" | "that" | "this" | "all") && clause.start > 0;
    let around = note.mentions_in(&(clause.start..cue.span.start)).iter().any(|m| surrounds(note, m));
    let sentence = note.sentence(cue.span.start).start;
    (pronoun || around) && marks.iter().any(|m| m.at.start >= sentence && m.at.end <= cue.span.start)
}

/// "Can't be seen from the heater" judges where the thing is; it was seen.
fn judged_from_here(note: &Note, cue: &Mention) -> bool {
    let at = cue.span.end + usize::from(matches!(note.text(cue.span.end), "it" | "that" | "them"));
    note.text(at) == "from"
        && (at + 1..at + 4).any(|at| {
            matches!(
                note.text(at),
                "here" | "there" | "heater" | "unit" | "tank" | "it" | "this" | "where" | "down" | "up"
            )
        })
}

/// "The seller says it was serviced, which I can't verify": a tale that could not be checked.
fn only_told(note: &Note, cue: &Mention) -> bool {
    let led = (cue.span.start.saturating_sub(3)..cue.span.start).any(|at| matches!(note.text(at), "which" | "that"));
    led && matches!(note.text(cue.span.end - 1), "verify" | "confirm" | "vouch" | "to" | "for" | "check")
}

/// Whether not having seen a part leaves open whether it is there; to have looked for it and not seen it may be to find none.
fn is_unseen(note: &Note, cue: &Mention, (component, part): (&str, &Range<usize>), pronoun: bool, told: bool) -> bool {
    let before = note.text(part.start.wrapping_sub(1));
    let definite =
        matches!(before, "the" | "its" | "that" | "this" | "those" | "these" | "his" | "her" | "their" | "both");
    let any = matches!(before, "any" | "a" | "an" | "no" | "one");
    // To want to reach or measure it is not to look for it.
    let reached = !seeks(note, &cue.span);
    // Nobody finds "a pressure" missing, and who cannot see whether there is one has not found that there is none.
    let open = always_there(note, component) || wondered(note, &(cue.span.start..part.start));
    let looked_for = any && !pronoun && !(open && told);
    !looked_for && (told || definite || pronoun || reached)
}

/// Whether a component is there in every heater, so that not seeing it never means that it is missing.
fn always_there(note: &Note, component: &str) -> bool {
    note.lexicon.catalogue.row(component, "presence").is_none()
}

/// Whether a component is a thing to measure.
fn measured(note: &Note, component: &str) -> bool {
    matches!(component, "water-system" | "hot-water") && always_there(note, component)
}

/// Whether the words up to a part leave open whether it is there: "couldn't see whether there's a", "don't know about a".
fn wondered(note: &Note, words: &Range<usize>) -> bool {
    words.clone().any(|at| matches!(note.text(at), "whether" | "if" | "about"))
}

/// The part that "it" right behind the cue means: "the tank's up in the joists, couldn't reach it". Behind and around
/// a thing not named is the heater itself.
fn meant_by_pronoun(note: &Note, cue: &Mention, sentence: &Range<usize>) -> Option<(String, Range<usize>)> {
    let open = note.tokens[cue.span.end - 1].stop == Stop::None;
    if !open || !matches!(note.text(cue.span.end), "it" | "them" | "that" | "those" | "him" | "her") {
        return None;
    }
    let strong = |m: &&Mention| part_of(m).is_some_and(|(_, quality)| quality != Match::Weak);
    let before = note.mentions_in(&(sentence.start..cue.span.start));
    let subject = before.iter().filter(strong).find(|m| !note.oblique(&m.span)).or_else(|| before.iter().find(strong));
    let around = matches!(note.text(cue.span.end - 1), "behind" | "around" | "past");
    let told = |m: &Mention| matches!(note.scopes.of(m.span.clone()), Polarity::Hearsay | Polarity::Hypothetical);
    match subject.filter(|m| !told(m)) {
        Some(mention) => component_of(note, mention).map(|c| (heater_is_casing(c), mention.span.clone())),
        None if around => Some(("casing".to_owned(), cue.span.end..cue.span.end + 1)),
        None => None,
    }
}

fn heater_is_casing(component: String) -> String {
    if component == "water-heater" { "casing".to_owned() } else { component }
}

/// Words between the items of a list.
const LISTING: [&str; 9] = ["and", "or", "nor", "the", "a", "an", "its", "any", "that"];

/// Words between a part and what is said of its not being seen: "the back of it, honestly, I never saw".
const SMALL: [&str; 30] = [
    "i",
    "we",
    "you",
    "they",
    "honestly",
    "the",
    "also",
    "just",
    "really",
    "even",
    "and",
    "now",
    "sorry",
    "that",
    "one",
    "this",
    "um",
    "again",
    "itself",
    "themselves",
    "though",
    "here",
    "there",
    "either",
    "at",
    "all",
    "back",
    "no",
    "'s",
    "did",
];

/// The part set before what is said of it: "Ground, can't call it", "The pressure I could not measure".
fn topic(note: &Note, cue: &Mention, reasoned: bool) -> Option<(String, Range<usize>)> {
    const SEEING: [&str; 8] = ["see", "saw", "find", "seen", "view", "visible", "tell", "eyes"];
    let sentence = note.sentence(cue.span.start);
    let before = note.mentions_in(&(sentence.start..cue.span.start));
    let before = before.iter().rev().find(|m| part_of(m).is_some()).or(before.last())?;
    let (index, _) = part_of(before).filter(|(_, quality)| *quality != Match::Weak)?;
    let between = before.span.end..cue.span.start;
    let begun = note.clause(before.span.start).start;
    // "The back of the tank I never saw": a part of the part.
    let subject = !note.oblique(&before.span) || note.tokens[begun..before.span.start].iter().any(|t| t.text == "of");
    let leads = before.span.start - begun <= 5 && subject;
    let close = between.len() <= 5 && between.clone().all(|at| SMALL.contains(&note.text(at)));
    let set_off = note.tokens[before.span.end - 1].stop == Stop::Comma
        || between.clone().any(|at| matches!(note.text(at), "i" | "we"));
    let object = note.tokens.get(cue.span.end).filter(|_| note.tokens[cue.span.end - 1].stop == Stop::None);
    let whole = object.is_none_or(|t| {
        matches!(
            t.text.as_str(),
            "it" | "ya" | "you" | "thee" | "ye" | "that" | "them" | "either" | "because" | "for" | "as"
        )
    });
    // "The trap I couldn't see" says that there is none, unless it is told why.
    let seeing = note.tokens[cue.span.clone()].iter().any(|t| SEEING.contains(&t.text.as_str()));
    let component = heater_is_casing(note.lexicon.parts[index].component.list().first()?.clone());
    let told = reasoned || !seeing || always_there(note, &component) || note.text(cue.span.end - 1) == "tell";
    (leads && close && set_off && whole && told).then(|| (component, before.span.clone()))
}

/// What the words right behind the cue say was not seen, up to the next stop.
fn object(note: &Note, cue: &Mention) -> Range<usize> {
    let sentence = note.sentence(cue.span.start);
    let open = note.tokens[cue.span.end - 1].stop == Stop::None;
    let stop =
        (cue.span.end..sentence.end).find(|at| note.tokens[*at].stop > Stop::None).map_or(sentence.end, |at| at + 1);
    cue.span.end..if open { stop } else { cue.span.end }
}

/// The pipe named last, of those that end somewhere.
fn pipe_before(note: &Note, at: usize) -> Option<String> {
    let ends = |c: &&String| *c == "vent" || note.lexicon.catalogue.row(c, "end-place").is_some();
    let told = note.mentions_in(&(0..at)).iter().rev().filter_map(part_of).filter(|(_, q)| *q != Match::Weak);
    let pipe = |index: usize| note.lexicon.parts[index].component.list().iter().find(ends).cloned();
    told.take(PIPE_WITHIN).find_map(|(index, _)| pipe(index))
}

/// How many parts back the pipe was named whose end is told of.
const PIPE_WITHIN: usize = 4;

/// The back of the heater, or the end of the pipe that is told of: behind the cue, or set before it.
fn hidden(note: &Note, cue: &Mention) -> Option<(String, Range<usize>)> {
    let own = |m: &Mention| {
        let (index, quality) = part_of(m)?;
        let part = note.lexicon.parts[index].component.list().first()?;
        (quality != Match::Weak && !matches!(part.as_str(), "water-heater" | "casing" | "surround")).then_some(())
    };
    let sentence = note.sentence(cue.span.start).start;
    let from = if note.text(cue.span.end) == "it" { 0 } else { note.clause(cue.span.start.saturating_sub(1)).start };
    let before = from.max(sentence)..cue.span.start;
    // The cue may hold the word itself: "couldn't get behind it".
    let within = cue.span.start..object(note, cue).end;
    [within, before].into_iter().find_map(|range| {
        let cues = note.side_in(&range);
        let place = cues.iter().find(|m| m.is(note.lexicon, Role::OutOfView) || m.is(note.lexicon, Role::FarEnd))?;
        let apart = |m: &Mention| m.span.end <= place.span.start || m.span.start >= place.span.end;
        let beside =
            matches!(note.text(place.span.end), "wall" | "corner" | "room" | "porch" | "yard" | "door" | "hall");
        if beside || note.mentions_in(&range).iter().any(|m| apart(m) && own(m).is_some()) {
            return None;
        }
        if place.is(note.lexicon, Role::OutOfView) {
            return Some(("casing".to_owned(), place.span.clone()));
        }
        pipe_before(note, place.span.start).map(|component| (component, place.span.clone()))
    })
}

/// The part of the sentence before that "the bottom one", "the other" means.
fn meant_by_one(note: &Note, cue: &Mention, sentence: &Range<usize>) -> Option<(String, Range<usize>)> {
    let near = sentence.start.max(cue.span.start.saturating_sub(4))..cue.span.start;
    let small = |at: usize| (at + 1..cue.span.start).all(|at| SMALL.contains(&note.text(at)));
    let one = near.rev().find(|at| matches!(note.text(*at), "one" | "ones" | "other") && small(*at))?;
    let number = note.sentence_of(sentence.start).checked_sub(1)?;
    let before = note.mentions_in(&note.segments.sentences[number]);
    let strong = before.iter().find(|m| part_of(m).is_some_and(|(_, quality)| quality != Match::Weak))?;
    component_of(note, strong).map(|c| (heater_is_casing(c), one..one + 1))
}

/// The parts that a limit is about: those after it, or else the one before.
fn limited(note: &Note, cue: &Mention, sentence: &Range<usize>) -> Vec<(String, Range<usize>)> {
    let mut found: Vec<(String, Range<usize>)> = subjects(note, cue);
    // "Couldn't get a pressure": the words themselves name what was not taken.
    let from = note.inner.partition_point(|(span, _)| span.start < cue.span.start);
    let within = note.inner[from..].iter().take_while(|(span, _)| span.start < cue.span.end);
    let named = within.filter(|(span, _)| span.end <= cue.span.end).find_map(|(span, index)| {
        let component = note.lexicon.parts[*index].component.list().first()?;
        measured(note, component).then(|| (component.clone(), span.clone()))
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
    let holds = |m: &Mention| {
        part_of(m).is_some_and(|(index, quality)| quality != Match::Weak || reach::weak_holds(note, m, index))
    };
    let mut last = cue.span.end;
    let after = if found.is_empty() { cue.span.end..sentence.end } else { 0..0 };
    let own = object(note, cue);
    let vague = |at: usize| {
        SMALL.contains(&note.text(at)) || note.is_preposition(at) || matches!(note.text(at), "it" | "them" | "a")
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
            let bare = || note.tokens[last..mention.span.start].iter().all(|t| LISTING.contains(&t.text.as_str()));
            note.only_list_words(last..mention.span.start)
                || (note.tokens[last - 1].stop == Stop::Comma
                    && mention.span.start <= last + 3
                    && bare()
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
        // "The seller says it was serviced, which I can't verify": what is only told of is nothing to see.
        let told = |m: &&Mention| !matches!(note.scopes.of(m.span.clone()), Polarity::Hearsay | Polarity::Hypothetical);
        found.extend(meant.filter(told).and_then(|m| {
            let (index, _) = part_of(m)?;
            Some((note.lexicon.parts[index].component.list().first()?.clone(), m.span.clone()))
        }));
    }
    found.into_iter().map(|(component, part)| (heater_is_casing(component), part)).collect()
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
fn surrounds(note: &Note, mention: &Mention) -> bool {
    part_of(mention)
        .is_some_and(|(index, _)| note.lexicon.parts[index].component.list().first().is_some_and(|c| c == "surround"))
}

/// The parts that stand before the words as what they are said of: "The inlet and the outlet weren't visible."
fn subjects(note: &Note, cue: &Mention) -> Vec<(String, Range<usize>)> {
    let clause = note.clause(cue.span.start);
    let speaker = |t: &super::token::Token| matches!(t.text.as_str(), "i" | "we" | "you" | "i'm" | "we're");
    if note.tokens[clause.start..cue.span.end].iter().any(speaker) {
        return Vec::new();
    }
    let mut found: Vec<(String, Range<usize>)> = Vec::new();
    for mention in note.mentions_in(&(clause.start..cue.span.start)).iter().rev() {
        let Some((index, _)) = part_of(mention).filter(|(_, quality)| *quality != Match::Weak) else {
            continue;
        };
        if found.last().is_some_and(|(_, next)| !note.only_list_words(mention.span.end..next.start)) {
            break;
        }
        found.extend(note.lexicon.parts[index].component.list().first().map(|c| (c.clone(), mention.span.clone())));
    }
    found
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
        let states = |m: &Mention| m.terms.iter().any(|(term, _)| matches!(term, TermRef::Saying(_)));
        let only = near.len() <= BESIDE && !note.mentions_in(near).iter().any(states);
        only.then(|| words(note, &note.clause(at.start)))
    })
}

/// A sentence that gives but the reason for the one beside it is no longer.
const BESIDE: usize = 14;

/// Whether words of not seeing could mean that there was nothing to see.
fn seeks(note: &Note, cue: &Range<usize>) -> bool {
    const SEEING: [&str; 13] = [
        "see", "find", "seen", "view", "visible", "found", "observed", "observe", "located", "read", "get", "look",
        "viewed",
    ];
    note.tokens[cue.clone()].iter().any(|t| SEEING.contains(&t.text.as_str()))
}

fn words(note: &Note, span: &Range<usize>) -> String {
    let words: Vec<&str> = note.tokens[span.clone()].iter().map(|t| t.text.as_str()).collect();
    words.join(" ").replace(" 's", "'s")
}
