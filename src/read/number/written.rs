//! Numbers that their shape alone tells to be no readings: times, dates, telephone numbers, code sections.
use super::cardinal::{self, Kind, atom};
use super::line::Line;
use super::one;
use super::phrase::Phrase;
use super::unit::Unit;
use super::{Distractor, Form};

/// Numbers told by the way they are written or said: 10:30, 3/14/2019, 120/240, 555-1234, "P twenty eight oh one".
pub(super) fn written(line: &Line, at: usize) -> Option<Phrase> {
    slashed(line, at)
        .or_else(|| colon(line, at))
        .or_else(|| chain(line, at))
        .or_else(|| lettered(line, at))
        .or_else(|| dotted(line, at))
        .or_else(|| code(line, at))
        .or_else(|| clock(line, at))
}

/// 24/7, 3/14/2019, 120/240.
fn slashed(line: &Line, at: usize) -> Option<Phrase> {
    let text = line.word(at);
    if !text.starts_with(|c: char| c.is_ascii_digit()) || !text.contains('/') {
        return None;
    }
    let parts: Vec<f64> = text.split('/').map(cardinal::parse_figures).collect::<Option<_>>()?;
    let distracting = |kind| Some(Phrase::distracting(at, at + 1, parts[0], kind));
    let year = |value| Some(Phrase::dated(at, at + 1, value, None));
    match parts[..] {
        [_, _, y] if (1950.0..=2030.0).contains(&y) => Some(Phrase::dated(at, at + 1, y, Some(Distractor::Date))),
        [m, y] if m <= 12.0 && (1950.0..=2030.0).contains(&y) => year(y),
        [gauge, conductors] if is_cable(line, at + 1, gauge, conductors) => {
            let number = one::Number { implied: Some(Unit::Gauge), ..one::Number::new(at, at + 1, gauge, Form::Cable) };
            Some(super::phrase::plain(&super::measure::Measured::bare(number)))
        }
        [24.0, 7.0] => distracting(Distractor::Idiom),
        [_, _, _] => distracting(Distractor::Date),
        [a, b] if a.min(b) >= 40.0 => {
            let number = one::Number { figures: true, ..one::Number::new(at, at + 1, a.max(b), Form::Pair) };
            let found = super::measure::measured(line, number);
            Some(Phrase { other: Some(a.min(b)), ..super::phrase::plain(&found) })
        }
        // Month and year, or month and day: a date in either case.
        [a, b] if a <= 12.0 && b < 100.0 && cardinal::atom(line, at).is_none() => {
            let year = if b <= 30.0 { 2000.0 + b } else { 1900.0 + b };
            Some(Phrase::dated(at, at + 1, year, Some(Distractor::Date)))
        }
        _ => None,
    }
}

/// 10/2 and 12/3 are cables where one is named, or where a fraction would be none.
fn is_cable(line: &Line, at: usize, gauge: f64, conductors: f64) -> bool {
    super::compose::cable(line, at - 1, at, gauge, conductors).is_some()
}

/// 10:30 and 7:15 pm; 4:12 is a pitch where a slope is spoken of.
fn colon(line: &Line, at: usize) -> Option<Phrase> {
    let (hour, minute) = line.word(at).split_once(':')?;
    let (hour, minute): (f64, f64) = (hour.parse().ok()?, minute.split(':').next()?.parse().ok()?);
    let half = is_half_of_day(line, at + 1).unwrap_or(0);
    (hour < 25.0 && minute < 60.0)
        .then(|| Phrase::distracting(at, at + 1 + half, hour + minute / 60.0, Distractor::Time))
}

/// Figures joined by hyphens that are a telephone number or a date.
fn chain(line: &Line, at: usize) -> Option<Phrase> {
    let is_part = |i: usize| !line.word(i).is_empty() && line.word(i).bytes().all(|b| b.is_ascii_digit());
    if !is_part(at) || line.joined(at) {
        return None;
    }
    const MOST: usize = 6;
    let mut end = at + 1;
    while end - at < MOST && is_part(end) && line.joined(end) && line.pieces[end].token != line.pieces[end - 1].token {
        end += 1;
    }
    let lengths: Vec<usize> = (at..end).map(|i| line.word(i).len()).collect();
    let value = line.word(at).parse().ok()?;
    let found = |kind| Some(Phrase::distracting(at, end, value, kind));
    match lengths[..] {
        [3, 4] | [3, 3, 4] | [1, 3, 3, 4] => found(Distractor::Phone),
        [4, 1..=2, 1..=2] => Some(Phrase::dated(at, end, value, Some(Distractor::Date))),
        [1..=2, 1..=2, 4] => Some(Phrase::dated(at, end, number_at(line, at + 2)?, Some(Distractor::Date))),
        [1..=2, 1..=2, 2] => found(Distractor::Date),
        [1..=2, 4] if value <= 12.0 => {
            number_at(line, at + 1).filter(|y| (1950.0..=2030.0).contains(y)).map(|y| Phrase::dated(at, end, y, None))
        }
        _ => None,
    }
}

fn number_at(line: &Line, at: usize) -> Option<f64> {
    line.word(at).parse().ok()
}

/// Figures hyphened to letters: R-13, HE-52, P28-01.6.
fn lettered(line: &Line, at: usize) -> Option<Phrase> {
    let figure = line.word(at).starts_with(|c: char| c.is_ascii_digit());
    let before = at.checked_sub(1).map(|b| line.word(b))?;
    let short = before.len() <= 3 && before.bytes().all(|b| b.is_ascii_alphabetic());
    let code = before.starts_with(|c: char| c.is_ascii_alphabetic()) && before.bytes().any(|b| b.is_ascii_digit());
    let prefix = matches!(before, "mid" | "sub" | "pre" | "non" | "a" | "an" | "x" | "of" | "to" | "per");
    let number_word = super::word::digit(before).is_some() || super::word::teen(before).is_some();
    if !figure || !line.joined(at) || line.pieces[at].token == line.pieces[at - 1].token || prefix || number_word {
        return None;
    }
    let value = cardinal::parse_figures(line.word(at))?;
    let section = matches!(before, "p" | "r" | "m" | "g" | "e" | "n") && value >= 100.0;
    let kind = if code || section { Distractor::CodeSection } else { Distractor::Label };
    (short || code).then(|| Phrase::distracting(at, at + 1, value, kind))
}

/// 2801.6.1, and codes that begin with a letter: P2801.6.
fn dotted(line: &Line, at: usize) -> Option<Phrase> {
    let text = line.word(at);
    let digits = text.trim_start_matches(|c: char| c.is_ascii_alphabetic());
    let letters = text.len() - digits.len();
    let dots = digits.bytes().filter(|b| *b == b'.').count();
    let numeric = !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let is_code = dots >= 2 && letters <= 2 || letters == 1 && digits.split('.').next().is_some_and(|d| d.len() >= 3);
    let head = digits.split('.').next()?.parse().ok()?;
    (numeric && is_code).then(|| Phrase::distracting(at, at + 1, head, Distractor::CodeSection))
}

/// "P twenty eight oh one point six point one", "N E C four twenty two point thirteen".
fn code(line: &Line, at: usize) -> Option<Phrase> {
    let letter = matches!(line.word(at), "p" | "r" | "m" | "g" | "e" | "n")
        && line.before(at, 1).len() != 1
        && line.flows(at + 1);
    let start = if letter { at + 1 } else { at };
    if !letter && !names_code(line, at) {
        return None;
    }
    let number = one::number(line, start)?;
    let mut end = number.end;
    while matches!(line.word(end), "point" | "dot") && line.flows(end) {
        let Some(next) = one::number(line, end + 1).filter(|_| line.flows(end + 1)) else { break };
        end = next.end;
    }
    let long = number.value >= 100.0 || end > number.end;
    let measured = super::unit_name::at(line, end, number.figures).is_some();
    (long && !measured).then(|| Phrase::distracting(at, end, number.value, Distractor::CodeSection))
}

/// Whether a code or a standard is named right before a position.
fn names_code(line: &Line, at: usize) -> bool {
    const NAMES: &[&str] = &[
        "section",
        "code",
        "article",
        "table",
        "chapter",
        "paragraph",
        "irc",
        "nec",
        "upc",
        "ipc",
        "ul",
        "ansi",
        "asse",
        "nfpa",
        "astm",
        "csa",
        "subsection",
        "clause",
        "asme",
        "ashrae",
    ];
    let letters = |names: &[&str]| names.iter().rev().enumerate().all(|(k, n)| line.before(at, k + 1) == *n);
    NAMES.contains(&line.before(at, 1))
        || letters(&["n", "e", "c"])
        || letters(&["i", "r", "c"])
        || letters(&["u", "p", "c"])
        || letters(&["u", "l"])
        || letters(&["n", "f", "p", "a"])
        || letters(&["c", "s", "a"])
}

/// "ten thirty a m", "half past nine", "at ten fifteen", "quarter to nine".
fn clock(line: &Line, at: usize) -> Option<Phrase> {
    let hour = atom(line, at)
        .filter(|a| (1.0..=12.0).contains(&a.value) && a.value.fract() == 0.0 && a.kind != Kind::Fraction)?;
    let minute = atom(line, hour.end).filter(|a| a.kind == Kind::Pair && a.value < 60.0 && line.flows(hour.end));
    let end = minute.map_or(hour.end, |m| m.end);
    let past = matches!(line.before(at, 1), "past" | "till" | "til")
        && matches!(line.before(at, 2), "half" | "quarter" | "minutes");
    let quarter = matches!(line.before(at, 1), "to" | "of" | "after")
        && line.before(at, 2) == "quarter"
        && super::unit_name::at(line, end, false).is_none();
    let round = minute.is_some_and(|m| hour.value >= 10.0 && m.value % 15.0 == 0.0)
        && matches!(line.before(at, 1), "at" | "until" | "by" | "since");
    let half = is_half_of_day(line, end);
    let unmeasured = super::unit_name::at(line, end, false).is_none_or(|u| u.certainty < 1.0);
    (half.is_some() || past || quarter || round && unmeasured).then(|| {
        Phrase::distracting(
            at,
            end + half.unwrap_or(0),
            hour.value + minute.map_or(0.0, |m| m.value / 60.0),
            Distractor::Time,
        )
    })
}

/// How many words at a position say that a time of day stood before it.
fn is_half_of_day(line: &Line, at: usize) -> Option<usize> {
    if at > 0 && line.ends_sentence(at - 1) {
        return None;
    }
    const WORDS: &[(&[&str], usize)] = &[
        (&["o'clock"], 1),
        (&["oclock"], 1),
        (&["o", "clock"], 2),
        (&["a", "m"], 2),
        (&["p", "m"], 2),
        (&["am"], 1),
        (&["pm"], 1),
        (&["a.m"], 1),
        (&["p.m"], 1),
        (&["in", "the", "morning"], 0),
        (&["in", "the", "afternoon"], 0),
        (&["in", "the", "evening"], 0),
        (&["this", "morning"], 0),
        (&["this", "afternoon"], 0),
        (&["tonight"], 0),
        (&["at", "night"], 0),
        (&["tomorrow"], 0),
    ];
    WORDS.iter().find(|(words, _)| line.says(at, words)).map(|(_, count)| *count)
}
