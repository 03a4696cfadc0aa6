//! The stretches of one recording spread over the threads.
//!
//! Two stretches at once with a thread each are heard in three quarters of the time of one after the other with two
//! threads: threads of one stretch wait for each other at every layer. Each stretch is heard by itself, so the words are
//! the same either way.
use super::{Error, Hearing, Recognizer, Word};
use crate::audio::{Recording, Span};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{Sender, channel};

/// The words of all stretches in order; `progress` is told the share of the recording that is done.
pub fn hear(
    ears: &Recognizer,
    recording: &Recording,
    windows: &[Span],
    stop: &AtomicBool,
    progress: &mut impl FnMut(f32),
) -> Result<Vec<Word>, Error> {
    let threads = ears.options.threads.max(1);
    let workers = threads.min(windows.len());
    let next = AtomicUsize::new(0);
    let (tell, told) = channel();
    let work = |threads: usize, tell: Sender<_>| {
        let heard = Hearing::new(ears, &recording.path, threads).and_then(|mut hearing| {
            while let Some((at, window)) = take(windows, &next) {
                let words = hearing.hear(&recording.samples[window.start..window.end], window, stop)?;
                // Nobody listens any more once another stretch has failed.
                let _ = tell.send(Ok((at, words)));
            }
            Ok(())
        });
        if let Err(error) = heard {
            next.store(windows.len(), Ordering::Relaxed);
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
        let mut heard = vec![Vec::new(); windows.len()];
        let (mut done, all) = (0, recording.samples.len().max(1));
        for answer in told {
            let (at, words) = answer?;
            heard[at] = words;
            done += windows[at].end - windows[at].start;
            progress(done as f32 / all as f32);
        }
        Ok(heard.concat())
    })
}

/// The next stretch that nobody hears yet.
fn take(windows: &[Span], next: &AtomicUsize) -> Option<(usize, Span)> {
    let at = next.fetch_add(1, Ordering::Relaxed);
    windows.get(at).map(|window| (at, *window))
}
