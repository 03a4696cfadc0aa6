//! What was heard: words with their times and how sure each is.
use serde::{Deserialize, Serialize};

/// One word as recognised, with its punctuation, its times in the recording and how sure it is (0 to 1).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Word {
    pub text: String,
    pub start_ms: u64,
    pub end_ms: u64,
    pub probability: f32,
}

/// The words of one note in the order spoken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Transcript {
    pub version: u32,
    /// Whether the times are those of a recording; a typed text has none worth showing.
    pub timed: bool,
    /// Name and hash of the speech model, empty for a typed text.
    pub model: String,
    /// Why there are no words, where a recording holds none.
    pub reason: Option<String>,
    pub words: Vec<Word>,
}

/// Pace given to typed words, so that marked pauses can be told from none.
const TYPED_WORD_MS: u64 = 300;

impl Transcript {
    /// The transcript of a typed text; `[pause 1.5]` is a silence in seconds and `[um]` a filler.
    pub fn from_text(text: &str) -> Self {
        let mut words: Vec<Word> = Vec::new();
        let mut now = 0;
        let mut rest = text;
        while let Some((piece, tail)) = next_piece(rest) {
            rest = tail;
            if let Some(seconds) = piece.strip_prefix("[pause").and_then(|p| p.strip_suffix(']')) {
                now += (seconds.trim().parse::<f64>().unwrap_or(1.0).clamp(0.0, 3600.0) * 1000.0) as u64;
                continue;
            }
            let text = piece.strip_prefix('[').and_then(|p| p.strip_suffix(']')).unwrap_or(piece);
            if text.is_empty() {
                continue;
            }
            words.push(Word { text: text.to_owned(), start_ms: now, end_ms: now + TYPED_WORD_MS, probability: 1.0 });
            now += TYPED_WORD_MS;
        }
        Transcript { version: 1, timed: false, model: String::new(), reason: None, words }
    }

    /// The words as one line of text.
    pub fn text(&self) -> String {
        let words: Vec<&str> = self.words.iter().map(|w| w.text.as_str()).collect();
        words.join(" ")
    }
}

/// Splits off the next word, or the next bracketed mark, with the rest after it.
fn next_piece(text: &str) -> Option<(&str, &str)> {
    let text = text.trim_start();
    if text.is_empty() {
        return None;
    }
    let end = if text.starts_with('[') { text.find(']').map(|at| at + 1) } else { None };
    let end = end.or_else(|| text.find(char::is_whitespace)).unwrap_or(text.len());
    Some(text.split_at(end))
}
