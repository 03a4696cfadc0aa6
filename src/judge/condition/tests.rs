use super::*;
use crate::judge::{Rules, facts_from_text};

/// What a condition comes to: `holds`, `fails`, or the keys that it hangs on.
fn outcome(condition: &str, facts: &str) -> String {
    let rules = Rules::shipped().unwrap();
    let facts = facts_from_text(facts, &rules.catalogue).unwrap();
    let situation = Situation::of(1, &facts, &rules.house);
    let constants = Constants::from([("limit.most".to_owned(), 80.0), ("today.year".to_owned(), 2026.0)]);
    let functions = crate::judge::function::context(&rules);
    match Condition::compile(condition).unwrap().evaluate(&situation, &constants, &functions) {
        Truth::Holds(_) => "holds".to_owned(),
        Truth::Fails(_) => "fails".to_owned(),
        Truth::Hangs(keys) => keys.into_iter().collect::<Vec<_>>().join(" "),
    }
}

const PAN: &str = r#"drain-pan.presence == "absent""#;
const FINISH: &str = r#"surround.finish == "finished""#;

#[test]
fn three_valued_and_or_and_not_follow_kleene() {
    // Kleene's strong logic of indeterminacy: true, false, and unknown where the outcome hangs on it.
    let (absent, present) = ("drain-pan.presence = absent", "drain-pan.presence = present");
    let (and, or) = (format!("{PAN} && {FINISH}"), format!("{PAN} || {FINISH}"));
    assert_eq!(outcome(&and, present), "fails", "false and unknown is false");
    assert_eq!(outcome(&and, absent), "surround.finish", "true and unknown is unknown");
    assert_eq!(outcome(&or, absent), "holds", "true or unknown is true");
    assert_eq!(outcome(&or, present), "surround.finish", "false or unknown is unknown");
    assert_eq!(outcome(&and, ""), "drain-pan.presence surround.finish");
    assert_eq!(outcome(&format!("!({PAN})"), ""), "drain-pan.presence", "not unknown is unknown");
    assert_eq!(outcome(&format!("!({PAN})"), absent), "fails");
}

#[test]
fn the_order_of_the_parts_of_a_condition_changes_nothing() {
    // And and or are symmetric.
    for facts in ["", "drain-pan.presence = absent", "surround.finish = finished", "surround.finish = unfinished"] {
        assert_eq!(outcome(&format!("{PAN} && {FINISH}"), facts), outcome(&format!("{FINISH} && {PAN}"), facts));
        assert_eq!(outcome(&format!("{PAN} || {FINISH}"), facts), outcome(&format!("{FINISH} || {PAN}"), facts));
    }
}

#[test]
fn whether_something_was_said_is_never_unknown() {
    assert_eq!(outcome("has(draft-hood.draft)", ""), "fails");
    assert_eq!(outcome("has(draft-hood.draft)", "draft-hood.draft = drafting"), "holds");
}

#[test]
fn one_of_several_facts_is_enough() {
    // Two taps were measured; the hotter one decides.
    let facts = "hot-water.temperature = 118; hot-water.temperature = 131";
    assert_eq!(outcome("hot-water.temperature > 120", facts), "holds");
    assert_eq!(outcome("hot-water.temperature > 140", facts), "fails");
}

#[test]
fn whole_numbers_and_decimals_are_compared_as_numbers() {
    assert_eq!(outcome("water-system.static-pressure > 80", "water-system.static-pressure = 80.5"), "holds");
    assert_eq!(outcome("water-system.static-pressure > limit.most", "water-system.static-pressure = 80"), "fails");
    assert_eq!(outcome("today.year - water-heater.made-year >= 12", "water-heater.made-year = 2014"), "holds");
}

#[test]
fn a_limit_that_the_standard_does_not_set_leaves_a_condition_unknown() {
    assert_eq!(
        outcome("water-system.static-pressure > limit.other", "water-system.static-pressure = 90"),
        "limit.other"
    );
}

#[test]
fn a_value_that_no_table_has_leaves_a_condition_unknown() {
    // No copper of 11 AWG: the table cannot tell.
    assert_eq!(
        outcome("breaker.rating > wire_max(cable.gauge)", "breaker.rating = 30; cable.gauge = 11"),
        "breaker.rating cable.gauge"
    );
}

#[test]
fn a_minus_between_spaces_is_no_hyphen_and_quotes_are_left_alone() {
    let text = r#"today.year - water-heater.made-year > 3 && water-system.pressure-place == "hose-bib""#;
    assert_eq!(to_cel(text), r#"today.year - water_heater.made_year > 3 && water_system.pressure_place == "hose-bib""#);
}

#[test]
fn a_broken_condition_is_refused_with_its_text() {
    let error = Condition::compile("drain-pan.presence ==").unwrap_err();
    assert!(error.contains("drain-pan.presence =="), "{error}");
}
