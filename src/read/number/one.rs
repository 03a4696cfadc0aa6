//! One number at a position: whole, decimal, fraction, mixed, or put together from numbers side by side.
use super::cardinal::{self, Atom, Kind, atom};
use super::compose;
use super::fraction::fraction;
use super::line::Line;
use super::unit::Unit;
use super::{Form, word};
use crate::lexicon::WordClass;

/// A number with its place in the line.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Number {
    pub start: usize,
    pub end: usize,
    pub value: f64,
    /// The lower end where two numbers side by side are a range ("sixty sixty five").
    pub low: Option<f64>,
    pub form: Form,
    pub figures: bool,
    pub certainty: f64,
    /// The unit that the way of speaking implies: "ten two" of a cable.
    pub implied: Option<Unit>,
}

impl Number {
    pub fn new(start: usize, end: usize, value: f64, form: Form) -> Number {
        Number { start, end, value, low: None, form, figures: false, certainty: 1.0, implied: None }
    }
}

/// The number that begins at a position.
pub(super) fn number(line: &Line, at: usize) -> Option<Number> {
    if let Some(number) = fraction(line, at) {
        return Some(number);
    }
    if let Some(number) = dozen(line, at) {
        return Some(number);
    }
    if let Some(number) = leading_point(line, at) {
        return Some(number);
    }
    if matches!(line.word(at), "minus" | "negative") {
        let plain = number_unsigned(line, at + 1).filter(|_| line.flows(at + 1))?;
        // Below zero the lower end of a range is the upper one.
        let (value, low) = plain.low.map_or((-plain.value, None), |low| (-low, Some(-plain.value)));
        return Some(Number { start: at, value, low, ..plain });
    }
    number_unsigned(line, at).or_else(|| homophone(line, at)).or_else(|| lettered_zero(line, at))
}

/// "O9" for "oh nine".
fn lettered_zero(line: &Line, at: usize) -> Option<Number> {
    let digit = line.word(at).strip_prefix('o').filter(|d| d.len() == 1)?.parse().ok()?;
    Some(Number { certainty: 0.7, figures: true, ..Number::new(at, at + 1, digit, Form::LeadingZero) })
}

/// "ends for inches off the floor": a number written as the word it sounds like, before a plural that it can only count.
fn homophone(line: &Line, at: usize) -> Option<Number> {
    let value = match line.word(at) {
        "for" | "fore" => 4.0,
        "too" => 2.0,
        "ate" => 8.0,
        "sex" | "sicks" => 6.0,
        "tree" => 3.0,
        "to" if matches!(
            line.before(at, 1),
            "ends" | "stops" | "quits" | "drops" | "about" | "maybe" | "within" | "only"
        ) =>
        {
            2.0
        }
        _ => return None,
    };
    let counted = matches!(line.word(at + 1), "inches" | "gallons" | "feet" | "millimeters" | "millimetres")
        && line.flows(at + 1);
    counted.then(|| Number { certainty: 0.4, ..Number::new(at, at + 1, value, Form::Cardinal) })
}

fn number_unsigned(line: &Line, at: usize) -> Option<Number> {
    let first = atom(line, at)?;
    if first.kind == Kind::Fraction {
        return Some(figure_fraction(at, first));
    }
    if let Some(number) = ordinal(line, at, &first) {
        return Some(number);
    }
    let whole = compose::compose(line, at, first)?;
    Some(tail(line, whole))
}

fn figure_fraction(at: usize, atom: Atom) -> Number {
    Number { figures: true, ..Number::new(at, atom.end, atom.value, Form::Fraction) }
}

/// What may follow a whole number and belongs to it: a decimal part, a fraction, a thousand.
fn tail(line: &Line, whole: Number) -> Number {
    if let Some(decimal) = point(line, &whole) {
        return scaled(line, decimal);
    }
    mixed(line, &whole).unwrap_or(whole)
}

/// "four point one thousand".
fn scaled(line: &Line, number: Number) -> Number {
    match word::scale(line.word(number.end)).filter(|_| line.flows(number.end) && line.word(number.end) != "k") {
        Some(scale) => Number { value: number.value * scale, end: number.end + 1, ..number },
        None => number,
    }
}

/// "four point five", "oh point two five".
fn point(line: &Line, whole: &Number) -> Option<Number> {
    let at = whole.end;
    if !matches!(line.word(at), "point" | "decimal")
        || !line.flows(at)
        || whole.value.fract() != 0.0
        || whole.low.is_some()
    {
        return None;
    }
    let (end, part) = decimals(line, at + 1)?;
    let value = decimal_value(whole.value, &part)?;
    Some(Number { end, value, form: Form::Decimal, ..whole.clone() })
}

/// "point two five" with nothing before it, unless a point of another kind is meant.
fn leading_point(line: &Line, at: usize) -> Option<Number> {
    let before = if line.flows(at) { line.before(at, 1) } else { "" };
    if line.word(at) != "point" || WordClass::BeforePoint.holds(before) {
        return None;
    }
    let (end, part) = decimals(line, at + 1)?;
    let number = Number::new(at, end, decimal_value(0.0, &part)?, Form::Decimal);
    Some(scaled(line, number))
}

fn decimal_value(whole: f64, part: &str) -> Option<f64> {
    format!("{whole:.0}.{part}").parse().ok()
}

/// The digits after a point: one by one, or two at a time ("twenty five", "oh five").
fn decimals(line: &Line, at: usize) -> Option<(usize, String)> {
    const MOST: usize = 12;
    let mut digits = String::new();
    let mut end = at;
    while digits.len() < MOST && line.flows(end) {
        let here = line.word(end);
        if word::is_zero(here) {
            digits.push('0');
        } else if let Some(digit) = word::digit(here).filter(|_| !starts_scale(line, end)) {
            digits.push_str(&digit.to_string());
        } else if digits.is_empty()
            && here.bytes().all(|b| b.is_ascii_digit())
            && !here.is_empty()
            && here.len() <= MOST
        {
            return Some((end + 1, here.to_owned()));
        } else if let Some(atom) = atom(line, end).filter(|a| a.kind == Kind::Pair && digits.is_empty() && !a.figures) {
            digits.push_str(&format!("{:.0}", atom.value));
            return Some((atom.end, digits));
        } else {
            break;
        }
        end += 1;
    }
    (!digits.is_empty()).then_some((end, digits))
}

fn starts_scale(line: &Line, at: usize) -> bool {
    line.word(at + 1) == "hundred"
}

/// "three and a half", "seven 3/4", "one and one half".
fn mixed(line: &Line, whole: &Number) -> Option<Number> {
    if whole.value.fract() != 0.0 || whole.low.is_some() || whole.form == Form::Year || !line.flows(whole.end) {
        return None;
    }
    let and = line.word(whole.end) == "and";
    let at = whole.end + usize::from(and);
    if !line.flows(at) {
        return None;
    }
    let part = if and { fraction(line, at) } else { None }.or_else(|| {
        let atom =
            atom(line, at).filter(|a| a.kind == Kind::Fraction && a.value < 1.0 && (and || whole.value < 100.0))?;
        Some(figure_fraction(at, atom))
    })?;
    (part.value < 1.0).then(|| Number {
        end: part.end,
        value: whole.value + part.value,
        form: Form::Mixed,
        ..whole.clone()
    })
}

/// "a dozen", "two dozen", "half a dozen", "a couple of inches", "couple hundred".
fn dozen(line: &Line, at: usize) -> Option<Number> {
    let article = usize::from(matches!(line.word(at), "a" | "another"));
    if line.word(at + article) == "couple" {
        let of = usize::from(line.word(at + article + 1) == "of");
        let end = at + article + 1 + of;
        let scale = match line.word(end) {
            "hundred" => Some(100.0),
            word => word::scale(word),
        };
        let number = |end, value| Some(Number { certainty: 0.9, ..Number::new(at, end, value, Form::Vague) });
        return match scale {
            Some(scale) => number(end + 1, 2.0 * scale),
            None if super::unit_name::at(line, end, false).is_some() => number(end, 2.0),
            None => None,
        };
    }
    let half = [&["half", "a", "dozen"][..], &["half", "dozen"], &["a", "half", "dozen"]];
    if let Some(words) = half.iter().find(|words| line.says(at, words)) {
        return Some(Number::new(at, at + words.len(), 6.0, Form::Cardinal));
    }
    let count = if article == 1 { Some(1) } else { word::digit(line.word(at)) }?;
    line.says(at + 1, &["dozen"]).then(|| Number::new(at, at + 2, f64::from(count * 12), Form::Cardinal))
}

/// "twenty first", "two hundred and third", "3rd".
fn ordinal(line: &Line, at: usize, first: &Atom) -> Option<Number> {
    if first.figures || !line.flows(first.end) || first.value % 10.0 != 0.0 || first.value < 20.0 {
        return None;
    }
    let and = line.word(first.end) == "and" && first.kind == Kind::Big;
    let last = first.end + usize::from(and);
    let last_word = line.word(last);
    let unit = if last_word == "second" && !and { None } else { word::ordinal(last_word) }?;
    let fits = if first.kind == Kind::Big { unit < 100 } else { unit < 10 };
    fits.then(|| Number::new(at, last + 1, first.value + f64::from(unit), Form::Ordinal))
}

/// An ordinal that begins with its ordinal word, or in figures.
pub(super) fn lone_ordinal(line: &Line, at: usize) -> Option<Number> {
    let text = line.word(at);
    if super::line::is_ordinal(text) {
        let digits = text.trim_end_matches(|c: char| c.is_ascii_lowercase());
        let value = cardinal::parse_figures(digits)?;
        return Some(Number { figures: true, ..Number::new(at, at + 1, value, Form::Ordinal) });
    }
    let value = word::ordinal(text)?;
    Some(Number::new(at, at + 1, f64::from(value), Form::Ordinal))
}
