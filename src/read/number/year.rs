//! Numbers that can be read as a year of make.
use super::Form;
use super::line::Line;
use super::phrase::Phrase;

const YEARS: std::ops::RangeInclusive<i32> = 1950..=2030;

/// The year that a phrase can be read as.
pub(super) fn year(line: &Line, phrase: &Phrase) -> Option<i32> {
    if phrase.unit.is_some() || phrase.range.is_some() || phrase.other.is_some() || phrase.value.fract() != 0.0 {
        return None;
    }
    let value = phrase.value as i32;
    match phrase.form {
        Form::LeadingZero if matches!(line.word(phrase.end), "of" | "slash" | "dash") => None,
        Form::LeadingZero => Some(2000 + value),
        Form::Year | Form::Digits | Form::Cardinal if YEARS.contains(&value) => Some(value),
        Form::Cardinal | Form::Digits if (0..100).contains(&value) && is_dated(line, phrase.start) => {
            [2000 + value, 1900 + value].into_iter().find(|y| YEARS.contains(y))
        }
        _ => None,
    }
}

/// Whether words of making or dating stand before: "made in ninety eight", "March of eleven".
fn is_dated(line: &Line, start: usize) -> bool {
    let made = |word: &str| {
        matches!(
            word,
            "made"
                | "built"
                | "dated"
                | "manufactured"
                | "manufacture"
                | "mfd"
                | "mfg"
                | "year"
                | "vintage"
                | "installed"
                | "date"
                | "'"
        )
    };
    let link =
        |word: &str| matches!(word, "in" | "is" | "from" | "of" | "back" | "was" | "says" | "the" | "about" | "around");
    let mut back = 1;
    while back <= 3 && link(line.before(start, back)) {
        back += 1;
    }
    made(line.before(start, back)) || (back > 1 && line.before(start, 1) == "of" && is_month(line.before(start, 2)))
}

pub fn is_month(word: &str) -> bool {
    matches!(
        word,
        "january"
            | "february"
            | "march"
            | "april"
            | "may"
            | "june"
            | "july"
            | "august"
            | "september"
            | "october"
            | "november"
            | "december"
            | "jan"
            | "feb"
            | "mar"
            | "apr"
            | "jun"
            | "jul"
            | "aug"
            | "sep"
            | "sept"
            | "oct"
            | "nov"
            | "dec"
    )
}
