//! What a number is when it is no reading, told by the words around it.
use super::line::Line;
use super::phrase::Phrase;
use super::unit::{Dimension, Unit};
use super::year::is_month;
use super::{Distractor, Form, word};
use crate::lexicon::WordClass;

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
        // "Six of twenty fourteen" is a month and a year.
        let dated = second.start == first.end + 1 && line.word(first.end) == "of" && is_year(second);
        if dated && first.unit.is_none() && first.value.fract() == 0.0 && (1.0..=12.0).contains(&first.value) {
            first.distractor = first.distractor.or(Some(Distractor::Date));
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

/// Whether a number may be the year that something was made in.
fn is_year(phrase: &Phrase) -> bool {
    phrase.unit.is_none() && phrase.value.fract() == 0.0 && (1950.0..2050.0).contains(&phrase.value)
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
    let before = if line.follows(phrase.start) { line.before(phrase.start, 1) } else { "" };
    if let Some(unit) = phrase.unit {
        // "Apartment 4b" has no bytes.
        let lettered = line.joined(phrase.end - 1) && line.word(phrase.end - 1).len() == 1 && phrase.figures;
        let labelled = if lettered { label(line, phrase, before) } else { None };
        return labelled.or_else(|| by_unit(line, phrase, unit));
    }
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
    let month_of_year = phrase.form == Form::LeadingZero && matches!(after, "of" | "slash" | "dash" | "/");
    let day = (is_month(before) || is_month(after)) && phrase.value <= 31.0 && phrase.form != Form::LeadingZero;
    if day || month_of_year {
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
    // "Apartment nine C" is no temperature.
    let lettered = line.word(phrase.end).len() == 1 || line.word(phrase.end - 1).len() == 1;
    if lettered
        && matches!(
            line.before(phrase.start, 1),
            "apartment" | "apt" | "suite" | "flat" | "unit" | "condo" | "lot" | "room"
        )
    {
        return Some(Distractor::UnitNumber);
    }
    match unit.dimension() {
        Dimension::Money => Some(Distractor::Money),
        Dimension::Time if unit == Unit::Year && (after == "old" || line.says(phrase.end, &["of", "age"])) => {
            Some(Distractor::Age)
        }
        Dimension::Time => Some(Distractor::Duration),
        Dimension::Temperature if unit == Unit::Degree && is_angle(line, phrase) => Some(Distractor::Angle),
        _ => None,
    }
}

/// Degrees of a bend, a turn or a bearing.
fn is_angle(line: &Line, phrase: &Phrase) -> bool {
    let near = |word: &str| {
        matches!(
            word,
            "angle" | "rotated" | "rotate" | "turned" | "turn" | "tilt" | "tilted" | "bent" | "latitude" | "longitude"
        )
    };
    let bearing =
        matches!(line.word(phrase.end), "north" | "south" | "east" | "west" | "latitude" | "longitude" | "apart");
    bearing || is_fitting(line.word(phrase.end)) || (1..=4).any(|back| near(line.before(phrase.start, back)))
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
    if phrase.value < 1.0 || phrase.value.fract() != 0.0 || phrase.range.is_some() {
        return false;
    }
    let named = (phrase.end + 1..phrase.end + 4).find(|&i| WordClass::Street.holds(line.word(i)));
    let address = (1..=3).any(|back| line.before(phrase.start, back) == "address");
    named.is_some_and(|end| (phrase.end..=end).all(|i| line.flows(i) && !is_function_word(line.word(i)))) || address
}

fn is_function_word(word: &str) -> bool {
    word.is_empty() || WordClass::Function.holds(word)
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
    const PARTS: &[&str] =
        &["pole", "wire", "stage", "way", "prong", "phase", "gang", "speed", "conductor", "hole", "piece"];
    let few = phrase.value <= 6.0 && PARTS.contains(&after);
    // Beyond a dozen a plural is as likely a verb after a reading: "breaker thirty trips".
    let plural = phrase.value <= 12.0 && is_plural_noun(after);
    if WordClass::Counted.holds(after) || few || plural || line.before(phrase.start, 1) == "all" {
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
    let digits: Vec<u32> =
        phrase.number.clone().filter_map(|i| word::digit(line.word(i)).or_else(|| line.word(i).parse().ok())).collect();
    digits.first() == Some(&1) && digits.windows(2).all(|w| w[1] == w[0] + 1)
}

fn is_plural_noun(word: &str) -> bool {
    word.len() > 3
        && word.ends_with('s')
        && !["ss", "us", "is", "'s"].iter().any(|end| word.ends_with(end))
        && !WordClass::NoPlural.holds(word)
        && word.bytes().all(|b| b.is_ascii_alphabetic())
}
