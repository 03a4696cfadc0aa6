//! Model and serial numbers, spelled out or written.
use crate::lexicon::{Role, number_word};
use crate::read::amend::corrections_in;
use crate::read::claim::Claim;
use crate::read::note::Note;
use crate::read::number;
use crate::read::token::Token;
use crate::record::Value;
use std::ops::Range;

/// All of a note.
pub fn claims(note: &Note) -> Vec<Claim> {
    let mut claims: Vec<Claim> = Vec::new();
    for (role, attribute) in [(Role::Model, "model"), (Role::Serial, "serial")] {
        for cue in note.cues(role) {
            let from = cue.span.end;
            let until = from + 6;
            let written =
                spelled(note, cue.span.start).into_iter().find(|(span, _)| (from..until).contains(&span.start));
            let Some((span, text)) = written.or_else(|| written_code(note, from, until)) else { continue };
            if !note.observed(&span) {
                continue;
            }
            let corrected = corrected(note, &span);
            let again = corrected.clone().and_then(|rest| told_again(note, cue.span.start, rest, &text));
            // Corrected in part: the whole is for a person to put together.
            let unsure = corrected.is_some() && again.is_none();
            let (span, text) = again.map_or((span.clone(), text), |(last, text)| (span.start..last.end, text));
            let mut claim =
                Claim::new("water-heater", attribute, Value::Text(text.to_uppercase()), span.clone(), attribute);
            claim.part = Some(cue.span.clone());
            claim.signs.word = note.surety(&span);
            claim.signs.number = true;
            claim.signs.hedged = unsure;
            if unsure {
                claim.signs.certainty = IN_PART;
            }
            claims.push(claim);
        }
    }
    claims
}

/// How certain a code is of which a part was corrected.
const IN_PART: f64 = 0.3;

/// What follows a correction right behind a code, up to the end of the sentence after.
fn corrected(note: &Note, code: &Range<usize>) -> Option<Range<usize>> {
    let correction = corrections_in(note, &(code.end..code.end + AT_ONCE)).next()?;
    let sentence = note.sentence_of(correction.span.start);
    let end = note.segments.sentences.get(sentence + 1).or(note.segments.sentences.get(sentence))?.end;
    let start = correction.span.end;
    number_begins(note, start).then_some(start..end.min(start + LONGEST))
}

/// A correction of a code comes at once.
const AT_ONCE: usize = 4;

/// Whether a sign of a code is told right here: "sorry, one nine on the end".
fn number_begins(note: &Note, at: usize) -> bool {
    (at..at + 3).any(|at| note.text(at).len() == 1 || number_word::counts(note.text(at)))
}

/// The same code told over: "sorry, one nine on the end. So zero seven double three N one nine."
fn told_again(note: &Note, cue: usize, rest: Range<usize>, text: &str) -> Option<(Range<usize>, String)> {
    let alike = |other: &str| {
        let same = text.chars().zip(other.chars()).filter(|(a, b)| a == b).count();
        other.len().abs_diff(text.len()) <= 1 && same * 3 >= text.len() * 2
    };
    rest.clone().find_map(|from| {
        // As if it were announced again.
        let tokens: Vec<Token> =
            note.tokens[cue..cue + 1].iter().chain(&note.tokens[from..rest.end]).cloned().collect();
        let run = number::spelled(&tokens).into_iter().find(|run| run.span.start == 1)?;
        (alike(&run.text) && run.text.len() >= 4).then(|| (from..from + run.span.len(), run.text))
    })
}

/// No code is longer than this, with the words that lead to it.
const LONGEST: usize = 48;

/// The spelled runs right behind a token: a long note is not looked through for each.
fn spelled(note: &Note, from: usize) -> Vec<(Range<usize>, String)> {
    let near = &note.tokens[from..note.tokens.len().min(from + LONGEST)];
    number::spelled(near).into_iter().map(|s| (s.span.start + from..s.span.end + from, s.text)).collect()
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
