//! Words of a transcript cut into tokens that terms and numbers are matched on.
use crate::lexicon::{WordClass, WordClasses};
use crate::recognize::Transcript;

/// What ends after a token, by its punctuation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Stop {
    #[default]
    None,
    /// Comma, semicolon, colon, dash.
    Comma,
    /// Full stop, exclamation mark.
    Sentence,
    Question,
}

/// A lower-case piece of a word: "shut-off" gives two, "flue's" gives "flue" and "'s", "240-volt" two.
#[derive(Debug, Clone, PartialEq)]
pub struct Token {
    /// Lower-case, without surrounding punctuation; "3/4", "4,500", "2.5" stay whole.
    pub text: String,
    /// The classes of the text, looked up once.
    classes: WordClasses,
    /// Index of the word it came from.
    pub word: usize,
    /// Whether the word began with a capital letter or is all capitals.
    pub capital: bool,
    /// Joined to the token before by a hyphen or within one word.
    pub joined: bool,
    pub stop: Stop,
    /// Silence before the word, in milliseconds.
    pub pause_ms: u64,
    pub probability: f32,
}

impl Token {
    /// Whether the word is of a class.
    pub fn is(&self, class: WordClass) -> bool {
        self.classes.has(class)
    }
}

/// Cuts a transcript into tokens.
pub fn tokenize(transcript: &Transcript) -> Vec<Token> {
    let mut tokens = Vec::new();
    let mut heard_until = 0;
    for (index, word) in transcript.words.iter().enumerate() {
        let pause_ms = if index == 0 { 0 } else { word.start_ms.saturating_sub(heard_until) };
        heard_until = word.end_ms;
        let first = tokens.len();
        pieces(&word.text, &mut |text, capital| {
            let joined = tokens.len() > first;
            let pause_ms = if joined { 0 } else { pause_ms };
            tokens.push(Token {
                classes: WordClasses::of(&text),
                text,
                word: index,
                capital,
                joined,
                stop: Stop::None,
                pause_ms,
                probability: word.probability,
            });
        });
        let stop = stop_after(&word.text);
        if let Some(last) = tokens.last_mut() {
            // A lone dash or full stop belongs to the word before it.
            last.stop = last.stop.max(stop);
        }
    }
    tokens
}

/// The punctuation that ends a word.
fn stop_after(word: &str) -> Stop {
    for c in word.chars().rev() {
        match c {
            '.' | '!' | '…' => return Stop::Sentence,
            '?' => return Stop::Question,
            ',' | ';' | ':' | '—' | '–' => return Stop::Comma,
            '-' if word.chars().all(|c| !c.is_alphanumeric()) => return Stop::Comma,
            '"' | '\'' | ')' | ']' | '”' | '’' => continue,
            _ => return Stop::None,
        }
    }
    Stop::None
}

/// Hands on the pieces of one word with whether each begins with a capital.
fn pieces(word: &str, take: &mut dyn FnMut(String, bool)) {
    let straight = word.contains(['’', '‘']).then(|| word.replace(['’', '‘'], "'"));
    let word = straight.as_deref().unwrap_or(word);
    for part in word.split(['-', '—', '–', '_']) {
        let inch = part.trim_end_matches(['.', ',', ';', '?', '!']).ends_with(['"', '”'])
            && part.starts_with(|c: char| c.is_ascii_digit());
        let foot = ends_in_foot_mark(part);
        let bare = part.trim_matches(|c: char| {
            !c.is_alphanumeric() && !matches!(c, '$' | '£' | '€' | '%' | '°' | '&' | '½' | '¼' | '¾' | '#')
        });
        let bare = with_leading_point(part, bare);
        if bare.is_empty() {
            continue;
        }
        let capital = bare.starts_with(char::is_uppercase);
        let lower = bare.to_lowercase();
        match lower.strip_suffix("'s") {
            Some(stem) => {
                take(stem.to_owned(), capital);
                take("'s".to_owned(), false);
            }
            None => take(lower, capital),
        }
        if inch {
            take("inch".to_owned(), false);
        }
        if foot {
            take("foot".to_owned(), false);
        }
    }
}

/// Whether figures end in the mark of a foot: 6'.
fn ends_in_foot_mark(part: &str) -> bool {
    let figures = part.trim_end_matches(['.', ',', ';', '?', '!']).strip_suffix(['\'', '′']);
    figures.is_some_and(|f| !f.is_empty() && f.bytes().all(|b| b.is_ascii_digit()))
}

/// The word with the point that its figures begin with: .25 is a quarter, not 25.
fn with_leading_point<'a>(part: &'a str, bare: &'a str) -> &'a str {
    let start = bare.as_ptr() as usize - part.as_ptr() as usize;
    let pointed = start > 0 && part.as_bytes()[start - 1] == b'.' && bare.starts_with(|c: char| c.is_ascii_digit());
    if pointed { &part[start - 1..start + bare.len()] } else { bare }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(text: &str) -> Vec<String> {
        tokenize(&Transcript::from_text(text)).into_iter().map(|t| t.text).collect()
    }

    #[test]
    fn hyphens_and_possessives_come_apart_and_fractions_stay_whole() {
        assert_eq!(
            texts("The flue's shut-off, 3/4\" pipe, 4,500-watt."),
            ["the", "flue", "'s", "shut", "off", "3/4", "inch", "pipe", "4,500", "watt"]
        );
    }

    #[test]
    fn a_point_before_figures_and_the_mark_of_a_foot_are_kept() {
        assert_eq!(texts("It's .25 inch, 6' tall."), ["it", "'s", ".25", "inch", "6", "foot", "tall"]);
        assert_eq!(texts("the '90s, wait...25"), ["the", "90s", "wait...25"]);
    }

    #[test]
    fn a_marked_pause_is_a_silence_before_the_next_word() {
        let tokens = tokenize(&Transcript::from_text("No pan. [pause 1.5] [um] Dry."));
        assert_eq!(tokens[2].text, "um");
        assert_eq!(tokens[2].pause_ms, 1500);
        assert_eq!(tokens[1].stop, Stop::Sentence);
    }
}
