//! A number with its unit, and what joins two numbers: ranges, pairs, feet with inches.
use super::line::Line;
use super::measure::{self, Measured};
use super::one::{self, Number};
use super::unit::{Dimension, Unit};
use super::{Distractor, Form, cardinal, word};
use crate::read::Stop;
use std::ops::Range;

/// A quantity still in positions of the line.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Phrase {
    pub start: usize,
    pub end: usize,
    pub number: Range<usize>,
    pub value: f64,
    pub range: Option<[f64; 2]>,
    pub other: Option<f64>,
    pub unit: Option<Unit>,
    pub form: Form,
    pub figures: bool,
    pub distractor: Option<Distractor>,
    pub certainty: f64,
}

impl Phrase {
    fn of(number: &Number, end: usize, unit: Option<Unit>, certainty: f64) -> Phrase {
        Phrase {
            start: number.start,
            end,
            number: number.start..number.end,
            value: number.value,
            range: number.low.map(|low| [low, number.value]),
            other: None,
            unit,
            form: number.form,
            figures: number.figures,
            distractor: None,
            certainty: number.certainty * certainty,
        }
    }

    /// A number that is no reading, whatever stands around it.
    pub fn distracting(start: usize, end: usize, value: f64, distractor: Distractor) -> Phrase {
        let number = Number::new(start, end, value, Form::Digits);
        Phrase { distractor: Some(distractor), ..Phrase::of(&number, end, None, 1.0) }
    }
}

impl Phrase {
    /// A year within a date.
    pub fn dated(start: usize, end: usize, year: f64, distractor: Option<Distractor>) -> Phrase {
        let number = Number::new(start, end, year, Form::Year);
        Phrase { distractor, ..Phrase::of(&number, end, None, 1.0) }
    }
}

/// A measured number as a phrase of its own.
pub(super) fn plain(found: &Measured) -> Phrase {
    Phrase::of(&found.number, found.end, found.unit, found.certainty)
}

/// The quantity that begins at a position.
pub(super) fn phrase(line: &Line, at: usize) -> Option<Phrase> {
    if !may_begin(line, at) {
        return None;
    }
    if let Some(found) = super::written::written(line, at) {
        return Some(found);
    }
    if let Some(found) = measure::article(line, at) {
        return Some(from_measured(line, found));
    }
    if let Some(money) = money(line, at) {
        return Some(money);
    }
    let Some(number) = one::number(line, at) else {
        let ordinal = one::lone_ordinal(line, at)?;
        return Some(Phrase::of(&ordinal, ordinal.end, None, 1.0));
    };
    let first = measure::measured(line, number);
    let found = from_measured(line, first);
    (!is_pronoun(line, &found)).then_some(found)
}

/// Whether a number can begin with this word; most words are told from numbers by this alone.
fn may_begin(line: &Line, at: usize) -> bool {
    let here = line.word(at);
    let figures = here.starts_with(|c: char| !c.is_ascii_alphabetic()) || here.bytes().any(|b| b.is_ascii_digit());
    let other = matches!(
        here,
        "a" | "an"
            | "another"
            | "couple"
            | "hundred"
            | "thousand"
            | "point"
            | "minus"
            | "negative"
            | "double"
            | "triple"
            | "treble"
            | "quadruple"
            | "for"
            | "fore"
            | "too"
            | "to"
            | "ate"
            | "sex"
            | "sicks"
            | "tree"
            | "p"
            | "r"
            | "m"
            | "g"
            | "e"
            | "n"
    );
    figures
        || other
        || word::digit(here).is_some()
        || word::is_zero(here)
        || word::teen(here).is_some()
        || word::ten(here).is_some()
        || word::ordinal(here).is_some()
        || word::denominator(here).is_some()
        // "inch and a half", "square foot and a half": a unit may come before its number.
        || line.word(at + 1) == "and"
        || line.word(at + 2) == "and"
}

/// "$4,500", "£3".
fn money(line: &Line, at: usize) -> Option<Phrase> {
    let unit = match line.word(at) {
        "$" => Unit::Dollar,
        "£" => Unit::Sterling,
        "€" => Unit::Euro,
        _ => return None,
    };
    let number = one::number(line, at + 1)?;
    Some(Phrase { start: at, ..Phrase::of(&number, number.end, Some(unit), 1.0) })
}

/// Joins a measured number with what goes on from it.
fn from_measured(line: &Line, first: Measured) -> Phrase {
    if let Some(joined) = feet_inches(line, &first) {
        return joined;
    }
    let alone = plain(&first);
    if first.number.form == Form::Ordinal || first.number.form == Form::Cable {
        return alone;
    }
    if alone.range.is_some() {
        return as_pair(alone);
    }
    pair(line, &first).or_else(|| range(line, &first)).unwrap_or(alone)
}

/// "this one", "one of them", "there is one": no number.
fn is_pronoun(line: &Line, phrase: &Phrase) -> bool {
    let bare = phrase.end == phrase.start + 1 && line.word(phrase.start) == "one";
    let label = matches!(
        line.before(phrase.start, 1),
        "number" | "heater" | "unit" | "item" | "photo" | "picture" | "tank" | "circuit"
    );
    let counted = line.flows(phrase.end)
        && matches!(
            line.word(phrase.end),
            "bedroom" | "bathroom" | "bath" | "car" | "story" | "storey" | "heater" | "element" | "hundredth"
        );
    let alone =
        line.before(phrase.start, 1).is_empty() && (line.ends_sentence(phrase.end - 1) || phrase.end == line.len());
    bare && !label && !counted && !alone
}

/// "five feet four inches", "two foot six", 5'4.
fn feet_inches(line: &Line, first: &Measured) -> Option<Phrase> {
    if first.unit != Some(Unit::Foot) || first.number.low.is_some() || first.number.form == Form::Fraction {
        return None;
    }
    let and = usize::from(line.word(first.end) == "and");
    let at = first.end + and;
    if !line.flows(first.end) && !line.joined(first.end) {
        return None;
    }
    let number = one::number(line, at).filter(|n| n.low.is_none() && n.value < 12.0 && n.form != Form::Ordinal)?;
    let inches = measure::measured(line, number);
    let next = line.word(inches.end);
    let bare = and == 0
        && inches.unit.is_none()
        && inches.number.value.fract() == 0.0
        && !matches!(next, "by" | "x" | "of" | "point")
        && !(next.len() > 3 && next.ends_with('s'));
    if inches.unit != Some(Unit::Inch) && !bare {
        return None;
    }
    let value = first.number.value * 12.0 + inches.number.value;
    let number = Number { end: inches.number.end, value, form: Form::FeetInches, ..first.number.clone() };
    Some(Phrase::of(&number, inches.end, Some(Unit::Inch), first.certainty * inches.certainty))
}

/// Nominal voltages that are named together (common practice, no source).
const DUAL: &[[f64; 2]] = &[
    [120.0, 240.0],
    [110.0, 220.0],
    [115.0, 230.0],
    [120.0, 208.0],
    [125.0, 250.0],
    [277.0, 480.0],
    [220.0, 240.0],
    [208.0, 240.0],
    [208.0, 230.0],
];

/// Whether two voltages are named together.
pub(super) fn is_dual(pair: [f64; 2]) -> bool {
    DUAL.contains(&pair)
}

/// A range of two voltages that are named together is a pair.
fn as_pair(phrase: Phrase) -> Phrase {
    match phrase.range {
        Some([low, high]) if DUAL.contains(&[low, high]) && matches!(phrase.unit, None | Some(Unit::Volt)) => {
            Phrase { range: None, other: Some(low), form: Form::Pair, ..phrase }
        }
        _ => phrase,
    }
}

/// "one twenty over two forty", "one twenty two forty volts", 120v/240v.
fn pair(line: &Line, first: &Measured) -> Option<Phrase> {
    let linked = matches!(line.word(first.end), "over" | "slash" | "/" | "v/") && line.follows(first.end);
    let at = first.end + usize::from(linked);
    if !linked && !line.flows_or_comma(at) {
        return None;
    }
    let second = measure::measured(line, one::number(line, at).filter(|n| n.low.is_none())?);
    let (a, b) = (first.number.value, second.number.value);
    let [low, high] = [a.min(b), a.max(b)];
    let volts = second.unit == Some(Unit::Volt);
    let known = DUAL.contains(&[low, high]);
    let fits = if linked {
        known || volts || low >= 40.0 && second.unit.is_none()
    } else {
        known && a < b && (volts || second.unit.is_none()) && first.unit.is_none()
    };
    let unit = second.unit.or(first.unit);
    fits.then(|| {
        let number = Number { end: second.number.end, value: high, form: Form::Pair, ..first.number.clone() };
        Phrase { other: Some(low), ..Phrase::of(&number, second.end, unit, second.certainty) }
    })
}

/// "seventy five to eighty pounds", "between 60 and 65", "sixty, sixty five pounds".
fn range(line: &Line, first: &Measured) -> Option<Phrase> {
    let link = link(line, first)?;
    let number = one::number(line, link.at).filter(|n| n.low.is_none() && n.form != Form::Ordinal)?;
    let second = measure::measured(line, number);
    let low = with_same_scale(&first.number, &second.number, line);
    let units_fit = match (first.unit, second.unit) {
        (Some(a), Some(b)) => a.dimension() == b.dimension() && a == b,
        _ => true,
    };
    let high = second.number.value;
    let [low, high] = if link.bounds && high < low { [high, low] } else { [low, high] };
    if !units_fit
        || low >= high
        || !link.fits(first, &second, low, high)
        || is_reduction(line, first.number.start, &second)
    {
        return None;
    }
    let number = Number { end: second.number.end, value: high, low: Some(low), ..first.number.clone() };
    let certainty = second.certainty * second.number.certainty * link.certainty;
    Some(as_pair(Phrase::of(&number, second.end, second.unit.or(first.unit), certainty)))
}

/// What stands between the two ends of a range.
struct Link {
    at: usize,
    /// "between" or "from" stands before: the ends may come in any order.
    bounds: bool,
    comma: bool,
    certainty: f64,
}

impl Link {
    fn fits(&self, first: &Measured, second: &Measured, low: f64, high: f64) -> bool {
        if !self.comma {
            return true;
        }
        let dimension = second.unit.map(Unit::dimension);
        let close = high - low <= 10.0 && high <= low * 2.0;
        first.unit.is_none()
            && close
            && first.number.form != Form::Fraction
            && !matches!(dimension, None | Some(Dimension::Gauge | Dimension::Volume | Dimension::Current))
    }
}

fn link(line: &Line, first: &Measured) -> Option<Link> {
    let before = (1..=2).map(|back| line.before(first.number.start, back)).find(|w| matches!(*w, "between" | "from"));
    let mut link = Link { at: first.end, bounds: before.is_some(), comma: false, certainty: 1.0 };
    let word = line.word(first.end);
    let hedge = |at: usize| {
        usize::from(matches!(line.word(at), "maybe" | "about" | "like" | "say" | "perhaps" | "possibly" | "around"))
    };
    if line.ends_sentence(first.end.checked_sub(1)?) {
        return None;
    }
    match word {
        "to" | "through" | "or" | "dash" | "up" | "thru" => {
            let to = usize::from(word == "up" && line.word(first.end + 1) == "to");
            link.at = first.end + 1 + to;
            link.at += hedge(link.at);
        }
        "and" if before == Some("between") => link.at = first.end + 1 + hedge(first.end + 1),
        "maybe" | "perhaps" | "possibly" => {
            link.at = first.end + 1;
            link.certainty = 0.8;
        }
        _ if line.stop(first.end - 1) == Stop::Comma && first.number.form != Form::Year => {
            link.comma = true;
            link.certainty = 0.7;
        }
        _ if line.joined(first.end) && first.unit.is_some() => {}
        _ => return None,
    }
    Some(link)
}

/// "three to four hundred", "thirty to forty thousand": the lower end shares the hundred or the thousand.
fn with_same_scale(first: &Number, second: &Number, line: &Line) -> f64 {
    let last = line.word(second.end - 1);
    let scale = match last {
        "hundred" => 100.0,
        "thousand" => 1000.0,
        "million" => 1e6,
        "billion" => 1e9,
        "k" => 1000.0,
        _ => return first.value,
    };
    let shared = first.value * scale;
    let own = cardinal::atom(line, first.start).is_some_and(|a| a.scaled.is_some());
    if !own && first.value < scale && shared < second.value { shared } else { first.value }
}

/// "Reduced from three quarter to half", "steps up from half to three quarter": two sizes, no range.
fn is_reduction(line: &Line, start: usize, second: &Measured) -> bool {
    let verbs = (1..=4).any(|back| {
        let word = line.before(start, back);
        ["reduc", "step", "neck", "adapt", "bump", "chang", "transition", "increas", "upsiz", "downsiz", "bush"]
            .iter()
            .any(|stem| word.starts_with(stem))
    });
    let clock = second.unit.is_none() && matches!(line.word(second.end), "o'clock" | "tonight");
    verbs || clock
}
