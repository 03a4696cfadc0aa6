//! Fractions in words: "five eighths", "three quarter", "half an inch", "a quarter to three eighths".
use super::Form;
use super::line::Line;
use super::one::Number;
use super::{unit_name, word};

/// A fraction in words: "five eighths", "three quarter", "a quarter", "half".
pub(super) fn fraction(line: &Line, at: usize) -> Option<Number> {
    if let Some(number) = bare_fraction(line, at) {
        return Some(number);
    }
    let article = matches!(line.word(at), "a" | "an");
    let top = if article { Some(1) } else { counted_top(line, at) }?;
    if !line.flows(at + 1) {
        return None;
    }
    let (end, bottom, plural) = bottom(line, at + 1)?;
    let fits = top < bottom && top % 2 + bottom % 2 > 0 || plural;
    let ordinal_like = !plural && !matches!(bottom, 2 | 4 | 8 | 16 | 32 | 64) && (article || top > 1);
    // After "and" a fraction needs no unit: "an inch and a half".
    let after_and = line.before(at, 1) == "and" && line.flows(at) && !ordinal_like;
    let share = article && bottom == 3 && line.word(end) == "of";
    let loose = (article || ordinal_like) && !after_and && !share && !measures(line, end);
    // "Two quarter inch lines" counts lines; only a plural makes two quarters.
    let lists = !plural && top > 1 && bottom == 2;
    if !fits || loose || lists || is_other_quarter(line, end) && !after_and {
        return None;
    }
    let certainty = if plural || top == 1 || bottom > 2 { 1.0 } else { 0.7 };
    Some(Number { certainty, ..Number::new(at, end, f64::from(top) / f64::from(bottom), Form::Fraction) })
}

/// The top of a fraction in words or figures; "twenty three" is left to be a whole number.
fn counted_top(line: &Line, at: usize) -> Option<u32> {
    let here = line.word(at);
    let figure = || here.parse().ok().filter(|n| (1..100).contains(n));
    word::digit(here).or_else(|| word::teen(here)).or_else(figure)
}

/// The bottom of a fraction: one word, or "thirty seconds" and "sixty fourths" of an inch.
fn bottom(line: &Line, at: usize) -> Option<(usize, u32, bool)> {
    let two =
        |tens: &str, unit: &[&str]| line.word(at) == tens && unit.contains(&line.word(at + 1)) && line.flows(at + 1);
    let inch_follows = |end: usize| line.word(end).starts_with("inch") || line.says(end, &["of", "an", "inch"]);
    if two("thirty", &["second", "seconds"]) && inch_follows(at + 2) {
        return Some((at + 2, 32, true));
    }
    if two("sixty", &["fourth", "fourths"]) {
        return Some((at + 2, 64, true));
    }
    // Recognisers drop the end of "eighth": "one eight of an inch".
    let cut = match line.word(at) {
        "eights" => Some(8),
        "eight" if line.says(at + 1, &["of", "an", "inch"]) => Some(8),
        "sixteens" => Some(16),
        "sixteen" if line.says(at + 1, &["of", "an", "inch"]) => Some(16),
        _ => None,
    };
    let whole = word::denominator(line.word(at)).map(|(bottom, plural)| (at + 1, bottom, plural));
    whole.or(cut.map(|bottom| (at + 1, bottom, true)))
}

/// "half inch", "half an inch", "quarter of an inch", "eighth inch": no top said.
fn bare_fraction(line: &Line, at: usize) -> Option<Number> {
    let (bottom, plural) = word::denominator(line.word(at))?;
    let eligible = matches!(bottom, 2 | 4 | 8 | 16) && !plural && !is_other_quarter(line, at + 1);
    let counted = counted_top(line, at.wrapping_sub(1)).is_some() && line.flows(at);
    let ordinal = bottom > 4 || line.word(at) == "fourth";
    let named = matches!(line.before(at, 1), "the" | "second" | "first" | "last") && ordinal;
    let follows = measures(line, at + 1) || (!ordinal && is_pipe(line.word(at + 1)));
    let ok = eligible && !named && (!counted || bottom == 2) && follows && line.flows(at + 1);
    ok.then(|| Number::new(at, at + 1, 1.0 / f64::from(bottom), Form::Fraction))
}

/// Whether a unit, or "of a" and a unit, stands at a position.
fn measures(line: &Line, at: usize) -> bool {
    let of = usize::from(line.word(at) == "of");
    let article = usize::from(matches!(line.word(at + of), "a" | "an"));
    let unit = unit_name::at(line, at + of + article, false);
    let per = line.word(at) == "per"
        || line.says(at, &["or", "so", "per"])
        || line.says(at, &["to", "the", "foot"])
        || line.says(at, &["a", "foot"]);
    unit.is_some_and(|u| u.certainty == 1.0) && line.flows(at) || per || begins_range(line, at)
}

/// "A quarter to three eighths": another fraction with its unit follows.
fn begins_range(line: &Line, at: usize) -> bool {
    let top = usize::from(matches!(line.word(at + 1), "a" | "an") || word::digit(line.word(at + 1)).is_some());
    let second = word::denominator(line.word(at + 1 + top)).is_some_and(|(bottom, _)| bottom != 3);
    let measured = || unit_name::at(line, at + 2, false).is_some_and(|u| u.certainty == 1.0);
    let between = line.word(at) == "and" && (1..=4).any(|back| line.before(at, back) == "between");
    let linked = matches!(line.word(at), "to" | "or") || between;
    linked && line.follows(at) && second && (top == 1 || measured())
}

/// What a bare "half" or "quarter" sizes without its inch.
pub(super) fn is_pipe(word: &str) -> bool {
    matches!(
        word,
        "copper"
            | "pex"
            | "cpvc"
            | "pvc"
            | "galvanized"
            | "galvanised"
            | "pipe"
            | "piping"
            | "tubing"
            | "black"
            | "iron"
            | "brass"
    )
}

/// "Quarter turn", "three quarter bath", "half full": no measure.
fn is_other_quarter(line: &Line, at: usize) -> bool {
    line.flows(at)
        && matches!(
            line.word(at),
            "turn"
                | "turns"
                | "bath"
                | "baths"
                | "bathroom"
                | "round"
                | "wall"
                | "moon"
                | "full"
                | "empty"
                | "past"
                | "way"
                | "open"
                | "time"
                | "off"
                | "bend"
                | "til"
                | "till"
                | "dozen"
                | "sawn"
        )
}
