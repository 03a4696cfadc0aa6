use super::*;
use crate::record::{Command, Limit, Photo, Value};
use crate::score::{Figures, list};

fn evidence(from: usize, to: usize) -> Evidence {
    Evidence { note: "one".into(), span: [from, to], rule: "hand".into(), ..Evidence::default() }
}

fn fact(component: &str, attribute: &str, value: Value, confidence: f64, span: [usize; 2]) -> Fact {
    let mut fact = Fact::new(component, attribute, value);
    fact.confidence = confidence;
    fact.evidence = vec![evidence(span[0], span[1])];
    fact
}

fn word(text: &str) -> Value {
    Value::Text(text.into())
}

/// Three labelled facts, one limit, one photo, two concerns, one open question.
fn dictation() -> Dictation {
    let text = r#"{"spoken": "Electric, fifty gallon. Pan is dry. Made twenty nineteen. Couldn't see the inlet. Photo of the pan.",
        "facts": [{"component": "water-heater", "attribute": "energy", "value": "electric"},
                  {"component": "water-heater", "attribute": "capacity", "value": 50, "unit": "gal"},
                  {"component": "water-heater", "attribute": "made-year", "value": 2019}],
        "limits": [{"component": "inlet", "why": "shelving"}], "photos": [{"of": "drain-pan"}],
        "concerns": ["pan-missing", "pressure-high"], "open": ["vent.material"]}"#;
    let mut dictation: Dictation = serde_json::from_str(text).unwrap();
    dictation.name = "one".into();
    dictation
}

/// Energy right, capacity wrong and sure, year missing, pan state extra and unsure.
fn record() -> Record {
    Record {
        facts: vec![
            fact("water-heater", "energy", word("electric"), 0.95, [0, 1]),
            fact("water-heater", "capacity", Value::Number(15.0), 0.92, [1, 3]),
            fact("drain-pan", "state", word("dry"), 0.5, [3, 6]),
        ],
        limits: vec![Limit { component: "inlet".into(), why: String::new(), item: 1, evidence: vec![evidence(9, 13)] }],
        photos: vec![Photo { of: "drain-pan".into(), item: 2, evidence: vec![evidence(13, 17)] }],
        commands: vec![Command { kind: "end-of-note".into(), undone: false, evidence: vec![] }],
        remarks: vec!["Made".into()],
        remark_evidence: vec![evidence(6, 7)],
        ..Record::default()
    }
}

fn outcome() -> Outcome {
    let dictation = dictation();
    let transcript = Transcript::from_text(&dictation.spoken);
    compare(&dictation, &transcript, &record(), &Catalogue::shipped())
}

#[test]
fn facts_are_counted_as_right_given_and_wanted() {
    // One of three stated is right and one of three labelled is stated.
    let facts = outcome().facts();
    assert_eq!(facts, Tally { right: 1, given: 3, wanted: 3 });
    assert!((facts.f1() - 1.0 / 3.0).abs() < 1e-9);
}

#[test]
fn a_photo_of_another_heater_is_another_photo() {
    assert_eq!(outcome().photos, Tally { right: 0, given: 1, wanted: 1 });
    assert_eq!(outcome().limits, Tally { right: 1, given: 1, wanted: 1 });
}

#[test]
fn words_that_nothing_is_drawn_from_are_lost() {
    // Words 7 and 8, "twenty nineteen.", are in no span above.
    assert_eq!(outcome().lost, ["twenty", "nineteen."]);
}

#[test]
fn the_figures_hold_wrong_numbers_and_what_was_wrong_though_sure() {
    let figures = Figures::of(&[outcome()]);
    // Sure are energy (0.95) and capacity (0.92); of them the capacity is wrong, a number with another label.
    assert_eq!((figures.sure.stated, figures.sure.wrong, figures.sure.wrong_readings), (2, 1, 1));
    assert_eq!((figures.readings.given, figures.readings.wrong, figures.readings.invented), (1, 1, 0));
    assert_eq!(figures.words_lost, 2);
    // Bins: 0.9 to 1.0 holds 0.95 right and 0.92 wrong: |0.935 - 0.5| * 2/3; 0.5 to 0.6 holds 0.5 wrong: 0.5 * 1/3.
    let expected = 0.435 * 2.0 / 3.0 + 0.5 / 3.0;
    assert!((figures.reliability.calibration_error - expected).abs() < 1e-9);
    assert_eq!(figures.by_attribute["water-heater.made-year"], Tally { right: 0, given: 0, wanted: 1 });
}

#[test]
fn the_list_names_each_difference_with_its_sentence() {
    let expected = "\
~ one water-heater.capacity = 15, wanted 50  [0.92 hand] \"Electric, fifty gallon.\"
+ one drain-pan.state = dry  [0.50 hand] \"Pan is dry.\"
- one water-heater.made-year = 2019
- one photo drain-pan
+ one photo drain-pan #2
- one concern pan-missing
- one concern pressure-high
- one open vent.material
! one words lost: twenty nineteen.
";
    assert_eq!(list(&[outcome()]), expected);
}

#[test]
fn a_fact_in_a_dictation_that_holds_none_is_invented() {
    let mut dictation = dictation();
    dictation.facts.clear();
    let transcript = Transcript::from_text(&dictation.spoken);
    let outcome = compare(&dictation, &transcript, &record(), &Catalogue::shipped());
    assert_eq!(Figures::of(&[outcome]).invented_in_empty, 3, "all three stated");
}
