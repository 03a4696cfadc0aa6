use super::*;
use crate::judge::condition::Truth;
use crate::judge::{Bench, Context, Situation, facts_from_text};

/// What a rule comes to with the facts of an example, after `unless`.
fn outcome(rules: &Rules, rule: &Rule, example: &str) -> &'static str {
    // Rules of one standard are tried under it; ages are counted to the year the examples were written for.
    let standard = rule.standards.first().cloned().unwrap_or_else(|| "irc-2021".to_owned());
    let context = Context { standard, today: jiff::civil::date(2026, 1, 1), office_rules: None };
    let facts = facts_from_text(example, &rules.catalogue).unwrap();
    let situation = Situation::of(1, &facts, &rules.house);
    let bench = Bench::new(rules, &context);
    match bench.truth(rule.holds.as_ref().unwrap(), &situation) {
        Truth::Holds(_) if bench.verdict(rule, &situation).is_some() => "yes",
        Truth::Holds(_) | Truth::Fails(_) => "no",
        Truth::Hangs(_) => "unknown",
    }
}

#[test]
fn every_example_of_every_rule_comes_out_as_its_entry_says() {
    let rules = Rules::shipped().unwrap();
    for rule in &rules.rules {
        for (expected, examples) in [("yes", &rule.yes), ("no", &rule.no), ("unknown", &rule.unknown)] {
            for example in examples {
                // Expected: the list that the example stands in.
                assert_eq!(outcome(&rules, rule, example), expected, "{}: {example}", rule.id);
            }
        }
    }
}

#[test]
fn every_rule_has_two_examples_that_hold_two_that_do_not_and_one_unknown() {
    for rule in &Rules::shipped().unwrap().rules {
        assert!(rule.yes.len() >= 2 && rule.no.len() >= 2 && !rule.unknown.is_empty(), "{}", rule.id);
    }
}
