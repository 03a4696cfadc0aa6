//! What the threads of a listening session know of one another.
use super::level::Meter;
use crate::audio::growing::Form;
use crate::record::{Error, Note, Visit};
use jiff::ZonedDateTime;
use std::path::PathBuf;
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

/// One recording of the session, as far as it has been written.
#[derive(Debug, Clone)]
pub struct Take {
    pub name: String,
    pub path: PathBuf,
    pub begun: ZonedDateTime,
    pub form: Form,
    /// Moments of sound that are in the file.
    pub frames: u64,
    /// Moments of it that were heard.
    pub heard: u64,
    /// Nothing more comes; the note as listed, unless it holds no sound.
    pub ended: Option<Option<Note>>,
    /// Where the program itself speaks, in milliseconds; the end is open while it still does.
    pub own_voice: Vec<[u64; 2]>,
}

impl Take {
    /// How much sound there is.
    pub fn ms(&self) -> u64 {
        self.form.ms(self.frames)
    }
}

/// Everything shared.
#[derive(Debug, Default)]
pub struct State {
    pub takes: Vec<Take>,
    pub meter: Meter,
    /// The note is to end; the next sound begins another.
    pub turn: bool,
    /// No more sound is to be taken.
    pub stop: bool,
    /// All sound is written and listed.
    pub ended: bool,
}

/// The state behind a lock, and a bell for those who wait for sound.
#[derive(Debug, Default)]
pub struct Board {
    state: Mutex<State>,
    bell: Condvar,
}

/// After its last word the program's voice still sounds in the room and in the buffers.
const ECHO_MS: u64 = 500;

impl Board {
    /// The state; whoever changes it rings afterwards.
    pub fn look(&self) -> MutexGuard<'_, State> {
        // A thread that died while it held the lock left plain numbers behind, which are still good.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Tells those who wait that something is new.
    pub fn ring(&self) {
        self.bell.notify_all();
    }

    /// Waits until there is a recording number `at`; nothing if there will be none.
    pub fn take(&self, at: usize) -> Option<Take> {
        let mut state = self.look();
        loop {
            if let Some(take) = state.takes.get(at) {
                return Some(take.clone());
            }
            if state.ended {
                return None;
            }
            state = self.bell.wait(state).unwrap_or_else(PoisonError::into_inner);
        }
    }

    /// Waits a moment for a recording to have more than so many moments of sound, or to end.
    pub fn more(&self, at: usize, frames: u64) -> Option<Take> {
        const MOMENT: Duration = Duration::from_millis(100);
        let state = self.look();
        let idle = |state: &State| state.takes.get(at).is_some_and(|t| t.frames <= frames && t.ended.is_none());
        let state = if idle(&state) {
            self.bell.wait_timeout(state, MOMENT).unwrap_or_else(PoisonError::into_inner).0
        } else {
            state
        };
        state.takes.get(at).cloned()
    }

    /// Tells how much of a recording was heard.
    pub fn heard(&self, at: usize, frames: u64) {
        if let Some(take) = self.look().takes.get_mut(at) {
            take.heard = frames;
        }
    }

    /// Milliseconds of sound that are written and not yet heard.
    pub fn behind_ms(&self) -> u64 {
        self.look().takes.iter().map(|take| take.form.ms(take.frames - take.heard)).sum()
    }

    /// The program begins to speak: whatever is recorded from now on is its own voice.
    pub fn begin_voice(&self, visit: &Visit) -> Result<(), Error> {
        let mut state = self.look();
        let Some(take) = state.takes.last_mut().filter(|t| t.ended.is_none()) else { return Ok(()) };
        let span = [take.ms(), u64::MAX];
        take.own_voice.push(span);
        visit.keep_own_voice(&take.name, span)
    }

    /// The program has spoken.
    pub fn end_voice(&self, visit: &Visit) -> Result<(), Error> {
        let mut state = self.look();
        for take in &mut state.takes {
            let until = take.form.ms(take.frames) + ECHO_MS;
            let Some(span) = take.own_voice.last_mut().filter(|span| span[1] == u64::MAX) else { continue };
            span[1] = until;
            let span = *span;
            if take.ended.is_none() {
                visit.keep_own_voice(&take.name, span)?;
            }
        }
        Ok(())
    }
}
