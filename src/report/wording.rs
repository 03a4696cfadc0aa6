//! What the report calls its findings.
use super::Error;
use crate::lexicon::plain;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

const SHIPPED: &str = include_str!("wording.toml");

/// How a class of findings is called, marked and explained.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Class {
    pub label: String,
    /// One character that stands beside the label, so that colour is never the only mark.
    pub sign: String,
    pub meaning: String,
}

/// All the words of a report that an office may want to change.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Wording {
    pub title: String,
    class: BTreeMap<String, Class>,
    rule: BTreeMap<String, String>,
}

impl Wording {
    /// The words that ship with the program.
    pub fn shipped() -> Result<Self, Error> {
        toml::from_str(SHIPPED).map_err(|source| Error::Wording { source: Box::new(source) })
    }

    /// The class with this id.
    pub fn class(&self, id: &str) -> Class {
        let unknown = || Class { label: plain(id), sign: "•".to_owned(), meaning: String::new() };
        self.class.get(id).cloned().unwrap_or_else(unknown)
    }

    /// The short name of what a rule finds.
    pub fn rule(&self, id: &str) -> String {
        self.rule.get(id).cloned().unwrap_or_else(|| plain(id))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::{Class, Rules};

    #[test]
    fn every_rule_and_class_has_its_words_and_no_words_are_idle() {
        let (wording, rules) = (Wording::shipped().unwrap(), Rules::shipped().unwrap());
        let ids: Vec<&str> = rules.rules.iter().map(|r| r.id.as_str()).collect();
        assert_eq!(ids.iter().filter(|id| !wording.rule.contains_key(**id)).collect::<Vec<_>>(), [&""; 0]);
        assert_eq!(wording.rule.keys().filter(|id| !ids.contains(&id.as_str())).collect::<Vec<_>>(), [""; 0]);
        let classes = [Class::Unsafe, Class::Defect, Class::Worn, Class::Watch, Class::Upkeep, Class::Limit];
        assert_eq!(wording.class.len(), classes.len());
        assert!(classes.iter().all(|class| wording.class.contains_key(class.name())));
    }
}
