//! What a number is when it is no reading: told by how it is written and by the words around it.
use super::cardinal::{self, Kind, atom};
use super::line::Line;
use super::one;
use super::phrase::Phrase;
use super::unit::{Dimension, Unit};
use super::year::is_month;
use super::{Distractor, Form, word};

/// Numbers told by the way they are written or said: 10:30, 3/14/2019, 120/240, 555-1234, "P twenty eight oh one".
pub(super) fn written(line: &Line, at: usize) -> Option<Phrase> {
    slashed(line, at)
        .or_else(|| colon(line, at))
        .or_else(|| chain(line, at))
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
    match parts[..] {
        [24.0, 7.0] => distracting(Distractor::Idiom),
        [_, _, _] => distracting(Distractor::Date),
        [a, b] if a.min(b) >= 40.0 => {
            let number = one::Number { figures: true, ..one::Number::new(at, at + 1, a.max(b), Form::Pair) };
            let found = super::measure::measured(line, number);
            Some(Phrase { other: Some(a.min(b)), ..super::phrase::plain(&found) })
        }
        [a, b] if a <= 12.0 && b > 12.0 && cardinal::atom(line, at).is_none() => distracting(Distractor::Date),
        _ => None,
    }
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
        [4, 1..=2, 1..=2] | [1..=2, 1..=2, 2 | 4] => found(Distractor::Date),
        _ => None,
    }
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

/// Marks sizes such as "two by four", gives both ends the unit that the last one carries, and marks counts of sizes.
pub(super) fn settle(line: &Line, phrases: &mut [Phrase]) {
    for k in (1..phrases.len()).rev() {
        let (head, tail) = phrases.split_at_mut(k);
        let (Some(first), Some(second)) = (head.last_mut(), tail.first_mut()) else { continue };
        let by = second.start == first.end + 1
            && matches!(line.word(first.end), "by" | "x" | "×")
            && !line.ends_sentence(first.end - 1);
        if by {
            first.distractor = first.distractor.or(Some(Distractor::Size));
            second.distractor = second.distractor.or(Some(Distractor::Size));
            first.unit = first.unit.or(second.unit);
        }
        // "Two three-quarter inch lines": a small number right before a measured one counts.
        let counts =
            first.unit.is_none() && first.form == Form::Cardinal && first.value < 20.0 && first.value.fract() == 0.0;
        if counts && second.unit.is_some() && second.start == first.end && line.flows(second.start) {
            first.distractor = first.distractor.or(Some(Distractor::Count));
        }
    }
    number_points(line, phrases);
}

/// Marks the numbers of a list read aloud: "Two, it's forty gallons. Three, made by ...".
fn number_points(line: &Line, phrases: &mut [Phrase]) {
    let heads = |p: &Phrase| {
        let starts = p.start == 0 || line.ends_sentence(p.start - 1);
        starts && p.unit.is_none() && p.form == Form::Cardinal && line.stop(p.end - 1) != crate::read::Stop::None
    };
    let mut last: Option<usize> = None;
    for k in 0..phrases.len() {
        if !heads(&phrases[k]) {
            continue;
        }
        if let Some(before) = last.filter(|&b| phrases[b].value + 1.0 == phrases[k].value) {
            for point in [before, k] {
                phrases[point].distractor = phrases[point].distractor.or(Some(Distractor::Label));
            }
        }
        last = Some(k);
    }
}

/// Why a phrase is no reading, by its unit and the words around it.
pub(super) fn distractor(line: &Line, phrase: &Phrase) -> Option<Distractor> {
    if phrase.distractor.is_some() {
        return phrase.distractor;
    }
    if phrase.form == Form::Ordinal {
        return Some(order(line, phrase));
    }
    if let Some(unit) = phrase.unit {
        return by_unit(line, phrase, unit);
    }
    let before = if line.follows(phrase.start) { line.before(phrase.start, 1) } else { "" };
    let after = if line.flows(phrase.end) { line.word(phrase.end) } else { "" };
    // A reading said with its point stays below this; "four twenty two point thirteen" is a section.
    if phrase.form == Form::Decimal && phrase.value >= 200.0 && !phrase.figures {
        return Some(Distractor::CodeSection);
    }
    if is_phone(line, phrase) {
        return Some(Distractor::Phone);
    }
    if is_street(line, phrase) {
        return Some(Distractor::StreetNumber);
    }
    if is_month(before) && phrase.value <= 31.0 || is_month(after) && phrase.value <= 31.0 {
        return Some(Distractor::Date);
    }
    if matches!(
        before,
        "schedule" | "sch" | "sdr" | "merv" | "seer" | "uef" | "r" | "grade" | "class" | "category" | "type"
    ) {
        return Some(Distractor::Grade);
    }
    if matches!(before, "floor" | "level" | "story" | "storey") {
        return Some(Distractor::Floor);
    }
    if let Some(label) = label(line, phrase, before) {
        return Some(label);
    }
    is_count(line, phrase, after).then_some(Distractor::Count)
}

fn order(line: &Line, phrase: &Phrase) -> Distractor {
    let after = line.word(phrase.end);
    let month = is_month(after)
        || after == "of" && is_month(line.word(phrase.end + 1))
        || is_month(line.before(phrase.start, 1));
    match after {
        _ if month => Distractor::Date,
        "floor" | "floors" | "story" | "storey" | "level" | "flr" => Distractor::Floor,
        _ => Distractor::Order,
    }
}

fn by_unit(line: &Line, phrase: &Phrase, unit: Unit) -> Option<Distractor> {
    let after = line.word(phrase.end);
    match unit.dimension() {
        Dimension::Money => Some(Distractor::Money),
        Dimension::Time if unit == Unit::Year && (after == "old" || line.says(phrase.end, &["of", "age"])) => {
            Some(Distractor::Age)
        }
        Dimension::Time => Some(Distractor::Duration),
        Dimension::Temperature if unit == Unit::Degree && is_fitting(after) => Some(Distractor::Angle),
        _ => None,
    }
}

fn is_fitting(word: &str) -> bool {
    matches!(
        word,
        "elbow"
            | "elbows"
            | "ell"
            | "ells"
            | "bend"
            | "bends"
            | "angle"
            | "turn"
            | "turns"
            | "fitting"
            | "fittings"
            | "corner"
            | "street"
            | "sweep"
    )
}

/// Seven digits and more said one by one, or the emergency number.
fn is_phone(line: &Line, phrase: &Phrase) -> bool {
    let digits = phrase.number.len();
    let emergency = phrase.form == Form::Digits && phrase.value == 911.0;
    let called =
        (1..=3).any(|back| matches!(line.before(phrase.start, back), "phone" | "call" | "telephone" | "cell" | "dial"));
    phrase.form == Form::Digits && (digits >= 7 || called) || emergency
}

/// A number, one to three names, then a word for a street.
fn is_street(line: &Line, phrase: &Phrase) -> bool {
    const STREETS: &[&str] = &[
        "lane",
        "street",
        "road",
        "drive",
        "avenue",
        "court",
        "way",
        "place",
        "boulevard",
        "circle",
        "terrace",
        "trail",
        "parkway",
        "highway",
        "crescent",
        "close",
        "square",
        "ln",
        "st",
        "rd",
        "ave",
        "dr",
        "ct",
        "blvd",
        "pl",
        "cir",
        "ter",
        "hwy",
        "pkwy",
    ];
    if phrase.value < 1.0 || phrase.value.fract() != 0.0 || phrase.range.is_some() {
        return false;
    }
    let named = (phrase.end + 1..phrase.end + 4).find(|&i| STREETS.contains(&line.word(i)));
    let address = (1..=3).any(|back| line.before(phrase.start, back) == "address");
    named.is_some_and(|end| (phrase.end..=end).all(|i| line.flows(i) && !is_function_word(line.word(i)))) || address
}

fn is_function_word(word: &str) -> bool {
    matches!(
        word,
        "" | "a"
            | "an"
            | "the"
            | "of"
            | "on"
            | "in"
            | "at"
            | "to"
            | "by"
            | "for"
            | "from"
            | "off"
            | "up"
            | "down"
            | "and"
            | "or"
            | "is"
            | "was"
            | "it"
            | "its"
            | "it's"
            | "that"
            | "this"
            | "with"
            | "all"
            | "along"
            | "across"
            | "above"
            | "below"
            | "over"
            | "under"
            | "inside"
            | "outside"
            | "near"
            | "into"
            | "through"
            | "but"
            | "so"
            | "if"
            | "there"
            | "has"
            | "have"
            | "no"
            | "not"
            | "which"
    )
}

/// "unit four oh two", "circuit fourteen", "photo number twelve".
fn label(line: &Line, phrase: &Phrase, before: &str) -> Option<Distractor> {
    let named = if matches!(before, "number" | "#" | "no") { line.before(phrase.start, 2) } else { before };
    let whole = phrase.value.fract() == 0.0 && phrase.range.is_none();
    match named {
        "unit" if phrase.value < 10.0 && whole => Some(Distractor::Label),
        "unit" | "apartment" | "apt" | "suite" | "condo" | "flat" | "lot" | "room" | "tower" | "building" | "block"
            if whole =>
        {
            Some(Distractor::UnitNumber)
        }
        "circuit" | "slot" | "position" | "page" | "photo" | "picture" | "item" | "line" | "step" | "note" | "zone"
        | "phase" | "figure" | "exhibit" | "week" | "version" | "channel" | "station" | "route" | "interstate"
        | "gate" | "flight" | "bus" | "image" | "part" | "option"
            if whole =>
        {
            Some(Distractor::Label)
        }
        "heater" | "tank" | "bathroom" | "bedroom" if whole && phrase.value < 10.0 => Some(Distractor::Label),
        _ if matches!(before, "number" | "#") && whole => Some(Distractor::Label),
        _ => None,
    }
}

/// "two heaters", "three full baths", "two car garage", "one two three" said to test.
fn is_count(line: &Line, phrase: &Phrase, after: &str) -> bool {
    if matches!(
        phrase.form,
        Form::Year | Form::LeadingZero | Form::Fraction | Form::Mixed | Form::Decimal | Form::Pair | Form::Cable
    ) {
        return false;
    }
    if phrase.form == Form::Digits && is_counting(line, phrase) {
        return true;
    }
    const SINGLE: &[&str] = &[
        "car", "story", "storey", "bedroom", "bath", "bathroom", "family", "people", "more", "times", "others", "men",
        "women", "children", "kids", "heater", "flat", "person", "ply",
    ];
    const PARTS: &[&str] =
        &["pole", "wire", "stage", "way", "prong", "phase", "gang", "speed", "conductor", "hole", "piece"];
    let few = phrase.value <= 6.0 && PARTS.contains(&after);
    if SINGLE.contains(&after) || few || is_plural_noun(after) || line.before(phrase.start, 1) == "all" {
        return true;
    }
    let second = line.word(phrase.end + 1);
    let of_them = after == "of" && matches!(second, "them" | "these" | "those" | "the");
    let described = phrase.value < 20.0
        && line.flows(phrase.end + 1)
        && after.len() > 2
        && !is_function_word(after)
        && is_plural_noun(second);
    of_them || described && word::digit(after).is_none() && super::unit_name::at(line, phrase.end + 1, false).is_none()
}

/// Digits that only go up by one from one: "testing, one two three".
fn is_counting(line: &Line, phrase: &Phrase) -> bool {
    let digits: Vec<u32> = phrase.number.clone().filter_map(|i| word::digit(line.word(i))).collect();
    digits.first() == Some(&1) && digits.windows(2).all(|w| w[1] == w[0] + 1)
}

fn is_plural_noun(word: &str) -> bool {
    const OTHER: &[&str] = &[
        "this",
        "does",
        "goes",
        "looks",
        "reads",
        "says",
        "runs",
        "comes",
        "seems",
        "feels",
        "means",
        "makes",
        "needs",
        "sits",
        "stands",
        "shows",
        "gets",
        "drops",
        "falls",
        "ends",
        "stops",
        "starts",
        "leaks",
        "drips",
        "works",
        "plus",
        "minus",
        "always",
        "perhaps",
        "sometimes",
        "yes",
        "versus",
        "here's",
        "that's",
        "there's",
        "it's",
        "what's",
        "besides",
        "towards",
        "upwards",
        "downwards",
    ];
    word.len() > 3
        && word.ends_with('s')
        && !["ss", "us", "is", "'s"].iter().any(|end| word.ends_with(end))
        && !OTHER.contains(&word)
        && word.bytes().all(|b| b.is_ascii_alphabetic())
}
