//! Whole numbers in words or figures, read piece by piece as far as plain grammar goes.
use super::line::{Line, is_vulgar, vulgar};
use super::word;

/// A whole run of words that plain grammar makes one number: "two hundred and eight", "forty five", "4,500".
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Atom {
    pub end: usize,
    pub value: f64,
    pub kind: Kind,
    /// In figures, not words.
    pub figures: bool,
    /// The thousand (or more) that multiplies its two leading digits: "ninety nine thousand".
    pub scaled: Option<f64>,
}

/// The shape of an atom; what may be put beside it depends on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Zero,
    /// One to nine.
    Digit,
    /// Ten to ninety-nine.
    Pair,
    Big,
    Decimal,
    Fraction,
}

impl Atom {
    fn whole(end: usize, value: f64, figures: bool) -> Atom {
        let kind = match value {
            0.0 => Kind::Zero,
            v if v < 10.0 => Kind::Digit,
            v if v < 100.0 => Kind::Pair,
            _ => Kind::Big,
        };
        Atom { end, value, kind, figures, scaled: None }
    }
}

/// The longest plain number at a position.
pub(super) fn atom(line: &Line, at: usize) -> Option<Atom> {
    if let Some(atom) = figures(line, at) {
        return Some(scaled_figures(line, atom));
    }
    if word::is_zero(line.word(at)) {
        return Some(Atom::whole(at + 1, 0.0, false));
    }
    let (mut end, first, hundreds) = below_thousand(line, at)?;
    let mut value = first;
    let mut scaled = None;
    let mut ceiling = f64::INFINITY;
    let scale_at =
        |end: usize| word::scale(line.word(end)).filter(|_| (line.flows(end) || end == at) && may_scale(line, end));
    while let Some(scale) = scale_at(end).filter(|&s| s < ceiling) {
        // The part below the scale before it is what this scale multiplies.
        let part = if ceiling.is_infinite() { first } else { value % ceiling };
        value += part * (scale - 1.0);
        if ceiling.is_infinite() && !hundreds && first >= 10.0 {
            scaled = Some(scale);
        }
        ceiling = scale;
        end += 1;
        match rest(line, end, ceiling) {
            Some((next, more)) => {
                end = next;
                value += more;
            }
            None => break,
        }
    }
    (end > at).then_some(Atom { scaled, ..Atom::whole(end, value, false) })
}

/// "k" multiplies only a number written against it, or before a unit that is counted in thousands.
fn may_scale(line: &Line, at: usize) -> bool {
    match line.word(at) {
        "k" => {
            let ends = line.stop(at) != crate::read::Stop::None || at + 1 == line.len();
            line.joined(at) || ends || matches!(line.word(at + 1), "btu" | "btus" | "b" | "input")
        }
        _ => true,
    }
}

/// What may follow a thousand: ", two hundred and thirty", "and three", "oh nine".
fn rest(line: &Line, at: usize, ceiling: f64) -> Option<(usize, f64)> {
    if !line.flows_or_comma(at) {
        return None;
    }
    let after_and = if line.word(at) == "and" && line.flows(at + 1) { at + 1 } else { at };
    if word::is_zero(line.word(after_and)) {
        let digit = word::digit(line.word(after_and + 1)).filter(|_| line.flows(after_and + 1))?;
        return Some((after_and + 2, f64::from(digit)));
    }
    let (end, value, _) = below_thousand(line, after_and)?;
    let own_scale = word::scale(line.word(end)).filter(|_| line.flows(end));
    // After a bare comma only hundreds go on ("one thousand, two hundred"): "forty thousand, fifty gallons" is two numbers.
    let parted = !line.flows(at) && after_and == at && value < 100.0;
    let too_big = own_scale.is_some_and(|s| s >= ceiling);
    (!parted && !too_big).then_some((end, value))
}

/// Zero to 999, or tens of hundreds ("thirty-eight hundred"); tells whether a hundred was said.
fn below_thousand(line: &Line, at: usize) -> Option<(usize, f64, bool)> {
    let article = matches!(line.word(at), "a" | "an");
    let (end, head) = match below_hundred(line, at) {
        Some(found) => found,
        None if article && is_multiplier(line.word(at + 1)) => (at + 1, 1.0),
        None if line.word(at) == "hundred" && !is_vague(line.before(at, 1)) => (at, 1.0),
        None if line.word(at) == "thousand" && !is_vague(line.before(at, 1)) => return Some((at, 1.0, false)),
        None => return None,
    };
    if line.word(end) != "hundred" || !(line.flows(end) || end == at) {
        return Some((end, head, false));
    }
    let (end, value) = after_hundred(line, end + 1, head * 100.0);
    Some((end, value, true))
}

fn is_multiplier(word: &str) -> bool {
    word == "hundred" || matches!(word, "thousand" | "million" | "billion")
}

/// "Few hundred" is no number.
fn is_vague(before: &str) -> bool {
    matches!(before, "few" | "several" | "many" | "some" | "per" | "the" | "every")
}

fn after_hundred(line: &Line, at: usize, value: f64) -> (usize, f64) {
    let and = line.word(at) == "and" && line.flows_or_comma(at) && line.flows(at + 1);
    let tail = if and { at + 1 } else { at };
    if !and && !line.flows(at) {
        return (at, value);
    }
    let figure = || parse_figures(line.word(tail)).filter(|n| n.fract() == 0.0 && *n < 100.0).map(|n| (tail + 1, n));
    match below_hundred(line, tail).or_else(figure) {
        Some((end, small)) => (end, value + small),
        None => (at, value),
    }
}

/// One to ninety-nine in words; a digit that a fraction counts with is left to it ("twenty, three quarter").
fn below_hundred(line: &Line, at: usize) -> Option<(usize, f64)> {
    let here = line.word(at);
    if let Some(tens) = word::ten(here) {
        let digit = word::digit(line.word(at + 1))
            .filter(|_| line.flows(at + 1) && !counts_fraction(line, at + 1) && !spells_on(line, at + 2));
        return Some((at + 1 + usize::from(digit.is_some()), f64::from(tens + digit.unwrap_or(0))));
    }
    word::teen(here).or_else(|| word::digit(here)).map(|n| (at + 1, f64::from(n)))
}

/// Whether a zero and a digit follow, so that the digit before them is one of a spelled row: "twenty, two zero two zero".
fn spells_on(line: &Line, at: usize) -> bool {
    line.word(at) == "zero" && line.flows(at) && line.flows(at + 1) && word::digit(line.word(at + 1)).is_some()
}

/// Whether the digit at a position is the top of a fraction.
pub(super) fn counts_fraction(line: &Line, at: usize) -> bool {
    line.flows(at + 1)
        && (matches!(line.word(at + 1), "eights" | "sixteens")
            || word::denominator(line.word(at + 1))
                .is_some_and(|(bottom, plural)| plural || matches!(bottom, 4 | 8 | 16)))
}

/// A number in figures at a position.
fn figures(line: &Line, at: usize) -> Option<Atom> {
    let text = line.word(at);
    let first = text.chars().next()?;
    if is_vulgar(first) {
        return Some(Atom { kind: Kind::Fraction, ..Atom::whole(at + 1, vulgar(first)?, true) });
    }
    if !first.is_ascii_digit() && first != '.' {
        return None;
    }
    if let Some((top, bottom)) = text.split_once('/') {
        let (top, bottom): (u32, u32) = (top.parse().ok()?, bottom.parse().ok()?);
        let is_fraction = top < bottom && matches!(bottom, 2..=6 | 8 | 10 | 12 | 16 | 32 | 64 | 100);
        let improper = top > bottom && top < 100 && matches!(bottom, 2 | 4 | 8 | 16);
        return (is_fraction || improper).then(|| {
            let value = f64::from(top) / f64::from(bottom);
            let ending = matches!(line.word(at + 1), "ths" | "th" | "'s" | "rds" | "nds") && line.joined(at + 1);
            Atom { kind: Kind::Fraction, ..Atom::whole(at + 1 + usize::from(ending), value, true) }
        });
    }
    let value = parse_figures(text)?;
    let kind =
        if value.fract() != 0.0 || text.contains('.') { Kind::Decimal } else { Atom::whole(0, value, true).kind };
    Some(Atom { end: at + 1, value, kind, figures: true, scaled: None })
}

/// 4,500 and 1.5 and 2,5 (a decimal comma), never 2801.6.1 or 10:30.
pub(super) fn parse_figures(text: &str) -> Option<f64> {
    let groups: Vec<&str> = text.split(',').collect();
    let grouped = groups.len() > 1
        && (1..=3).contains(&groups[0].len())
        && groups[1..].iter().all(|g| g.split('.').next().is_some_and(|d| d.len() == 3));
    let plain = if grouped {
        text.replace(',', "")
    } else if groups.len() == 2 && groups[1].len() < 3 && !text.contains('.') {
        text.replace(',', ".")
    } else {
        text.to_owned()
    };
    let is_number = plain.bytes().all(|b| b.is_ascii_digit() || b == b'.') && plain.bytes().any(|b| b.is_ascii_digit());
    plain.parse().ok().filter(|_| is_number)
}

/// "45 hundred", "199 thousand", "1.5 million", "2000 and 11".
fn scaled_figures(line: &Line, atom: Atom) -> Atom {
    if atom.kind == Kind::Fraction || !line.flows(atom.end) {
        return atom;
    }
    if line.word(atom.end) == "hundred" {
        let (end, value) = after_hundred(line, atom.end + 1, atom.value * 100.0);
        return Atom { end, value, kind: Atom::whole(0, value, true).kind, ..atom };
    }
    if let Some(scale) = word::scale(line.word(atom.end)).filter(|_| may_scale(line, atom.end)) {
        let value = atom.value * scale;
        return Atom { end: atom.end + 1, value, kind: Atom::whole(0, value, true).kind, ..atom };
    }
    // Only the century is put together with what follows: "2000 and 11", "2000 11".
    let tail = atom.end + usize::from(line.word(atom.end) == "and");
    let year = parse_figures(line.word(tail)).filter(|y| y.fract() == 0.0 && (1.0..31.0).contains(y));
    match year.filter(|_| atom.value == 2000.0 && line.flows(tail) && !line.word(tail).contains('.')) {
        Some(year) => Atom { end: tail + 1, value: atom.value + year, ..atom },
        None => atom,
    }
}
