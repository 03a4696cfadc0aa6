//! What to ask first: what a mistake would cost times how likely it is.
use crate::judge::{Class, Rules};
use crate::record::{Fact, State, Value, contradicts};
use std::collections::BTreeMap;

/// One fact to be asked about.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// Index into the record's facts.
    pub fact: usize,
    /// Cost times likelihood of a mistake.
    pub risk: f64,
    pub group: Group,
}

/// In which order facts come, whatever their risk.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// Unsure, disputed, or with a stated doubt.
    Doubtful,
    /// A number: looked at one by one, however sure.
    Reading,
    /// Words that are sure; these alone may be accepted together.
    Sure,
}

/// Below this a fact is doubtful; above it one in ten is still wrong.
pub const SURE: f64 = 0.9;

/// The facts that nobody has decided, or that were reopened, the riskiest first. `cost` tells what a mistake in a fact
/// would cost.
pub fn order(facts: &[Fact], cost: impl Fn(&Fact) -> f64) -> Vec<Ask> {
    let open =
        |f: &Fact| f.state == State::Heard || (f.state != State::Rejected && (f.disputed || !f.doubts.is_empty()));
    let ask =
        |fact: usize| Ask { fact, risk: cost(&facts[fact]) * likelihood(&facts[fact]), group: group(&facts[fact]) };
    let mut asks: Vec<Ask> = (0..facts.len()).filter(|&i| open(&facts[i])).map(ask).collect();
    // Equal risks stay in the order spoken, so that a person follows the walk.
    asks.sort_by(|a, b| a.group.cmp(&b.group).then(b.risk.total_cmp(&a.risk)));
    asks
}

fn group(fact: &Fact) -> Group {
    match (is_doubtful(fact), &fact.value) {
        (true, _) => Group::Doubtful,
        (false, Value::Number(_)) => Group::Reading,
        (false, Value::Text(_)) => Group::Sure,
    }
}

/// Whether a person has to look at this one fact by itself.
pub fn is_doubtful(fact: &Fact) -> bool {
    fact.disputed || !fact.doubts.is_empty() || fact.confidence < SURE
}

/// The other live statements on the same question.
pub fn rivals<'f>(facts: &'f [Fact], fact: &Fact) -> Vec<&'f Fact> {
    let rival = |f: &&Fact| f.state != State::Rejected && contradicts(f, fact);
    facts.iter().filter(rival).collect()
}

/// How likely a fact is wrong; a dispute makes it at least even, a stated doubt at least one in four.
fn likelihood(fact: &Fact) -> f64 {
    let wrong = 1.0 - fact.confidence.clamp(0.0, 0.99);
    match (fact.disputed, fact.doubts.is_empty()) {
        (true, _) => wrong.max(0.5),
        (false, false) => wrong.max(0.25),
        (false, true) => wrong,
    }
}

/// What a mistake in a fact costs, as a factor from 1: the gravest rule that hangs on it, and numbers above words,
/// since a wrong digit does not look wrong.
#[derive(Debug, Default)]
pub struct Costs(BTreeMap<String, f64>);

impl Costs {
    /// The costs under a standard.
    pub fn under(rules: &Rules, standard: &str) -> Self {
        let mut by_key: BTreeMap<String, f64> = BTreeMap::new();
        for rule in rules.under(standard) {
            for key in rule.keys() {
                let cost = by_key.entry(key).or_default();
                *cost = cost.max(weight(rule.class));
            }
        }
        Costs(by_key)
    }

    /// The cost of a mistake in one fact.
    pub fn of(&self, fact: &Fact) -> f64 {
        let of = |key: String| self.0.get(&key).copied().unwrap_or(1.0);
        let reading = if matches!(fact.value, Value::Number(_)) { 1.5 } else { 1.0 };
        reading * of(fact.key()).max(of(format!("any.{}", fact.attribute)))
    }
}

/// How much graver a missed finding of a class is than a wrong detail: our judgement, no source.
fn weight(class: Class) -> f64 {
    match class {
        Class::Unsafe => 10.0,
        Class::Defect => 5.0,
        Class::Worn | Class::Watch => 2.0,
        Class::Upkeep | Class::Limit => 1.5,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fact(key: &str, confidence: f64) -> Fact {
        let (component, attribute) = key.split_once('.').unwrap();
        Fact { confidence, ..Fact::new(component, attribute, Value::Text("present".into())) }
    }

    fn asked(facts: &[Fact], cost: impl Fn(&Fact) -> f64) -> Vec<String> {
        order(facts, cost).into_iter().map(|a| facts[a.fact].component.clone()).collect()
    }

    #[test]
    fn a_costly_small_doubt_goes_before_a_cheap_large_one() {
        let facts = [fact("casing.damage", 0.5), fact("gas-line.leak", 0.8)];
        let cost = |f: &Fact| if f.component == "gas-line" { 10.0 } else { 1.0 };
        // 10 × 0.2 = 2 against 1 × 0.5.
        assert_eq!(asked(&facts, cost), ["gas-line", "casing"]);
    }

    #[test]
    fn what_is_doubtful_goes_before_what_is_sure_at_any_cost() {
        let facts = [fact("gas-line.leak", 0.95), fact("casing.damage", 0.89)];
        assert_eq!(asked(&facts, |f| if f.component == "gas-line" { 100.0 } else { 1.0 }), ["casing", "gas-line"]);
    }

    #[test]
    fn decided_facts_are_asked_again_only_when_reopened() {
        let mut facts = [fact("a.x", 1.0), fact("b.x", 1.0), fact("c.x", 1.0)];
        facts[0].state = State::Confirmed;
        facts[1].state = State::Confirmed;
        facts[1].disputed = true;
        facts[2].state = State::Rejected;
        assert_eq!(asked(&facts, |_| 1.0), ["b"]);
    }

    #[test]
    fn a_sure_reading_is_asked_by_itself_before_sure_words() {
        let mut facts = [fact("a.x", 0.95), fact("b.x", 0.99)];
        facts[1].value = Value::Number(50.0);
        assert_eq!(asked(&facts, |_| 1.0), ["b", "a"]);
        assert_eq!(order(&facts, |_| 1.0)[0].group, Group::Reading);
    }

    #[test]
    fn what_can_hurt_costs_more_than_a_detail() {
        let costs = Costs::under(&Rules::shipped().unwrap(), "irc-2021");
        let cost = |f: &Fact| costs.of(f);
        // gas-line.leak is in a rule of class unsafe, water-heater.brand in none.
        assert!(cost(&fact("gas-line.leak", 1.0)) > cost(&fact("casing.leak", 1.0)));
        assert!(cost(&fact("casing.leak", 1.0)) > cost(&fact("water-heater.brand", 1.0)));
        assert!(cost(&fact("vent.corrosion", 1.0)) >= 5.0, "rules over any corrosion reach each part");
    }

    #[test]
    fn equal_risks_stay_in_the_order_spoken() {
        let facts = [fact("a.x", 0.7), fact("b.x", 0.7), fact("c.x", 0.7)];
        assert_eq!(asked(&facts, |_| 1.0), ["a", "b", "c"]);
    }
}
