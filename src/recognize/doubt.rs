//! What the model writes where nobody speaks.
use super::Word;

/// What this kind of model is known to write over silence and noise: the closing words of the videos it was trained on.
/// From memory and from public reports on it, without a source to cite.
const INVENTED: [&str; 14] = [
    "you",
    "thank you",
    "thank you very much",
    "thank you so much",
    "thanks for watching",
    "thank you for watching",
    "thanks",
    "bye",
    "bye bye",
    "okay",
    "oh",
    "so",
    "the end",
    "please subscribe",
];

/// A stretch of which the model says so surely that nobody speaks holds no words.
const NOBODY: f32 = 0.85;
/// A known invention is believed where the model is this sure of its words and hears somebody.
const BELIEVED: f32 = 0.6;

/// True where a window's words are no words: nobody spoke, or the only words are a known invention told without sureness.
pub fn is_invented(words: &[Word], nobody: f32) -> bool {
    if words.is_empty() {
        return false;
    }
    let mean = words.iter().map(|w| w.probability).sum::<f32>() / words.len() as f32;
    if nobody > NOBODY && mean < BELIEVED {
        return true;
    }
    let letters = |c: char| if c.is_alphanumeric() || c == '\'' { c.to_ascii_lowercase() } else { ' ' };
    let text: String = words.iter().flat_map(|w| [" ", &w.text]).flat_map(str::chars).map(letters).collect();
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let known = text.is_empty() || INVENTED.contains(&text.as_str());
    known && (mean < BELIEVED || nobody > 0.5)
}

/// Words without those that only mark a sound, "[BLANK_AUDIO]", "(water running)", "*sighs*".
pub fn without_marks(words: Vec<Word>) -> Vec<Word> {
    let mut closing: Option<char> = None;
    let mut kept = Vec::new();
    for word in words {
        let opened = word.text.chars().next().and_then(|c| match c {
            '[' => Some(']'),
            '(' => Some(')'),
            '*' | '♪' => Some(c),
            _ => None,
        });
        let end = closing.or(opened);
        let Some(end) = end else {
            kept.push(word);
            continue;
        };
        let body = if closing.is_none() { word.text.get(1..).unwrap_or("") } else { word.text.as_str() };
        closing = if body.contains(end) { None } else { Some(end) };
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str, probability: f32) -> Vec<Word> {
        text.split(' ').map(|t| Word { text: t.into(), start_ms: 0, end_ms: 0, probability }).collect()
    }

    #[test]
    fn a_known_invention_is_dropped_where_unsure_and_kept_where_sure() {
        assert!(is_invented(&words("Thank you.", 0.4), 0.2));
        assert!(is_invented(&words("Thanks for watching!", 0.9), 0.7));
        assert!(!is_invented(&words("Thank you.", 0.9), 0.1));
        assert!(!is_invented(&words("No pan under it.", 0.4), 0.3));
    }

    #[test]
    fn marks_of_sounds_are_no_words() {
        let kept = without_marks(words("[BLANK_AUDIO] relief (water running) valve *sighs* (beep)", 0.5));
        assert_eq!(kept.iter().map(|w| w.text.as_str()).collect::<Vec<_>>(), ["relief", "valve"]);
    }
}
