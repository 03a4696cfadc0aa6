//! One form for the many ways of writing the same English words.
use super::number::numerals;
use regex::Regex;
use std::sync::LazyLock;

/// Short forms and their long ones, in the order applied.
const LONG_FORMS: &[(&str, &str)] = &[
    (r"\bwon't\b", "will not"),
    (r"\bcan't\b", "can not"),
    (r"\blet's\b", "let us"),
    (r"\bain't\b", "aint"),
    (r"\by'all\b", "you all"),
    (r"\bwanna\b", "want to"),
    (r"\bgotta\b", "got to"),
    (r"\bgonna\b", "going to"),
    (r"\bma'am\b", "madam"),
    (r"\bmr\b", "mister "),
    (r"\bmrs\b", "missus "),
    (r"\bdr\b", "doctor "),
    (r"'d (been|gone|done)\b", " had $1"),
    (r"'s (been|gone|done|got)\b", " has $1"),
    (r"n't\b", " not"),
    (r"'re\b", " are"),
    (r"'s\b", " is"),
    (r"'d\b", " would"),
    (r"'ll\b", " will"),
    (r"'t\b", " not"),
    (r"'ve\b", " have"),
    (r"'m\b", " am"),
];

/// British spellings that inspectors' words have, and the American ones.
const SPELLINGS: &[(&str, &str)] = &[
    ("aluminium", "aluminum"),
    ("grey", "gray"),
    ("litre", "liter"),
    ("litres", "liters"),
    ("metre", "meter"),
    ("metres", "meters"),
    ("millimetres", "millimeters"),
    ("centimetres", "centimeters"),
    ("mould", "mold"),
    ("mouldy", "moldy"),
    ("colour", "color"),
    ("coloured", "colored"),
    ("centre", "center"),
    ("neighbour", "neighbor"),
    ("neighbours", "neighbors"),
    ("grille", "grill"),
    ("labelled", "labeled"),
    ("sulphur", "sulfur"),
];

/// What is taken out or joined before the long forms.
const FIRST: &[(&str, &str)] =
    &[(r"[<\[][^>\]]*[>\]]", ""), (r"\(([^)]+?)\)", ""), (r"\b(hmm|mm|mhm|mmm|uh|um)\b", ""), (r"\s+'", "'")];

/// Commas that group digits (twice, since neighbours share a digit) and full stops.
const STOPS: &[(&str, &str)] = &[("([0-9]),([0-9])", "$1$2"), ("([0-9]),([0-9])", "$1$2"), (r"\.([^0-9]|$)", " $1")];

/// Marks that no number stands beside.
const LOOSE: &[(&str, &str)] = &[("[.$¢€£]([^0-9])", " $1"), ("([^0-9])%", "$1 ")];

struct Patterns {
    before: Vec<(Regex, &'static str)>,
    after: Vec<(Regex, &'static str)>,
}

static PATTERNS: LazyLock<Patterns> = LazyLock::new(|| Patterns {
    before: compile(FIRST.iter().chain(LONG_FORMS).chain(STOPS)),
    after: compile(LOOSE.iter()),
});

/// A pattern that does not compile would be left out; a test counts them.
fn compile<'a>(table: impl Iterator<Item = &'a (&'static str, &'static str)>) -> Vec<(Regex, &'static str)> {
    table.filter_map(|(pattern, by)| Some((Regex::new(pattern).ok()?, *by))).collect()
}

/// Lower case, no marks, no fillers, long forms, numbers in digits.
pub fn normalize(text: &str) -> String {
    let text = text.to_lowercase().replace(['’', '‘'], "'");
    let text = replaced(text, &PATTERNS.before);
    let text = numerals(&plain(&text));
    let words = text.split_whitespace().map(|word| {
        let american = SPELLINGS.iter().find(|(british, _)| *british == word);
        american.map_or(word, |(_, american)| american)
    });
    let text = replaced(words.collect::<Vec<_>>().join(" "), &PATTERNS.after);
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn replaced(text: String, patterns: &[(Regex, &'static str)]) -> String {
    patterns.iter().fold(text, |text, (pattern, by)| pattern.replace_all(&text, *by).into_owned())
}

/// Marks become spaces, letters lose their accents; what belongs to a number or a price stays.
fn plain(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            'à' | 'á' | 'â' | 'ä' | 'å' => 'a',
            'è' | 'é' | 'ê' | 'ë' => 'e',
            'ì' | 'í' | 'î' | 'ï' => 'i',
            'ò' | 'ó' | 'ô' | 'ö' => 'o',
            'ù' | 'ú' | 'û' | 'ü' => 'u',
            'ñ' => 'n',
            'ç' => 'c',
            '.' | '%' | '$' | '¢' | '€' | '£' => c,
            _ if c.is_alphanumeric() => c,
            _ => ' ',
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pattern_compiles() {
        assert_eq!(PATTERNS.before.len(), FIRST.len() + LONG_FORMS.len() + STOPS.len());
        assert_eq!(PATTERNS.after.len(), LOOSE.len());
    }
}
