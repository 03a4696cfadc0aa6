//! Where in a recording somebody speaks.
use super::{PIECE, RATE, Samples};
use earshot::Detector;

/// A stretch of speech, from one sample to before another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    pub start: usize,
    pub end: usize,
}

/// Samples that the detector judges at a time.
const FRAME: usize = 256;
/// Speech begins at a frame this likely, and goes on while frames stay above the lower bound.
/// Both are low: a stretch of noise costs time, a missed word is lost.
const BEGIN: f32 = 0.4;
const GO_ON: f32 = 0.2;
/// Kept before and after, since a word begins and ends more softly than the detector hears.
const LEAD: usize = 5 * RATE as usize / 16;
const TAIL: usize = 5 * RATE as usize / 16;
/// Shorter bursts are knocks and clicks.
const SHORTEST: usize = RATE as usize / 12;

/// Finds the stretches of speech; ones whose margins touch are joined.
pub fn find(samples: &Samples) -> std::io::Result<Vec<Span>> {
    let mut finder = Finder::default();
    for piece in samples.pieces(PIECE) {
        finder.push(&piece?);
    }
    Ok(finder.finish())
}

/// Finds speech while the sound comes in; the spans are those that the whole recording would give.
#[derive(Default)]
pub struct Finder {
    detector: Box<Detector>,
    /// Samples that wait for a full frame.
    waiting: Vec<i16>,
    /// Samples taken in.
    taken: usize,
    /// Where the judged frames end.
    judged: usize,
    /// Where the burst of likely frames began that is still going on.
    begun: Option<usize>,
    /// Where the last whole burst ended, without its margin.
    quiet_since: usize,
    /// The last span, which the next burst may still lengthen.
    last: Option<Span>,
    done: Vec<Span>,
}

impl Finder {
    /// Takes the next samples, 16 kHz mono.
    pub fn push(&mut self, samples: &[i16]) {
        self.taken += samples.len();
        self.waiting.extend_from_slice(samples);
        let waiting = std::mem::take(&mut self.waiting);
        let mut frames = waiting.chunks_exact(FRAME);
        for frame in frames.by_ref() {
            let likely = self.detector.predict_i16(frame);
            self.judge(likely);
        }
        self.waiting = frames.remainder().to_vec();
    }

    /// All spans not yet taken; the sound has ended.
    pub fn finish(mut self) -> Vec<Span> {
        if !self.waiting.is_empty() {
            self.waiting.resize(FRAME, 0);
            let likely = self.detector.predict_i16(&self.waiting);
            self.judge(likely);
        }
        if let Some(start) = self.begun.take() {
            self.end_burst(start);
        }
        let taken = self.taken;
        let mut spans = self.take();
        spans.extend(self.last);
        spans.iter_mut().for_each(|span| span.end = span.end.min(taken));
        spans
    }

    /// The spans that nothing can change any more, each given once.
    pub fn take(&mut self) -> Vec<Span> {
        std::mem::take(&mut self.done)
    }

    /// The span that may still grow, as it would be if nobody spoke again.
    pub fn last(&self) -> Option<Span> {
        self.last.map(|span| Span { start: span.start, end: span.end.min(self.taken) })
    }

    /// Where the span that is being spoken begins, and how far it reaches for certain.
    pub fn growing(&self) -> Option<Span> {
        let burst = self.begun.filter(|start| self.judged - start >= SHORTEST);
        match (burst, self.last()) {
            (Some(begun), Some(last)) if begun.saturating_sub(LEAD) <= last.end => {
                Some(Span { start: last.start, end: self.judged })
            }
            (Some(begun), _) => Some(Span { start: begun.saturating_sub(LEAD), end: self.judged }),
            (None, last) => last,
        }
    }

    /// How many samples of silence there have been since somebody last spoke; nothing while somebody speaks.
    pub fn quiet(&self) -> Option<usize> {
        if self.begun.is_some() { None } else { Some(self.judged - self.quiet_since) }
    }

    /// No span that is still to come begins before this.
    pub fn earliest(&self) -> usize {
        self.begun.unwrap_or(self.judged).saturating_sub(LEAD)
    }

    /// Takes in how likely the next frame is speech.
    fn judge(&mut self, likely: f32) {
        match self.begun {
            None if likely >= BEGIN => self.begun = Some(self.judged),
            Some(start) if likely < GO_ON => self.end_burst(start),
            _ => {}
        }
        self.judged += FRAME;
        if let Some(last) = self.last.filter(|last| last.end < self.earliest()) {
            self.done.push(last);
            self.last = None;
        }
    }

    fn end_burst(&mut self, start: usize) {
        self.begun = None;
        if self.judged - start < SHORTEST {
            return;
        }
        self.quiet_since = self.judged;
        let span = Span { start: start.saturating_sub(LEAD), end: self.judged + TAIL };
        match &mut self.last {
            Some(last) if span.start <= last.end => last.end = span.end,
            last => self.done.extend(last.replace(span)),
        }
    }
}
