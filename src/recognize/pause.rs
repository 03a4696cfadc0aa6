//! Puts the pauses of the sound between the words.
//!
//! The model's times of words are rough: it lets a word last until the next one begins, or moves it across a pause. Where
//! nobody speaks is known far better from the sound itself, and a pause is what parts two statements.
use super::Word;
use crate::audio::{RATE, Span};

/// How much after the voice a span of speech ends, and how much before it one begins: its margins, shifted by the time
/// that the detector takes to notice either. Measured on synthetic voices with known pauses.
const AFTER_MS: u64 = 560;
const BEFORE_MS: u64 = 40;
/// A boundary of words farther than this from a pause has nothing to do with it.
const FAR_MS: u64 = 700;
/// How much farther a boundary may be for being marked by a sign.
const SIGN_MS: u64 = 300;

/// Moves the words' times so that each pause between two spans lies between two words; all in the recording's time.
pub fn settle(words: &mut [Word], spans: &[Span]) {
    let ms = |sample: usize| sample as u64 * 1000 / u64::from(RATE);
    let mut from = 1;
    for pair in spans.windows(2) {
        let quiet = (ms(pair[0].end).saturating_sub(AFTER_MS), ms(pair[1].start) + BEFORE_MS);
        let Some(at) = boundary(words, from, quiet) else { continue };
        for word in words[from - 1..at].iter_mut().rev().take_while(|w| w.end_ms > quiet.0) {
            word.end_ms = quiet.0;
            word.start_ms = word.start_ms.min(quiet.0);
        }
        for word in words[at..].iter_mut().take_while(|w| w.start_ms < quiet.1) {
            word.start_ms = quiet.1;
            word.end_ms = word.end_ms.max(quiet.1);
        }
        from = at + 1;
    }
}

/// The word, from this one on, before which a pause lies.
fn boundary(words: &[Word], from: usize, quiet: (u64, u64)) -> Option<usize> {
    let distance = |at: usize| {
        let (end, start) = (words[at - 1].end_ms, words[at].start_ms.max(words[at - 1].end_ms));
        // How far the boundary lies outside the pause.
        let off = quiet.0.saturating_sub(start).max(end.saturating_sub(quiet.1));
        let marked = words[at - 1].text.ends_with(|c: char| c.is_ascii_punctuation());
        (off <= FAR_MS).then_some(off + if marked { 0 } else { SIGN_MS })
    };
    let near = (from..words.len()).skip_while(|at| words[*at].start_ms + FAR_MS < quiet.0);
    let near = near.take_while(|at| words[*at - 1].end_ms <= quiet.1 + FAR_MS);
    near.filter_map(|at| Some((distance(at)?, at))).min().map(|(_, at)| at)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(told: &[(&str, u64, u64)]) -> Vec<Word> {
        let word = |(text, start_ms, end_ms): &(&str, u64, u64)| Word {
            text: (*text).to_owned(),
            start_ms: *start_ms,
            end_ms: *end_ms,
            probability: 0.9,
        };
        told.iter().map(word).collect()
    }

    fn span(start_ms: usize, end_ms: usize) -> Span {
        Span { start: start_ms * RATE as usize / 1000, end: end_ms * RATE as usize / 1000 }
    }

    fn times(words: &[Word]) -> Vec<(u64, u64)> {
        words.iter().map(|w| (w.start_ms, w.end_ms)).collect()
    }

    #[test]
    fn a_word_drawn_out_over_a_pause_ends_where_the_voice_does() {
        let mut heard = words(&[("no", 300, 500), ("pan", 500, 2400), ("fifty", 2400, 2700), ("gallon", 2700, 3000)]);
        settle(&mut heard, &[span(0, 1560), span(2160, 3300)]);
        // The pause is 1560 - 560 to 2160 + 40.
        assert_eq!(times(&heard), [(300, 500), (500, 1000), (2400, 2700), (2700, 3000)]);
    }

    #[test]
    fn a_word_put_before_a_pause_is_moved_behind_it_where_a_sign_says_so() {
        let mut heard =
            words(&[("stop", 300, 600), ("listening.", 600, 900), ("the", 900, 1300), ("burner", 2100, 2600)]);
        settle(&mut heard, &[span(0, 1560), span(2160, 3300)]);
        assert_eq!(times(&heard), [(300, 600), (600, 900), (2200, 2200), (2200, 2600)]);
    }

    #[test]
    fn a_pause_far_from_every_boundary_moves_nothing() {
        let told = [("a", 0, 100), ("long", 100, 9000)];
        let mut heard = words(&told);
        settle(&mut heard, &[span(0, 3000), span(4000, 9000)]);
        assert_eq!(times(&heard), [(0, 100), (100, 9000)]);
    }
}
