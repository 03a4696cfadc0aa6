//! The catalogue: each fact that the record can hold.
use super::Names;
use serde::Deserialize;

/// What kind of value an attribute takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    Choice,
    Presence,
    Number,
    Year,
    Text,
}

/// One row: an attribute of a component, what it may say and when it is asked for.
#[derive(Debug, Clone, Deserialize)]
pub struct Row {
    pub component: String,
    pub attribute: String,
    pub kind: Kind,
    #[serde(deserialize_with = "split")]
    pub values: Vec<String>,
    /// The unit a number is stored in, as the catalogue writes it.
    #[serde(deserialize_with = "filled")]
    pub unit: Option<String>,
    /// Which heaters it is about: `all`, `storage`, `electric` or `gas`.
    pub applies: String,
    #[serde(deserialize_with = "always")]
    pub ask: bool,
    pub means: String,
}

impl Row {
    /// `component.attribute`.
    pub fn key(&self) -> String {
        format!("{}.{}", self.component, self.attribute)
    }
}

/// All rows, in the order of the file.
#[derive(Debug, Clone)]
pub struct Catalogue {
    pub rows: Vec<Row>,
    /// What its ids are called where a person reads them.
    pub names: Names,
}

const SHIPPED: &str = include_str!("../../lexicon/catalogue.csv");

impl Catalogue {
    /// The catalogue that ships with the program; a test reads every row of it.
    pub fn shipped() -> Self {
        let rows = csv::Reader::from_reader(SHIPPED.as_bytes()).into_deserialize().filter_map(Result::ok).collect();
        Catalogue { rows, names: Names::shipped() }
    }

    /// The row of `component.attribute`.
    pub fn row(&self, component: &str, attribute: &str) -> Option<&Row> {
        self.rows.iter().find(|r| r.component == component && r.attribute == attribute)
    }
}

fn split<'de, D: serde::Deserializer<'de>>(d: D) -> Result<Vec<String>, D::Error> {
    let text = String::deserialize(d)?;
    Ok(text.split('|').filter(|v| !v.is_empty()).map(str::to_owned).collect())
}

fn filled<'de, D: serde::Deserializer<'de>>(d: D) -> Result<Option<String>, D::Error> {
    Ok(Some(String::deserialize(d)?).filter(|u| !u.is_empty()))
}

fn always<'de, D: serde::Deserializer<'de>>(d: D) -> Result<bool, D::Error> {
    Ok(String::deserialize(d)? == "always")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_file_is_read() {
        // One header line, then one row a line.
        assert_eq!(Catalogue::shipped().rows.len(), SHIPPED.trim().lines().count() - 1);
        assert_eq!(Catalogue::shipped().rows.len(), 86, "the catalogue is a contract of 86 rows");
    }
}
