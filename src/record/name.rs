//! Which fact is meant: `[item/]component.attribute[@place]`.
use super::{Error, Fact};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::str::FromStr;

/// The name of a fact, as a person types it and the journal keeps it.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "String", into = "String")]
#[schemars(with = "String")]
pub struct FactName {
    pub item: u32,
    pub component: String,
    pub attribute: String,
    /// Needed only where the same thing is told of two places.
    pub place: Option<String>,
}

impl FactName {
    /// The name of a fact, with its place.
    pub fn of(fact: &Fact) -> Self {
        FactName {
            item: fact.item,
            component: fact.component.clone(),
            attribute: fact.attribute.clone(),
            place: fact.place.clone(),
        }
    }

    /// Whether the fact is about the same attribute of the same item, wherever on it.
    pub fn same_key(&self, fact: &Fact) -> bool {
        self.item == fact.item && self.component == fact.component && self.attribute == fact.attribute
    }

    /// `component.attribute`, the key of the catalogue.
    pub fn key(&self) -> String {
        format!("{}.{}", self.component, self.attribute)
    }
}

impl std::fmt::Display for FactName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.item != 1 {
            write!(f, "{}/", self.item)?;
        }
        write!(f, "{}.{}", self.component, self.attribute)?;
        if let Some(place) = &self.place {
            write!(f, "@{place}")?;
        }
        Ok(())
    }
}

impl FromStr for FactName {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self, Error> {
        let refuse = || Error::FactName { text: text.to_owned() };
        let (rest, place) = match text.trim().split_once('@') {
            Some((rest, place)) => (rest, Some(place.trim().to_owned()).filter(|p| !p.is_empty())),
            None => (text.trim(), None),
        };
        let (item, key) = match rest.split_once('/') {
            Some((item, key)) => (item.trim().parse().map_err(|_| refuse())?, key),
            None => (1, rest),
        };
        let (component, attribute) = key.split_once('.').ok_or_else(refuse)?;
        let word = |w: &str| !w.is_empty() && w.chars().all(|c| c.is_ascii_alphanumeric() || c == '-');
        if item == 0 || !word(component) || !word(attribute) {
            return Err(refuse());
        }
        Ok(FactName { item, component: component.to_owned(), attribute: attribute.to_owned(), place })
    }
}

impl TryFrom<String> for FactName {
    type Error = Error;

    fn try_from(text: String) -> Result<Self, Error> {
        text.parse()
    }
}

impl From<FactName> for String {
    fn from(name: FactName) -> String {
        name.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_comes_back_as_it_was_written() {
        for text in ["casing.leak", "2/casing.leak", "water-system.static-pressure@hose bib", "3/a.b@x.y/z"] {
            assert_eq!(text.parse::<FactName>().unwrap().to_string(), text, "writing undoes reading");
        }
        assert_eq!("1/casing.leak".parse::<FactName>().unwrap().to_string(), "casing.leak", "the first item is unsaid");
    }

    #[test]
    fn what_names_no_fact_is_refused() {
        for text in ["", "casing", "casing.", ".leak", "0/casing.leak", "x/casing.leak", "../etc.passwd", "a b.c"] {
            assert!(text.parse::<FactName>().is_err(), "'{text}' must not pass");
        }
    }
}
