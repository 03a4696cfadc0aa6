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

/// `component.attribute = value` of each fact, with its heater's number from the second on.
pub fn told(text: &str) -> Vec<String> {
    let facts = read::facts(&Transcript::from_text(text), &LEXICON, "note.txt").facts;
    let item = |item: u32| if item > 1 { format!(" #{item}") } else { String::new() };
    facts.iter().map(|f| format!("{} = {}{}", f.key(), f.value, item(f.item))).collect()
}

/// Whether a text tells all of these facts and none of those. What each says was worked out by hand.
pub fn tells(text: &str, wanted: &[&str], unwanted: &[&str]) {
    let told = told(text);
    for fact in wanted {
        assert!(told.iter().any(|t| t == fact), "{text}: {fact} is not in {told:?}");
    }
    for fact in unwanted {
        assert!(!told.iter().any(|t| t.starts_with(fact)), "{text}: {fact} is in {told:?}");
    }
}

#[test]
fn a_room_and_a_fuel_behind_the_other_one_begin_the_next_heater_and_a_room_alone_does_not() {
    let first = "Garage. Natural gas, fifty gallon. No pan. ";
    let next = ["water-heater.capacity = 30 #2", "water-heater.energy = electric #2", "water-heater.capacity = 50"];
    tells(&format!("{first}The other one's up in the attic. Electric, thirty gallon."), &next, &[]);
    tells(&format!("{first}The other fella's tiny. Barn, electric, thirty gallon."), &next, &[]);
    let shutoff = "One shutoff is here, the other one's in the attic, and both are dry.";
    assert!(told(&format!("{first}{shutoff}")).iter().all(|fact| !fact.ends_with("#2")));
}

#[test]
fn what_is_said_of_both_heaters_is_kept_of_each() {
    let text = "Basement. Gas, forty gallon. Next heater. Attic, gas, thirty gallon. Both heaters are on well water.";
    tells(text, &["water-system.source = well", "water-system.source = well #2"], &[]);
}

#[test]
fn a_number_takes_the_place_of_one_before_though_the_reason_stands_between() {
    let text = "The burner is twelve inches above the floor. No, I was on the wrong mark. Twenty inches.";
    tells(text, &["ignition.height = 20"], &["ignition.height = 12"]);
}

#[test]
fn a_month_before_a_year_leaves_the_year() {
    for text in ["Made six of twenty fourteen, forty gallon.", "Forty gallon. September of twenty fourteen."] {
        tells(text, &["water-heater.made-year = 2014"], &["water-heater.made-year = 2006"]);
    }
}

#[test]
fn a_pressure_keeps_a_place_that_no_list_names() {
    for text in [
        "City water, sixty pounds at the churn with all taps shut.",
        "City water, the gauge at the churn reads sixty pounds.",
    ] {
        assert!(told(text).iter().any(|fact| fact.starts_with("water-system.pressure-place = churn")), "{text}");
    }
}

#[test]
fn a_question_that_only_points_tells_what_it_points_at() {
    tells("The relief valve is dripping, see that?", &["relief-valve.leak = active"], &[]);
    tells("Is the relief valve dripping?", &[], &["relief-valve.leak"]);
}

#[test]
fn a_wish_with_its_hindrance_is_a_limit_and_one_without_is_none() {
    let limits = |text: &str| {
        let limits = read::facts(&Transcript::from_text(text), &LEXICON, "note.txt").limits;
        limits.into_iter().map(|limit| limit.component).collect::<Vec<_>>()
    };
    assert_eq!(limits("I wanted to read the breaker, but the panel is nailed shut."), ["breaker"]);
    assert_eq!(limits("Whether it's got a drain pan I can't see, the skirt comes down to the floor."), ["drain-pan"]);
    assert_eq!(limits("I wanted to read the breaker, and it's a thirty."), [""; 0]);
    assert_eq!(limits("There's a post in front of it, so the car can't reach it."), [""; 0]);
}

#[test]
fn another_heading_begins_another_heater_though_no_word_says_so() {
    let first = "Cellar. Gas, forty gallon, a Lowick, made in twenty ten. The drain pan is dry, the burner cover is on, and \
                 the flame is blue. Relief valve is present, no leaks on the jacket, no rust on it either. City water. ";
    let second =
        "Now I'm out in the barn. This one is electric, thirty gallon, made by Penbury in twenty nineteen. No pan.";
    let wanted = ["water-heater.capacity = 40", "water-heater.capacity = 30 #2", "drain-pan.presence = absent #2"];
    tells(&format!("{first}{second}"), &wanted, &["water-heater.capacity = 40 #2"]);
    // The same told again is the same heater.
    let again = "As I said, gas, forty gallon, a Lowick, made in twenty ten.";
    assert!(told(&format!("{first}{again}")).iter().all(|fact| !fact.ends_with("#2")));
}

#[test]
fn the_next_heater_comes_only_after_something_was_told_of_the_one_before() {
    let text = "There are two water heaters here. New heater. Electric, thirty gallon. Next unit. Gas, forty gallon.";
    tells(text, &["water-heater.capacity = 30", "water-heater.capacity = 40 #2"], &["water-heater.capacity = 40 #3"]);
}
