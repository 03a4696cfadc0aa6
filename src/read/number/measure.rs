//! A number and the unit after it.
use super::line::Line;
use super::one::{self, Number};
use super::unit::{Dimension, Unit};
use super::{Form, unit_name};
use crate::read::Stop;

/// A number with the unit found after it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Measured {
    pub number: Number,
    pub end: usize,
    pub unit: Option<Unit>,
    pub certainty: f64,
}

/// Words that may stand between a number and its unit: "sixty or so pounds", "forty-ish gallons".
const BETWEEN: &[&[&str]] =
    &[&["or", "so"], &["or", "thereabouts"], &["ish"], &["plus"], &["odd"], &["some"], &["point"], &["and", "change"]];

/// Finds the unit of a number.
pub(super) fn measured(line: &Line, number: Number) -> Measured {
    let end = number.end;
    let none = |number: Number| Measured { end, unit: number.implied, certainty: 1.0, number };
    if line.stop(end - 1) != Stop::None || number.form == Form::Ordinal {
        return none(number);
    }
    if let Some(gauge) = gauge(line, &number) {
        return Measured { end: gauge, unit: Some(Unit::Gauge), certainty: 1.0, number };
    }
    let between = BETWEEN.iter().filter(|w| w[0] != "point").find(|words| line.says(end, words)).map_or(0, |w| w.len());
    let Some(found) = after(line, end + between, &number) else { return none(number) };
    and_a_half(line, Measured { end: found.end, unit: Some(found.unit), certainty: found.certainty, number })
}

fn after(line: &Line, at: usize, number: &Number) -> Option<unit_name::Found> {
    let part = matches!(number.form, Form::Fraction | Form::Mixed) || number.value < 1.0;
    let mut at = at;
    if part {
        let of = usize::from(line.word(at) == "of");
        let article = usize::from(matches!(line.word(at + of), "a" | "an" | "one"));
        if of + article > 0 && (article > 0 || unit_name::at(line, at + of, false).is_some()) {
            at += of + article;
        }
    } else if matches!(line.word(at), "of") {
        return None;
    }
    let slope = part.then(|| per_foot(line, at)).flatten();
    let found = slope.or_else(|| unit_name::at(line, at, number.figures))?;
    (found.certainty == 1.0 || suits(found.unit, number)).then_some(found)
}

/// "a quarter per foot", "one eighth to the foot": the inch is understood.
fn per_foot(line: &Line, at: usize) -> Option<unit_name::Found> {
    let bottom = unit_name::per_words(line, at)?;
    let named =
        matches!(line.word(at), "per" | "to" | "for" | "in" | "/") && matches!(line.word(bottom), "foot" | "ft");
    named.then_some(unit_name::Found { end: bottom + 1, unit: Unit::InchPerFoot, certainty: 0.9 })
}

/// Whether a number is one that people say with this unit; else what sounds like the unit is just a word.
fn suits(unit: Unit, number: &Number) -> bool {
    let value = number.value;
    match unit {
        Unit::Volt => (100.0..=600.0).contains(&value),
        Unit::Psi => (10.0..=250.0).contains(&value),
        Unit::Gauge => (4.0..=20.0).contains(&value),
        Unit::Degree | Unit::Celsius => value >= 30.0,
        Unit::Amp => value >= 10.0 && value % 5.0 == 0.0 && value <= 400.0,
        Unit::Watt => value >= 500.0,
        Unit::Btu | Unit::BtuPerHour => value >= 1000.0,
        Unit::Litre | Unit::Kilopascal => value >= 10.0,
        Unit::Ohm => value >= 2.0,
        Unit::Pound => value >= 20.0,
        _ => value > 1.0 || number.form == Form::Fraction,
    }
}

/// "number ten wire", "#10 copper", "number ten".
fn gauge(line: &Line, number: &Number) -> Option<usize> {
    let numbered = matches!(line.before(number.start, 1), "number" | "#" | "no");
    let wire = matches!(
        line.word(number.end),
        "wire" | "wires" | "copper" | "romex" | "conductor" | "conductors" | "awg" | "gauge" | "thhn" | "cable"
    );
    let size = number.value.fract() == 0.0 && (1.0..=20.0).contains(&number.value) && number.low.is_none();
    let named = usize::from(matches!(line.word(number.end), "awg" | "gauge"));
    (numbered && wire && size).then_some(number.end + named)
}

/// "two feet and a half": the fraction counts in the unit before it.
fn and_a_half(line: &Line, found: Measured) -> Measured {
    if line.word(found.end) != "and" || !line.flows(found.end) || found.number.value.fract() != 0.0 {
        return found;
    }
    let Some(part) = one::fraction(line, found.end + 1).filter(|p| p.value < 1.0 && line.flows(found.end + 1)) else {
        return found;
    };
    if measured_again(line, part.end) {
        return found;
    }
    let number = Number { value: found.number.value + part.value, form: Form::Mixed, ..found.number };
    Measured { end: part.end, number, ..found }
}

fn measured_again(line: &Line, at: usize) -> bool {
    line.word(at) == "of" || unit_name::at(line, at, false).is_some_and(|u| u.unit.dimension() == Dimension::Length)
}

/// Units that "a" or "an" counts as one; "a bar", "a meter" and "a minute" are other things.
fn counted_by_article(unit: Unit) -> bool {
    matches!(
        unit,
        Unit::Inch
            | Unit::Foot
            | Unit::Gallon
            | Unit::Litre
            | Unit::Mile
            | Unit::Kilometre
            | Unit::Centimetre
            | Unit::Millimetre
            | Unit::Kilogram
            | Unit::Pound
            | Unit::Hour
            | Unit::Ounce
            | Unit::Acre
            | Unit::Kilowatt
            | Unit::Quart
    )
}

/// "a foot", "an inch and a half", "inch and a quarter".
pub(super) fn article(line: &Line, at: usize) -> Option<Measured> {
    let said = matches!(line.word(at), "a" | "an");
    let counted =
        matches!(line.word(at.wrapping_sub(1)), "per" | "half" | "quarter" | "of" | "times" | "twice" | "once");
    let found = unit_name::at(line, at + usize::from(said), false)
        .filter(|f| f.certainty == 1.0 && counted_by_article(base(f.unit)))?;
    let singular = !line.word(found.end - 1).ends_with('s') && line.word(found.end - 1) != "feet";
    let number = Number::new(at, at + usize::from(said), 1.0, Form::Cardinal);
    let whole = Measured { number, end: found.end, unit: Some(found.unit), certainty: if said { 0.95 } else { 0.9 } };
    let extended = and_a_half(line, whole);
    let other =
        matches!(line.word(found.end), "valve" | "path" | "note" | "print" | "board" | "traffic" | "ball" | "bridge");
    let plain = said && !other && !(counted && extended.number.form != Form::Mixed);
    (singular && (plain || extended.number.form == Form::Mixed)).then_some(extended).map(|m| whole_number(at, m))
}

/// A number needs a token of its own: without an article it is the unit's.
fn whole_number(at: usize, measured: Measured) -> Measured {
    let number = Number { end: measured.number.end.max(at + 1), ..measured.number };
    Measured { number, ..measured }
}

/// The top of a compound, for deciding on an article.
fn base(unit: Unit) -> Unit {
    match unit {
        Unit::InchPerFoot => Unit::Inch,
        Unit::GallonPerMinute | Unit::GallonPerHour | Unit::GallonPerDay => Unit::Gallon,
        unit => unit,
    }
}
