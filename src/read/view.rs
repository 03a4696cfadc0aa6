//! The words as terms see them: folded, abbreviations joined, fillers left out.
use super::token::Token;
use crate::lexicon::{Lexicon, WordClass, fold};

/// Folded words and, for each, the tokens it stands for.
#[derive(Debug, Default)]
pub struct View {
    pub words: Vec<String>,
    /// First token of each word, with one more entry for the end.
    pub first: Vec<usize>,
    /// The token after each word.
    pub after: Vec<usize>,
}

/// Builds the view of all tokens.
pub fn build(tokens: &[Token], lexicon: &Lexicon) -> View {
    let mut view = View::default();
    let mut at = 0;
    while at < tokens.len() {
        if tokens[at].is(WordClass::Filler) {
            at += 1;
            continue;
        }
        let (word, next) = joined_letters(tokens, at, lexicon).unwrap_or_else(|| (undotted(&tokens[at].text), at + 1));
        view.words.push(word);
        view.first.push(at);
        view.after.push(next);
        at = next;
    }
    view
}

/// Letters said one by one that make a known word: "p v c" is "pvc".
fn joined_letters(tokens: &[Token], at: usize, lexicon: &Lexicon) -> Option<(String, usize)> {
    let letter = |t: &Token| t.text.len() == 1 && t.text.as_bytes()[0].is_ascii_lowercase();
    let run = tokens[at..].iter().take(5).take_while(|t| letter(t)).count();
    (2..=run).rev().find_map(|length| {
        let word: String = tokens[at..at + length].iter().map(|t| t.text.as_str()).collect();
        // "A T" is no "at".
        let english = lexicon.english.contains(word.as_str());
        (lexicon.vocabulary.contains(&word) && !english).then_some((word, at + length))
    })
}

/// A word that is clipped or drawled in speech, as it is printed.
pub fn in_full(word: &str) -> Option<&'static str> {
    Some(match word {
        "o'" | "o" => "of",
        "wi'" | "wi" => "with",
        "an'" => "and",
        "fae" => "from",
        "oot" => "out",
        "doon" => "down",
        _ => return None,
    })
}

fn undotted(text: &str) -> String {
    if let Some(word) = in_full(text) {
        return word.to_owned();
    }
    if text.contains('.') && text.split('.').all(|p| p.len() <= 1) {
        return text.replace('.', "");
    }
    fold(text)
}
