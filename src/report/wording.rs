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
    /// What no inspection of this kind looks into.
    pub outside: Vec<String>,
    word: BTreeMap<String, String>,
    class: BTreeMap<String, Class>,
    rule: BTreeMap<String, String>,
}

impl Wording {
    /// The words that ship with the program.
    pub fn shipped() -> Result<Self, Error> {
        Self::shipped_with(&toml::Table::new())
    }

    /// The words that ship, with an office's own in place of some.
    pub fn shipped_with(own: &toml::Table) -> Result<Self, Error> {
        let fault = |source| Error::Wording { source: Box::new(source) };
        let mut words: toml::Table = toml::from_str(SHIPPED).map_err(fault)?;
        lay_over(&mut words, own).map_err(fault)?;
        words.try_into().map_err(fault)
    }

    /// The fixed sentences and labels by their ids.
    pub fn words(&self) -> BTreeMap<String, String> {
        self.word.clone()
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

/// Replaces words one by one; a key that the shipped words do not have is a slip.
fn lay_over(words: &mut toml::Table, own: &toml::Table) -> Result<(), toml::de::Error> {
    for (key, value) in own {
        match (words.get_mut(key), value) {
            (Some(toml::Value::Table(words)), toml::Value::Table(own)) => lay_over(words, own)?,
            (Some(word), value) => *word = value.clone(),
            (None, _) => return Err(serde::de::Error::custom(format!("`{key}` is none of the report's words"))),
        }
    }
    Ok(())
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
