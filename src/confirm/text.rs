//! Facts as lines for a terminal: plain characters, no colour, nothing spoken or named can act.
use super::is_doubtful;
use crate::recognize::{Transcript, Word};
use crate::record::{Evidence, Fact, FactName, Spoken, State};
use std::collections::BTreeMap;

/// A word heard with less than this is marked.
const UNSURE_WORD: f32 = 0.6;

/// How many words before and after a proof are shown with it.
const NEIGHBOURS: usize = 6;

/// The text without characters that could move the cursor, turn the writing round or break the line.
pub fn clean(text: &str) -> String {
    let acts = |c: char| {
        c.is_control()
            || matches!(c, '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
            || matches!(c, '\u{feff}' | '\u{fffe}'..='\u{ffff}')
    };
    text.chars().map(|c| if acts(c) { '\u{fffd}' } else { c }).collect()
}

/// `50 gal`, `none-seen`.
pub fn value(fact: &Fact) -> String {
    let unit = fact.unit.as_ref().map(|u| format!(" {u}")).unwrap_or_default();
    clean(&format!("{}{unit}", fact.value))
}

/// One line: the name, the value, how it stands.
pub fn line(fact: &Fact) -> String {
    format!("{:<34} {:<20} {}", clean(&FactName::of(fact).to_string()), value(fact), standing(fact))
}

/// How far a fact has come, in words.
pub fn standing(fact: &Fact) -> String {
    let disputed = if fact.disputed { ", disputed" } else { "" };
    match fact.state {
        State::Heard if is_doubtful(fact) => format!("heard, doubtful ({:.2}){disputed}", fact.confidence),
        State::Heard => format!("heard ({:.2})", fact.confidence),
        State::Confirmed => format!("confirmed{disputed}"),
        State::Amended => format!("amended{disputed}"),
        State::Rejected => "rejected".to_owned(),
        State::Entered => format!("entered{disputed}"),
    }
}

/// `garage.wav 1:23.4 to 1:26.0`, or the note alone for typed text.
pub fn place_in_note(proof: &Evidence) -> String {
    match (proof.start_ms, proof.end_ms) {
        (Some(start), Some(end)) => format!("{} {} to {}", clean(&proof.note), clock(start), clock(end)),
        _ => clean(&proof.note),
    }
}

/// Minutes, seconds and tenths.
pub fn clock(ms: u64) -> String {
    format!("{}:{:02}.{}", ms / 60_000, ms / 1000 % 60, ms / 100 % 10)
}

/// Everything that a person should see of one fact before answering.
pub fn detail(fact: &Fact, transcripts: &BTreeMap<String, Transcript>) -> Vec<String> {
    let mut lines = vec![format!("stands  {}", standing(fact))];
    lines.extend(fact.range.map(|[low, high]| format!("range   {low} to {high}")));
    let unit = |s: &Spoken| s.unit.as_ref().map(|u| format!(" {u}")).unwrap_or_default();
    lines.extend(fact.spoken.as_ref().map(|s| clean(&format!("spoken  {}{}", s.number, unit(s)))));
    for proof in &fact.evidence {
        lines.push(format!("heard   {}", around(proof, transcripts.get(&proof.note))));
        lines.push(format!("note    {}", place_in_note(proof)));
    }
    lines.extend(fact.doubts.iter().map(|d| format!("doubt   {}", clean(d))));
    lines
}

/// Another statement on the same question, as a numbered choice.
pub fn rival(number: usize, rival: &Fact) -> String {
    let words: Vec<String> = rival.evidence.iter().map(|e| format!("\"{}\"", clean(&e.words))).collect();
    format!("or {number}    {}: {}", value(rival), words.join(" and "))
}

/// The words of a proof with their neighbours: `... inlet is dry. | static [pressure?] 61 | at the hose bib ...`
fn around(proof: &Evidence, transcript: Option<&Transcript>) -> String {
    let words_of_proof = words(proof, transcript);
    let Some(all) = transcript.map(|t| &t.words).filter(|all| proof.span[1] <= all.len()) else {
        return format!("| {words_of_proof} |");
    };
    let (start, end) = (proof.span[0].saturating_sub(NEIGHBOURS), (proof.span[1] + NEIGHBOURS).min(all.len()));
    let text = |words: &[Word]| words.iter().map(|w| w.text.trim()).collect::<Vec<_>>().join(" ");
    let before = text(all.get(start..proof.span[0]).unwrap_or_default());
    let after = text(&all[proof.span[1]..end]);
    let (more, rest) = (if start > 0 { "... " } else { "" }, if end < all.len() { " ..." } else { "" });
    clean(format!("{more}{before} | {words_of_proof} | {after}{rest}").trim())
}

/// The words of a proof with the unsure ones marked: `static [pressure?] 61`.
pub fn words(proof: &Evidence, transcript: Option<&Transcript>) -> String {
    let heard = transcript.and_then(|t| t.words.get(proof.span[0]..proof.span[1])).filter(|w| !w.is_empty());
    let Some(heard) = heard else { return clean(&proof.words) };
    let marked: Vec<String> = heard
        .iter()
        .map(|w| if w.probability < UNSURE_WORD { format!("[{}?]", w.text.trim()) } else { w.text.trim().to_owned() })
        .collect();
    clean(&marked.join(" "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Value;

    #[test]
    fn what_is_spoken_or_named_cannot_act_on_the_terminal() {
        assert_eq!(clean("a\u{1b}[2Jb\r\nc\u{202e}d\u{200b}"), "a\u{fffd}[2Jb\u{fffd}\u{fffd}c\u{fffd}d\u{fffd}");
        let fact = Fact::new("water-heater", "brand", Value::Text("Hal\u{7}vorsen".into()));
        assert!(!line(&fact).chars().any(char::is_control));
    }

    #[test]
    fn unsure_words_are_marked_by_more_than_colour() {
        let mut transcript = Transcript::from_text("static pressure sixty one");
        transcript.words[2].probability = 0.3;
        let proof = Evidence { words: "pressure sixty one".into(), span: [1, 4], ..Evidence::default() };
        assert_eq!(words(&proof, Some(&transcript)), "pressure [sixty?] one");
        assert_eq!(
            words(&Evidence { span: [3, 99], ..proof }, Some(&transcript)),
            "pressure sixty one",
            "a foreign span"
        );
    }

    #[test]
    fn times_are_minutes_seconds_and_tenths() {
        assert_eq!(clock(83_450), "1:23.4");
    }
}
