use super::cue::Cues;
use super::word::lexemes;
use super::*;
use proptest::prelude::*;
use std::time::{Duration, Instant};

fn tokens(text: &str) -> Vec<Token> {
    tokenize(&Transcript::from_text(text))
}

/// What is wrong with how an example is read, if anything is.
fn wrong(example: &Example) -> Option<String> {
    let found = polarity(&example.sentence, example.span.clone());
    let concept = &example.sentence[example.span.clone()];
    (found != example.expected).then(|| format!("{found} not {}: {} [{concept}]", example.expected, example.sentence))
}

#[test]
fn every_example_of_the_cue_file_is_meant_as_it_says() {
    let mut examples = Vec::new();
    for cue in &cues().list {
        examples.extend(cue.examples().unwrap());
    }
    for (name, list) in &cues().examples {
        let Some(expected) = Polarity::named(name) else { continue };
        examples.extend(list.iter().map(|text| Example::parse(text, expected).unwrap()));
    }
    let wrong: Vec<String> = examples.iter().filter_map(wrong).collect();
    assert!(wrong.is_empty(), "{} of {} wrong:\n{}", wrong.len(), examples.len(), wrong.join("\n"));
    assert!(examples.len() >= 800, "only {} examples", examples.len());
}

#[test]
fn stories_and_other_appliances_are_told_of_elsewhere_and_places_are_not() {
    for (name, expected) in [("elsewhere", true), ("here", false)] {
        for text in &cues().examples[name] {
            let example = Example::parse(text, Polarity::Affirmed).unwrap();
            let tokens = tokens(&example.sentence);
            let span = token_span(&example.sentence, example.span, tokens.len());
            assert_eq!(analyse(&tokens).elsewhere(span), expected, "{text}");
        }
    }
}

#[test]
fn a_story_goes_on_while_it_leans_back_in_the_past() {
    let text = "Last week I saw one let go. It flooded the hall. It has a pan.";
    let scopes = analyse(&tokens(text));
    let elsewhere: Vec<bool> = [5, 9, 13].into_iter().map(|at| scopes.elsewhere(at..at + 1)).collect();
    assert_eq!(elsewhere, [true, true, false], "let, hall, pan, by reading it");
}

#[test]
fn a_known_miss_is_taken_off_the_list_once_it_comes_right() {
    for text in &cues().examples["miss"] {
        let example = Example::parse(text, Polarity::Affirmed).unwrap();
        assert!(wrong(&example).is_some(), "'{text}' comes right now: move it to its list");
    }
}

#[test]
fn the_cue_file_is_well_formed() {
    let groups = ["elsewhere", "here", "miss"];
    for name in cues().examples.keys() {
        assert!(Polarity::named(name).is_some() || groups.contains(&name.as_str()), "no examples are called '{name}'");
    }
    let unknown = Cues::parse("cue = []\n[examples]\n[class]\nverbs = \"be\"\n").unwrap_err();
    assert!(unknown.to_string().contains("no word class 'verbs'"), "{unknown}");
}

#[test]
fn brackets_in_a_cue_stand_for_each_of_their_parts() {
    let cues =
        Cues::parse("[class]\n[examples]\n[[cue]]\nkind = \"negated\"\nsays = [\"(a|b (c|)) leak(s|ing)\"]\n").unwrap();
    let found = |text: &str| {
        let hit = cues.find(&lexemes(&tokens(text), &cues.vocabulary))[0];
        hit.map(|hit| hit.len)
    };
    // Worked out by hand.
    for (text, len) in [("a leaks", 2), ("a leaking", 2), ("b c leaks", 3), ("b leaking", 2), ("b leaks so", 2)] {
        assert_eq!(found(text), Some(len), "{text}");
    }
    for text in ["c leaks", "a leak", "a c leaks", "b"] {
        assert_eq!(found(text), None, "{text}");
    }
}

#[test]
fn hedged_words_are_facts_and_the_words_around_them_are_not_hedged() {
    let text = "Looks like a forty gallon, maybe a Dunmore. The pan is dry, about four inches deep.";
    let scopes = analyse(&tokens(text));
    let hedged: Vec<bool> = (0..16).map(|at| scopes.hedged(at..at + 1)).collect();
    let expected = [
        [true; 4].as_slice(), // looks like a forty
        &[true; 4],           // gallon maybe a dunmore
        &[false; 4],          // the pan is dry
        &[true; 3],           // about four inches
        &[false],             // deep
    ];
    assert_eq!(hedged, expected.concat(), "by reading it");
    assert_eq!(scopes.of(3..5), Polarity::Affirmed);
}

#[test]
fn the_words_of_each_negation_are_named() {
    let scopes = analyse(&tokens("No leaks. I couldn't find a pan, and the straps are missing."));
    assert_eq!(scopes.negators(), [0..1, 3..6, 11..12], "no, couldn't find a, missing");
}

#[test]
fn named_things_end_a_negation_where_punctuation_does_not() {
    let text = "no thermowell humidistat good";
    let scopes = analyse(&tokens(text));
    assert_eq!(scopes.of(2..3), Polarity::Negated, "two unknown words are one thing");
    let scopes = analyse_terms(&tokens(text), &[1..2, 2..3]);
    assert_eq!(scopes.of(1..2), Polarity::Negated);
    assert_eq!(scopes.of(2..3), Polarity::Affirmed, "the caller knows them for two");
}

#[test]
fn a_pause_ends_a_negation_where_punctuation_does_not() {
    let scopes = analyse(&tokens("no thermowell [pause 1.2] humidistat good"));
    assert_eq!(scopes.of(1..2), Polarity::Negated);
    assert_eq!(scopes.of(2..3), Polarity::Affirmed);
}

#[test]
fn the_concept_in_capitals_is_meant_where_there_are_several() {
    let sentence = "the valve leaks, no other VALVE does";
    assert_eq!(locate("valve", sentence), Some(26..31), "by eye: the second");
    assert_eq!(locate("drip  leg", "no Drip\tLeg"), Some(3..11), "spaces are as good as tabs");
    assert_eq!(locate("pan", "an expanse, a pan"), Some(14..17), "a whole word before a part of one");
    assert_eq!(locate("", "no pan"), None);
}

#[test]
fn no_phrase_and_no_words_are_affirmed() {
    assert_eq!(analyse(&[]).of(0..0), Polarity::Affirmed);
    assert_eq!(analyse(&tokens("no pan")).of(5..9), Polarity::Affirmed);
    assert_eq!(polarity("", 0..3), Polarity::Affirmed);
    assert_eq!(polarity("é", 1..1), Polarity::Affirmed, "a span inside a letter");
}

/// The fastest of seven readings of a note made of `copies` copies of many cues.
fn fastest(copies: usize) -> Duration {
    let hard = "no no not without if it isn't there or no pan and no seller says they left the the the the cap off ";
    let tokens = tokens(&hard.repeat(copies));
    let time = |_| {
        let start = Instant::now();
        std::hint::black_box(analyse(&tokens));
        start.elapsed()
    };
    (0..7).map(time).min().unwrap_or_default()
}

#[test]
fn time_grows_with_the_length_of_the_note_and_no_faster() {
    let (short, long) = (fastest(25), fastest(250));
    // In proportion it is ten times as long, by the square a hundred; a busy machine hits the long run harder.
    assert!(long < short * 50, "ten times the words took {long:?} instead of {short:?}");
}

/// Words that make cues collide.
const WORDS: [&str; 48] = [
    "no", "not", "isn't", "don't", "never", "neither", "nor", "none", "nothing", "without", "free", "of", "missing",
    "gone", "if", "would", "should", "code", "says", "seller", "told", "is", "there", "it", "they", "left", "off",
    "the", "a", "any", "pan", "leak", "leaks", "drip", "leg", "valve", "and", "or", "but", "on", "at", "one", "yes",
    "unsure", "can't", "tell", "p", "twenty",
];

proptest! {
    #[test]
    fn any_text_is_read_without_panic(text in ".{0,200}", from in 0usize..250, len in 0usize..60) {
        polarity(&text, from..from + len);
        locate(&text, &text);
    }

    #[test]
    fn any_order_of_cues_is_read_and_each_negator_lies_in_the_note(
        words in proptest::collection::vec((0usize..WORDS.len(), 0usize..8), 0..120),
    ) {
        let marks = ["", "", "", "", ",", ".", "?", " [pause 1.0]"];
        let text: Vec<String> = words.iter().map(|(word, mark)| format!("{}{}", WORDS[*word], marks[*mark])).collect();
        let tokens = tokens(&text.join(" "));
        let scopes = analyse_terms(&tokens, &[0..1, 3..4, 4..5]);
        for negator in scopes.negators() {
            prop_assert!(negator.start < negator.end && negator.end <= tokens.len());
        }
        for at in 0..tokens.len() {
            scopes.of(at..at + 1);
        }
    }
}
