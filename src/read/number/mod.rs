//! Spoken numbers and their units: cardinals, decimals, fractions, pairs, ranges, years, and what is no reading at all.
mod approx;
mod cardinal;
mod compose;
mod context;
mod convert;
mod figure;
mod found;
mod fraction;
mod line;
mod measure;
mod one;
mod phrase;
mod place;
mod plausible;
mod spelled;
mod unit;
mod unit_name;
mod unit_table;
mod written;
mod year;

use super::token::Token;
use crate::lexicon::number_word as word;
use line::Line;
use phrase::Phrase;
use std::ops::Range;

pub use convert::convert;
pub use found::{Found, find};
pub use plausible::{Plausibility, plausible, twin};
pub use spelled::{Spelled, spelled};
pub use unit::{Dimension, Unit};
pub use year::is_month;

/// A number as spoken, with its unit where one was said.
#[derive(Debug, Clone, PartialEq)]
pub struct Quantity {
    /// Tokens of the number and its unit; "about" and "over" lie outside.
    pub span: Range<usize>,
    /// Tokens of the number alone.
    pub number: Range<usize>,
    /// As spoken, in the spoken unit; the higher of a pair, the upper end of a range.
    pub value: f64,
    /// Both ends of a range, the lower first.
    pub range: Option<[f64; 2]>,
    /// The lower one of a pair such as "one twenty over two forty".
    pub other: Option<f64>,
    pub unit: Option<Unit>,
    pub form: Form,
    pub approx: Approx,
    /// Why this is never a reading.
    pub distractor: Option<Distractor>,
    /// The year it can be read as, 1950 to 2030.
    pub year: Option<i32>,
    /// How sure the words are this number and this unit, 0 to 1; the recogniser's own doubt is not in it.
    pub certainty: f64,
}

impl Quantity {
    /// Whether its unit can be converted to another: what is told in litres is a volume, so it measures "gal".
    pub fn measures(&self, unit: &str) -> bool {
        self.unit.is_some_and(|own| convert(1.0, own, unit).is_some())
    }
}

/// The way a number was said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    Cardinal,
    Ordinal,
    Decimal,
    Fraction,
    Mixed,
    /// "one twenty over two forty".
    Pair,
    /// Digit by digit: "four oh two".
    Digits,
    /// "oh nine".
    LeadingZero,
    /// "twenty fourteen", "2014".
    Year,
    FeetInches,
    /// Gauge and conductors: "ten two", "12-3".
    Cable,
    /// "a couple of".
    Vague,
}

/// Whether the number was hedged, and to which side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Approx {
    #[default]
    Exact,
    About,
    Over,
    Under,
}

/// What a number is when it is no reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Distractor {
    StreetNumber,
    Phone,
    Time,
    Date,
    Duration,
    Age,
    Money,
    Count,
    /// First, third, and so on, of anything but a floor or a date.
    Order,
    CodeSection,
    Floor,
    UnitNumber,
    /// "circuit fourteen", "photo twelve".
    Label,
    /// "schedule forty", "R thirteen".
    Grade,
    /// "two by four".
    Size,
    /// The bend of a fitting: "ninety degree elbow".
    Angle,
    /// Part of a spelled model or serial number.
    Spelled,
    Idiom,
}

impl Distractor {
    /// The name in the output.
    pub fn name(self) -> &'static str {
        match self {
            Distractor::StreetNumber => "street-number",
            Distractor::Phone => "phone",
            Distractor::Time => "time",
            Distractor::Date => "date",
            Distractor::Duration => "duration",
            Distractor::Age => "age",
            Distractor::Money => "money",
            Distractor::Count => "count",
            Distractor::Order => "order",
            Distractor::CodeSection => "code-section",
            Distractor::Floor => "floor",
            Distractor::UnitNumber => "unit-number",
            Distractor::Label => "label",
            Distractor::Grade => "grade",
            Distractor::Size => "size",
            Distractor::Angle => "angle",
            Distractor::Spelled => "spelled",
            Distractor::Idiom => "idiom",
        }
    }
}

/// All numbers in the tokens, in order, none overlapping another.
pub fn quantities(tokens: &[Token]) -> Vec<Quantity> {
    let line = Line::new(tokens);
    let mut phrases: Vec<Phrase> = Vec::new();
    let mut at = 0;
    while at < line.len() {
        match phrase::phrase(&line, at) {
            Some(found) => {
                at = found.end;
                phrases.push(found);
            }
            None => at += 1,
        }
    }
    context::settle(&line, &mut phrases);
    let spelled = spelled::spans(&line);
    phrases.into_iter().map(|phrase| finish(&line, phrase, &spelled)).collect()
}

/// Turns positions in the line into tokens and adds what the words around say.
fn finish(line: &Line, phrase: Phrase, spelled: &[Range<usize>]) -> Quantity {
    let tokens = |from: usize, to: usize| line.pieces[from].token..line.pieces[to - 1].token + 1;
    // The spelled spans are in order: those before this phrase are cut off by halving.
    let next = spelled.partition_point(|s| s.end <= phrase.start);
    let in_spelled = spelled.get(next).is_some_and(|s| s.start < phrase.end);
    let distractor = if in_spelled { Some(Distractor::Spelled) } else { context::distractor(line, &phrase) };
    Quantity {
        span: tokens(phrase.start, phrase.end),
        number: tokens(phrase.number.start, phrase.number.end),
        year: if in_spelled { None } else { year::year(line, &phrase) },
        approx: approx::approx(line, &phrase),
        value: phrase.value,
        range: phrase.range,
        other: phrase.other,
        unit: phrase.unit,
        form: phrase.form,
        distractor,
        certainty: phrase.certainty,
    }
}

#[cfg(test)]
mod tests;
