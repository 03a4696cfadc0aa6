//! What is known about one heater: its own facts and those of the house it stands in.
use crate::record::{Fact, State};
use std::collections::BTreeMap;

/// The facts about one heater, each list in an order that does not depend on who said it first.
#[derive(Debug, Clone, Default)]
pub struct Situation<'f> {
    facts: BTreeMap<String, Vec<&'f Fact>>,
}

/// A fact that no longer needs a person: decided, or heard clearly, and not contradicted since.
pub fn is_certain(fact: &Fact) -> bool {
    match fact.state {
        State::Confirmed | State::Amended | State::Entered => !fact.disputed,
        State::Heard => !fact.disputed && fact.confidence >= 0.9,
        State::Rejected => false,
    }
}

impl<'f> Situation<'f> {
    /// Gathers what bears on heater `item`; parts named in `house` are shared by all heaters.
    ///
    /// A second heater drinks from the same water system as the first. What was said about a shared
    /// part while standing at another heater holds here too, unless this heater has its own word on it.
    pub fn of(item: u32, facts: &'f [Fact], house: &[String]) -> Self {
        let mut own = Situation::default();
        let mut shared = Situation::default();
        for fact in facts.iter().filter(|f| f.state != State::Rejected) {
            if fact.item == item {
                own.add(fact);
            } else if house.contains(&fact.component) {
                shared.add(fact);
            }
        }
        for (key, facts) in shared.facts {
            own.facts.entry(key).or_insert(facts);
        }
        own.facts.values_mut().for_each(|list| list.sort_by_cached_key(|f| order(f)));
        own
    }

    /// Just these facts, whichever heater they are about.
    pub fn gather(facts: &[&'f Fact]) -> Self {
        let mut situation = Situation::default();
        facts.iter().for_each(|fact| situation.add(fact));
        situation
    }

    fn add(&mut self, fact: &'f Fact) {
        self.facts.entry(fact.key()).or_default().push(fact);
    }

    /// The same without whatever still needs a person.
    pub fn certain(&self) -> Self {
        let mut facts = self.facts.clone();
        facts.values_mut().for_each(|list| list.retain(|f| is_certain(f)));
        facts.retain(|_, list| !list.is_empty());
        Situation { facts }
    }

    /// What was said of `key`; `any.corrosion` is the corrosion of any part.
    pub fn facts(&self, key: &str) -> Vec<&'f Fact> {
        match key.strip_prefix("any.") {
            Some(attribute) => self.all().filter(|f| f.attribute == attribute).collect(),
            None => self.facts.get(key).cloned().unwrap_or_default(),
        }
    }

    /// Whether anything was said of `key`.
    pub fn knows(&self, key: &str) -> bool {
        !self.facts(key).is_empty()
    }

    /// Whether one of the facts of `key` is this word.
    pub fn says(&self, key: &str, word: &str) -> bool {
        self.facts(key).iter().any(|f| f.value.as_text() == Some(word))
    }

    /// Every fact, by key.
    pub fn all(&self) -> impl Iterator<Item = &'f Fact> + '_ {
        self.facts.values().flatten().copied()
    }
}

/// A sort key over what a fact says, so that the order of speaking changes nothing.
pub fn order(fact: &Fact) -> (String, String, u32, Option<String>) {
    (fact.key(), fact.value.to_string(), fact.item, fact.place.clone())
}
