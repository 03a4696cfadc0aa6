use super::*;
use crate::read::scope::cue::Cues;

#[test]
fn every_example_of_the_cue_file_is_meant_as_it_says() {
    let mut wrong = Vec::new();
    let mut count = 0;
    for cue in &cues().list {
        for example in cue.examples().unwrap() {
            count += 1;
            let found = polarity(&example.sentence, example.span.clone());
            if found != example.expected {
                wrong.push(format!(
                    "{found} not {}: {} [{}]",
                    example.expected, example.sentence, &example.sentence[example.span]
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{} of {count} wrong:\n{}", wrong.len(), wrong.join("\n"));
    assert!(count >= 300, "only {count} examples");
}

#[test]
fn the_cue_file_is_well_formed() {
    assert!(Cues::parse(include_str!("../../../lexicon/scope.toml")).is_ok());
    let unknown = Cues::parse("[class]\nverbs = \"be\"\n").unwrap_err();
    assert!(unknown.to_string().contains("cue") || unknown.to_string().contains("verbs"));
}

#[test]
fn the_concept_in_capitals_is_meant_where_there_are_several() {
    let sentence = "the valve leaks, no other VALVE does";
    assert_eq!(locate("valve", sentence), Some(26..31), "by eye: the second");
    assert_eq!(locate("drip  leg", "no Drip\tLeg"), Some(3..11), "spaces are as good as tabs");
    assert_eq!(locate("pan", "an expanse, a pan"), Some(14..17), "a whole word before a part of one");
    assert_eq!(locate("", "no pan"), None);
}
