//! The sound of a growing recording, cut into the same windows that the whole recording would give.
use crate::audio::growing::Form;
use crate::audio::{self, Error, Finder, RATE, Sink, Span};
use crate::recognize::{Cutter, Sound};
use std::path::Path;

/// A silence this long ends a statement, so that it is heard while the next is not yet spoken.
const PAUSE: usize = 4 * RATE as usize / 10;

/// A stretch to be heard, with its samples.
#[derive(Debug, Clone, PartialEq)]
pub struct Window {
    pub span: Span,
    pub samples: Vec<i16>,
}

/// Takes a recording's sound as it comes and gives the windows to be heard.
pub struct Stream {
    sink: Option<Sink>,
    channels: usize,
    finder: Finder,
    cutter: Cutter,
    /// Samples at 16 kHz from `first` on; older ones are no longer needed.
    samples: Vec<i16>,
    first: usize,
    /// Where somebody spoke, as far as nothing can change it any more.
    spans: Vec<Span>,
    /// Whether anybody spoke, and the loudest sample so far.
    pub speech: bool,
    pub loudest: u16,
    /// How loud the last whole statement was, until it is asked for.
    spoken: Option<u16>,
}

impl Stream {
    /// The stream of a recording that begins; `path` names it in errors.
    pub fn new(path: &Path, form: Form) -> Result<Self, Error> {
        let mut sink = Sink::new(path);
        sink.begin(form.rate, form.channels.into())?;
        Ok(Stream {
            sink: Some(sink),
            channels: form.channels.max(1).into(),
            finder: Finder::default(),
            cutter: Cutter::default(),
            samples: Vec::new(),
            first: 0,
            spans: Vec::new(),
            speech: false,
            loudest: 0,
            spoken: None,
        })
    }

    /// Takes the next samples and gives the windows that nothing can change any more.
    pub fn push(&mut self, interleaved: &[i16], own_voice: &[[u64; 2]]) -> Result<Vec<Window>, Error> {
        debug_assert!(interleaved.len().is_multiple_of(self.channels));
        let Some(sink) = &mut self.sink else { return Ok(Vec::new()) };
        sink.push(&audio::floats(interleaved))?;
        let samples = sink.take()?;
        Ok(self.add(samples, own_voice))
    }

    /// The windows that are left; the recording has ended.
    pub fn finish(&mut self, own_voice: &[[u64; 2]]) -> Result<Vec<Window>, Error> {
        let rest = self.sink.take().map_or(Ok(Vec::new()), Sink::rest)?;
        let mut windows = self.add(rest, own_voice);
        let spans = std::mem::take(&mut self.finder).finish();
        let mut cut = self.cut(&spans);
        cut.extend(self.cutter.finish());
        windows.extend(cut.into_iter().map(|span| self.window(span)));
        Ok(windows)
    }

    /// The stretch spoken last, once a pause follows it; it may grow by what is still to be spoken.
    pub fn statement(&self) -> Option<Span> {
        let quiet = self.finder.quiet().filter(|quiet| *quiet >= PAUSE);
        let last = self.finder.last().filter(|_| quiet.is_some()).map(|last| self.cutter.would_be(last));
        last.or_else(|| self.cutter.last().filter(|_| quiet.is_some()))
    }

    /// The window of a stretch that [`Stream::statement`] gave.
    pub fn window(&self, span: Span) -> Window {
        let at = |sample: usize| (sample - self.first).min(self.samples.len());
        Window { span, samples: self.samples[at(span.start)..at(span.end)].to_vec() }
    }

    /// Where somebody spoke up to now.
    pub fn spoken_spans(&self) -> Vec<Span> {
        self.spans.iter().copied().chain(self.finder.last()).collect()
    }

    /// Milliseconds of silence up to now; none while somebody speaks.
    pub fn quiet_ms(&self) -> u64 {
        self.finder.quiet().unwrap_or(0) as u64 * 1000 / u64::from(RATE)
    }

    /// How loud the last whole statement was, once.
    pub fn take_spoken(&mut self) -> Option<u16> {
        self.spoken.take()
    }

    fn add(&mut self, mut samples: Vec<i16>, own_voice: &[[u64; 2]]) -> Vec<Window> {
        audio::silence(&mut samples, self.first + self.samples.len(), own_voice);
        self.loudest = samples.iter().map(|s| s.unsigned_abs()).fold(self.loudest, u16::max);
        self.finder.push(&samples);
        self.samples.append(&mut samples);
        let spans = self.finder.take();
        let mut cut = self.cut(&spans);
        if let Some(growing) = self.finder.growing() {
            cut.extend(self.cutter.reach(growing, Sound { first: self.first, samples: &self.samples }));
        }
        // While the last span may still grow, its window may too.
        if self.finder.last().is_none() {
            cut.extend(self.cutter.quiet(self.finder.earliest()));
        }
        let windows = cut.into_iter().map(|span| self.window(span)).collect();
        self.forget();
        windows
    }

    /// Puts whole spans into windows.
    fn cut(&mut self, spans: &[Span]) -> Vec<Span> {
        let mut cut = Vec::new();
        self.spans.extend(spans);
        for span in spans {
            self.speech = true;
            // The beginning of a long span was heard and let go of.
            let kept = Span { start: span.start.max(self.first), end: span.end };
            let peak = self.window(kept).samples.iter().map(|s| s.unsigned_abs()).max();
            self.spoken = peak.or(self.spoken);
            cut.extend(self.cutter.add(*span, Sound { first: self.first, samples: &self.samples }));
        }
        cut
    }

    /// Lets go of the samples that no window to come can hold.
    fn forget(&mut self) {
        let growing = self.finder.growing().or(self.finder.last());
        let earliest = growing.map_or(self.finder.earliest(), |span| span.start.min(self.finder.earliest()));
        let needed = self.cutter.needed(earliest).max(self.first).min(self.first + self.samples.len());
        // A second at a time, since the rest moves up.
        if needed - self.first >= RATE as usize {
            self.samples.drain(..needed - self.first);
            self.first = needed;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recognize::windows;

    /// Speech, then the same with its pauses cut short so that it seems never to end, then silence, then speech.
    fn talk() -> Vec<i16> {
        let speech = audio::load(Path::new("samples/garage.wav")).unwrap();
        let samples = speech.stretch(0..usize::MAX).unwrap();
        let tight: Vec<i16> =
            speech.spans.iter().flat_map(|s| &samples[s.start + 4500..s.end - 4500]).copied().collect();
        [&samples[..], &tight, &tight, &[0; 5 * RATE as usize], &samples[..200_000]].concat()
    }

    fn streamed(samples: &[i16], form: Form, chunks: impl Fn(usize) -> usize) -> (Vec<Window>, usize) {
        let mut stream = Stream::new(Path::new("talk"), form).unwrap();
        let (mut windows, mut at, mut most, mut count) = (Vec::new(), 0, 0, 0);
        while at < samples.len() {
            let channels = usize::from(form.channels);
            let end = (at + chunks(count) * channels).min(samples.len());
            windows.extend(stream.push(&samples[at..end], &[]).unwrap());
            most = most.max(stream.samples.len());
            (at, count) = (end, count + 1);
        }
        windows.extend(stream.finish(&[]).unwrap());
        (windows, most)
    }

    #[test]
    fn the_windows_of_a_stream_are_those_of_the_whole_recording() {
        let samples = talk();
        let whole = audio::Recording::from_samples(Path::new("talk"), samples.clone()).unwrap();
        let expected = windows(&whole).unwrap();
        assert!(expected.len() > 5 && expected.iter().any(|w| w.end - w.start > 20 * RATE as usize), "{expected:?}");
        let form = Form { rate: RATE, channels: 1 };
        for chunks in [|_| 160, |_| 4000, |n: usize| 1 + n * 7919 % 5000, |_| usize::MAX / 4] {
            let (given, _) = streamed(&samples, form, chunks);
            assert_eq!(given.iter().map(|w| w.span).collect::<Vec<_>>(), expected);
            for window in given {
                assert_eq!(window.samples, samples[window.span.start..window.span.end]);
            }
        }
    }

    #[test]
    fn another_rate_and_two_channels_give_what_the_file_gives() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("stereo.wav");
        let spec = hound::WavSpec {
            channels: 2,
            sample_rate: 44_100,
            bits_per_sample: 16,
            sample_format: hound::SampleFormat::Int,
        };
        let samples = talk()[..1_000_000].to_vec();
        let mut writer = hound::WavWriter::create(&path, spec).unwrap();
        samples.iter().for_each(|s| writer.write_sample(*s).unwrap());
        writer.finalize().unwrap();
        let whole = audio::load(&path).unwrap();
        let (given, _) = streamed(&samples, Form { rate: 44_100, channels: 2 }, |_| 441);
        let expected: Vec<Window> = windows(&whole)
            .unwrap()
            .into_iter()
            .map(|span| Window { span, samples: whole.stretch(span.start..span.end).unwrap() })
            .collect();
        assert!(!expected.is_empty());
        assert_eq!(given, expected);
    }

    #[test]
    fn an_hour_of_silence_is_forgotten_and_talk_without_end_is_kept_for_half_a_minute() {
        let form = Form { rate: RATE, channels: 1 };
        let (_, most) = streamed(&vec![0; 600 * RATE as usize], form, |_| 1600);
        assert!(most <= 3 * RATE as usize, "{most} samples of silence are kept");
        let (_, most) = streamed(&talk(), form, |_| 1600);
        // The longest window is 24 s; the next may have begun before it was cut off.
        assert!(most <= 50 * RATE as usize, "{most} samples of talk are kept");
    }

    #[test]
    fn a_statement_can_be_heard_as_soon_as_a_pause_follows_it_and_nothing_of_the_own_voice_is_one() {
        let speech = audio::load(Path::new("samples/garage.wav")).unwrap();
        let first = speech.spans[0];
        let form = Form { rate: RATE, channels: 1 };
        let samples = speech.stretch(0..first.end).unwrap();
        let sound = [&samples[..], &[0; RATE as usize / 2]].concat();
        let mut stream = Stream::new(Path::new("talk"), form).unwrap();
        stream.push(&sound, &[]).unwrap();
        assert_eq!(stream.statement(), Some(first));
        assert_eq!(stream.window(first).samples, samples[first.start..]);

        let mut deaf = Stream::new(Path::new("talk"), form).unwrap();
        deaf.push(&sound, &[[0, u64::MAX]]).unwrap();
        assert_eq!((deaf.statement(), deaf.speech), (None, false));
    }
}
