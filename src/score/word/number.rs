//! Spelled numbers to digits, as the English normalizer of the Whisper paper does it.
//!
//! This is for counting word errors alone: it joins whatever numbers stand side by side ("twenty
//! nineteen" is 2019, "two forty" 240), where the reading of facts must know better.

/// A number under way: still a sum that may grow, or digits that are only joined on.
#[derive(Debug, Clone, PartialEq)]
enum Number {
    Sum(u64),
    Digits(String),
}

impl std::fmt::Display for Number {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Number::Sum(sum) => write!(f, "{sum}"),
            Number::Digits(digits) => f.write_str(digits),
        }
    }
}

const ONES: &[&str] = &[
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
];
const ORDINALS: &[&str] = &[
    "first",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "eighth",
    "ninth",
    "tenth",
    "eleventh",
    "twelfth",
    "thirteenth",
    "fourteenth",
    "fifteenth",
    "sixteenth",
    "seventeenth",
    "eighteenth",
    "nineteenth",
];
const TENS: &[&str] = &["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];
const POWERS: &[(&str, u64)] =
    &[("hundred", 100), ("thousand", 1_000), ("million", 1_000_000), ("billion", 1_000_000_000)];

/// The number of a word with what is written after it: "third" is 3 with "rd", "sixes" 6 with "s".
fn one(word: &str) -> Option<(u64, &'static str)> {
    if let Some(at) = ONES.iter().position(|w| *w == word) {
        return Some((at as u64 + 1, ""));
    }
    if let Some(at) = ORDINALS.iter().position(|w| *w == word) {
        let suffix = ["st", "nd", "rd"].get(at).copied().unwrap_or("th");
        return Some((at as u64 + 1, suffix));
    }
    let single = if word == "sixes" { "six" } else { word.strip_suffix('s')? };
    ONES.iter().position(|w| *w == single).map(|at| (at as u64 + 1, "s"))
}

fn ten(word: &str) -> Option<(u64, &'static str)> {
    let (stem, suffix) = match (word.strip_suffix("ieth"), word.strip_suffix("ies")) {
        (Some(stem), _) => (format!("{stem}y"), "th"),
        (_, Some(stem)) => (format!("{stem}y"), "s"),
        _ => (word.to_owned(), ""),
    };
    TENS.iter().position(|w| *w == stem).map(|at| ((at as u64 + 2) * 10, suffix))
}

fn power(word: &str) -> Option<(u64, &'static str)> {
    let (stem, suffix) = match (word.strip_suffix("th"), word.strip_suffix('s')) {
        (Some(stem), _) => (stem, "th"),
        (_, Some(stem)) => (stem, "s"),
        _ => (word, ""),
    };
    POWERS.iter().find(|(name, _)| *name == stem).map(|(_, value)| (*value, suffix))
}

fn is_zero(word: &str) -> bool {
    matches!(word, "o" | "oh" | "zero")
}

fn is_figure(word: &str) -> bool {
    let digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
    match word.strip_prefix(['$', '€', '£']).unwrap_or(word).split_once('.') {
        Some((whole, part)) => digits(whole) && digits(part),
        None => digits(word.strip_prefix(['$', '€', '£']).unwrap_or(word)),
    }
}

/// Whether a number could go on with this word.
fn goes_on(word: Option<&str>) -> bool {
    word.is_some_and(|w| {
        is_figure(w)
            || is_zero(w)
            || one(w).is_some()
            || ten(w).is_some()
            || power(w).is_some()
            || matches!(w, "point" | "double" | "triple")
    })
}

/// Replaces spelled numbers by digits; takes words without marks.
pub(super) fn numerals(text: &str) -> String {
    let text = halves(&apart(text));
    let words: Vec<&str> = text.split_whitespace().collect();
    let mut machine = Machine::default();
    let mut at = 0;
    while at < words.len() {
        let before = at.checked_sub(1).map(|b| words[b]);
        at += machine.take(before, words[at], words.get(at + 1).copied());
    }
    machine.flush("");
    cents(machine.out)
}

/// Letters and digits come apart, save for the endings of ordinals and plurals.
fn apart(text: &str) -> String {
    let mut out = String::new();
    for word in text.split_whitespace() {
        let ending = word.trim_start_matches(|c: char| c.is_ascii_digit());
        let ordinal = ending.len() < word.len() && matches!(ending, "st" | "nd" | "rd" | "th" | "s");
        let mut last = ' ';
        for c in word.chars() {
            let border = (last.is_ascii_lowercase() && c.is_ascii_digit())
                || (last.is_ascii_digit() && c.is_ascii_lowercase() && !ordinal);
            if border {
                out.push(' ');
            }
            out.push(c);
            last = c;
        }
        out.push(' ');
    }
    out
}

/// "three and a half" is three point five.
fn halves(text: &str) -> String {
    let mut out: Vec<&str> = Vec::new();
    let words: Vec<&str> = text.split_whitespace().collect();
    let mut at = 0;
    while at < words.len() {
        let counted = out.last().is_some_and(|w| {
            one(w).is_some_and(|o| o.1.is_empty())
                || ten(w).is_some_and(|t| t.1.is_empty())
                || is_zero(w)
                || power(w).is_some()
        });
        if counted && words[at..].starts_with(&["and", "a", "half"]) {
            out.extend(["point", "five"]);
            at += 3;
        } else {
            out.push(words[at]);
            at += 1;
        }
    }
    out.join(" ")
}

#[derive(Default)]
struct Machine {
    out: Vec<String>,
    prefix: String,
    number: Option<Number>,
}

impl Machine {
    /// Takes one word and gives how many words it used up.
    fn take(&mut self, before: Option<&str>, word: &str, next: Option<&str>) -> usize {
        if is_figure(word) {
            self.figure(word);
        } else if is_zero(word) {
            self.join("0");
        } else if let Some((value, suffix)) = one(word) {
            self.add_one(before, value);
            self.end(suffix);
        } else if let Some((value, suffix)) = ten(word) {
            self.add_ten(value);
            self.end(suffix);
        } else if let Some((value, suffix)) = power(word) {
            self.multiply(value);
            self.end(suffix);
        } else {
            return self.special(before, word, next);
        }
        1
    }

    fn special(&mut self, before: Option<&str>, word: &str, next: Option<&str>) -> usize {
        let counts = next.and_then(one).filter(|o| o.1.is_empty()).map(|o| o.0);
        match word {
            "minus" | "negative" | "plus" | "positive" if goes_on(next) => {
                self.flush("");
                let sign = if matches!(word, "minus" | "negative") { "-" } else { "+" };
                self.prefix = sign.to_owned();
            }
            // "Eighty pounds" becomes a price, also where pressure is meant; both sides of a count do.
            "dollar" | "dollars" | "cent" | "cents" | "pound" | "pounds" | "euro" | "euros"
                if self.number.is_some() =>
            {
                let sign =
                    ["$", "¢", "£", "€"][["d", "c", "p", "e"].iter().position(|c| word.starts_with(c)).unwrap_or(0)];
                self.prefix = sign.to_owned();
                self.flush("");
            }
            "percent" if self.number.is_some() => self.flush("%"),
            "per" if self.number.is_some() && next == Some("cent") => {
                self.flush("%");
                return 2;
            }
            "and" if goes_on(next) && before.and_then(power).is_some() && self.number.is_some() => {}
            "point" if goes_on(next) => self.join("."),
            "double" | "triple" if counts.is_some() || next.is_some_and(is_zero) => {
                let digit = counts.unwrap_or(0).to_string();
                self.join(&digit.repeat(if word == "double" { 2 } else { 3 }));
                return 2;
            }
            _ => self.plain(word),
        }
        1
    }

    fn plain(&mut self, word: &str) {
        self.flush("");
        self.out.push(word.to_owned());
    }

    fn figure(&mut self, word: &str) {
        if let Some(Number::Digits(digits)) = &mut self.number
            && digits.ends_with('.')
        {
            digits.push_str(word);
            return;
        }
        self.flush("");
        let bare = word.trim_start_matches(['$', '€', '£']);
        if bare.len() < word.len() {
            self.prefix = word[..word.len() - bare.len()].to_owned();
        }
        self.number = Some(bare.parse().map_or_else(|_| Number::Digits(bare.to_owned()), Number::Sum));
    }

    fn join(&mut self, digits: &str) {
        let so_far = self.number.take().map_or_else(String::new, |n| n.to_string());
        self.number = Some(Number::Digits(so_far + digits));
    }

    fn add_one(&mut self, before: Option<&str>, value: u64) {
        let after_one = before.and_then(one).is_some();
        match &mut self.number {
            None => self.number = Some(Number::Sum(value)),
            Some(Number::Digits(digits)) if before.and_then(ten).is_some() && value < 10 => {
                digits.pop();
                digits.push_str(&value.to_string());
            }
            Some(Number::Sum(sum)) if !after_one && sum.is_multiple_of(if value < 10 { 10 } else { 100 }) => {
                *sum += value
            }
            _ => self.join(&value.to_string()),
        }
    }

    fn add_ten(&mut self, value: u64) {
        match &mut self.number {
            None => self.number = Some(Number::Sum(value)),
            Some(Number::Sum(sum)) if sum.is_multiple_of(100) => *sum += value,
            _ => self.join(&value.to_string()),
        }
    }

    fn multiply(&mut self, value: u64) {
        match &mut self.number {
            None => self.number = Some(Number::Sum(value)),
            Some(Number::Sum(sum)) if *sum > 0 => {
                let (before, rest) = (*sum / 1000 * 1000, *sum % 1000);
                *sum = before.saturating_add(rest.saturating_mul(value));
            }
            Some(number) => match whole_product(&number.to_string(), value) {
                Some(product) => *number = Number::Sum(product),
                None => {
                    self.flush("");
                    self.number = Some(Number::Sum(value));
                }
            },
        }
    }

    /// An ending such as "th" closes the number.
    fn end(&mut self, suffix: &str) {
        if !suffix.is_empty() {
            self.flush(suffix);
        }
    }

    fn flush(&mut self, suffix: &str) {
        let prefix = std::mem::take(&mut self.prefix);
        if let Some(number) = self.number.take() {
            self.out.push(format!("{prefix}{number}{suffix}"));
        }
    }
}

/// "4.5" times a thousand is 4500; `None` where the product is not whole.
fn whole_product(digits: &str, by: u64) -> Option<u64> {
    let product = digits.parse::<f64>().ok()? * by as f64;
    let whole = product.round();
    ((product - whole).abs() < 1e-6 && (0.0..1e15).contains(&whole)).then_some(whole as u64)
}

/// "$5 and ¢10" is "$5.10".
fn cents(words: Vec<String>) -> String {
    let mut out: Vec<String> = Vec::new();
    for word in words {
        if let Some(small) = word.strip_prefix('¢') {
            let joined = out.last().is_some_and(|w| w == "and");
            let at = out.len() - usize::from(joined);
            if at > 0 && out[at - 1].starts_with('$') && !out[at - 1].contains('.') {
                out.truncate(at);
                out[at - 1].push_str(&format!(".{small:0>2}"));
                continue;
            }
        }
        out.push(lone_ones(&word));
    }
    out.join(" ")
}

/// A 1 with no digit beside it is written "one", even in "1.5".
fn lone_ones(word: &str) -> String {
    let parts = word.split('.').map(|part| {
        let digits = part.trim_start_matches(['$', '¢', '€', '£', '-', '+']);
        match digits {
            "1" | "1s" => part.replace('1', "one"),
            _ => part.to_owned(),
        }
    });
    parts.collect::<Vec<_>>().join(".")
}
