//! The words that a reader meets in place of the catalogue's ids.
use super::{Error, clean};
use crate::record::{Fact, Value};
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
    part: BTreeMap<String, String>,
    attribute: BTreeMap<String, String>,
    value: BTreeMap<String, String>,
    unit: BTreeMap<String, String>,
    class: BTreeMap<String, Class>,
    rule: BTreeMap<String, String>,
}

impl Wording {
    /// The words that ship with the program.
    pub fn shipped() -> Result<Self, Error> {
        toml::from_str(SHIPPED).map_err(|source| Error::Wording { source: Box::new(source) })
    }

    /// The name of a part, `relief-valve` or whatever else it is called.
    pub fn part(&self, component: &str) -> String {
        self.part.get(component).cloned().unwrap_or_else(|| plain(component))
    }

    /// What is told about a part.
    pub fn attribute(&self, component: &str, attribute: &str) -> String {
        let own = self.attribute.get(&format!("{component}.{attribute}"));
        own.or_else(|| self.attribute.get(attribute)).cloned().unwrap_or_else(|| plain(attribute))
    }

    /// The value of a fact with its unit, both ends where a range was spoken.
    pub fn value(&self, fact: &Fact) -> String {
        let key = fact.key();
        let unit = fact.unit.as_deref();
        match (&fact.value, fact.range) {
            (Value::Text(word), _) => self.word(&key, word),
            (Value::Number(_), Some([low, high])) => format!("{} to {}", number(low), self.amount(high, unit)),
            (Value::Number(value), None) => self.amount(*value, unit),
        }
    }

    /// A choice in words; any other text stays as it was said.
    pub fn word(&self, key: &str, word: &str) -> String {
        let own = self.value.get(&format!("{key}.{word}"));
        own.or_else(|| self.value.get(word)).cloned().unwrap_or_else(|| word.to_owned())
    }

    /// A number with its unit.
    pub fn amount(&self, value: f64, unit: Option<&str>) -> String {
        let Some(unit) = unit else { return number(value) };
        let shown = self.unit.get(unit).map_or(unit, String::as_str);
        let gap = if shown.starts_with('°') { "\u{202f}" } else { " " };
        format!("{}{gap}{shown}", number(value))
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

/// An id as words: `relief-valve` becomes `Relief valve`.
fn plain(id: &str) -> String {
    let words = id.replace('-', " ");
    let mut letters = words.chars();
    let words: String = letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default();
    clean(&words)
}

/// At most two places, as the record keeps; thousands are set apart from five digits on, so that years stay whole.
pub fn number(value: f64) -> String {
    let text = format!("{:.2}", value);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    let whole = text.find('.').unwrap_or(text.len());
    if whole < 5 {
        return text.to_owned();
    }
    let mut grouped = text.to_owned();
    for at in (1..whole.saturating_sub(2)).rev().filter(|at| (whole - at) % 3 == 0) {
        grouped.insert(at, ',');
    }
    grouped
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lexicon::{Catalogue, Kind};

    #[test]
    fn every_part_and_attribute_of_the_catalogue_has_its_words() {
        let wording = Wording::shipped().unwrap();
        for row in Catalogue::shipped().rows {
            assert!(wording.part.contains_key(&row.component), "[part] lacks {}", row.component);
            let named = wording.attribute.contains_key(&row.attribute) || wording.attribute.contains_key(&row.key());
            assert!(named, "[attribute] lacks {}", row.key());
        }
    }

    #[test]
    fn no_words_are_kept_for_what_the_catalogue_does_not_know() {
        let wording = Wording::shipped().unwrap();
        let rows = Catalogue::shipped().rows;
        let known = |key: &String| rows.iter().any(|r| *key == r.attribute || *key == r.key());
        assert_eq!(wording.attribute.keys().filter(|k| !known(k)).collect::<Vec<_>>(), [""; 0]);
        let words: Vec<String> = rows
            .iter()
            .flat_map(|r| r.values.iter().flat_map(move |v| [v.clone(), format!("{}.{v}", r.key())]))
            .collect();
        assert_eq!(wording.value.keys().filter(|k| !words.contains(k)).collect::<Vec<_>>(), [""; 0]);
    }

    #[test]
    fn every_choice_reads_as_words() {
        let wording = Wording::shipped().unwrap();
        for row in Catalogue::shipped().rows.iter().filter(|r| matches!(r.kind, Kind::Choice | Kind::Presence)) {
            for value in &row.values {
                assert!(!wording.word(&row.key(), value).contains('-'), "{} = {value} is shown as an id", row.key());
            }
        }
    }

    #[test]
    fn numbers_are_short_and_years_stay_whole() {
        for (value, text) in
            [(0.75, "0.75"), (50.0, "50"), (2011.0, "2011"), (199_000.0, "199,000"), (1e6, "1,000,000")]
        {
            assert_eq!(number(value), text);
        }
        assert_eq!(number(72.518), "72.52");
        let wording = Wording::shipped().unwrap();
        assert_eq!(wording.amount(126.0, Some("degF")), "126\u{202f}°F");
        let mut read = Fact::new("water-system", "static-pressure", Value::Number(80.0));
        (read.unit, read.range) = (Some("psi".to_owned()), Some([75.0, 80.0]));
        assert_eq!(wording.value(&read), "75 to 80 psi");
    }
}
