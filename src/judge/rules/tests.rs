use super::*;
use crate::judge::rule::{Class, Source, Status};

#[test]
fn every_example_of_every_rule_comes_out_as_its_entry_says() {
    // Expected: the list that the example stands in.
    assert_eq!(Rules::shipped().unwrap().failed_examples(|_| true), Vec::<String>::new());
}

#[test]
fn an_example_in_the_wrong_list_is_found() {
    let swapped = OWN_RULE.replace("yes =", "lists =").replace("no =", "yes =").replace("lists =", "no =");
    let failed = office(&swapped).unwrap().failed_examples(|rule| rule.office);
    assert_eq!(failed.len(), 2, "{failed:?}");
    // A limit that an office sets for a published code is its own affair, and fails no example of ours.
    let stricter = r#"
[[limit]]
id = "static-pressure-max"
means = "highest static water pressure"
unit = "psi"
value = [{ standard = "irc-2021", value = 75, source = { code = "Office", status = "checked" } }]
"#;
    assert!(office(stricter).unwrap().failed_examples(|rule| rule.office).is_empty());
    assert!(failed[0].contains("valve-plastic") && failed[0].contains("drain-valve.material"), "{failed:?}");
}

#[test]
fn every_rule_has_two_examples_that_hold_two_that_do_not_and_one_unknown() {
    for rule in &Rules::shipped().unwrap().rules {
        assert!(rule.yes.len() >= 2 && rule.no.len() >= 2 && !rule.unknown.is_empty(), "{}", rule.id);
    }
}

/// The contract's list: id, class, condition in words, exception, source.
const CONTRACT: &str = include_str!("../../../tests/tables/rules.csv");

#[test]
fn every_rule_of_the_contract_is_there_with_its_class() {
    let rules = Rules::shipped().unwrap();
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(CONTRACT.as_bytes());
    let rows: Vec<_> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 53, "the contract lists 53 rules");
    for row in rows {
        let rule = rules.get(&row[0]).unwrap_or_else(|| panic!("no rule {}", &row[0]));
        assert_eq!(rule.class.name(), &row[1], "{}", &row[0]);
        // A code that the contract names is named by the rule, in the same edition.
        for code in ["IRC 2021", "NEC 2020", "IFGC 2021"].into_iter().filter(|code| row[4].starts_with(code)) {
            let named = |s: &Source| format!("{} {}", s.code, s.edition) == code;
            assert!(rule.source.iter().any(named), "{} rests on {code}", &row[0]);
        }
    }
}

#[test]
fn every_rule_has_a_source_for_every_standard_and_what_is_unpublished_says_so() {
    let rules = Rules::shipped().unwrap();
    for (rule, standard) in rules.rules.iter().flat_map(|r| rules.standards.iter().map(move |s| (r, s))) {
        if rule.standards.is_empty() || rule.standards.contains(&standard.id) {
            assert!(rule.sources(&standard.id).next().is_some(), "{} under {}", rule.id, standard.id);
        }
        for source in &rule.source {
            // A source without a code is common practice, and only that.
            assert_eq!(source.code.is_empty(), source.status == Status::CommonPractice, "{}", rule.id);
        }
    }
}

#[test]
fn what_a_client_reads_is_one_or_two_sentences_and_so_is_what_to_do() {
    for rule in &Rules::shipped().unwrap().rules {
        for text in [&rule.says, &rule.next] {
            let sentences = text.matches(['.', '!', '?']).count();
            assert!((1..=3).contains(&sentences) && text.ends_with('.') && text.len() < 250, "{}: {text}", rule.id);
        }
        assert!(!rule.trade.is_empty(), "{}", rule.id);
    }
}

#[test]
fn what_can_hurt_carries_its_caution() {
    let rules = Rules::shipped().unwrap();
    // The words that tell of a danger, and the caution that belongs to it.
    let dangers = [("carbon monoxide", "carbon-monoxide"), ("scald", "scald"), ("Gas was noticed", "gas-smell")];
    for rule in rules.rules.iter().filter(|rule| rule.class == Class::Unsafe) {
        for (word, caution) in dangers.iter().filter(|(word, _)| rule.says.contains(word)) {
            assert_eq!(rule.caution.as_deref(), Some(*caution), "{} speaks of {word}", rule.id);
        }
    }
    let unsafe_electric = ["ground-missing", "element-cover-missing", "circuit-undersized", "conductor-undersized"];
    for id in unsafe_electric {
        assert_eq!(rules.get(id).unwrap().caution.as_deref(), Some("live-parts"), "{id}");
    }
}

#[test]
fn every_question_that_can_be_asked_has_its_words() {
    let rules = Rules::shipped().unwrap();
    let always = rules.catalogue.rows.iter().filter(|row| row.ask).map(|row| row.key());
    let conditional = rules.rules.iter().flat_map(|rule| &rule.ask).map(|ask| ask.key.clone());
    for key in always.chain(conditional) {
        let question = rules.question(&key).unwrap_or_else(|| panic!("no words for {key}"));
        // What can be read at arm's length: a line of at most a dozen words.
        assert!(question.ask.split_whitespace().count() <= 12, "{key}: {}", question.ask);
        assert!(question.ask.ends_with('?') && !question.look.is_empty(), "{key}");
    }
}

#[test]
fn the_conditional_questions_are_those_of_the_contract() {
    let rules = Rules::shipped().unwrap();
    let asked: std::collections::BTreeSet<&str> =
        rules.rules.iter().flat_map(|rule| &rule.ask).map(|ask| ask.key.as_str()).collect();
    // The six that the convention on open questions names.
    let expected = [
        "cable.exposure",
        "disconnect.in-sight",
        "expansion-valve.presence",
        "relief-discharge.low-point-drain",
        "surround.finish",
        "vent.material",
    ];
    assert_eq!(asked.into_iter().collect::<Vec<_>>(), expected);
}

/// The shipped rules with an office's text on top.
fn office(text: &str) -> Result<Rules, Error> {
    let file = tempfile::NamedTempFile::new().unwrap();
    std::fs::write(file.path(), text).unwrap();
    Rules::shipped().unwrap().with_office(file.path())
}

const OWN_RULE: &str = r#"
[[rule]]
id = "valve-plastic"
class = "upkeep"
when = 'drain-valve.material == "plastic"'
says = "The drain valve is plastic."
next = "Have it replaced."
trade = "licensed plumber"
source = [{ status = "common-practice" }]
yes = ["drain-valve.material = plastic"]
no = ["drain-valve.material = brass"]
unknown = ["drain-valve.leak = none-seen"]
"#;

#[test]
fn an_office_adds_a_rule_replaces_one_and_drops_one() {
    let shipped = Rules::shipped().unwrap().rules.len();
    let added = office(OWN_RULE).unwrap();
    assert_eq!(added.rules.len(), shipped + 1);
    let replaced = office(&OWN_RULE.replace("valve-plastic", "drain-valve-leaking")).unwrap();
    assert_eq!(replaced.rules.len(), shipped);
    assert_eq!(replaced.get("drain-valve-leaking").unwrap().class, Class::Upkeep);
    let dropped = office("drop = [\"pressure-low\"]").unwrap();
    assert!(dropped.get("pressure-low").is_none());
}

#[test]
fn an_office_sets_a_limit_of_its_own_standard_and_keeps_the_others() {
    let rules = office(
        r#"
[[standard]]
id = "our-town"
name = "Our town"
base = "upc-2021"
[[limit]]
id = "static-pressure-max"
means = "highest static water pressure"
unit = "psi"
value = [{ standard = "our-town", value = 75, source = { code = "Town code", status = "checked" } }]
"#,
    )
    .unwrap();
    let figure = |id: &str, standard: &str| rules.bound(id, standard).unwrap().value;
    assert_eq!(figure("static-pressure-max", "our-town"), 75.0, "its own");
    assert_eq!(figure("relief-end-max", "our-town"), 24.0, "of the code it stands on");
    assert_eq!(figure("tap-temperature-max", "our-town"), 120.0, "of the code under that");
    assert_eq!(figure("static-pressure-max", "irc-2021"), 80.0, "untouched");
}

#[test]
fn a_misspelt_fact_word_limit_or_caution_is_refused_with_the_cure() {
    let broken = [
        ("drain-valve.material ==", "drain-valve.metal ==", "nothing is called 'drain-valve.metal'"),
        ("\"plastic\"'", "\"plastics\"'", "one of brass, plastic"),
        ("drain-valve.material == \"plastic\"'", "drain-valve.material == limit.none'", "limit.none"),
        ("trade =", "caution = \"fire\"\ntrade =", "no caution is called 'fire'"),
        ("source = [{ status = \"common-practice\" }]", "source = []", "no source"),
        ("class = \"upkeep\"", "class = \"bad\"", "no file of rules"),
    ];
    for (from, to, expected) in broken {
        let error = office(&OWN_RULE.replace(from, to)).err().map(|e| e.to_string()).unwrap_or_default();
        assert!(error.contains(expected), "{to}: {error}");
    }
    let error = office("drop = [\"no-such-rule\"]").err().unwrap().to_string();
    assert!(error.contains("no-such-rule"), "{error}");
}

#[test]
fn an_unknown_standard_is_refused_and_the_known_ones_are_named() {
    let error = Rules::shipped().unwrap().require_standard("irc-1999").unwrap_err().to_string();
    assert!(error.contains("irc-1999") && error.contains("irc-2021, upc-2021"), "{error}");
}

#[test]
fn a_figure_from_memory_says_so_wherever_its_source_is_shown() {
    let rules = Rules::shipped().unwrap();
    let clearance = rules.bound("single-wall-clearance", "irc-2021").unwrap();
    assert_eq!(clearance.source.to_string(), "IRC 2021 table G2427.10.5 (from memory)");
    assert_eq!(rules.bound("static-pressure-max", "irc-2021").unwrap().source.to_string(), "IRC 2021 P2903.3.1");
}
