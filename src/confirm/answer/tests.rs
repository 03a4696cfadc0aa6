use super::*;
use crate::read::Reading;
use crate::record::{Evidence, merge};

fn who() -> Who {
    Who { by: "Ida Example".into(), at: "2026-03-14T10:00:00Z".parse().unwrap(), why: None }
}

fn row(key: &str) -> Row {
    find_row(&Catalogue::shipped(), &key.parse().unwrap()).unwrap().clone()
}

fn facts(values: &[(&str, Value)]) -> Vec<Fact> {
    let fact = |(key, value): &(&str, Value)| {
        let name: FactName = key.parse().unwrap();
        let evidence = vec![Evidence { words: format!("{key} {value}"), ..Evidence::default() }];
        Fact { place: name.place.clone(), evidence, ..Fact::new(&name.component, &name.attribute, value.clone()) }
    };
    let reading = Reading { facts: values.iter().map(fact).collect(), ..Reading::default() };
    merge(vec![("a".into(), reading)], &[]).facts
}

fn decided(facts: &[Fact], name: &str, which: Option<Value>, answer: Answer) -> Result<Decision, Error> {
    decide(Facts { heard: facts, now: facts }, &name.parse().unwrap(), which.as_ref(), answer, &who())
}

fn word(text: &str) -> Value {
    Value::Text(text.into())
}

#[test]
fn a_choice_is_taken_in_any_case_and_an_unknown_one_names_the_choices() {
    assert_eq!(parse_value(&row("casing.leak"), " None Seen ").unwrap(), word("none-seen"));
    let error = parse_value(&row("casing.leak"), "loads").unwrap_err().to_string();
    // The catalogue's row of casing.leak.
    assert!(error.contains("none-seen, past, active"), "{error}");
}

#[test]
fn a_year_is_a_year_and_a_number_is_finite() {
    assert_eq!(parse_value(&row("water-heater.made-year"), "2014").unwrap(), Value::Number(2014.0));
    for bad in ["14", "2014.5", "last year", ""] {
        assert!(parse_value(&row("water-heater.made-year"), bad).is_err(), "'{bad}' is no year");
    }
    for bad in ["inf", "NaN", "-3", "1e300", "many"] {
        assert!(parse_value(&row("water-heater.capacity"), bad).is_err(), "'{bad}' is no capacity");
    }
}

#[test]
fn a_number_may_carry_the_catalogues_unit() {
    assert_eq!(parse_value(&row("water-heater.capacity"), "50 gal").unwrap(), Value::Number(50.0));
}

#[test]
fn a_typed_unit_is_converted_and_a_foreign_one_refused() {
    let near = |key, text, wanted: f64| match parse_value(&row(key), text) {
        Ok(Value::Number(got)) => assert!((got - wanted).abs() < 0.005 * wanted, "{text} gave {got}"),
        other => panic!("{text} gave {other:?}"),
    };
    near("water-heater.power", "4.5 kW", 4500.0);
    // One US gallon is 3.785411784 L (NIST Handbook 44, appendix C), one psi 6.894757 kPa.
    near("water-heater.capacity", "190 litres", 190.0 / 3.785_411_784);
    near("water-system.static-pressure", "420 kPa", 420.0 / 6.894_757);
    near("relief-discharge.size", "3/4 inch", 0.75);
    for (key, text) in [
        ("water-heater.capacity", "50 psi"),
        ("water-heater.capacity", "50 gal and more"),
        ("water-heater.capacity", "40 or 50"),
    ] {
        assert!(parse_value(&row(key), text).is_err(), "'{text}' must not pass");
    }
}

#[test]
fn a_text_with_control_characters_is_refused() {
    assert!(parse_value(&row("water-heater.brand"), "Hal\u{1b}[2Jvorsen").is_err());
    assert_eq!(parse_value(&row("water-heater.brand"), " Halvorsen ").unwrap(), word("Halvorsen"));
}

#[test]
fn an_unknown_attribute_names_those_of_its_component() {
    let error = find_row(&Catalogue::shipped(), &"casing.dents".parse().unwrap()).unwrap_err().to_string();
    assert!(error.contains("casing.damage"), "{error}");
}

#[test]
fn yes_confirms_and_remembers_what_was_heard() {
    let facts = facts(&[("casing.leak", word("past"))]);
    let decision = decided(&facts, "casing.leak", None, Answer::Yes).unwrap();
    assert_eq!(decision.act, Act::Confirm);
    assert_eq!(decision.is.unwrap().state, State::Confirmed);
    assert_eq!(decision.heard, [word("past")]);
    assert_eq!(decision.basis[0].words, "casing.leak past");
}

#[test]
fn rivals_have_to_be_told_apart() {
    let facts = facts(&[("casing.leak", word("past")), ("casing.leak", word("active"))]);
    let error = decided(&facts, "casing.leak", None, Answer::Yes).unwrap_err().to_string();
    assert!(error.contains("'casing.leak=past' or 'casing.leak=active'"), "{error}");
    let decision = decided(&facts, "casing.leak", Some(word("active")), Answer::Yes).unwrap();
    assert_eq!(decision.is.unwrap().value, word("active"));
}

#[test]
fn readings_at_two_places_have_to_be_told_apart_by_place() {
    let key = "water-system.static-pressure";
    let pressures =
        facts(&[(&format!("{key}@hose bib"), Value::Number(68.0)), (&format!("{key}@laundry"), Value::Number(74.0))]);
    let error = decided(&pressures, key, None, Answer::Yes).unwrap_err().to_string();
    assert!(error.contains("@hose bib") && error.contains("@laundry"), "{error}");
    assert_eq!(
        decided(&pressures, &format!("{key}@laundry"), None, Answer::Yes).unwrap().was.unwrap().value,
        Value::Number(74.0)
    );
}

#[test]
fn setting_what_was_heard_confirms_it_and_setting_another_amends_it() {
    let facts = facts(&[("casing.leak", word("past"))]);
    assert_eq!(decided(&facts, "casing.leak", None, Answer::Set(word("past"), None)).unwrap().act, Act::Confirm);
    let amended = decided(&facts, "casing.leak", None, Answer::Set(word("active"), None)).unwrap();
    assert_eq!((amended.act, amended.was.unwrap().value), (Act::Amend, word("past")));
}

#[test]
fn setting_what_nobody_said_enters_it_and_only_that_may_be_set_unsaid() {
    assert_eq!(decided(&[], "casing.leak", None, Answer::Set(word("past"), None)).unwrap().act, Act::Enter);
    assert!(matches!(decided(&[], "casing.leak", None, Answer::Yes), Err(Error::Unsaid { .. })));
    assert!(matches!(decided(&[], "casing.leak", None, Answer::No), Err(Error::Unsaid { .. })));
}

#[test]
fn what_was_amended_stays_amended_when_another_person_agrees() {
    let mut now = facts(&[("casing.leak", word("past"))]);
    now[0].state = State::Amended;
    let decision = decided(&now, "casing.leak", None, Answer::Yes).unwrap();
    assert_eq!(decision.is.unwrap().state, State::Amended);
}

#[test]
fn a_decision_is_undone_once() {
    let facts = facts(&[("casing.leak", word("past"))]);
    let mut first = decided(&facts, "casing.leak", None, Answer::No).unwrap();
    first.number = 1;
    let mut journal = Journal { decisions: vec![first], ..Journal::default() };
    let mut entry = undo(&journal, 1, &who()).unwrap();
    entry.number = 2;
    journal.decisions.push(entry);
    assert!(journal.standing().is_empty());
    assert!(undo(&journal, 1, &who()).is_err(), "it has been undone");
    assert!(undo(&journal, 2, &who()).is_ok(), "the undo can be undone");
    assert!(undo(&journal, 7, &who()).is_err(), "there is no seventh");
}
