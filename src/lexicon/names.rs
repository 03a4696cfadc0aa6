//! What the catalogue's ids are called where a person reads them.
use crate::record::{Fact, Value};
use serde::Deserialize;
use std::collections::BTreeMap;

const SHIPPED: &str = include_str!("../../lexicon/names.toml");

/// Names of parts, attributes, choices and units.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Names {
    part: BTreeMap<String, String>,
    attribute: BTreeMap<String, String>,
    value: BTreeMap<String, String>,
    unit: BTreeMap<String, String>,
}

impl Names {
    /// The names that ship with the program; a test holds them against the catalogue.
    pub fn shipped() -> Self {
        toml::from_str(SHIPPED).unwrap_or_default()
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

    /// What a fact says, in words: `relief valve present`, `no drain pan`, `breaker, rating: 30 A`.
    pub fn fact(&self, fact: &Fact) -> String {
        let part = lower(&self.part(&fact.component));
        let said = match (fact.attribute.as_str(), fact.value.as_text()) {
            ("presence", Some("absent")) => format!("no {part}"),
            ("presence", Some(word)) => format!("{part} {}", self.word(&fact.key(), word)),
            ("made-year", _) => format!("made in {}", self.value(fact)),
            _ => format!("{part}, {}: {}", lower(&self.attribute(&fact.component, &fact.attribute)), self.value(fact)),
        };
        match &fact.place {
            Some(place) => format!("{said} ({place})"),
            None => said,
        }
    }

    /// A number with its unit.
    pub fn amount(&self, value: f64, unit: Option<&str>) -> String {
        let Some(unit) = unit else { return number(value) };
        let shown = self.unit.get(unit).map_or(unit, String::as_str);
        let gap = if shown.starts_with('°') { "\u{202f}" } else { " " };
        format!("{}{gap}{shown}", number(value))
    }
}

/// The words as they stand within a sentence.
fn lower(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map(|first| first.to_lowercase().chain(letters).collect()).unwrap_or_default()
}

/// An id as words: `relief-valve` becomes `Relief valve`.
pub fn plain(id: &str) -> String {
    let words = id.replace('-', " ");
    let mut letters = words.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
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

    fn catalogue() -> Catalogue {
        Catalogue::shipped()
    }

    #[test]
    fn every_part_and_attribute_of_the_catalogue_has_its_words() {
        let names = catalogue().names;
        for row in catalogue().rows {
            assert!(names.part.contains_key(&row.component), "[part] lacks {}", row.component);
            let named = names.attribute.contains_key(&row.attribute) || names.attribute.contains_key(&row.key());
            assert!(named, "[attribute] lacks {}", row.key());
        }
    }

    #[test]
    fn no_words_are_kept_for_what_the_catalogue_does_not_know() {
        let names = catalogue().names;
        let rows = catalogue().rows;
        let known = |key: &String| rows.iter().any(|r| *key == r.attribute || *key == r.key());
        assert_eq!(names.attribute.keys().filter(|k| !known(k)).collect::<Vec<_>>(), [""; 0]);
        let words: Vec<String> = rows
            .iter()
            .flat_map(|r| r.values.iter().flat_map(move |v| [v.clone(), format!("{}.{v}", r.key())]))
            .collect();
        assert_eq!(names.value.keys().filter(|k| !words.contains(k)).collect::<Vec<_>>(), [""; 0]);
    }

    #[test]
    fn every_choice_reads_as_words() {
        let names = catalogue().names;
        for row in catalogue().rows.iter().filter(|r| matches!(r.kind, Kind::Choice | Kind::Presence)) {
            for value in &row.values {
                assert!(!names.word(&row.key(), value).contains('-'), "{} = {value} is shown as an id", row.key());
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
        let names = catalogue().names;
        assert_eq!(names.amount(126.0, Some("degF")), "126\u{202f}°F");
        let mut read = Fact::new("water-system", "static-pressure", Value::Number(80.0));
        (read.unit, read.range) = (Some("psi".to_owned()), Some([75.0, 80.0]));
        assert_eq!(names.value(&read), "75 to 80 psi");
        assert_eq!(names.fact(&read), "house water supply, pressure, no water running: 75 to 80 psi");
    }
}
