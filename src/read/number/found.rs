//! Quantities of a line of text, with their places in it.
use super::{Distractor, Quantity, Unit, place, quantities};
use crate::read::tokenize;
use serde::Serialize;

/// A quantity as `hearsheet quantity` prints it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Found {
    pub value: f64,
    /// UCUM code of the unit.
    pub unit: Option<&'static str>,
    /// Both ends of a range.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub low: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub high: Option<f64>,
    /// The lower one of a pair such as 120/240.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub other: Option<f64>,
    /// First character of the number or its unit, and the one after the last.
    pub span: [usize; 2],
    pub text: String,
    /// `about`, `over` or `under`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub approx: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub year: Option<i32>,
    /// What the number is where it is no reading.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub distractor: Option<&'static str>,
    pub certainty: f64,
}

/// All quantities of one line of text, in order.
pub fn find(text: &str) -> Vec<Found> {
    let (transcript, words) = place::words(text);
    let tokens = tokenize(&transcript);
    let places = place::tokens(text, &tokens, &words);
    let mut counted = Counted { text, byte: 0, chars: 0 };
    quantities(&tokens)
        .into_iter()
        .map(|quantity| {
            let start = places[quantity.span.start].start;
            // A token that its word adds, such as the inch of 3/4", may stand nowhere: the span never runs backwards.
            let end = quantity.span.clone().map(|t| places[t].end).max().unwrap_or(start).max(start);
            let minus = minus(text, start);
            let start = minus.unwrap_or(start);
            let span = [counted.chars_before(start), counted.chars_before(end)];
            found(quantity, minus.is_some(), span, &text[start..end])
        })
        .collect()
}

/// Where a lone minus before a figure stands: "-5 degrees", not "R-13" or "60-65".
fn minus(text: &str, start: usize) -> Option<usize> {
    let before = text[..start].strip_suffix(['-', '–', '−'])?;
    let lone = before.chars().next_back().is_none_or(|c| c.is_whitespace() || c == '(');
    (lone && text[start..].starts_with(|c: char| c.is_ascii_digit())).then_some(before.len())
}

fn found(quantity: Quantity, negative: bool, span: [usize; 2], text: &str) -> Found {
    let sign = if negative { -1.0 } else { 1.0 };
    let (low, high) = quantity.range.map_or((None, None), |[low, high]| (Some(sign * low), Some(high)));
    let approx = match quantity.approx {
        super::Approx::Exact => None,
        super::Approx::About => Some("about"),
        super::Approx::Over => Some("over"),
        super::Approx::Under => Some("under"),
    };
    Found {
        value: if quantity.range.is_some() { quantity.value } else { sign * quantity.value },
        unit: quantity.unit.map(|unit| code(unit, quantity.distractor)),
        low,
        high,
        other: quantity.other,
        span,
        text: text.to_owned(),
        approx,
        year: quantity.year,
        distractor: quantity.distractor.map(super::Distractor::name),
        certainty: quantity.certainty,
    }
}

/// The UCUM code of a unit; bare degrees are Fahrenheit, as `convert` takes them, but for the bend of a fitting.
fn code(unit: Unit, distractor: Option<Distractor>) -> &'static str {
    match unit {
        Unit::Degree if distractor != Some(Distractor::Angle) => Unit::Fahrenheit.ucum(),
        unit => unit.ucum(),
    }
}

/// Counts characters once over the whole line, however many places are asked for in order.
struct Counted<'a> {
    text: &'a str,
    byte: usize,
    chars: usize,
}

impl Counted<'_> {
    fn chars_before(&mut self, byte: usize) -> usize {
        if byte < self.byte {
            return self.text[..byte].chars().count();
        }
        self.chars += self.text[self.byte..byte].chars().count();
        self.byte = byte;
        self.chars
    }
}
