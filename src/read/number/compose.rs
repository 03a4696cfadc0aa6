//! Numbers side by side that are one: "one thirty", "twenty nineteen", "four oh two", "2-40".
use super::Form;
use super::cardinal::{Atom, Kind, atom, counts_fraction};
use super::line::Line;
use super::one::Number;
use super::unit::{Dimension, Unit};
use super::{unit_name, word};

/// Puts the number at a position together with those right after it, as far as they are one.
pub(super) fn compose(line: &Line, at: usize, first: Atom) -> Option<Number> {
    if first.figures {
        return Some(super::figure::compose(line, at, first));
    }
    let whole = |a: &Atom| Number::new(at, a.end, a.value, Form::Cardinal);
    match first.kind {
        Kind::Zero | Kind::Digit => {
            let run = digit_run(line, at);
            if run.digits.len() >= 3 {
                return Some(whole_run(at, &run));
            }
            if let Some(number) = short_run(line, at, &run) {
                return Some(number);
            }
            if first.kind == Kind::Zero {
                return matches!(line.word(at), "zero" | "nought" | "naught")
                    .then(|| whole(&first))
                    .or_else(|| oh_point(line, at));
            }
            Some(hundreds(line, at, &first).unwrap_or_else(|| whole(&first)))
        }
        Kind::Pair => Some(pairs(line, at, &first).unwrap_or_else(|| whole(&first))),
        _ => Some(whole(&first)),
    }
}

/// "oh point five".
fn oh_point(line: &Line, at: usize) -> Option<Number> {
    (line.word(at + 1) == "point" && line.flows(at + 1)).then(|| Number::new(at, at + 1, 0.0, Form::Cardinal))
}

/// Digits said one by one, as in "four oh two" and "five double six".
pub(super) struct Run {
    pub end: usize,
    pub digits: String,
    /// Where each digit word ends.
    ends: Vec<usize>,
}

/// No number said digit by digit is longer; reading stays linear in endless rows of digits.
const MOST_DIGITS: usize = 24;

/// The run of single digits at a position; its last digit is left out where a larger number or a fraction begins with it.
pub(super) fn digit_run(line: &Line, at: usize) -> Run {
    let mut run = Run { end: at, digits: String::new(), ends: Vec::new() };
    while run.digits.len() < MOST_DIGITS && (run.end == at || line.flows(run.end)) {
        let times = word::repeat(line.word(run.end)).filter(|_| line.flows(run.end + 1));
        let place = run.end + usize::from(times.is_some());
        let here = line.word(place);
        let figure = || if here.len() == 1 { here.parse().ok() } else { None };
        let digit = if word::is_zero(here) { Some(0) } else { word::digit(here).or_else(figure) };
        let Some(digit) = digit.filter(|_| !begins_larger(line, place)) else { break };
        for _ in 0..times.unwrap_or(1) {
            run.digits.push_str(&digit.to_string());
        }
        run.end = place + 1;
        run.ends.push(run.end);
    }
    run
}

/// Whether the digit at a position multiplies, or counts a fraction.
fn begins_larger(line: &Line, at: usize) -> bool {
    let next = line.word(at + 1);
    line.flows(at + 1) && (next == "hundred" || next != "k" && word::scale(next).is_some() || counts_fraction(line, at))
}

pub(super) fn whole_run(at: usize, run: &Run) -> Number {
    let value: f64 = run.digits.parse().unwrap_or(f64::MAX);
    Number::new(at, run.end, value, Form::Digits)
}

/// Two digits: "oh nine", "three four inches" (a range), "one five amps".
fn short_run(line: &Line, at: usize, run: &Run) -> Option<Number> {
    let digits: Vec<f64> = run.digits.chars().filter_map(|c| c.to_digit(10)).map(f64::from).collect();
    let [first, second] = digits[..] else { return None };
    let pair_follows = atom(line, run.end).is_some_and(|a| a.kind == Kind::Pair && line.flows(run.end));
    let unit = unit_name::at(line, run.end, false);
    if first == 0.0 {
        return (!pair_follows)
            .then(|| Number { certainty: 0.8, ..Number::new(at, run.end, second, Form::LeadingZero) });
    }
    if let Some(cable) = cable(line, at, run.end, first, second) {
        return Some(cable);
    }
    if pair_follows || unit.is_none() {
        return None;
    }
    if let Some(inches) = clipped_fraction(line, run.end, first, second) {
        return Some(Number { certainty: 0.6, ..Number::new(at, run.end, inches, Form::Fraction) });
    }
    if second == first + 1.0 || second == first + 2.0 {
        return Some(Number { low: Some(first), certainty: 0.8, ..Number::new(at, run.end, second, Form::Cardinal) });
    }
    // Said twice, unless no reading in that unit is so small: "five five p s i".
    let large = unit.is_some_and(|u| {
        matches!(u.unit, Unit::Psi | Unit::Volt | Unit::Amp | Unit::Gallon | Unit::Fahrenheit | Unit::Degree)
    });
    if second == first && !large {
        return Some(Number::new(at, run.end, second, Form::Cardinal));
    }
    Some(Number { certainty: 0.6, ..Number::new(at, run.end, first * 10.0 + second, Form::Digits) })
}

/// "Five eight inch" and "three four inch", with the end of the fraction lost.
pub(super) fn clipped_fraction(line: &Line, end: usize, top: f64, bottom: f64) -> Option<f64> {
    let known =
        [[1.0, 2.0], [1.0, 4.0], [3.0, 4.0], [1.0, 8.0], [3.0, 8.0], [5.0, 8.0], [7.0, 8.0]].contains(&[top, bottom]);
    (known && line.word(end) == "inch").then_some(top / bottom)
}

/// A digit before ten to ninety-nine: "one thirty" is 130, "one ninety nine thousand" 199,000.
fn hundreds(line: &Line, at: usize, first: &Atom) -> Option<Number> {
    let next = following(line, first.end)?;
    if let Some(scale) = next.scaled {
        return Some(Number::new(at, next.end, first.value * 100.0 * scale + next.value, Form::Cardinal));
    }
    if next.kind != Kind::Pair || begins_year(line, &next) {
        return None;
    }
    if let Some(number) = first_of_dual(line, at, first, &next) {
        return Some(number);
    }
    let value = first.value * 100.0 + next.value;
    let unit = unit_name::at(line, next.end, false);
    if counts_rather(line, first.value, value, unit) {
        return None;
    }
    let certainty = if first.value == 1.0 || unit.is_some() { 1.0 } else { 0.9 };
    Some(Number { certainty, ..Number::new(at, next.end, value, Form::Cardinal) })
}

/// "One twenty two forty volts" is 120 and 240, not 122 and 40.
fn first_of_dual(line: &Line, at: usize, first: &Atom, next: &Atom) -> Option<Number> {
    let tens = f64::from(word::ten(line.word(first.end))?);
    let digit = next.value - tens;
    let rest = atom(line, next.end).filter(|a| a.kind == Kind::Pair && line.flows(next.end) && digit > 0.0)?;
    let pair = [first.value * 100.0 + tens, digit * 100.0 + rest.value];
    super::phrase::is_dual(pair).then(|| Number::new(at, next.end - 1, pair[0], Form::Cardinal))
}

/// Standard ratings of breakers and fuses up to 400 A (NEC 240.6(A), from memory).
const AMPERES: &[f64] = &[
    15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0, 110.0, 125.0, 150.0, 175.0, 200.0,
    225.0, 250.0, 300.0, 350.0, 400.0,
];

/// "Two forty gallon tanks" and "one thirty amp breaker" count things; they are no 240 gallons and no 130 amps.
fn counts_rather(line: &Line, count: f64, value: f64, unit: Option<unit_name::Found>) -> bool {
    let Some(found) = unit else { return false };
    let things = is_plural(line.word(found.end)) || is_plural(line.word(found.end + 1)) && line.flows(found.end + 1);
    match found.unit {
        // Residential storage ends at 120 gallons (readings table, wh_capacity).
        Unit::Gallon => value > 120.0 || count > 1.0,
        Unit::Amp => !AMPERES.contains(&value) || (things && count > 1.0),
        _ => found.unit.dimension() != Dimension::Voltage && things && count > 1.0,
    }
}

fn is_plural(word: &str) -> bool {
    word.len() > 3 && word.ends_with('s') && !word.ends_with("ss")
}

/// Two numbers of ten to ninety-nine, or one with "oh" and a digit.
fn pairs(line: &Line, at: usize, first: &Atom) -> Option<Number> {
    if let Some((end, digit)) = oh_digit(line, first.end) {
        return Some(Number::new(at, end, first.value * 100.0 + digit, year_form(first.value * 100.0 + digit)));
    }
    let next = following(line, first.end)?;
    if next.kind == Kind::Digit {
        return cable(line, at, next.end, first.value, next.value);
    }
    if next.kind != Kind::Pair || next.scaled.is_some() {
        return None;
    }
    let unit = unit_name::at(line, next.end, false).map(|f| f.unit.dimension());
    let value = first.value * 100.0 + next.value;
    let range =
        || Number { low: Some(first.value), certainty: 0.8, ..Number::new(at, next.end, next.value, Form::Cardinal) };
    if next.value == first.value && begins_year(line, &next) {
        return None;
    }
    let rises = next.value > first.value
        && next.value - first.value <= 10.0
        && !matches!(unit, Some(Dimension::Power | Dimension::Energy));
    if unit.is_none() && year_form(value) == Form::Year {
        return Some(Number::new(at, next.end, value, Form::Year));
    }
    if begins_year(line, &next) {
        return None;
    }
    if next.value == first.value {
        return Some(Number::new(at, next.end, next.value, Form::Cardinal));
    }
    if rises && unit.is_some() {
        return Some(range());
    }
    let power = matches!(unit, Some(Dimension::Power | Dimension::Energy));
    power.then(|| Number { certainty: 0.8, ..Number::new(at, next.end, value, Form::Cardinal) })
}

fn year_form(value: f64) -> Form {
    if (1900.0..2040.0).contains(&value) { Form::Year } else { Form::Cardinal }
}

/// "oh nine" at a position.
fn oh_digit(line: &Line, at: usize) -> Option<(usize, f64)> {
    let oh = word::is_zero(line.word(at)) && line.flows(at) && line.flows(at + 1);
    let digit = word::digit(line.word(at + 1)).filter(|_| oh && !begins_larger(line, at + 1))?;
    Some((at + 2, f64::from(digit)))
}

/// Whether this atom and what follows are a year such as "twenty nineteen" with no unit after it.
fn begins_year(line: &Line, first: &Atom) -> bool {
    if first.value != 19.0 && first.value != 20.0 || first.figures {
        return false;
    }
    let end = match oh_digit(line, first.end) {
        Some((end, _)) => Some(end),
        None => following(line, first.end)
            .filter(|n| n.kind == Kind::Pair && year_form(first.value * 100.0 + n.value) == Form::Year)
            .map(|n| n.end),
    };
    end.is_some_and(|end| unit_name::at(line, end, false).is_none())
}

/// The plain number in words right after a position, unless a fraction begins there.
fn following(line: &Line, at: usize) -> Option<Atom> {
    let next = atom(line, at).filter(|a| !a.figures && line.flows(at))?;
    (next.kind != Kind::Digit || !counts_fraction(line, at)).then_some(next)
}

/// Cable by gauge and conductors: "ten two", "twelve three with ground".
pub(super) fn cable(line: &Line, at: usize, end: usize, gauge: f64, conductors: f64) -> Option<Number> {
    let known = [4.0, 6.0, 8.0, 10.0, 12.0, 14.0].contains(&gauge) && [2.0, 3.0, 4.0].contains(&conductors);
    if !known || unit_name::at(line, end, false).is_some_and(|f| f.unit != Unit::Gauge) {
        return None;
    }
    let named = (end..end + 3).any(|i| is_cable(line.word(i))) || (1..4).any(|back| is_cable(line.before(at, back)));
    let sure = named || gauge >= 10.0 && conductors <= 3.0;
    let certainty = if named { 1.0 } else { 0.6 };
    (named || sure).then(|| Number {
        certainty,
        implied: Some(Unit::Gauge),
        ..Number::new(at, end, gauge, Form::Cable)
    })
}

pub(super) fn is_cable(word: &str) -> bool {
    matches!(
        word,
        "romex"
            | "wire"
            | "wiring"
            | "cable"
            | "nm"
            | "copper"
            | "ground"
            | "mc"
            | "bx"
            | "conductor"
            | "conductors"
            | "uf"
            | "whip"
    )
}
