//! Sound first: whatever comes is on the disk before anything else is done with it.
use super::board::{Board, Take};
use super::event::{Event, Trouble};
use crate::audio::growing::{Form, Growing, local};
use crate::record::{Begun, Error, Visit};
use jiff::{Timestamp, ZonedDateTime};
use std::path::Path;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender};
use std::time::{Duration, Instant};

/// What comes from a microphone or a file.
#[derive(Debug, Clone, PartialEq)]
pub enum Sound {
    /// How the samples that follow are laid out.
    Form(Form),
    /// Interleaved samples, whole frames.
    Samples(Vec<i16>),
    /// The device is gone.
    Lost(String),
    /// The device is back.
    Back,
}

/// Bytes free where a folder lies, if that can be told.
pub type Free<'a> = &'a (dyn Fn(&Path) -> Option<u64> + Sync);

/// Sound is flushed to the disk this often; a power cut costs no more.
const FLUSH: Duration = Duration::from_millis(400);
/// The free space is looked at this often.
const LOOK: Duration = Duration::from_secs(10);
/// Told when no more than this fits.
const LOW_MINUTES: u64 = 20;
/// Left for transcripts, the record and the system itself.
const RESERVE: u64 = 64 << 20;

/// Writes sound into the notes of a visit until it ends.
pub struct Sink<'a> {
    visit: &'a Visit,
    board: &'a Board,
    tell: Sender<Event>,
    free: Free<'a>,
    form: Form,
    open: Option<Open>,
    /// Samples that could not be written yet.
    pending: Vec<i16>,
    troubles: Vec<Trouble>,
    flushed: Instant,
    looked: Option<Instant>,
    /// Sound still to be taken, if there is an end to it.
    left: Option<Duration>,
}

struct Open {
    name: String,
    begun: ZonedDateTime,
    form: Form,
    file: Growing,
}

impl<'a> Sink<'a> {
    pub fn new(visit: &'a Visit, board: &'a Board, tell: Sender<Event>, free: Free<'a>) -> Self {
        Sink {
            visit,
            board,
            tell,
            free,
            form: Form { rate: crate::audio::RATE, channels: 1 },
            open: None,
            pending: Vec::new(),
            troubles: Vec::new(),
            flushed: Instant::now(),
            looked: None,
            left: None,
        }
    }

    /// Takes no more than so much sound.
    pub fn limit(&mut self, left: Option<Duration>) {
        self.left = left;
    }

    /// Takes sound until it ends or the session is told to stop; every note is listed when this returns.
    pub fn run(mut self, sound: &Receiver<Sound>) -> Result<(), Error> {
        let done = self.take_all(sound).and_then(|()| self.end_note());
        let mut state = self.board.look();
        state.ended = true;
        drop(state);
        self.board.ring();
        done
    }

    fn take_all(&mut self, sound: &Receiver<Sound>) -> Result<(), Error> {
        loop {
            let stop = self.board.look().stop;
            if self.left.is_some_and(|left| left.is_zero()) {
                return self.write(Vec::new());
            }
            match sound.recv_timeout(if stop { Duration::ZERO } else { FLUSH / 4 }) {
                Ok(Sound::Samples(samples)) => {
                    let samples = self.within_limit(samples);
                    self.write(samples)?;
                }
                Ok(Sound::Form(form)) if form != self.form => {
                    self.end_note()?;
                    self.form = form;
                }
                Ok(Sound::Form(_)) => {}
                Ok(Sound::Lost(why)) => self.trouble(Trouble::Lost { why }),
                Ok(Sound::Back) => self.fine(&Trouble::Lost { why: String::new() }),
                Err(RecvTimeoutError::Timeout) if stop => return self.write(Vec::new()),
                Err(RecvTimeoutError::Timeout) => self.write(Vec::new())?,
                Err(RecvTimeoutError::Disconnected) => return self.write(Vec::new()),
            }
            self.keep_up()?;
        }
    }

    fn within_limit(&mut self, mut samples: Vec<i16>) -> Vec<i16> {
        let channels = usize::from(self.form.channels.max(1));
        if let Some(left) = &mut self.left {
            let frames = (left.as_secs_f64() * f64::from(self.form.rate)).round() as usize;
            samples.truncate(frames * channels);
            let taken = Duration::from_secs_f64((samples.len() / channels) as f64 / f64::from(self.form.rate));
            *left = if samples.len() == frames * channels { Duration::ZERO } else { *left - taken.min(*left) };
        }
        samples
    }

    /// Writes samples, after those that had to wait.
    fn write(&mut self, samples: Vec<i16>) -> Result<(), Error> {
        if self.board.look().turn {
            self.end_note()?;
        }
        let waited = !self.pending.is_empty();
        let samples = if waited {
            self.pending.extend(samples);
            std::mem::take(&mut self.pending)
        } else {
            samples
        };
        if samples.is_empty() {
            return Ok(());
        }
        if self.open.as_ref().is_some_and(|open| open.file.is_full(samples.len())) {
            self.end_note()?;
        }
        let open = match &mut self.open {
            Some(open) => open,
            none => match begin(self.visit, self.board, &self.tell, self.form) {
                Ok(open) => none.insert(open),
                Err(error) => {
                    self.pending = samples;
                    self.trouble(Trouble::DiskFull { why: cause(&error) });
                    return Ok(());
                }
            },
        };
        match open.file.push(&samples) {
            Ok(()) => {
                self.publish(&samples);
                if waited {
                    self.fine(&Trouble::DiskFull { why: String::new() });
                }
            }
            Err(error) => {
                self.pending = samples;
                self.trouble(Trouble::DiskFull { why: error.to_string() });
            }
        }
        Ok(())
    }

    fn publish(&mut self, samples: &[i16]) {
        let Some(open) = &self.open else { return };
        let mut state = self.board.look();
        state.meter.push(samples, open.form);
        if let Some(take) = state.takes.last_mut() {
            take.frames = open.file.frames();
        }
        drop(state);
        self.board.ring();
    }

    /// What has to be done now and then: flushing, looking at the level and at the disk.
    fn keep_up(&mut self) -> Result<(), Error> {
        if self.flushed.elapsed() >= FLUSH {
            self.flushed = Instant::now();
            if let Some(Err(error)) = self.open.as_mut().map(|open| open.file.flush()) {
                self.trouble(Trouble::DiskFull { why: error.to_string() });
            }
        }
        self.look_at_level();
        if self.looked.is_none_or(|at| at.elapsed() >= LOOK) {
            self.looked = Some(Instant::now());
            self.look_at_disk();
        }
        Ok(())
    }

    fn look_at_level(&mut self) {
        let fault = self.board.look().meter.fault();
        let before = self.troubles.iter().find(|t| matches!(t, Trouble::Sound(_))).cloned();
        let now = fault.map(Trouble::Sound);
        if before != now {
            before.iter().for_each(|trouble| self.fine(trouble));
            now.into_iter().for_each(|trouble| self.trouble(trouble));
        }
    }

    fn look_at_disk(&mut self) {
        let Some(free) = (self.free)(self.visit.root()) else { return };
        let a_minute = 60 * u64::from(self.form.rate) * self.form.frame_bytes();
        let minutes = free.saturating_sub(RESERVE) / a_minute.max(1);
        let low = Trouble::DiskLow { minutes };
        if minutes <= LOW_MINUTES { self.trouble(low) } else { self.fine(&low) }
    }

    fn trouble(&mut self, trouble: Trouble) {
        match self.troubles.iter_mut().find(|t| t.same(&trouble)) {
            Some(known) if *known == trouble => return,
            Some(known) => *known = trouble.clone(),
            None => self.troubles.push(trouble.clone()),
        }
        // Nobody watches any more when this fails; the sound goes on.
        let _ = self.tell.send(Event::Trouble(trouble));
    }

    fn fine(&mut self, trouble: &Trouble) {
        let before = self.troubles.len();
        self.troubles.retain(|t| !t.same(trouble));
        if self.troubles.len() < before {
            let _ = self.tell.send(Event::Fine(trouble.clone()));
        }
    }

    /// Ends the note and lists it with its hash; the next sound begins another.
    fn end_note(&mut self) -> Result<(), Error> {
        self.board.look().turn = false;
        let Some(Open { name, begun, form, file }) = self.open.take() else { return Ok(()) };
        file.close().map_err(|source| Error::Write { path: self.visit.note_path(&name), source })?;
        let note = self.visit.end_recording(&name, &begun, form)?;
        if let Some(take) = self.board.look().takes.last_mut() {
            take.ended = Some(note);
        }
        self.board.ring();
        let _ = self.tell.send(Event::Listed { name });
        Ok(())
    }
}

/// Begins a note.
fn begin(visit: &Visit, board: &Board, tell: &Sender<Event>, form: Form) -> Result<Open, Error> {
    let Begun { name, path, begun, file } = visit.begin_recording(form, local(Timestamp::now()))?;
    let take = Take {
        name: name.clone(),
        path,
        begun: begun.clone(),
        form,
        frames: 0,
        heard: 0,
        ended: None,
        own_voice: Vec::new(),
    };
    board.look().takes.push(take);
    board.ring();
    let _ = tell.send(Event::Note { name: name.clone() });
    Ok(Open { name, begun, form, file })
}

fn cause(error: &Error) -> String {
    std::error::Error::source(error).map_or_else(|| error.to_string(), ToString::to_string)
}
