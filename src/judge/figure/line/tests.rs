use super::*;
use crate::judge::facts_from_text;

fn lines(text: &str) -> Vec<FigureLine> {
    let rules = Rules::shipped().unwrap();
    let context = Context { today: jiff::civil::date(2026, 1, 1), ..Context::default() };
    figures_for(&facts_from_text(text, &rules.catalogue).unwrap(), &rules, &context)
}

fn names(text: &str) -> Vec<&'static str> {
    lines(text).iter().map(|line| line.figure.name).collect()
}

#[test]
fn no_fact_calls_for_no_figure() {
    assert!(names("drain-pan.presence = absent").is_empty());
}

#[test]
fn each_figure_comes_with_the_facts_that_call_for_it() {
    let electric =
        "water-heater.energy = electric; water-heater.power = 4500; water-heater.voltage = 240; breaker.rating = 30";
    assert_eq!(names(electric), ["circuit", "recovery"]);
    let pressure = "water-heater.capacity = 50; water-system.loop = closed; water-system.static-pressure = 60";
    assert_eq!(names(pressure), ["pressure", "expansion"]);
    let gas = "water-heater.input-rate = 40000; vent.slope = 0.5; water-heater.made-year = 2011";
    assert_eq!(names(gas), ["age", "recovery", "combustion-air", "vent-rise"]);
    assert_eq!(names("hot-water.temperature = 131; relief-discharge.end-gap = 4"), ["scald", "discharge-end"]);
}

#[test]
fn the_tank_is_sized_from_assumed_water_and_says_so() {
    let facts = "water-heater.capacity = 40; water-system.loop = closed; water-system.static-pressure = 60";
    let line = lines(facts).into_iter().find(|line| line.figure.name == "expansion").unwrap();
    // The first worked example of tests/tables/expansion.csv: 40 gal, 50 to 120 °F, 60 psi held to 80: 2.140 gal.
    assert!(line.figure.summary().contains("smallest tank 2.14 gal"), "{}", line.figure.summary());
    assert!(line.figure.notes.iter().any(|note| note.contains("assumed")));
}

#[test]
fn a_doubtful_reading_makes_its_figure_provisional() {
    let rules = Rules::shipped().unwrap();
    let mut facts = facts_from_text("water-system.static-pressure = 118", &rules.catalogue).unwrap();
    facts[0].confidence = 0.6;
    assert!(figures_for(&facts, &rules, &Context::default())[0].provisional);
    facts[0].state = State::Confirmed;
    assert!(!figures_for(&facts, &rules, &Context::default())[0].provisional);
}

#[test]
fn a_rejected_fact_calls_for_nothing() {
    let rules = Rules::shipped().unwrap();
    let mut facts = facts_from_text("water-system.static-pressure = 118", &rules.catalogue).unwrap();
    facts[0].state = State::Rejected;
    assert!(figures_for(&facts, &rules, &Context::default()).is_empty());
}

#[test]
fn the_pressure_of_the_house_is_shown_once_for_two_heaters() {
    let rules = Rules::shipped().unwrap();
    let mut facts =
        facts_from_text("water-system.static-pressure = 60; water-heater.style = tankless", &rules.catalogue).unwrap();
    facts[1].item = 2;
    assert_eq!(figures_for(&facts, &rules, &Context::default()).len(), 1);
}
