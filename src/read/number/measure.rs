//! A number and the unit after it.
use super::line::Line;
use super::one::Number;
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

impl Measured {
    /// A number with no more of a unit than its form implies.
    pub fn bare(number: Number) -> Measured {
        Measured { end: number.end, unit: number.implied, certainty: 1.0, number }
    }
}

/// Words that may stand between a number and its unit: "sixty or so pounds", "forty-ish gallons".
const BETWEEN: &[&[&str]] =
    &[&["or", "so"], &["or", "thereabouts"], &["ish"], &["plus"], &["odd"], &["some"], &["and", "change"]];

/// Finds the unit of a number.
pub(super) fn measured(line: &Line, number: Number) -> Measured {
    let end = number.end;
    let none = |number: Number| Measured { end, unit: number.implied, certainty: 1.0, number };
    if let Some(gauge) = gauge(line, &number) {
        return Measured { end: gauge.end, unit: Some(Unit::Gauge), certainty: gauge.certainty, number };
    }
    if line.stop(end - 1) != Stop::None || number.form == Form::Ordinal {
        return none(number);
    }
    let between = BETWEEN.iter().find(|words| line.says(end, words)).map_or(0, |w| w.len());
    let Some(found) = after(line, end + between, &number) else { return none(number) };
    let unit = Some(metric_mil(line, &found, number.value));
    and_a_half(line, Measured { end: found.end, unit, certainty: found.certainty, number })
}

/// "Fifteen mil" of a British pipe and "fifty mil above the grate" are millimetres; "six mil" of a sheet is thousandths
/// of an inch.
fn metric_mil(line: &Line, found: &unit_name::Found, value: f64) -> Unit {
    const WHERE: [&str; 10] = ["above", "over", "off", "from", "short", "clear", "up", "below", "away", "copper"];
    let pipe = [15.0, 22.0, 28.0, 35.0, 42.0, 54.0].contains(&value) || value >= 100.0;
    let apart = WHERE.contains(&line.word(found.end));
    if found.unit == Unit::Mil && (pipe || apart) { Unit::Millimetre } else { found.unit }
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
    let whole_foot = at > number.end && eighths_a_foot(line, number) && matches!(line.word(at), "foot" | "ft");
    if whole_foot {
        return Some(unit_name::Found { end: at + 1, unit: Unit::InchPerFoot, certainty: 0.9 });
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

/// "Three eighths a foot" is a slope; "half a foot" and "a quarter of a foot" are lengths.
fn eighths_a_foot(line: &Line, number: &Number) -> bool {
    let fine = super::word::denominator(line.word(number.end - 1)).is_some_and(|(bottom, _)| bottom >= 4);
    fine && line.word(number.end) == "a"
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

/// "number ten wire", "#10 copper", "wire's twelve", "wire of ten", "thirty amp, number ten".
fn gauge(line: &Line, number: &Number) -> Option<unit_name::Found> {
    let size = number.value.fract() == 0.0 && (1.0..=18.0).contains(&number.value) && number.low.is_none();
    if !size || number.form != Form::Cardinal {
        return None;
    }
    let named = usize::from(line.follows(number.end) && matches!(line.word(number.end), "awg" | "gauge" | "gage"));
    let found = |certainty| Some(unit_name::Found { end: number.end + named, unit: Unit::Gauge, certainty });
    let numbered = matches!(line.before(number.start, 1), "number" | "#" | "no");
    if numbered && (is_wire(line.word(number.end)) || named == 1) && line.follows(number.end) {
        return found(1.0);
    }
    let even = number.value % 2.0 == 0.0;
    let link = |w: &str| matches!(w, "is" | "'s" | "of" | "number" | "#" | "was" | "a" | "in" | "size");
    let back = (1..=4).find(|&back| !link(line.before(number.start, back)))?;
    let measured = unit_name::at(line, number.end, number.figures).is_some();
    if even && !measured && is_wire(line.before(number.start, back)) {
        return found(0.9);
    }
    let labelled =
        matches!(line.before(number.start, 2), "" | "amp" | "amps" | "and" | "on" | "with" | "in" | "is" | "a");
    // Conductors of branch circuits come in these sizes; other numbers number something.
    let branch = matches!(number.value as u32, 6 | 8 | 10 | 12 | 14);
    (numbered && branch && labelled && !measured).then(|| found(0.6)).flatten()
}

fn is_wire(word: &str) -> bool {
    matches!(
        word,
        "wire"
            | "wires"
            | "wire's"
            | "wiring"
            | "copper"
            | "romex"
            | "conductor"
            | "conductors"
            | "thhn"
            | "cable"
            | "cables"
    )
}

/// "two feet and a half": the fraction counts in the unit before it.
fn and_a_half(line: &Line, found: Measured) -> Measured {
    if line.word(found.end) != "and" || !line.flows(found.end) || found.number.value.fract() != 0.0 {
        return found;
    }
    let Some(part) =
        super::fraction::fraction(line, found.end + 1).filter(|p| p.value < 1.0 && line.flows(found.end + 1))
    else {
        return found;
    };
    if measured_again(line, part.end) {
        return found;
    }
    let number = Number { value: found.number.value + part.value, form: Form::Mixed, ..found.number };
    let Some(unit) = found.unit else { return Measured { end: part.end, number, ..found } };
    // The bottom of a compound may come last: "an inch and a half a foot".
    let last = unit_name::compounded(line, unit_name::Found { end: part.end, unit, certainty: found.certainty });
    Measured { end: last.end, unit: Some(last.unit), number, ..found }
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
    let found = unit_name::head(line, at + usize::from(said), false).filter(|f| f.certainty == 1.0)?;
    let alone = counted_by_article(base(found.unit));
    let singular = !line.word(found.end - 1).ends_with('s') && line.word(found.end - 1) != "feet";
    let number = Number::new(at, at + usize::from(said), 1.0, Form::Cardinal);
    let whole = Measured { number, end: found.end, unit: Some(found.unit), certainty: if said { 0.95 } else { 0.9 } };
    let extended = and_a_half(line, whole);
    let other =
        matches!(line.word(found.end), "valve" | "path" | "note" | "print" | "board" | "traffic" | "ball" | "bridge");
    let plain = said && alone && !other && !(counted && extended.number.form != Form::Mixed);
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
