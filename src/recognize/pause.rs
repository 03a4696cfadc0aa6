//! Puts the pauses of the sound between the words.
//!
//! The model's times of words are rough: it lets a word last until the next one begins, or moves it across a pause. Where
//! nobody speaks is known far better from the sound itself, and a pause is what parts two statements.
use super::{Word, quiet};
use crate::audio::{RATE, Span};

/// How much after the voice a span of speech ends, and how much before it one begins: its margins, shifted by the time
/// that the detector takes to notice either. Measured on synthetic voices with known pauses.
const AFTER_MS: u64 = 560;
const BEFORE_MS: u64 = 40;
/// A boundary of words farther than this from a pause has nothing to do with it.
const FAR_MS: u64 = 700;
/// How much farther a boundary may be for being marked by a sign.
const SIGN_MS: u64 = 300;

/// A gap between two words that covers so much of a pause is that pause.
const GAP_MS: u64 = 150;

/// Puts the quiet parts of one stretch, whose samples these are, between its words, before them and after them.
pub fn tighten(words: &mut [Word], samples: &[i16], window: Span) {
    let first_ms = window.start as u64 * 1000 / u64::from(RATE);
    let last_ms = first_ms + samples.len() as u64 * 1000 / u64::from(RATE);
    let quiets: Vec<(u64, u64)> =
        quiet::find(samples).into_iter().map(|(from, to)| (from + first_ms, to + first_ms)).collect();
    let mut from = 1;
    for quiet in quiets {
        let at = if quiet.0 == first_ms {
            0
        } else if quiet.1 + FRAME_MS > last_ms {
            words.len()
        } else if let Some(at) = part(words, from, quiet) {
            from = at + 1;
            at
        } else {
            continue;
        };
        // The word before ends with the voice and the one after begins with it, be it earlier or later than was thought.
        if let Some(word) = words[..at].last_mut().filter(|w| w.end_ms.abs_diff(quiet.0) <= NEAR_MS) {
            end(word, quiet.0);
        }
        if let Some(word) = words.get_mut(at).filter(|w| w.start_ms.abs_diff(quiet.1) <= NEAR_MS) {
            begin(word, quiet.1);
        }
    }
}

/// A word this far from where the voice begins or ends is the one that begins or ends there.
const NEAR_MS: u64 = 500;
/// A stretch's last frame may be cut off.
const FRAME_MS: u64 = 10;

/// Moves the words' times so that each pause between two spans lies between two words; all in the recording's time.
pub fn settle(words: &mut [Word], spans: &[Span]) {
    let ms = |sample: usize| sample as u64 * 1000 / u64::from(RATE);
    let mut from = 1;
    for pair in spans.windows(2) {
        let quiet = (ms(pair[0].end).saturating_sub(AFTER_MS), ms(pair[1].start) + BEFORE_MS);
        // Where the loudness told it, it is known better, and nothing moves.
        let at = parted(words, from, quiet).or_else(|| {
            let at = boundary(words, from, quiet)?;
            clear(words, from, at, quiet);
            Some(at)
        });
        from = at.map_or(from, |at| at + 1);
    }
}

/// Puts one pause between two of the words from this one on; gives the word after it.
fn part(words: &mut [Word], from: usize, quiet: (u64, u64)) -> Option<usize> {
    let at = parted(words, from, quiet).or_else(|| boundary(words, from, quiet))?;
    clear(words, from, at, quiet);
    Some(at)
}

/// Moves the words on either side of a boundary out of the pause.
fn clear(words: &mut [Word], from: usize, at: usize, quiet: (u64, u64)) {
    words[from - 1..at].iter_mut().rev().take_while(|w| w.end_ms > quiet.0).for_each(|word| end(word, quiet.0));
    words[at..].iter_mut().take_while(|w| w.start_ms < quiet.1).for_each(|word| begin(word, quiet.1));
}

fn begin(word: &mut Word, at_ms: u64) {
    word.start_ms = at_ms;
    word.end_ms = word.end_ms.max(at_ms);
}

fn end(word: &mut Word, at_ms: u64) {
    word.end_ms = at_ms;
    word.start_ms = word.start_ms.min(at_ms);
}

/// The word, from this one on, before which there is a gap already where a pause lies.
fn parted(words: &[Word], from: usize, quiet: (u64, u64)) -> Option<usize> {
    let is_parted = |at: &usize| {
        let (end, start) = (words[at - 1].end_ms, words[*at].start_ms);
        let gap = start.min(quiet.1).saturating_sub(end.max(quiet.0));
        end <= quiet.0 + GAP_MS && start + GAP_MS >= quiet.1 && gap >= GAP_MS
    };
    // Words come in order: behind the pause there is nothing to look for.
    (from..words.len()).take_while(|at| words[at - 1].end_ms <= quiet.0 + GAP_MS).find(is_parted)
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

    #[test]
    fn words_begin_and_end_with_the_voice_of_their_stretch() {
        // From 2 s on: 300 ms of silence, 700 of voice, 400 of silence, 600 of voice, 500 of silence.
        let loud = |ms: usize, size: i16| (0..ms * 16).map(move |n| if n % 2 == 0 { size } else { -size });
        let sound = loud(300, 5).chain(loud(700, 4000)).chain(loud(400, 5)).chain(loud(600, 4000)).chain(loud(500, 5));
        let samples: Vec<i16> = sound.collect();
        let mut heard = words(&[("no", 2000, 2500), ("pan.", 2500, 3350), ("A", 3350, 3600), ("drain", 3600, 4400)]);
        tighten(&mut heard, &samples, span(2000, 4500));
        // A frame of 10 ms on either side counts as voice.
        assert_eq!(times(&heard), [(2290, 2500), (2500, 3010), (3390, 3600), (3600, 4010)]);
    }

    #[test]
    fn a_pause_that_was_found_already_stays_as_it_is() {
        let told = [("no", 300, 500), ("pan.", 500, 900), ("fifty", 2450, 2700)];
        let mut heard = words(&told);
        // The spans alone would give a pause from 1000 to 2200.
        settle(&mut heard, &[span(0, 1560), span(2160, 3300)]);
        assert_eq!(times(&heard), [(300, 500), (500, 900), (2450, 2700)]);
    }

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
