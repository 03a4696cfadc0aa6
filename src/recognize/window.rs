//! The stretches of a recording that the model hears at once.
use crate::audio::{RATE, Span};

/// Longest stretch heard at once; the model itself takes 30 seconds.
const LONGEST: usize = 24 * RATE as usize;
/// A pause this long always parts two stretches: hearing silence costs time and invites inventions.
const LONG_PAUSE: usize = 3 * RATE as usize;
/// Frame in which loudness is measured, to cut where it is quietest.
const FRAME: usize = RATE as usize / 50;

/// Joins spans of speech into windows, and cuts one that is too long where it is quietest.
pub fn cut(spans: &[Span], samples: &[i16]) -> Vec<Span> {
    let mut windows: Vec<Span> = Vec::new();
    for span in spans.iter().flat_map(|span| shorten(*span, samples)) {
        match windows.last_mut() {
            Some(last) if span.end - last.start <= LONGEST && span.start - last.end < LONG_PAUSE => last.end = span.end,
            _ => windows.push(span),
        }
    }
    windows
}

/// Parts of a span, each short enough.
fn shorten(mut span: Span, samples: &[i16]) -> Vec<Span> {
    let mut parts = Vec::new();
    while span.end - span.start > LONGEST {
        let cut = quietest(samples, span.start + LONGEST / 2, span.start + LONGEST);
        parts.push(Span { start: span.start, end: cut });
        span.start = cut;
    }
    parts.push(span);
    parts
}

/// The middle of the quietest fifth of a second between two places.
fn quietest(samples: &[i16], from: usize, to: usize) -> usize {
    let loudness: Vec<f64> = samples[from..to.min(samples.len())]
        .chunks(FRAME)
        .map(|frame| frame.iter().map(|s| f64::from(*s) * f64::from(*s)).sum())
        .collect();
    let width = 10.min(loudness.len());
    let sums = loudness.windows(width.max(1)).map(|w| w.iter().sum::<f64>());
    let best = sums.enumerate().min_by(|a, b| a.1.total_cmp(&b.1)).map_or(0, |(at, _)| at);
    (from + (best + width / 2) * FRAME).min(to)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SECOND: usize = RATE as usize;

    fn span(start: usize, end: usize) -> Span {
        Span { start: start * SECOND, end: end * SECOND }
    }

    #[test]
    fn near_spans_are_heard_together_and_far_ones_apart() {
        let samples = vec![0; 60 * SECOND];
        let windows = cut(&[span(0, 4), span(5, 9), span(20, 22)], &samples);
        assert_eq!(windows, [span(0, 9), span(20, 22)]);
    }

    #[test]
    fn a_span_without_end_is_cut_at_its_quietest_place_and_nothing_is_lost() {
        let mut samples = vec![8000; 60 * SECOND];
        samples[18 * SECOND..19 * SECOND].fill(0);
        let windows = cut(&[span(0, 60)], &samples);
        assert_eq!(windows[0].start, 0);
        assert_eq!(windows.last().unwrap().end, 60 * SECOND);
        assert!(windows.windows(2).all(|w| w[0].end == w[1].start));
        // The only quiet second lies between 18 and 19.
        assert!((18 * SECOND..19 * SECOND).contains(&windows[0].end), "{:?}", windows[0]);
        assert!(windows.iter().all(|w| w.end - w.start <= LONGEST));
    }
}
