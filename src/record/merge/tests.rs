use super::*;
use crate::record::{Act, Command, Evidence, FactName, Stand, State, basis};

fn said(note: &str, at: usize, words: &str) -> Evidence {
    let span = [at, at + words.split(' ').count()];
    Evidence { note: note.into(), words: words.into(), span, rule: "test".into(), ..Evidence::default() }
}

fn number(note: &str, key: &str, value: f64) -> Fact {
    fact(note, key, Value::Number(value))
}

fn word(note: &str, key: &str, value: &str) -> Fact {
    fact(note, key, Value::Text(value.into()))
}

fn fact(note: &str, key: &str, value: Value) -> Fact {
    let (component, attribute) = key.split_once('.').unwrap();
    let evidence = vec![said(note, 0, &format!("{key} {value}"))];
    Fact { confidence: 0.9, evidence, ..Fact::new(component, attribute, value) }
}

fn note(name: &str, facts: Vec<Fact>) -> (String, Reading) {
    (name.into(), Reading { facts, ..Reading::default() })
}

/// A decision as the confirming makes it: with what was heard before them.
fn decide(readings: &[(String, Reading)], act: Act, name: &str, was: Option<Value>, is: Option<Value>) -> Decision {
    let name: FactName = name.parse().unwrap();
    let (heard, basis) = basis(&merge(readings.to_vec(), &[]).facts, &name);
    let stand = |value: Value, state| Stand { value, unit: None, state };
    let state = match act {
        Act::Confirm => State::Confirmed,
        Act::Amend => State::Amended,
        _ => State::Entered,
    };
    Decision {
        version: 1,
        number: 1,
        at: "2026-03-14T10:00:00Z".parse().unwrap(),
        by: "Ida Example".into(),
        act,
        fact: name,
        was: was.map(|v| stand(v, State::Heard)),
        is: is.map(|v| stand(v, state)),
        why: None,
        photo: None,
        undoes: None,
        heard,
        basis,
    }
}

fn states(record: &Record) -> Vec<(String, State, bool)> {
    record.facts.iter().map(|f| (f.value.to_string(), f.state, f.disputed)).collect()
}

#[test]
fn the_same_fact_in_two_notes_is_one_fact_with_two_proofs() {
    let record = merge(
        vec![
            note("a", vec![number("a", "water-heater.capacity", 50.0)]),
            note("b", vec![number("b", "water-heater.capacity", 50.2)]),
        ],
        &[],
    );
    assert_eq!(record.facts.len(), 1, "numbers within one percent are one reading");
    let notes: Vec<&str> = record.facts[0].evidence.iter().map(|e| e.note.as_str()).collect();
    assert_eq!(notes, ["a", "b"]);
    assert!(!record.facts[0].disputed);
}

#[test]
fn a_contradiction_keeps_both_and_is_never_sure() {
    let record = merge(
        vec![
            note("a", vec![word("a", "expansion-tank.presence", "absent")]),
            note("b", vec![word("b", "expansion-tank.presence", "present")]),
        ],
        &[],
    );
    assert_eq!(states(&record), [("absent".into(), State::Heard, true), ("present".into(), State::Heard, true)]);
    assert!(record.facts.iter().all(|f| f.confidence <= 0.5), "one of two rivals is wrong");
}

#[test]
fn readings_at_two_places_both_stand() {
    let at = |note: &str, value, place: &str| Fact {
        place: Some(place.into()),
        ..number(note, "water-system.static-pressure", value)
    };
    let record =
        merge(vec![note("a", vec![at("a", 68.0, "hose bib")]), note("b", vec![at("b", 74.0, "laundry")])], &[]);
    assert_eq!(record.facts.len(), 2);
    assert!(record.facts.iter().all(|f| !f.disputed));
}

#[test]
fn two_heaters_do_not_contradict_each_other() {
    let mut second = number("a", "water-heater.capacity", 40.0);
    second.item = 2;
    let record = merge(vec![note("a", vec![number("a", "water-heater.capacity", 50.0), second])], &[]);
    assert!(record.facts.iter().all(|f| !f.disputed));
}

#[test]
fn a_note_that_begins_with_a_correction_replaces_what_an_earlier_note_said() {
    let first = note("a", vec![number("a", "water-system.static-pressure", 71.0)]);
    let mut fact = number("b", "water-system.static-pressure", 61.0);
    fact.evidence[0].span = [1, 5];
    let command = Command { kind: "correction".into(), undone: false, evidence: vec![said("b", 0, "correction")] };
    let second = ("b".to_owned(), Reading { facts: vec![fact], commands: vec![command], ..Reading::default() });
    let record = merge(vec![first, second], &[]);
    assert_eq!(states(&record), [("61".into(), State::Heard, false)]);
    assert!(record.facts[0].evidence[1].rule.contains("taken back: 71"), "the words taken back stay visible");
}

#[test]
fn a_correction_of_the_same_note_does_not_reach_an_earlier_one() {
    let first = note("a", vec![number("a", "water-system.static-pressure", 71.0)]);
    let mut fact = number("b", "water-system.static-pressure", 61.0);
    fact.evidence[0].span = [10, 14];
    let command = Command { kind: "correction".into(), undone: false, evidence: vec![said("b", 9, "correction")] };
    let facts = vec![word("b", "casing.leak", "none-seen"), fact];
    let record =
        merge(vec![first, ("b".to_owned(), Reading { facts, commands: vec![command], ..Reading::default() })], &[]);
    assert_eq!(record.facts.iter().filter(|f| f.disputed).count(), 2, "61 may only correct what note b said first");
}

#[test]
fn confirming_one_of_two_rivals_rejects_the_other() {
    let readings = vec![
        note("a", vec![number("a", "water-heater.capacity", 40.0)]),
        note("b", vec![number("b", "water-heater.capacity", 50.0)]),
    ];
    let fifty = Some(Value::Number(50.0));
    let yes = decide(&readings, Act::Confirm, "water-heater.capacity", fifty.clone(), fifty);
    let record = merge(readings, &[yes]);
    assert_eq!(states(&record), [("40".into(), State::Rejected, false), ("50".into(), State::Confirmed, false)]);
}

#[test]
fn rejecting_one_of_two_rivals_leaves_the_other_to_be_confirmed() {
    let readings = vec![
        note("a", vec![number("a", "water-heater.capacity", 40.0)]),
        note("b", vec![number("b", "water-heater.capacity", 50.0)]),
    ];
    let no = decide(&readings, Act::Reject, "water-heater.capacity", Some(Value::Number(40.0)), None);
    let record = merge(readings, &[no]);
    assert_eq!(states(&record), [("40".into(), State::Rejected, false), ("50".into(), State::Heard, false)]);
}

#[test]
fn an_amended_fact_keeps_the_words_that_were_heard() {
    let readings = vec![note("a", vec![number("a", "water-heater.capacity", 15.0)])];
    let amend =
        decide(&readings, Act::Amend, "water-heater.capacity", Some(Value::Number(15.0)), Some(Value::Number(50.0)));
    let record = merge(readings, &[amend]);
    assert_eq!(states(&record), [("50".into(), State::Amended, false)]);
    assert_eq!(record.facts[0].evidence[0].words, "water-heater.capacity 15");
}

#[test]
fn a_second_amendment_stands_when_the_first_is_undone() {
    let readings = vec![note("a", vec![number("a", "water-heater.capacity", 15.0)])];
    let second =
        decide(&readings, Act::Amend, "water-heater.capacity", Some(Value::Number(40.0)), Some(Value::Number(50.0)));
    assert_eq!(states(&merge(readings, &[second])), [("50".into(), State::Amended, false)]);
}

#[test]
fn a_new_note_that_contradicts_a_decision_reopens_it_and_does_not_undo_it() {
    let mut readings = vec![note("a", vec![word("a", "casing.leak", "none-seen")])];
    let none = Some(Value::Text("none-seen".into()));
    let yes = decide(&readings, Act::Confirm, "casing.leak", none.clone(), none);
    readings.push(note("b", vec![word("b", "casing.leak", "active")]));
    let record = merge(readings, &[yes]);
    assert_eq!(states(&record), [("none-seen".into(), State::Confirmed, true), ("active".into(), State::Heard, true)]);
    assert_eq!(record.facts[0].doubts, ["since Ida Example decided this, a note says active"]);
}

#[test]
fn a_decision_outlives_the_words_it_rested_on() {
    let readings = vec![note("a", vec![word("a", "inlet.material", "pex")])];
    let pex = Some(Value::Text("pex".into()));
    let yes = decide(&readings, Act::Confirm, "inlet.material", pex.clone(), pex);
    let record = merge(Vec::new(), &[yes]);
    assert_eq!(states(&record), [("pex".into(), State::Confirmed, false)]);
    assert_eq!(record.facts[0].evidence[0].words, "inlet.material pex", "what it rested on is still shown");
    assert!(record.facts[0].doubts[0].contains("no longer"), "and that it is no longer heard");
}

#[test]
fn an_entered_fact_needs_no_words() {
    let enter = decide(&[], Act::Enter, "2/casing.leak", None, Some(Value::Text("past".into())));
    let record = merge(Vec::new(), &[enter]);
    assert_eq!((record.facts[0].item, record.facts[0].state), (2, State::Entered));
    assert!(record.facts[0].doubts.is_empty());
}

#[test]
fn limits_photos_and_remarks_of_every_note_are_kept() {
    let limit = |note: &str| Limit {
        component: "inlet".into(),
        why: "shelving".into(),
        item: 1,
        evidence: vec![said(note, 0, "shelving")],
    };
    let reading = |note: &str| Reading {
        limits: vec![limit(note)],
        remarks: vec![("nice dog".into(), said(note, 4, "nice dog"))],
        ..Reading::default()
    };
    let record = merge(vec![("a".into(), reading("a")), ("b".into(), reading("b"))], &[]);
    assert_eq!(record.limits.len(), 1, "the same limit twice is one");
    assert_eq!(record.limits[0].evidence.len(), 2);
    assert_eq!(record.remarks, ["nice dog", "nice dog"], "what was said twice was said twice");
    assert_eq!(record.remark_evidence.len(), 2);
}
