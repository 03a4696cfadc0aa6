//! Numbers as recognisers write them: "20-16", "2-40 volts", "60-65", "10-2", "20 19".
use super::Form;
use super::cardinal::{Atom, Kind, atom};
use super::line::Line;
use super::one::Number;
use super::unit::{Dimension, Unit};
use super::{compose, unit_name};

/// Puts figures together with figures beside them.
pub(super) fn compose(line: &Line, at: usize, first: Atom) -> Number {
    let form = if is_short_year(line.word(at)) { Form::LeadingZero } else { form_of(&first) };
    let alone = Number { figures: true, ..Number::new(at, first.end, first.value, form) };
    if line.stop(first.end - 1) != crate::read::Stop::None {
        return alone;
    }
    let run = compose::digit_run(line, at);
    if run.digits.len() >= 3 {
        return Number { figures: true, ..compose::whole_run(at, &run) };
    }
    if let Some(short) = short_year(line, at) {
        return short;
    }
    if let Some(cable) = glued_cable(line, at, &first) {
        return cable;
    }
    let Some(next) = atom(line, first.end).filter(|a| a.figures && a.kind != Kind::Fraction) else { return alone };
    let joined = line.joined(first.end);
    let found = if joined { hyphened(line, at, &first, &next) } else { spaced(line, at, &first, &next) };
    found.map_or(alone, |number| Number { figures: true, ..number })
}

/// "0-9" for 2009.
fn short_year(line: &Line, at: usize) -> Option<Number> {
    let digit =
        super::cardinal::parse_figures(line.word(at + 1)).filter(|d| (1.0..10.0).contains(d) && d.fract() == 0.0)?;
    let found = line.word(at) == "0" && line.joined(at + 1) && line.word(at + 1).len() == 1;
    found.then(|| Number { figures: true, certainty: 0.8, ..Number::new(at, at + 2, digit, Form::LeadingZero) })
}

/// "102 Romex" for "ten two Romex".
fn glued_cable(line: &Line, at: usize, first: &Atom) -> Option<Number> {
    let known = [102.0, 103.0, 122.0, 123.0, 142.0, 143.0].contains(&first.value);
    let named = compose::is_cable(line.word(first.end)) && line.flows(first.end);
    let gauge = (first.value / 10.0).floor();
    let number = Number { figures: true, certainty: 0.7, ..Number::new(at, first.end, gauge, Form::Cable) };
    (known && named).then_some(Number { implied: Some(Unit::Gauge), ..number })
}

/// "09" for 2009.
fn is_short_year(text: &str) -> bool {
    text.len() == 2 && text.starts_with('0') && text.ends_with(|c: char| c.is_ascii_digit())
}

fn form_of(atom: &Atom) -> Form {
    match atom.kind {
        Kind::Decimal => Form::Decimal,
        _ if (1900.0..2040.0).contains(&atom.value) && atom.value.fract() == 0.0 => Form::Year,
        _ => Form::Cardinal,
    }
}

/// Two figures joined by a hyphen.
fn hyphened(line: &Line, at: usize, first: &Atom, next: &Atom) -> Option<Number> {
    let (a, b) = (first.value, next.value);
    let third = atom(line, next.end).is_some_and(|n| n.figures && line.joined(next.end));
    if first.value == 20.0 && line.word(first.end) == "0" && third {
        let digit = atom(line, next.end).filter(|d| d.kind == Kind::Digit)?;
        return Some(Number::new(at, digit.end, 2000.0 + digit.value, Form::Year));
    }
    if third || line.word(at).starts_with('0') {
        return None;
    }
    if let Some(year) = year(line, at, first, next) {
        return Some(year);
    }
    if let Some(cable) = compose::cable(line, at, next.end, a, b) {
        return Some(cable);
    }
    let unit = unit_name::at(line, next.end, true).map(|f| f.unit);
    let put = |value, certainty| Some(Number { certainty, ..Number::new(at, next.end, value, Form::Cardinal) });
    if first.kind == Kind::Digit && next.kind == Kind::Pair && next.value.fract() == 0.0 {
        let volts = unit.is_some_and(|u| u.dimension() == Dimension::Voltage);
        if volts || b / a > 10.0 {
            return put(a * 100.0 + b, if volts { 1.0 } else { 0.8 });
        }
    }
    // "Forty-five hundred" written 45-100 or 45-hundred, "four thousand five hundred" written 4-500.
    if unit.is_some_and(|u| u.dimension() == Dimension::Power) && b >= 100.0 && a < 100.0 {
        let value = if b == 100.0 && a >= 10.0 { a * 100.0 } else { a * 1000.0 + b };
        return put(value, 0.7);
    }
    (a < b).then(|| Number { low: Some(a), ..Number::new(at, next.end, b, Form::Cardinal) })
}

/// Two figures with a space between: "20 19", "2 40 volts", "4 500 watts".
fn spaced(line: &Line, at: usize, first: &Atom, next: &Atom) -> Option<Number> {
    let (a, b) = (first.value, next.value);
    if !line.flows(first.end) || a.fract() + b.fract() != 0.0 {
        return None;
    }
    if let Some(year) = year(line, at, first, next) {
        return Some(year);
    }
    if let Some(cable) = compose::cable(line, at, next.end, a, b).filter(|c| c.certainty == 1.0) {
        return Some(cable);
    }
    let unit = unit_name::at(line, next.end, true).map(|f| f.unit);
    let over = matches!(line.word(next.end), "over" | "slash");
    let digits = first.kind == Kind::Digit && next.kind == Kind::Digit;
    if digits && unit.is_some() && (1.0..=2.0).contains(&(b - a)) && line.word(next.end) != "inch" {
        return Some(Number { low: Some(a), certainty: 0.7, ..Number::new(at, next.end, b, Form::Cardinal) });
    }
    if let Some(inches) = compose::clipped_fraction(line, next.end, a, b).filter(|_| !line.joined(next.end)) {
        return Some(Number { certainty: 0.6, ..Number::new(at, next.end, inches, Form::Fraction) });
    }
    let volts = (unit == Some(Unit::Volt) || over) && first.kind == Kind::Digit && next.kind == Kind::Pair;
    let thousands = unit.is_some() && line.word(first.end).len() == 3 && a < 1000.0 && line.word(first.end) == "000";
    let value = if volts { a * 100.0 + b } else { a * 1000.0 + b };
    (volts || thousands).then(|| Number { certainty: 0.8, ..Number::new(at, next.end, value, Form::Cardinal) })
}

/// "20-16", "19 98": a century and a year within it.
fn year(line: &Line, at: usize, first: &Atom, next: &Atom) -> Option<Number> {
    let two_figures = line.word(first.end).len() == 2 && next.end == first.end + 1;
    let value = first.value * 100.0 + next.value;
    let century = first.value == 19.0 || first.value == 20.0;
    let fits = century && two_figures && (1900.0..2040.0).contains(&value);
    let measured = unit_name::at(line, next.end, true).is_some_and(|u| u.unit != Unit::Year);
    (fits && !measured).then(|| Number::new(at, next.end, value, Form::Year))
}
