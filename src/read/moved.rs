//! "Moderate rust on the hot side, correction, that's the cold side": what was said stands, but of another part.
use super::amend::corrections_in;
use super::claim::Claim;
use super::mention::Mention;
use super::note::{Note, strong_part};
use crate::lexicon::WordClass;
use std::ops::Range;

/// Gives what was said of one part to the other that a correction names instead.
pub fn parts(note: &Note, claims: &mut [Claim]) {
    for mention in note.mentions.iter().filter(|m| strong_part(m).is_some()) {
        let Some(component) = note.components(mention).first() else { continue };
        let Some(turn) = turn_before(note, mention).filter(|_| says_nothing_else(note, mention)) else { continue };
        // In order by where they begin, as those that follow are.
        let until = claims.partition_point(|c| c.at.start < turn.start);
        let Some(last) = claims[..until].iter().rposition(|c| c.at.end <= turn.start) else { continue };
        let sentence = note.sentence(claims[last].at.start);
        if note.sentence_of(turn.start) - note.sentence_of(sentence.start) > 1 {
            continue;
        }
        let told = claims[..=last].iter_mut().rev().take_while(|c| c.at.start >= sentence.start);
        for claim in told.filter(|c| c.at.end <= turn.start) {
            let value = claim.value.as_text();
            let one_of_two = claim.part.is_some() && is_pair(&claim.component, component);
            if one_of_two && note.lexicon.supports(component, &claim.attribute, value) {
                claim.component.clone_from(component);
                claim.part = Some(mention.span.clone());
            }
        }
    }
}

/// Parts that are taken for each other: only of these is a name alone a correction.
const PAIRS: [(&str, &str); 2] = [("inlet", "outlet"), ("casing", "drain-pan")];

fn is_pair(one: &str, other: &str) -> bool {
    PAIRS.iter().any(|(a, b)| (one, other) == (*a, *b) || (one, other) == (*b, *a))
}

/// The words right before a part that take back what was said: "correction, that's the", "no, sorry, the".
fn turn_before(note: &Note, part: &Mention) -> Option<Range<usize>> {
    let from = part.span.start.saturating_sub(TURN);
    let small = |at: usize| {
        note.is(at, WordClass::Determiner)
            || note.is(at, WordClass::Turning)
            || matches!(
                note.text(at),
                "'s" | "it" | "that" | "is" | "was" | "i" | "make" | "say" | "should" | "on" | "at"
            )
    };
    let begins = (from..part.span.start).rev().take_while(|at| small(*at)).last()?;
    let turn = begins..part.span.start;
    let turns = note.is(begins, WordClass::Turning) || corrections_in(note, &turn).next().is_some();
    turns.then_some(turn)
}

/// Words between what was said and the part that it was meant of.
const TURN: usize = 7;

/// Whether the part is named and nothing is said of it in its clause.
fn says_nothing_else(note: &Note, part: &Mention) -> bool {
    let clause = note.clause(part.span.start);
    clause.end <= part.span.end + 1 && !note.mentions_in(&(part.span.start..clause.end)).iter().any(Mention::is_saying)
}
