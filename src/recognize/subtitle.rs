//! The transcript as subtitles: WebVTT (W3C, The Web Video Text Tracks Format) and SubRip, which no standard fixes.
use super::{Transcript, Word};

/// A line is broken at a pause this long, after this many letters, or at a sentence's end.
const PAUSE_MS: u64 = 700;
const LETTERS: usize = 70;

impl Transcript {
    /// WebVTT: one cue a phrase.
    pub fn to_webvtt(&self) -> String {
        let cue = |(_, (start, end, words)): (usize, Cue)| {
            format!("\n{} --> {}\n{}\n", clock(start, '.'), clock(end, '.'), escape(&words))
        };
        "WEBVTT\n".to_owned() + &timed(&self.words).into_iter().enumerate().map(cue).collect::<String>()
    }

    /// SubRip: the same cues, counted from 1. Players take what stands in angle brackets for a style, so there are none.
    pub fn to_srt(&self) -> String {
        let cue = |(at, (start, end, words)): (usize, Cue)| {
            let words = words.replace(['<', '>'], "");
            format!("{}\n{} --> {}\n{words}\n\n", at + 1, clock(start, ','), clock(end, ','))
        };
        timed(&self.words).into_iter().enumerate().map(cue).collect()
    }
}

/// First and last millisecond, and the words.
type Cue = (u64, u64, String);

fn timed(words: &[Word]) -> Vec<Cue> {
    let cue = |cue: &[Word]| {
        let (first, last) = (cue.first()?, cue.last()?);
        let words = cue.iter().map(|w| w.text.as_str()).collect::<Vec<_>>().join(" ");
        // A cue must end after it starts.
        Some((first.start_ms, last.end_ms.max(first.start_ms + 1), words))
    };
    cues(words).into_iter().filter_map(cue).collect()
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

fn clock(ms: u64, point: char) -> String {
    format!("{:02}:{:02}:{:02}{point}{:03}", ms / 3_600_000, ms / 60_000 % 60, ms / 1000 % 60, ms % 1000)
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
        let wanted = "1\n00:00:01,000 --> 00:00:02,000\nT&P valve.\n\n2\n01:02:03,004 --> 01:02:03,500\nPan\n\n";
        assert_eq!(transcript.to_srt(), wanted);
    }
}
