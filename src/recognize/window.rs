//! The stretches of a recording that the model hears at once.
use crate::audio::{Error, RATE, Recording, Span};

/// Longest stretch heard at once; the model itself takes 30 seconds.
const LONGEST: usize = 24 * RATE as usize;
/// A pause this long always parts two stretches: hearing silence costs time and invites inventions.
const LONG_PAUSE: usize = 3 * RATE as usize;
/// Frame in which loudness is measured, to cut where it is quietest.
const FRAME: usize = RATE as usize / 50;

/// Joins spans of speech into windows, and cuts one that is too long where it is quietest.
pub fn cut(recording: &Recording) -> Result<Vec<Span>, Error> {
    let (mut cutter, mut windows) = (Cutter::default(), Vec::new());
    for span in &recording.spans {
        let (Span { start, end }, mut reached) = (*span, span.start);
        // As if it were spoken now: a span without a pause is never in memory whole.
        while end - reached > LONGEST {
            reached += LONGEST;
            let first = reached.saturating_sub(2 * LONGEST).max(start);
            let samples = recording.stretch(first..reached)?;
            windows.extend(cutter.reach(Span { start, end: reached }, Sound { first, samples: &samples }));
        }
        let first = reached.saturating_sub(LONGEST).max(start);
        let samples = recording.stretch(first..end)?;
        windows.extend(cutter.add(*span, Sound { first, samples: &samples }));
    }
    windows.extend(cutter.last);
    Ok(windows)
}

/// A stretch of a recording's samples, beginning at its sample `first`.
#[derive(Debug, Clone, Copy)]
pub struct Sound<'a> {
    pub first: usize,
    pub samples: &'a [i16],
}

/// Makes windows of spans as they come; each call gives the windows that nothing can change any more.
#[derive(Debug, Default)]
pub struct Cutter {
    /// The window that the next span may still lengthen.
    last: Option<Span>,
    /// Up to where the span that is being spoken has been cut into windows already.
    cut_until: usize,
}

impl Cutter {
    /// Takes a span that is over.
    pub fn add(&mut self, span: Span, sound: Sound) -> Vec<Span> {
        let mut done = self.reach(span, sound);
        let rest = Span { start: span.start.max(self.cut_until), end: span.end };
        done.extend(self.join(rest));
        done
    }

    /// Takes note how far the span that is being spoken reaches; cuts it where it is too long already.
    pub fn reach(&mut self, span: Span, sound: Sound) -> Vec<Span> {
        let mut done = Vec::new();
        let mut start = span.start.max(self.cut_until);
        while span.end.saturating_sub(start) > LONGEST {
            let cut = quietest(sound, start + LONGEST / 2, start + LONGEST);
            done.extend(self.join(Span { start, end: cut }));
            self.cut_until = cut;
            start = cut;
        }
        done
    }

    /// Takes note that no span begins before `at`.
    pub fn quiet(&mut self, at: usize) -> Option<Span> {
        self.last.take_if(|last| at.saturating_sub(last.end) >= LONG_PAUSE)
    }

    /// The window that a span would be heard in if it ended here.
    pub fn would_be(&self, span: Span) -> Span {
        let span = Span { start: span.start.max(self.cut_until), end: span.end };
        match self.last {
            Some(last) if fits(last, span) => Span { start: last.start, end: span.end },
            _ => span,
        }
    }

    /// The window that may still be lengthened.
    pub fn last(&self) -> Option<Span> {
        self.last
    }

    /// The first sample that a window to come may need.
    pub fn needed(&self, earliest: usize) -> usize {
        self.last.map_or(earliest.max(self.cut_until), |last| last.start)
    }

    /// The window that is left when the sound has ended.
    pub fn finish(&mut self) -> Option<Span> {
        self.last.take()
    }

    /// Lengthens the last window, or gives it up and begins another.
    fn join(&mut self, part: Span) -> Option<Span> {
        match &mut self.last {
            Some(last) if fits(*last, part) => {
                last.end = part.end;
                None
            }
            last => last.replace(part),
        }
    }
}

fn fits(window: Span, part: Span) -> bool {
    part.end - window.start <= LONGEST && part.start - window.end < LONG_PAUSE
}

/// The middle of the quietest fifth of a second between two places.
fn quietest(sound: Sound, from: usize, to: usize) -> usize {
    let Sound { first, samples } = sound;
    let loudness: Vec<f64> = samples[from - first..(to - first).min(samples.len())]
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

    fn recording(samples: Vec<i16>, spans: Vec<Span>) -> Recording {
        let (path, samples) = (std::path::PathBuf::new(), samples.into());
        Recording { path, samples, duration_ms: 0, recorded_at: None, spans }
    }

    #[test]
    fn near_spans_are_heard_together_and_far_ones_apart() {
        let samples = vec![0; 60 * SECOND];
        let windows = cut(&recording(samples, vec![span(0, 4), span(5, 9), span(20, 22)])).unwrap();
        assert_eq!(windows, [span(0, 9), span(20, 22)]);
    }

    #[test]
    fn a_span_without_end_is_cut_at_its_quietest_place_and_nothing_is_lost() {
        let mut samples = vec![8000; 60 * SECOND];
        samples[18 * SECOND..19 * SECOND].fill(0);
        let windows = cut(&recording(samples, vec![span(0, 60)])).unwrap();
        assert_eq!(windows[0].start, 0);
        assert_eq!(windows.last().unwrap().end, 60 * SECOND);
        assert!(windows.windows(2).all(|w| w[0].end == w[1].start));
        // The only quiet second lies between 18 and 19.
        assert!((18 * SECOND..19 * SECOND).contains(&windows[0].end), "{:?}", windows[0]);
        assert!(windows.iter().all(|w| w.end - w.start <= LONGEST));
    }
}
