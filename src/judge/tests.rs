use super::*;
use crate::record::OpenKind;
use proptest::prelude::*;

fn rules() -> Rules {
    Rules::shipped().unwrap()
}

/// Ages are counted to a fixed year.
fn context(standard: &str) -> Context {
    Context { standard: standard.to_owned(), today: jiff::civil::date(2026, 1, 1), office_rules: None }
}

/// Facts written as the rules' examples are; one list a heater.
fn facts(heaters: &[&str]) -> Vec<Fact> {
    let catalogue = &rules().catalogue;
    let numbered = heaters.iter().zip(1..);
    numbered
        .flat_map(|(text, item)| facts_from_text(text, catalogue).unwrap().into_iter().map(move |f| Fact { item, ..f }))
        .collect()
}

fn judged(heaters: &[&str]) -> Judgement {
    judge(&facts(heaters), &[], &rules(), &context("irc-2021"))
}

fn concerns(judgement: &Judgement) -> Vec<(&str, u32)> {
    judgement.concerns.iter().map(|c| (c.rule.as_str(), c.item)).collect()
}

fn asked(judgement: &Judgement, kind: OpenKind) -> Vec<(String, u32)> {
    let open = judgement.open.iter().filter(|q| q.kind == kind);
    open.map(|q| (format!("{}.{}", q.component, q.attribute), q.item)).collect()
}

fn limit(component: &str, item: u32) -> Limit {
    Limit { component: component.to_owned(), why: "shelving in front".to_owned(), item, evidence: Vec::new() }
}

#[test]
fn an_absent_pan_with_no_word_on_what_stands_around_asks_and_accuses_nothing() {
    // The rule pan-missing of the contract, and a finish that nobody told.
    let judgement = judged(&["drain-pan.presence = absent"]);
    assert!(judgement.concerns.is_empty());
    assert_eq!(asked(&judgement, OpenKind::Conditional), [("surround.finish".to_owned(), 1)]);
    let why = &judgement.open[0].why;
    assert!(why.contains("no drain pan") && why.contains("Look "), "{why}");
}

#[test]
fn a_later_note_closes_a_conditional_question_either_way() {
    for (finish, expected) in [("finished", vec![("pan-missing", 1)]), ("unfinished", vec![])] {
        let judgement = judged(&[&format!("drain-pan.presence = absent; surround.finish = {finish}")]);
        assert!(asked(&judgement, OpenKind::Conditional).is_empty());
        assert_eq!(concerns(&judgement), expected);
    }
}

#[test]
fn the_question_of_the_expansion_valve_says_where_to_look() {
    let judgement = judged(&["water-system.loop = closed; expansion-tank.presence = absent"]);
    let open = &judgement.open[0];
    assert_eq!((open.component.as_str(), open.attribute.as_str()), ("expansion-valve", "presence"));
    for place in ["heater", "cold line", "kitchen", "bathroom"] {
        assert!(open.why.contains(place), "{}", open.why);
    }
}

#[test]
fn an_open_loop_needs_no_valve() {
    let judgement = judged(&["water-system.loop = open; expansion-tank.presence = absent"]);
    assert!(asked(&judgement, OpenKind::Conditional).is_empty());
}

#[test]
fn a_clearance_that_suits_every_vent_asks_for_no_material() {
    // Single wall asks for 6 in and type B for 1 in: at 8 in nothing hangs on the material, at 3 in it does.
    let asks = |inches: u32| asked(&judged(&[&format!("vent.clearance = {inches}")]), OpenKind::Conditional);
    assert!(asks(8).is_empty());
    assert_eq!(asks(3), [("vent.material".to_owned(), 1)]);
}

#[test]
fn a_limit_on_the_part_answers_its_questions() {
    let facts = facts(&["drain-pan.presence = absent"]);
    let judgement = judge(&facts, &[limit("surround", 1)], &rules(), &context("irc-2021"));
    assert!(judgement.open.iter().all(|q| q.component != "surround"));
    let elsewhere = judge(&facts, &[limit("surround", 2)], &rules(), &context("irc-2021"));
    assert!(elsewhere.open.iter().any(|q| q.component == "surround" && q.item == 1), "another heater's limit");
}

#[test]
fn conditional_questions_come_before_those_that_were_never_said() {
    let kinds: Vec<OpenKind> =
        judged(&["drain-pan.presence = absent; vent.clearance = 3"]).open.iter().map(|q| q.kind).collect();
    let split = kinds.iter().position(|k| *k == OpenKind::Unsaid).unwrap();
    assert!(split >= 2 && kinds[split..].iter().all(|k| *k == OpenKind::Unsaid));
}

#[test]
fn what_is_asked_depends_on_the_kind_of_heater() {
    // The catalogue's rows that are always asked for, by what they apply to.
    let has = |facts: &str, key: &str| asked(&judged(&[facts]), OpenKind::Unsaid).iter().any(|(k, _)| k == key);
    let electric = "water-heater.energy = electric; water-heater.style = storage";
    assert!(has(electric, "disconnect.presence") && has(electric, "relief-valve.presence"));
    assert!(!has(electric, "vent.presence"));
    let tankless = "water-heater.energy = natural-gas; water-heater.style = tankless";
    assert!(has(tankless, "vent.presence") && !has(tankless, "relief-valve.presence"));
    let indirect = "water-heater.energy = natural-gas; water-heater.style = indirect";
    assert!(has(indirect, "relief-valve.presence") && !has(indirect, "vent.presence"), "the boiler has the vent");
    let unknown = "casing.leak = none-seen";
    assert!(
        has(unknown, "water-heater.energy") && has(unknown, "water-heater.style") && has(unknown, "drain-pan.presence")
    );
    assert!(
        !has(unknown, "disconnect.presence")
            && !has(unknown, "vent.presence")
            && !has(unknown, "relief-valve.presence")
    );
}

#[test]
fn a_record_of_nothing_still_asks_what_is_asked_of_all() {
    // A visit where nobody said anything is not finished.
    let catalogue = &rules().catalogue;
    let expected = catalogue.rows.iter().filter(|row| row.ask && row.applies == "all").count();
    assert_eq!(judge(&[], &[], &rules(), &context("irc-2021")).open.len(), expected);
}

#[test]
fn an_absent_part_is_asked_nothing_more() {
    let kind = "water-heater.energy = electric; water-heater.style = storage; relief-discharge.presence = absent";
    let open = asked(&judged(&[kind]), OpenKind::Unsaid);
    assert!(open.iter().all(|(key, _)| !key.starts_with("relief-discharge.")), "{open:?}");
}

#[test]
fn an_illegible_plate_is_not_asked_for_what_stands_on_it() {
    let open = asked(&judged(&["data-plate.legibility = illegible; water-heater.style = storage"]), OpenKind::Unsaid);
    for key in ["water-heater.brand", "water-heater.capacity", "water-heater.made-year"] {
        assert!(open.iter().all(|(asked, _)| asked != key), "{key}");
    }
}

#[test]
fn two_heaters_share_the_water_system_and_what_is_wrong_with_it() {
    let judgement = judged(&[
        "water-heater.style = storage; water-system.loop = closed; expansion-tank.presence = absent; expansion-valve.presence = absent; water-system.static-pressure = 92",
        "water-heater.style = storage; relief-valve.leak = active",
    ]);
    // Once for the house, at the heater where it was said; the valve is the second heater's own.
    assert_eq!(
        concerns(&judgement),
        [("pressure-high", 1), ("expansion-control-missing", 1), ("relief-valve-leaking", 2)]
    );
    let unsaid = asked(&judgement, OpenKind::Unsaid);
    assert!(unsaid.iter().all(|(key, _)| !key.starts_with("water-system") && !key.starts_with("expansion")));
}

#[test]
fn what_the_second_heater_tells_of_the_house_closes_the_first_ones_question() {
    let before =
        judged(&["water-system.loop = closed; expansion-tank.presence = absent", "water-heater.style = storage"]);
    assert_eq!(asked(&before, OpenKind::Conditional), [("expansion-valve.presence".to_owned(), 1)]);
    let after =
        judged(&["water-system.loop = closed; expansion-tank.presence = absent", "expansion-valve.presence = present"]);
    assert!(asked(&after, OpenKind::Conditional).is_empty() && after.concerns.is_empty());
}

#[test]
fn a_pan_belongs_to_its_own_heater() {
    let judgement = judged(&["drain-pan.presence = absent", "surround.finish = finished"]);
    assert!(judgement.concerns.is_empty(), "the finish is around the other heater");
}

#[test]
fn the_end_of_a_relief_pipe_is_judged_by_the_code_that_applies() {
    // IRC 2021 P2804.6.1: at most 6 in. UPC 608.5: 6 to 24 in.
    let drawn = |inches: &str, standard: &str| -> Vec<String> {
        let facts = facts(&[&format!("relief-discharge.end-gap = {inches}")]);
        judge(&facts, &[], &rules(), &context(standard)).concerns.into_iter().map(|c| c.rule).collect()
    };
    assert_eq!(drawn("8", "irc-2021"), ["relief-discharge-end-high"]);
    assert!(drawn("8", "upc-2021").is_empty());
    assert!(drawn("4", "irc-2021").is_empty());
    assert_eq!(drawn("4", "upc-2021"), ["relief-discharge-end-low"]);
    assert_eq!(drawn("30", "upc-2021"), ["relief-discharge-end-high"]);
}

#[test]
fn a_twenty_ampere_breaker_on_twelve_gauge_is_undersized_and_so_is_the_wire_of_a_larger_one() {
    // NEC 2020 422.13: 4,500 W at 240 V needs 23.44 A. 240.4(D): 12 AWG takes 20 A.
    let heater = "water-heater.power = 4500; water-heater.voltage = 240; cable.gauge = 12";
    assert_eq!(concerns(&judged(&[&format!("{heater}; breaker.rating = 20")])), [("circuit-undersized", 1)]);
    assert_eq!(concerns(&judged(&[&format!("{heater}; breaker.rating = 25")])), [("conductor-undersized", 1)]);
    let because = &judged(&[&format!("{heater}; breaker.rating = 20")]).concerns[0].because;
    assert!(because.contains("18.75 A") && because.contains("23.438 A"), "{because}");
}

#[test]
fn a_capped_drain_valve_that_drips_is_only_upkeep() {
    let class = |cap: &str| judged(&[&format!("drain-valve.leak = active{cap}")]).concerns[0].class.clone();
    // The contract: a defect, unless there is a cap, then upkeep.
    assert_eq!(class(""), "defect");
    assert_eq!(class("; drain-valve.hose-cap = absent"), "defect");
    assert_eq!(class("; drain-valve.hose-cap = present"), "upkeep");
}

#[test]
fn a_figure_from_memory_says_so_in_the_reason() {
    let judgement = judged(&["vent.material = single-wall; vent.clearance = 4"]);
    assert!(judgement.concerns[0].because.contains("limit 6 in, IRC 2021 table G2427.10.5 (from memory)"));
}

#[test]
fn a_doubtful_or_disputed_fact_makes_its_concern_provisional_until_a_person_decides() {
    let provisional = |change: fn(&mut Fact)| {
        let mut facts = facts(&["water-system.static-pressure = 118"]);
        change(&mut facts[0]);
        judge(&facts, &[], &rules(), &context("irc-2021")).concerns[0].provisional
    };
    assert!(!provisional(|_| ()));
    assert!(provisional(|fact| fact.confidence = 0.89));
    assert!(!provisional(|fact| fact.confidence = 0.9));
    assert!(provisional(|fact| fact.disputed = true));
    for state in [State::Confirmed, State::Amended, State::Entered] {
        let mut facts = facts(&["water-system.static-pressure = 118"]);
        facts[0] = Fact { confidence: 0.2, state, ..facts[0].clone() };
        assert!(!judge(&facts, &[], &rules(), &context("irc-2021")).concerns[0].provisional, "{state:?}");
        // A later note that says otherwise reopens the decision.
        facts[0].disputed = true;
        assert!(judge(&facts, &[], &rules(), &context("irc-2021")).concerns[0].provisional, "{state:?}");
    }
}

#[test]
fn a_concern_that_stands_without_the_doubtful_fact_is_not_provisional() {
    let mut facts = facts(&["casing.leak = active; inlet.leak = active"]);
    facts[1].confidence = 0.3;
    assert!(!judge(&facts, &[], &rules(), &context("irc-2021")).concerns[0].provisional);
    facts[0].confidence = 0.3;
    assert!(judge(&facts, &[], &rules(), &context("irc-2021")).concerns[0].provisional);
}

#[test]
fn a_doubtful_cap_leaves_the_class_provisional() {
    let mut facts = facts(&["drain-valve.leak = active; drain-valve.hose-cap = present"]);
    facts[1].confidence = 0.5;
    assert!(judge(&facts, &[], &rules(), &context("irc-2021")).concerns[0].provisional);
}

#[test]
fn a_rejected_fact_is_as_good_as_unsaid() {
    let mut facts = facts(&["drain-pan.presence = absent; surround.finish = finished"]);
    facts[1].state = State::Rejected;
    let judgement = judge(&facts, &[], &rules(), &context("irc-2021"));
    assert!(judgement.concerns.is_empty());
    assert_eq!(asked(&judgement, OpenKind::Conditional), [("surround.finish".to_owned(), 1)]);
}

#[test]
fn the_gravest_concern_comes_first_and_the_cautions_follow() {
    let judgement =
        judged(&["hot-water.temperature = 140; expansion-tank.support = unsupported; gas-line.leak = detected"]);
    let classes: Vec<&str> = judgement.concerns.iter().map(|c| c.class.as_str()).collect();
    assert_eq!(classes, ["unsafe", "unsafe", "upkeep"]);
    assert_eq!(judgement.concerns[0].rule, "gas-leak", "nothing is as urgent");
    let rules = rules();
    let cautions: Vec<&str> = cautions_for(&judgement.concerns, &rules).iter().map(|c| c.id.as_str()).collect();
    assert_eq!(cautions, ["gas-smell", "scald", GENERAL]);
    let gas = &caution("gas-smell", &rules).unwrap().text;
    assert!(gas.contains("leave at once") && gas.contains("from outside"), "{gas}");
}

#[test]
fn the_general_caution_always_stands() {
    let rules = rules();
    let cautions = cautions_for(&[], &rules);
    assert_eq!(cautions.len(), 1);
    for words in ["visual inspection", "Local codes", "licensed trades"] {
        assert!(cautions[0].text.contains(words), "{words}");
    }
}

#[test]
fn a_garage_is_told_from_the_rooms_beside_it() {
    for place in ["garage", "attached garage", "the corner of the garage", "Garage closet", "detached two-car garage"] {
        assert!(function::is_garage(place), "{place}");
    }
    for place in
        ["basement", "closet off the garage", "room over the garage", "next to the garage", "garage attic", "carport"]
    {
        assert!(!function::is_garage(place), "{place}");
    }
}

/// Any fact of the catalogue, sure or not, about one of two heaters.
fn any_fact() -> impl Strategy<Value = Fact> {
    let rows = rules().catalogue.rows;
    (0..rows.len(), any::<prop::sample::Index>(), 0.0..200.0f64, 1u32..3, 0.5..1.0f64, any::<bool>()).prop_map(
        move |(row, word, number, item, confidence, disputed)| {
            let row = &rows[row];
            let value = match row.kind {
                crate::lexicon::Kind::Number => crate::record::Value::Number((number * 4.0).round() / 4.0),
                crate::lexicon::Kind::Year => crate::record::Value::Number(1990.0 + (number / 6.0).floor()),
                crate::lexicon::Kind::Text => crate::record::Value::Text("garage".to_owned()),
                _ => crate::record::Value::Text(word.get(&row.values).clone()),
            };
            let mut fact = Fact::new(&row.component, &row.attribute, value);
            (fact.item, fact.confidence, fact.disputed, fact.unit) = (item, confidence, disputed, row.unit.clone());
            fact
        },
    )
}

fn shuffled(facts: Vec<Fact>) -> impl Strategy<Value = (Vec<Fact>, Vec<Fact>)> {
    (Just(facts.clone()), Just(facts).prop_shuffle())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn the_order_of_the_facts_never_matters((facts, other) in prop::collection::vec(any_fact(), 0..40).prop_flat_map(shuffled)) {
        let rules = rules();
        let context = context("irc-2021");
        prop_assert_eq!(judge(&facts, &[], &rules, &context), judge(&other, &[], &rules, &context));
    }

    #[test]
    fn a_fact_that_a_rule_does_not_ask_for_never_changes_it(facts in prop::collection::vec(any_fact(), 0..30), extra in any_fact()) {
        let rules = rules();
        let context = context("upc-2021");
        let bench = Bench::new(&rules, &context);
        let more: Vec<Fact> = facts.iter().cloned().chain([extra.clone()]).collect();
        let (before, after) = (Situation::of(extra.item, &facts, &rules.house), Situation::of(extra.item, &more, &rules.house));
        for rule in &rules.rules {
            let conditions = [rule.holds.as_ref(), rule.lifted.as_ref()];
            let keys: BTreeSet<String> = conditions.into_iter().flatten().flat_map(Condition::keys).collect();
            if keys.contains(&extra.key()) || keys.contains(&format!("any.{}", extra.attribute)) {
                continue;
            }
            let truth = |situation| rule.holds.as_ref().map(|when| bench.truth(when, situation));
            prop_assert_eq!(truth(&before), truth(&after), "{}", &rule.id);
            prop_assert_eq!(bench.verdict(rule, &before), bench.verdict(rule, &after), "{}", &rule.id);
        }
    }

    #[test]
    fn confirming_every_fact_leaves_nothing_provisional(facts in prop::collection::vec(any_fact(), 0..30)) {
        let confirmed: Vec<Fact> = facts.into_iter().map(|fact| Fact { state: State::Confirmed, disputed: false, ..fact }).collect();
        let judgement = judge(&confirmed, &[], &rules(), &context("irc-2021"));
        prop_assert!(judgement.concerns.iter().all(|concern| !concern.provisional));
    }

    #[test]
    fn no_question_is_asked_twice_nor_about_what_was_said(facts in prop::collection::vec(any_fact(), 0..40)) {
        let open = judge(&facts, &[], &rules(), &context("irc-2021")).open;
        let asked: Vec<_> = open.iter().map(|q| (&q.component, &q.attribute, q.item)).collect();
        prop_assert_eq!(asked.iter().collect::<BTreeSet<_>>().len(), asked.len());
        for (component, attribute, item) in asked {
            let said = facts.iter().any(|f| (&f.component, &f.attribute, f.item) == (component, attribute, item));
            prop_assert!(!said, "{component}.{attribute}");
        }
    }
}
