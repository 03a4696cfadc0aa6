//! Rules tried on their own examples.
use super::condition::Truth;
use super::rule::Rule;
use super::rules::Rules;
use super::{Bench, Context, Situation, phrase};

/// The year that the examples were written for; ages are counted to it.
const YEAR: i16 = 2026;

impl Rules {
    /// The examples of some rules that do not come out as the list says that they stand in, each with what was expected.
    pub fn failed_examples(&self, which: impl Fn(&Rule) -> bool) -> Vec<String> {
        self.rules.iter().filter(|rule| which(rule)).flat_map(|rule| self.failures(rule)).collect()
    }

    fn failures(&self, rule: &Rule) -> Vec<String> {
        let lists = [("yes", &rule.yes), ("no", &rule.no), ("unknown", &rule.unknown)];
        let examples = lists.iter().flat_map(|(expected, list)| list.iter().map(move |example| (*expected, example)));
        examples
            .filter_map(|(expected, example)| {
                let got = self.outcome(rule, example);
                let told = || format!("rule '{}': '{example}' is listed under {expected} but comes to {got}", rule.id);
                (got != expected).then(told)
            })
            .collect()
    }

    /// What a rule comes to with the facts of an example, after `unless`, under a standard that knows it.
    fn outcome(&self, rule: &Rule, example: &str) -> String {
        let facts = match phrase::facts(example, &self.catalogue) {
            Ok(facts) => facts,
            Err(error) => return error.to_string(),
        };
        let standard = rule.standards.first().or(self.standards.first().map(|s| &s.id)).cloned().unwrap_or_default();
        let context = Context { standard, today: jiff::civil::date(YEAR, 1, 1), office_rules: None };
        let situation = Situation::of(1, &facts, &self.house);
        let bench = Bench::new(self, &context);
        let outcome = match rule.holds.as_ref().map(|when| bench.truth(when, &situation)) {
            Some(Truth::Holds(_)) if bench.verdict(rule, &situation).is_some() => "yes",
            Some(Truth::Holds(_) | Truth::Fails(_)) | None => "no",
            Some(Truth::Hangs(_)) => "unknown",
        };
        outcome.to_owned()
    }
}
