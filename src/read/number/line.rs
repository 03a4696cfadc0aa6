//! Tokens without fillers, with numbers cut from what is written against them: "80psi", "$400", "120v/240v".
use crate::lexicon::WordClass;
use crate::read::{Stop, Token};

/// A token or a part of one.
#[derive(Debug)]
pub(super) struct Piece {
    pub text: String,
    /// Index of its token.
    pub token: usize,
    /// Written against the piece before it, with or without a hyphen.
    pub joined: bool,
    pub stop: Stop,
    pub pause_ms: u64,
    pub capital: bool,
}

/// The pieces of all tokens; positions beyond the end are empty words.
#[derive(Debug)]
pub(super) struct Line {
    pub pieces: Vec<Piece>,
}

/// Silence that parts two numbers which could otherwise be read as one.
const PARTING_MS: u64 = 700;

impl Line {
    pub fn new(tokens: &[Token]) -> Line {
        let mut pieces: Vec<Piece> = Vec::with_capacity(tokens.len());
        let mut silence = 0;
        for (index, token) in tokens.iter().enumerate() {
            if token.is(WordClass::Filler) {
                silence += token.pause_ms;
                if let Some(last) = pieces.last_mut() {
                    last.stop = last.stop.max(token.stop.min(Stop::Comma));
                }
                continue;
            }
            let first = pieces.len();
            cut(&token.text, |text| {
                let joined = token.joined || pieces.len() > first;
                let pause_ms = if pieces.len() > first { 0 } else { token.pause_ms + silence };
                let (text, capital) = (text.to_owned(), token.capital);
                pieces.push(Piece { text, token: index, joined, stop: Stop::None, pause_ms, capital });
            });
            // "No. 10" and "H.E. 52" end no sentence.
            let abbreviated =
                token.text == "no" || token.text.contains('.') && !token.text.contains(|c: char| c.is_ascii_digit());
            let figure = |t: &Token| t.text.starts_with(|c: char| c.is_ascii_digit());
            let goes_on = abbreviated && tokens.get(index + 1).is_some_and(figure);
            if let Some(last) = pieces.last_mut().filter(|_| !goes_on) {
                last.stop = last.stop.max(token.stop);
            }
            silence = 0;
        }
        Line { pieces }
    }

    pub fn len(&self) -> usize {
        self.pieces.len()
    }

    /// The word at a position, empty outside the line.
    pub fn word(&self, at: usize) -> &str {
        self.pieces.get(at).map_or("", |p| p.text.as_str())
    }

    /// The word some places before a position, empty outside the line or across the end of a sentence.
    pub fn before(&self, at: usize, back: usize) -> &str {
        let Some(first) = at.checked_sub(back) else { return "" };
        if (first..at).any(|i| self.ends_sentence(i)) { "" } else { self.word(first) }
    }

    /// The stop after the piece at a position.
    pub fn stop(&self, at: usize) -> Stop {
        self.pieces.get(at).map_or(Stop::Sentence, |p| p.stop)
    }

    pub fn ends_sentence(&self, at: usize) -> bool {
        self.stop(at) >= Stop::Sentence
    }

    /// Whether nothing, neither punctuation nor a long silence, stands before the piece at a position.
    pub fn flows(&self, at: usize) -> bool {
        at > 0 && at < self.len() && self.stop(at - 1) == Stop::None && self.pieces[at].pause_ms < PARTING_MS
    }

    /// Whether no punctuation stands before the piece at a position, whatever the silence.
    pub fn follows(&self, at: usize) -> bool {
        at > 0 && at < self.len() && self.stop(at - 1) == Stop::None
    }

    /// Like `flows`, but a comma may stand there.
    pub fn flows_or_comma(&self, at: usize) -> bool {
        at > 0 && at < self.len() && self.stop(at - 1) <= Stop::Comma
    }

    pub fn joined(&self, at: usize) -> bool {
        self.pieces.get(at).is_some_and(|p| p.joined)
    }

    pub fn capital(&self, at: usize) -> bool {
        self.pieces.get(at).is_some_and(|p| p.capital)
    }

    /// Whether the words at a position are these.
    pub fn says(&self, at: usize, words: &[&str]) -> bool {
        words.iter().enumerate().all(|(k, word)| self.word(at + k) == *word)
    }
}

/// Cuts a token where a number meets something else; words and codes that begin with a letter stay whole.
fn cut(text: &str, mut push: impl FnMut(&str)) {
    let starts_number = |c: char| c.is_ascii_digit() || is_vulgar(c);
    let prefix = text.trim_start_matches(['$', '£', '€', '#', '~', '+', '<', '>']);
    if !prefix.starts_with(|c| starts_number(c) || c == '.') || is_ordinal(prefix) {
        return push(text);
    }
    for symbol in text[..text.len() - prefix.len()].split_inclusive(|_| true).filter(|s| !s.is_empty()) {
        push(symbol);
    }
    let mut rest = prefix;
    while !rest.is_empty() {
        let end = if rest.starts_with(|c: char| c.is_ascii_digit() || c == '.') {
            number_end(rest)
        } else if rest.starts_with(is_vulgar) {
            rest.chars().next().map_or(rest.len(), char::len_utf8)
        } else {
            rest.find(starts_number).filter(|&at| at > 0 && splits_again(&rest[..at])).unwrap_or(rest.len())
        };
        push(&rest[..end]);
        rest = &rest[end..];
    }
}

/// Whether a number may follow these letters or signs within one token, as in 2x4, 5'4, 120v/240v.
fn splits_again(between: &str) -> bool {
    matches!(between, "x" | "×" | "'" | "′" | "/" | "v/" | "a/" | "w/" | "°/")
}

pub(super) fn is_vulgar(c: char) -> bool {
    vulgar(c).is_some()
}

/// The value of a fraction sign.
pub(super) fn vulgar(c: char) -> Option<f64> {
    let (top, bottom) = match c {
        '½' => (1, 2),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        '⅕' => (1, 5),
        '⅖' => (2, 5),
        '⅗' => (3, 5),
        '⅘' => (4, 5),
        '⅙' => (1, 6),
        '⅚' => (5, 6),
        _ => return None,
    };
    Some(f64::from(top) / f64::from(bottom))
}

/// 1st, 22nd, 3rd, 15th.
pub(super) fn is_ordinal(text: &str) -> bool {
    let digits = text.trim_end_matches(|c: char| c.is_ascii_lowercase());
    !digits.is_empty()
        && digits.bytes().all(|b| b.is_ascii_digit())
        && matches!(&text[digits.len()..], "st" | "nd" | "rd" | "th")
}

/// Where the number at the head of a text ends: digits with commas, points, one slash, colons between digits.
fn number_end(text: &str) -> usize {
    let bytes = text.as_bytes();
    let mut end = 0;
    while end < bytes.len() {
        let digit_next = bytes.get(end + 1).is_some_and(u8::is_ascii_digit);
        match bytes[end] {
            b'0'..=b'9' => end += 1,
            b',' | b'.' | b'/' | b':' if digit_next => end += 1,
            _ => break,
        }
    }
    end.max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pieces(text: &str) -> Vec<String> {
        let mut out = Vec::new();
        cut(text, |p| out.push(p.to_owned()));
        out
    }

    #[test]
    fn a_number_is_cut_from_what_is_written_against_it() {
        assert_eq!(pieces("80psi"), ["80", "psi"]);
        assert_eq!(pieces("$4,500"), ["$", "4,500"]);
        assert_eq!(pieces("120v/240v"), ["120", "v/", "240", "v"]);
        assert_eq!(pieces("5'4"), ["5", "'", "4"]);
        assert_eq!(pieces("1½"), ["1", "½"]);
        assert_eq!(pieces("72°f"), ["72", "°f"]);
        assert_eq!(pieces("2x4"), ["2", "x", "4"]);
    }

    #[test]
    fn fractions_ordinals_and_codes_stay_whole() {
        for whole in ["3/4", "22nd", "p2801.6", "4,500", "10:30", "valve", "1.5", "he52d"] {
            assert_eq!(pieces(whole), [whole]);
        }
    }

    #[test]
    fn a_filler_inside_a_number_is_passed_over() {
        let tokens = crate::read::tokenize(&crate::recognize::Transcript::from_text("fifty [um] two gallons"));
        let line = Line::new(&tokens);
        assert_eq!(line.pieces.iter().map(|p| p.text.as_str()).collect::<Vec<_>>(), ["fifty", "two", "gallons"]);
        assert_eq!(line.pieces[1].token, 2);
    }
}
