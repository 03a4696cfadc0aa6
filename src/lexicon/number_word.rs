//! Number words one by one.

/// One to nine, as said or as often written for it.
pub fn digit(word: &str) -> Option<u32> {
    Some(match word {
        "one" => 1,
        "two" => 2,
        "three" => 3,
        "four" => 4,
        "five" | "fife" => 5,
        "six" => 6,
        "seven" => 7,
        "eight" => 8,
        "nine" | "niner" => 9,
        _ => return None,
    })
}

/// Zero by any name; "oh" and "o" count only among other digits.
pub fn is_zero(word: &str) -> bool {
    matches!(word, "zero" | "oh" | "o" | "nought" | "naught" | "aught" | "ought" | "0")
}

/// Ten to nineteen.
pub fn teen(word: &str) -> Option<u32> {
    Some(match word {
        "ten" => 10,
        "eleven" => 11,
        "twelve" => 12,
        "thirteen" => 13,
        "fourteen" => 14,
        "fifteen" => 15,
        "sixteen" => 16,
        "seventeen" => 17,
        "eighteen" => 18,
        "nineteen" => 19,
        _ => return None,
    })
}

/// Twenty to ninety.
pub fn ten(word: &str) -> Option<u32> {
    Some(match word {
        "twenty" => 20,
        "thirty" => 30,
        "forty" | "fourty" => 40,
        "fifty" => 50,
        "sixty" => 60,
        "seventy" => 70,
        "eighty" => 80,
        "ninety" | "ninty" => 90,
        _ => return None,
    })
}

/// Thousand and more.
pub fn scale(word: &str) -> Option<f64> {
    Some(match word {
        "thousand" | "grand" | "k" => 1e3,
        "lakh" => 1e5,
        "million" => 1e6,
        "crore" => 1e7,
        "billion" => 1e9,
        "trillion" => 1e12,
        _ => return None,
    })
}

/// Repeats the digit after it: "double six", "triple zero".
pub fn repeat(word: &str) -> Option<usize> {
    Some(match word {
        "double" => 2,
        "triple" | "treble" => 3,
        "quadruple" => 4,
        _ => return None,
    })
}

/// First to twentieth, thirtieth and so on; "second" is left out, being a time too.
pub fn ordinal(word: &str) -> Option<u32> {
    Some(match word {
        "first" => 1,
        "third" => 3,
        "fourth" => 4,
        "fifth" => 5,
        "sixth" => 6,
        "seventh" => 7,
        "eighth" => 8,
        "ninth" => 9,
        "tenth" => 10,
        "eleventh" => 11,
        "twelfth" => 12,
        "thirteenth" => 13,
        "fourteenth" => 14,
        "fifteenth" => 15,
        "sixteenth" => 16,
        "seventeenth" => 17,
        "eighteenth" => 18,
        "nineteenth" => 19,
        "twentieth" => 20,
        "thirtieth" => 30,
        "fortieth" => 40,
        "fiftieth" => 50,
        "sixtieth" => 60,
        "hundredth" => 100,
        _ => return None,
    })
}

/// What a fraction is counted in: the bottom number, and whether the word is a plural.
pub fn denominator(word: &str) -> Option<(u32, bool)> {
    Some(match word {
        "half" => (2, false),
        "halves" => (2, true),
        "third" => (3, false),
        "thirds" => (3, true),
        "quarter" | "fourth" => (4, false),
        "quarters" | "fourths" => (4, true),
        "fifth" => (5, false),
        "fifths" => (5, true),
        "sixth" => (6, false),
        "sixths" => (6, true),
        "eighth" | "eight's" | "8th" => (8, false),
        "eighths" | "8ths" => (8, true),
        "tenth" => (10, false),
        "tenths" => (10, true),
        "twelfth" => (12, false),
        "twelfths" => (12, true),
        "sixteenth" | "16th" => (16, false),
        "sixteenths" | "16ths" => (16, true),
        "hundredth" => (100, false),
        "hundredths" => (100, true),
        "thousandth" => (1000, false),
        "thousandths" => (1000, true),
        _ => return None,
    })
}

/// Whether a word is one of those in which numbers are said.
pub fn counts(word: &str) -> bool {
    let whole = digit(word).or_else(|| teen(word)).or_else(|| ten(word)).is_some();
    let parted = denominator(word).is_some() || matches!(word, "point" | "hundred" | "dozen");
    whole || parted || is_zero(word) || scale(word).is_some() || repeat(word).is_some()
}
