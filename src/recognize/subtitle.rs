//! The transcript as WebVTT subtitles (W3C, WebVTT: The Web Video Text Tracks Format).
use super::{Transcript, Word};

/// A line is broken at a pause this long, after this many letters, or at a sentence's end.
const PAUSE_MS: u64 = 700;
const LETTERS: usize = 70;

impl Transcript {
    /// Subtitles: one cue a phrase.
    pub fn to_webvtt(&self) -> String {
        let mut text = String::from("WEBVTT\n");
        for cue in cues(&self.words) {
            let (Some(first), Some(last)) = (cue.first(), cue.last()) else { continue };
            let words: Vec<String> = cue.iter().map(|w| escape(&w.text)).collect();
            // A cue must end after it starts.
            let end = last.end_ms.max(first.start_ms + 1);
            text += &format!("\n{} --> {}\n{}\n", clock(first.start_ms), clock(end), words.join(" "));
        }
        text
    }
}

fn cues(words: &[Word]) -> Vec<&[Word]> {
    let mut cues = Vec::new();
    let (mut start, mut letters) = (0, 0);
    for (at, word) in words.iter().enumerate() {
        letters += word.text.len() + 1;
        let pause = words.get(at + 1).is_none_or(|next| next.start_ms.saturating_sub(word.end_ms) >= PAUSE_MS);
        if pause || letters >= LETTERS || word.text.ends_with(['.', '?', '!']) {
            cues.push(&words[start..=at]);
            (start, letters) = (at + 1, 0);
        }
    }
    cues
}

fn clock(ms: u64) -> String {
    format!("{:02}:{:02}:{:02}.{:03}", ms / 3_600_000, ms / 60_000 % 60, ms / 1000 % 60, ms % 1000)
}

fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn phrases_become_cues_with_their_times() {
        let word = |text: &str, start_ms, end_ms| Word { text: text.into(), start_ms, end_ms, probability: 1.0 };
        let mut transcript = Transcript::from_text("");
        transcript.words =
            vec![word("T&P", 1_000, 1_400), word("valve.", 1_400, 2_000), word("Pan", 3_723_004, 3_723_500)];
        let wanted = "WEBVTT\n\n00:00:01.000 --> 00:00:02.000\nT&amp;P valve.\n\n01:02:03.004 --> 01:02:03.500\nPan\n";
        assert_eq!(transcript.to_webvtt(), wanted);
    }
}
