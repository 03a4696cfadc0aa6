//! Where in a recording somebody speaks.
use super::RATE;
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
pub fn find(samples: &[i16]) -> Vec<Span> {
    let mut spans: Vec<Span> = Vec::new();
    for burst in bursts(&likelihoods(samples)) {
        let span = Span { start: burst.start.saturating_sub(LEAD), end: (burst.end + TAIL).min(samples.len()) };
        match spans.last_mut() {
            Some(last) if span.start <= last.end => last.end = span.end,
            _ => spans.push(span),
        }
    }
    spans
}

/// How likely each frame of 16 ms is speech.
pub fn likelihoods(samples: &[i16]) -> Vec<f32> {
    let mut detector = Detector::default();
    let mut frame = [0i16; FRAME];
    samples
        .chunks(FRAME)
        .map(|chunk| {
            frame.fill(0);
            frame[..chunk.len()].copy_from_slice(chunk);
            detector.predict_i16(&frame)
        })
        .collect()
}

/// Stretches of likely frames, without margins.
fn bursts(likelihoods: &[f32]) -> Vec<Span> {
    let mut bursts = Vec::new();
    let mut begun: Option<usize> = None;
    for (at, likely) in likelihoods.iter().chain(&[0.0]).enumerate() {
        match begun {
            None if *likely >= BEGIN => begun = Some(at),
            Some(start) if *likely < GO_ON => {
                let span = Span { start: start * FRAME, end: at * FRAME };
                if span.end - span.start >= SHORTEST {
                    bursts.push(span);
                }
                begun = None;
            }
            _ => {}
        }
    }
    bursts
}
