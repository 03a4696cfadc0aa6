//! Computations, each with its formula, its source and the range where it holds.
pub mod age;
pub mod air;
pub mod circuit;
pub mod discharge;
mod error;
pub mod expansion;
pub mod heating;
mod line;
pub mod pressure;
pub mod quantity;
pub mod scald;
pub mod water;

pub use error::Error;
pub(super) use line::summary;
pub use line::{FigureLine, figures_for};

use super::phrase::number;

/// A computation done: what went in, by which formula, and what came out.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Figure {
    /// Its name on the command line.
    pub name: &'static str,
    pub title: &'static str,
    /// What went in: what it is, and its value with unit.
    pub inputs: Vec<(String, String)>,
    pub formula: &'static str,
    pub source: String,
    /// What came out.
    pub results: Vec<(String, String)>,
    /// What a reader must know before leaning on it.
    pub notes: Vec<String>,
    /// Id of the caution that belongs beside it.
    pub caution: Option<&'static str>,
}

impl Figure {
    /// The results in one line.
    pub fn summary(&self) -> String {
        self.results.iter().map(|(what, value)| format!("{what} {value}")).collect::<Vec<_>>().join("; ")
    }
}

impl std::fmt::Display for Figure {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let width = self.inputs.iter().chain(&self.results).map(|(what, _)| what.chars().count()).max().unwrap_or(0);
        writeln!(f, "{}", self.title)?;
        for (what, value) in &self.inputs {
            writeln!(f, "  {what:width$}  {value}")?;
        }
        writeln!(f, "formula: {}", self.formula)?;
        writeln!(f, "source: {}", self.source)?;
        for (what, value) in &self.results {
            writeln!(f, "= {what:width$}  {value}")?;
        }
        self.notes.iter().try_for_each(|note| writeln!(f, "note: {note}"))
    }
}

/// A named value for a figure's list.
fn row(what: &str, value: impl Into<String>) -> (String, String) {
    (what.to_owned(), value.into())
}

/// A value with its unit.
fn with_unit(value: f64, unit: &str) -> String {
    format!("{} {unit}", number(value)).trim_end().to_owned()
}

/// Refuses a value outside the range where a formula holds.
fn within(what: &'static str, value: f64, low: f64, high: f64, unit: &'static str) -> Result<(), Error> {
    // Converting to SI and back may cost the last digit. What is no number fails every comparison and is refused too.
    let slack = 1e-9 * high.abs().max(1.0);
    if value >= low - slack && value <= high + slack {
        return Ok(());
    }
    Err(Error::Range { what, value: with_unit(value, unit), low: number(low), high: with_unit(high, unit) })
}
