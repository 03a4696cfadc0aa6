//! What holds of any words that are read: no panic, every word accounted for, every proof inside the words it names.
use hearsheet::lexicon::Lexicon;
use hearsheet::read::{self, Reading};
use hearsheet::recognize::Transcript;
use hearsheet::record::Evidence;
use proptest::prelude::*;
use std::sync::LazyLock;

static LEXICON: LazyLock<Lexicon> = LazyLock::new(|| Lexicon::shipped().unwrap());

/// Every phrase that the lexicon's entries and the cue file show.
static PHRASES: LazyLock<Vec<String>> = LazyLock::new(|| {
    let entries = LEXICON.entries();
    let shown = entries.flat_map(|e| e.yes.iter().flat_map(|y| y.text.list().to_vec()).chain(e.no.to_vec()));
    let cues = read::scope::cues().list.iter().flat_map(|cue| cue.yes.iter().chain(&cue.no).cloned());
    shown.chain(cues.map(|text| text.replace(['[', ']'], ""))).collect()
});

/// Words of the lexicon's phrases, cut anywhere and put together with any stops and pauses.
fn scraps() -> impl Strategy<Value = String> {
    let scrap = (any::<prop::sample::Index>(), 0usize..6, 1usize..9, 0usize..8);
    prop::collection::vec(scrap, 0..24).prop_map(|scraps| {
        let mut text = String::new();
        for (phrase, from, count, stop) in scraps {
            let words = PHRASES[phrase.index(PHRASES.len())].split_whitespace().skip(from).take(count);
            text.push_str(&words.collect::<Vec<_>>().join(" "));
            text.push_str([" ", ", ", ". ", "? ", " [pause 2.0] ", "; ", " and ", " no "][stop]);
        }
        text
    })
}

fn proofs(reading: &Reading) -> Vec<&Evidence> {
    let mut proofs: Vec<&Evidence> = Vec::new();
    proofs.extend(reading.facts.iter().flat_map(|f| &f.evidence));
    proofs.extend(reading.limits.iter().flat_map(|l| &l.evidence));
    proofs.extend(reading.photos.iter().flat_map(|p| &p.evidence));
    proofs.extend(reading.commands.iter().flat_map(|c| &c.evidence));
    proofs.extend(reading.remarks.iter().map(|(_, evidence)| evidence));
    proofs
}

/// The words that an evidence names, as the transcript has them.
fn named(transcript: &Transcript, evidence: &Evidence) -> String {
    let words = &transcript.words[evidence.span[0]..evidence.span[1]];
    words.iter().map(|word| word.text.trim()).collect::<Vec<_>>().join(" ")
}

fn holds(text: &str) -> Result<(), TestCaseError> {
    let transcript = Transcript::from_text(text);
    let reading = read::facts(&transcript, &LEXICON, "note.txt");
    let mut told = vec![false; transcript.words.len()];
    for evidence in proofs(&reading) {
        let [from, to] = evidence.span;
        prop_assert!(from < to && to <= transcript.words.len(), "{evidence:?} of {} words", transcript.words.len());
        prop_assert_eq!(&evidence.words, &named(&transcript, evidence));
        told[from..to].fill(true);
    }
    // Fillers and lone marks say nothing.
    let silent = |text: &str| !text.chars().any(char::is_alphanumeric);
    let lost: Vec<&str> = transcript
        .words
        .iter()
        .zip(&told)
        .filter(|(w, told)| !**told && !silent(&w.text))
        .map(|(w, _)| &*w.text)
        .collect();
    prop_assert!(lost.is_empty(), "lost: {lost:?}");
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_accounted_for(text in "\\PC{0,200}") {
        holds(&text)?;
    }

    #[test]
    fn any_scraps_of_phrases_are_accounted_for(text in scraps()) {
        holds(&text)?;
    }
}

/// What is told of the sentences that made no fact.
fn reasons(text: &str) -> String {
    let transcript = Transcript::from_text(text);
    let reading = read::facts(&transcript, &LEXICON, "note.txt");
    let remarks: Vec<Evidence> = reading.remarks.into_iter().map(|(_, evidence)| evidence).collect();
    read::nearest::reasons(&transcript, &LEXICON, &remarks).concat().join("\n")
}

#[test]
fn a_sentence_that_made_no_fact_tells_what_was_nearest_and_what_it_lacked() {
    // The wording is our own: each sentence of a sort of its own, with the words that its reason has to hold.
    let cases = [
        ("If the relief valve leaked it would ruin the floor.", "\"relief valve\" is relief-valve: supposed"),
        ("The seller says the relief valve drips.", "told by somebody else"),
        ("The furnace is loud.", "\"furnace\" is another appliance"),
        ("Forty two.", "\"forty two\" has no unit"),
        ("Meet me at ten thirty.", "number of another sort: time"),
        ("Twelve gallons of paint.", "nearest to water-heater.capacity"),
        ("The reliaf is odd.", "\"reliaf\" is no known word: nearest is \"relief\""),
        ("The drain valve.", "\"drain valve\" is drain-valve: it is named, and nothing is said of it"),
        ("The neighbor's tank is rusty.", "told of another house, heater or time"),
        ("There is a pan, scratch that.", "drain-pan.presence = present: it was taken back"),
        ("I am not sure whether it leaks.", "could not tell"),
        ("It was raining.", "no word in it is known to state anything"),
    ];
    for (text, expected) in cases {
        let told = reasons(text);
        assert!(told.contains(expected), "{text}\nwanted: {expected}\ntold: {told}");
    }
}
