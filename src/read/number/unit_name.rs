//! The names of units, as written, said, spelled and misheard.
use super::line::Line;
use super::unit::Unit;
use super::unit::Unit::*;
use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::OnceLock;

/// A unit found after a number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Found {
    pub end: usize,
    pub unit: Unit,
    /// Lower where the words are only what a recogniser makes of the unit.
    pub certainty: f64,
}

/// How far a name may be trusted.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Trust {
    Plain,
    /// Only after a number in figures: "5 m", "3 in".
    Figures,
    /// What recognisers write for it, only after a number.
    Misheard,
}

type Name = (Vec<&'static str>, Unit, Trust);

/// Names by their first word, longest first.
fn names() -> &'static HashMap<&'static str, Vec<Name>> {
    static NAMES: OnceLock<HashMap<&'static str, Vec<Name>>> = OnceLock::new();
    NAMES.get_or_init(|| {
        let mut names: HashMap<&'static str, Vec<Name>> = HashMap::new();
        let tables = [
            (super::unit_table::PLAIN, Trust::Plain),
            (super::unit_table::FIGURES, Trust::Figures),
            (super::unit_table::MISHEARD, Trust::Misheard),
        ];
        for (table, trust) in tables {
            for &(unit, list) in table {
                for name in list.split('|') {
                    let words: Vec<&'static str> = name.split(' ').collect();
                    names.entry(words[0]).or_default().push((words, unit, trust));
                }
            }
        }
        for list in names.values_mut() {
            list.sort_by_key(|(words, ..)| std::cmp::Reverse(words.len()));
        }
        names
    })
}

/// The unit that these words name, no more and no less.
pub(super) fn whole(words: &[&str]) -> Option<Unit> {
    let list = names().get(*words.first()?)?;
    let simple = list.iter().find(|(name, _, trust)| *name == words && *trust != Trust::Misheard).map(|n| n.1);
    let split = || {
        let per = words.iter().position(|w| matches!(*w, "per" | "/"))?;
        compound(whole(&words[..per])?, whole(words.get(per + 1..)?)?)
    };
    simple.or_else(split)
}

/// The unit at a position after a number; `figures` says that the number is written in figures.
pub(super) fn at(line: &Line, at: usize, figures: bool) -> Option<Found> {
    line.follows(at).then(|| head(line, at, figures)).flatten()
}

/// The same where no number stands before: "inch and a half".
pub(super) fn head(line: &Line, at: usize, figures: bool) -> Option<Found> {
    let base = simple(line, at, figures)?;
    Some(compounded(line, base))
}

fn simple(line: &Line, at: usize, figures: bool) -> Option<Found> {
    let bare = undotted(line.word(at));
    let list = names().get(bare.as_ref())?;
    let fits = |(words, _, trust): &&Name| {
        let written = words[1..].iter().enumerate().all(|(k, w)| undotted(line.word(at + 1 + k)) == *w);
        written
            && in_one_breath(line, at, words.len())
            && (*trust != Trust::Figures || letter_fits(line, at, &bare, figures))
    };
    let (words, unit, trust) = list.iter().find(fits)?;
    let certainty = if *trust == Trust::Misheard { 0.5 } else { 1.0 };
    Some(Found { end: at + words.len(), unit: *unit, certainty })
}

/// "p.s.i" is "psi".
fn undotted(word: &str) -> Cow<'_, str> {
    let letters = word.contains('.') && !word.bytes().any(|b| b.is_ascii_digit());
    if letters { word.replace('.', "").into() } else { word.into() }
}

/// Spelled letters may be dotted; words of a name may not be parted by a stop.
fn in_one_breath(line: &Line, at: usize, count: usize) -> bool {
    (at..at + count - 1).all(|i| line.word(i).len() == 1 || line.stop(i) == crate::read::Stop::None)
}

/// Whether a short name that is also a word or a letter is a unit here.
fn letter_fits(line: &Line, at: usize, name: &str, figures: bool) -> bool {
    let next = line.word(at + 1);
    let spelled_on = next.len() == 1 && !line.ends_sentence(at) && next.bytes().all(|b| b.is_ascii_alphabetic());
    if line.joined(at) && line.pieces[at].token == line.pieces[at - 1].token {
        return true;
    }
    match name {
        "v" | "f" | "c" | "w" => !spelled_on || matches!(next, "a" | "i"),
        "a" => {
            figures
                && line.capital(at)
                && (line.stop(at) != crate::read::Stop::None || matches!(next, "breaker" | "circuit" | "fuse"))
        }
        "in" => figures && inch_not_preposition(line, at),
        _ => figures && !spelled_on,
    }
}

/// "3/4 in copper" and "4 in." name inches; "20 in the garage" does not.
fn inch_not_preposition(line: &Line, at: usize) -> bool {
    let number = line.word(at - 1);
    if matches!(line.before(at, 2), "ft" | "foot" | "feet" | "'") {
        return true;
    }
    let follows = line.word(at + 1);
    let place = matches!(
        follows,
        "the" | "a" | "an" | "my" | "this" | "that" | "each" | "all" | "one" | "it" | "here" | "there"
    );
    let sizes = matches!(
        follows,
        "" | "tall" | "of" | "from" | "above" | "off" | "below" | "x" | "by" | "wide" | "long" | "deep" | "high"
    );
    line.stop(at) != crate::read::Stop::None || sizes || (!place && (number.contains('/') || number.contains('.')))
}

/// Goes on over "per hour", "a minute", "to the foot".
pub(super) fn compounded(line: &Line, base: Found) -> Found {
    let Some(per) = per_words(line, base.end) else { return base };
    let Some(below) = simple(line, per, false) else { return base };
    match compound(base.unit, below.unit) {
        Some(unit) => Found { end: below.end, unit, certainty: base.certainty.min(below.certainty) },
        None => base,
    }
}

/// Where the bottom unit begins after "per", "a", "to the", "for each"; a word for fall may stand before it.
pub(super) fn per_words(line: &Line, at: usize) -> Option<usize> {
    if at == 0 || line.stop(at - 1) != crate::read::Stop::None {
        return None;
    }
    let fall = ["of", "fall", "rise", "drop", "slope", "pitch", "down", "up"];
    let mut at = at;
    for _ in 0..2 {
        if fall.contains(&line.word(at)) && !line.ends_sentence(at) {
            at += 1;
        }
    }
    const WAYS: &[&[&str]] = &[
        &["per", "linear"],
        &["per", "lineal"],
        &["per", "running"],
        &["per", "each"],
        &["per", "every"],
        &["per"],
        &["/"],
        &["to", "the"],
        &["to", "each"],
        &["for", "each"],
        &["for", "every"],
        &["for", "a"],
        &["in", "a"],
        &["in", "each"],
        &["in", "every"],
        &["on", "the"],
        &["each"],
        &["every"],
        &["a"],
        &["an"],
    ];
    let way = WAYS.iter().find(|way| line.says(at, way))?;
    (!line.ends_sentence(at)).then_some(at + way.len())
}

/// The unit of one unit for each of another.
pub(super) fn compound(top: Unit, bottom: Unit) -> Option<Unit> {
    Some(match (top, bottom) {
        (Inch, Foot) => InchPerFoot,
        (Millimetre, Metre) => MillimetrePerMetre,
        (Centimetre, Metre) => CentimetrePerMetre,
        (Megajoule, Hour) => MegajoulePerHour,
        (Btu, Hour) => BtuPerHour,
        (Pound, SquareInch) => Psi,
        (Pound, SquareFoot) => PoundPerSquareFoot,
        (Mile, Hour) => MilePerHour,
        (Kilometre, Hour) => KilometrePerHour,
        (Metre, Second) => MetrePerSecond,
        (Kilometre, Second) => KilometrePerSecond,
        (Foot, Second) => FootPerSecond,
        (Foot, Minute) => FootPerMinute,
        (Gallon, Minute) => GallonPerMinute,
        (Gallon, Hour) => GallonPerHour,
        (Gallon, Day) => GallonPerDay,
        (Litre, Minute) => LitrePerMinute,
        (Litre, Hour) => LitrePerHour,
        (Litre, Second) => LitrePerSecond,
        (CubicFoot, Minute) => CubicFootPerMinute,
        (CubicFoot, Hour) => CubicFootPerHour,
        (CubicMetre, Hour) => CubicMetrePerHour,
        (CubicMetre, Second) => CubicMetrePerSecond,
        (Mile, Gallon) => MilePerGallon,
        (Kilogram, CubicMetre) => KilogramPerCubicMetre,
        (Gram, CubicCentimetre) => GramPerCubicCentimetre,
        (Gram, Litre) => GramPerLitre,
        (Milligram, Litre) => MilligramPerLitre,
        (Grain, Gallon) => GrainPerGallon,
        (Watt, SquareMetre) => WattPerSquareMetre,
        _ => return None,
    })
}
