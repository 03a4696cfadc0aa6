//! "About", "just under", "or so": hedges around a number.
use super::Approx;
use super::line::Line;
use super::phrase::Phrase;

type Words = &'static [&'static str];

const BEFORE: &[(Words, Approx)] = &[
    (&["about"], Approx::About),
    (&["around"], Approx::About),
    (&["roughly"], Approx::About),
    (&["approximately"], Approx::About),
    (&["approx"], Approx::About),
    (&["maybe"], Approx::About),
    (&["circa"], Approx::About),
    (&["~"], Approx::About),
    (&["close", "to"], Approx::About),
    (&["near"], Approx::About),
    (&["near", "to"], Approx::About),
    (&["somewhere"], Approx::About),
    (&["in", "the", "neighborhood", "of"], Approx::About),
    (&["on", "the", "order", "of"], Approx::About),
    (&["like"], Approx::About),
    (&["looks", "like"], Approx::About),
    (&["call", "it"], Approx::About),
    (&["say"], Approx::About),
    (&["some"], Approx::About),
    (&["in", "the"], Approx::Exact),
    (&["perhaps"], Approx::About),
    (&["probably"], Approx::About),
    (&["possibly"], Approx::About),
    (&["i'd", "say"], Approx::About),
    (&["guessing"], Approx::About),
    (&["estimated"], Approx::About),
    (&["give", "or", "take"], Approx::About),
    (&["over"], Approx::Over),
    (&["above"], Approx::Over),
    (&["more", "than"], Approx::Over),
    (&["at", "least"], Approx::Over),
    (&["better", "than"], Approx::Over),
    (&["upwards", "of"], Approx::Over),
    (&["upward", "of"], Approx::Over),
    (&["north", "of"], Approx::Over),
    (&["greater", "than"], Approx::Over),
    (&["past"], Approx::Over),
    (&["exceeds"], Approx::Over),
    (&["exceeding"], Approx::Over),
    (&["higher", "than"], Approx::Over),
    (&["no", "less", "than"], Approx::Over),
    (&["not", "less", "than"], Approx::Over),
    (&["in", "excess", "of"], Approx::Over),
    (&["beyond"], Approx::Over),
    (&[">"], Approx::Over),
    (&["well", "over"], Approx::Over),
    (&["a", "hair", "above"], Approx::Over),
    (&["a", "minimum", "of"], Approx::Over),
    (&["good"], Approx::Over),
    (&["under"], Approx::Under),
    (&["below"], Approx::Under),
    (&["less", "than"], Approx::Under),
    (&["fewer", "than"], Approx::Under),
    (&["shy", "of"], Approx::Under),
    (&["not", "quite"], Approx::Under),
    (&["barely"], Approx::Under),
    (&["almost"], Approx::Under),
    (&["nearly"], Approx::Under),
    (&["up", "to"], Approx::Under),
    (&["at", "most"], Approx::Under),
    (&["at", "the", "most"], Approx::Under),
    (&["no", "more", "than"], Approx::Under),
    (&["not", "more", "than"], Approx::Under),
    (&["south", "of"], Approx::Under),
    (&["short", "of"], Approx::Under),
    (&["within"], Approx::Under),
    (&["lower", "than"], Approx::Under),
    (&["just", "about"], Approx::About),
    (&["<"], Approx::Under),
    (&["a", "maximum", "of"], Approx::Under),
    (&["smaller", "than"], Approx::Under),
    (&["shorter", "than"], Approx::Under),
];

const AFTER: &[(Words, Approx)] = &[
    (&["or", "so"], Approx::About),
    (&["or", "thereabouts"], Approx::About),
    (&["give", "or", "take"], Approx::About),
    (&["ish"], Approx::About),
    (&["odd"], Approx::About),
    (&["roughly"], Approx::About),
    (&["approximately"], Approx::About),
    (&["plus", "or", "minus"], Approx::About),
    (&["more", "or", "less"], Approx::About),
    (&["or", "more"], Approx::Over),
    (&["or", "better"], Approx::Over),
    (&["plus"], Approx::Over),
    (&["and", "change"], Approx::Over),
    (&["minimum"], Approx::Over),
    (&["at", "least"], Approx::Over),
    (&["or", "less"], Approx::Under),
    (&["or", "under"], Approx::Under),
    (&["tops"], Approx::Under),
    (&["max"], Approx::Under),
    (&["maximum"], Approx::Under),
    (&["at", "most"], Approx::Under),
    (&["at", "the", "most"], Approx::Under),
    (&["or", "above"], Approx::Over),
    (&["or", "below"], Approx::Under),
];

/// The hedge on a number, by the words before it, after it or between it and its unit.
pub(super) fn approx(line: &Line, phrase: &Phrase) -> Approx {
    if phrase.distractor == Some(super::Distractor::Time) {
        return Approx::Exact;
    }
    // "about a" and "maybe an" hedge too, where the article is not part of the number.
    let article = usize::from(matches!(line.before(phrase.start, 1), "a" | "an" | "only" | "just"));
    let start = phrase.start - article;
    let before = BEFORE.iter().filter(|(words, _)| ends_with(line, start, words)).max_by_key(|(words, _)| words.len());
    if let Some((_, approx)) = before {
        return *approx;
    }
    let after = |at: usize| {
        AFTER.iter().find(|(words, _)| line.says(at, words) && !line.ends_sentence(at - 1)).map(|(_, a)| *a)
    };
    after(phrase.number.end).or_else(|| after(phrase.end)).unwrap_or_default()
}

fn ends_with(line: &Line, end: usize, words: &[&str]) -> bool {
    let count = words.len();
    (0..count).all(|k| line.before(end, count - k) == words[k] && line.follows(end - k))
}
