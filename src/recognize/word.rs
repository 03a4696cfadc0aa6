//! From the model's tokens to words.
use super::Word;

/// One token as decoded, with its times in milliseconds from the window's start.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    pub bytes: Vec<u8>,
    pub start_ms: u64,
    pub end_ms: u64,
    /// The model's own log-probability, before the lexicon's pull.
    pub log_probability: f32,
}

/// Joins tokens into words; a token that begins with a space begins a word. No word ends after the window.
pub fn join(pieces: &[Piece], offset_ms: u64, last_ms: u64) -> Vec<Word> {
    let mut words: Vec<Vec<&Piece>> = Vec::new();
    for piece in pieces.iter().filter(|p| !p.bytes.is_empty()) {
        match words.last_mut() {
            Some(word) if !piece.bytes.starts_with(b" ") => word.push(piece),
            _ => words.push(vec![piece]),
        }
    }
    words.iter().filter_map(|word| finish(word, offset_ms, last_ms)).collect()
}

fn finish(pieces: &[&Piece], offset_ms: u64, last_ms: u64) -> Option<Word> {
    let bytes: Vec<u8> = pieces.iter().flat_map(|p| p.bytes.iter().copied()).collect();
    let text = String::from_utf8_lossy(&bytes).trim().to_owned();
    // A sign's probability tells how sure the model is of a pause, not of the word.
    let spoken: Vec<&&Piece> = pieces.iter().filter(|p| p.bytes.iter().any(u8::is_ascii_alphanumeric)).collect();
    if text.is_empty() {
        return None;
    }
    let counted = if spoken.is_empty() { pieces.iter().collect() } else { spoken };
    let mean = counted.iter().map(|p| p.log_probability).sum::<f32>() / counted.len() as f32;
    let end_ms = counted.last()?.end_ms;
    let start_ms = counted.first()?.start_ms.max(end_ms.saturating_sub(longest_ms(&text)));
    let start_ms = (offset_ms + start_ms).min(last_ms);
    let end_ms = (offset_ms + end_ms).clamp(start_ms, last_ms);
    Some(Word { text, start_ms, end_ms, probability: mean.exp().clamp(0.0, 1.0) })
}

/// How long a word may last, slowly spoken: what is longer holds the pause before it too.
fn longest_ms(text: &str) -> u64 {
    let spoken = text.chars().map(|c| if c.is_ascii_digit() { 5 } else { u64::from(c.is_alphabetic()) });
    300 + 90 * spoken.sum::<u64>()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn piece(text: &str, at: u64, probability: f32) -> Piece {
        Piece { bytes: text.into(), start_ms: at, end_ms: at + 100, log_probability: probability.ln() }
    }

    #[test]
    fn tokens_join_into_words_with_their_signs() {
        let pieces = [
            piece(" fl", 0, 0.9),
            piece("ue", 100, 0.4),
            piece(",", 200, 0.1),
            piece(" ", 300, 0.2),
            piece(" 0", 400, 0.8),
            piece(".", 500, 0.1),
            piece("75", 600, 0.2),
        ];
        let words = join(&pieces, 1000, 1650);
        let texts: Vec<&str> = words.iter().map(|w| w.text.as_str()).collect();
        assert_eq!(texts, ["flue,", "0.75"]);
        assert_eq!((words[0].start_ms, words[0].end_ms), (1000, 1200));
        assert_eq!((words[1].start_ms, words[1].end_ms), (1400, 1650));
        // Geometric means of the tokens with letters or digits: √(0.9·0.4) and √(0.8·0.2).
        assert!((words[0].probability - 0.6).abs() < 1e-5);
        assert!((words[1].probability - 0.4).abs() < 1e-5);
    }

    #[test]
    fn a_word_does_not_begin_before_the_pause_before_it() {
        let words = join(&[piece(" fellow", 0, 0.9), Piece { end_ms: 2000, ..piece(" ask", 100, 0.9) }], 0, 9000);
        // 300 ms and 90 ms for each of three letters before its end.
        assert_eq!((words[1].start_ms, words[1].end_ms), (1430, 2000));
    }

    #[test]
    fn a_letter_cut_between_two_tokens_is_made_whole() {
        let pieces = [
            Piece { bytes: vec![b' ', 0xc2], start_ms: 0, end_ms: 10, log_probability: 0.0 },
            Piece { bytes: vec![0xb0], start_ms: 10, end_ms: 20, log_probability: 0.0 },
        ];
        assert_eq!(join(&pieces, 0, 20)[0].text, "°");
    }
}
