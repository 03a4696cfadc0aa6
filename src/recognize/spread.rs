//! The stretches of one recording spread over the threads.
//!
//! Two stretches at once with a thread each are heard in three quarters of the time of one after the other with two
//! threads: threads of one stretch wait for each other at every layer. Each stretch is heard by itself, so the words are
//! the same either way.
use super::{Error, Hearing, Recognizer, Word, pause};
use crate::audio::{Recording, Span};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{Sender, channel};

/// What was heard of a recording before.
pub trait Memory {
    /// The words of a stretch that was heard already.
    fn recall(&self, window: Span) -> Option<Vec<Word>>;
    /// Keeps the words of a stretch that was heard just now.
    fn keep(&mut self, window: Span, words: &[Word]);
}

/// Remembers nothing: every stretch is heard.
pub struct Forgetful;

impl Memory for Forgetful {
    fn recall(&self, _: Span) -> Option<Vec<Word>> {
        None
    }

    fn keep(&mut self, _: Span, _: &[Word]) {}
}

/// The words of all stretches in order; those that `memory` lacks are heard and kept there. `progress` is told the share
/// of the recording that is done.
pub fn hear(
    ears: &Recognizer,
    recording: &Recording,
    windows: &[Span],
    stop: &AtomicBool,
    memory: &mut dyn Memory,
    progress: &mut impl FnMut(f32),
) -> Result<Vec<Word>, Error> {
    let mut heard: Vec<Option<Vec<Word>>> = windows.iter().map(|window| memory.recall(*window)).collect();
    let length = |at: usize| windows[at].end - windows[at].start;
    let mut done: usize = (0..windows.len()).filter(|at| heard[*at].is_some()).map(length).sum();
    let all = recording.samples.len().max(1);
    if done > 0 {
        progress(done as f32 / all as f32);
    }
    let left: Vec<(usize, Span)> = windows.iter().copied().enumerate().filter(|(at, _)| heard[*at].is_none()).collect();
    let threads = ears.options.threads.max(1);
    let workers = threads.min(left.len());
    let next = AtomicUsize::new(0);
    let (tell, told) = channel();
    let work = |threads: usize, tell: Sender<_>| {
        let heard = Hearing::new(ears, &recording.path, threads).and_then(|mut hearing| {
            while let Some((at, window)) = take(&left, &next) {
                let samples = &recording.stretch(window.start..window.end)?;
                let mut words = hearing.hear(samples, window, stop)?;
                pause::tighten(&mut words, samples, window);
                // Nobody listens any more once another stretch has failed.
                let _ = tell.send(Ok((at, words)));
            }
            Ok(())
        });
        if let Err(error) = heard {
            next.store(left.len(), Ordering::Relaxed);
            let _ = tell.send(Err(error));
        }
    };
    std::thread::scope(|scope| {
        for worker in 0..workers {
            // What does not divide evenly goes to the first.
            let share = threads / workers + usize::from(worker < threads % workers);
            let (work, tell) = (&work, tell.clone());
            scope.spawn(move || work(share, tell));
        }
        drop(tell);
        for answer in told {
            let (at, words) = answer?;
            memory.keep(windows[at], &words);
            heard[at] = Some(words);
            done += length(at);
            progress(done as f32 / all as f32);
        }
        Ok(heard.into_iter().flatten().flatten().collect())
    })
}

/// The next stretch that nobody hears yet.
fn take(left: &[(usize, Span)], next: &AtomicUsize) -> Option<(usize, Span)> {
    left.get(next.fetch_add(1, Ordering::Relaxed)).copied()
}
