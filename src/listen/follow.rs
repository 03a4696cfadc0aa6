//! From the sound on the disk to the facts on the screen, as fast as they can be heard and never in its way.
//!
//! The words are made from the file that is being written. When hearing is slower than speaking, the file is the
//! memory: nothing piles up, nothing is dropped, and the pauses are used to catch up.
use super::board::{Board, Take};
use super::event::{Event, Line, Standing, changes, last};
use super::span::{Stream, Window};
use super::{Error, order};
use crate::audio::growing::HEAD;
use crate::draft::Draft;
use crate::read;
use crate::recognize::{Hearing, Recognizer, Word, settle_pauses, tighten};
use crate::record::{Command, Note, Record, Visit};
use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::sync::atomic::AtomicBool;
use std::sync::mpsc::Sender;

/// Sound taken in at a time.
const CHUNK_MS: u64 = 250;
/// With more sound than this waiting, a statement is not heard before its window is whole.
const BEHIND_MS: u64 = 1500;
/// After "end of note" and this much silence another note begins.
const TURN_MS: u64 = 5000;
/// Facts told by "read that back".
const READ_BACK: usize = 3;
/// Open questions told at once.
const LEFT: usize = 3;

/// Hears the notes of a session while they are spoken.
pub struct Follower<'a> {
    visit: &'a Visit,
    board: &'a Board,
    ears: &'a Recognizer,
    tell: Sender<Event>,
    stop: &'a AtomicBool,
    draft: Draft,
    record: Record,
}

/// What was heard of one note.
#[derive(Default)]
struct Text {
    /// The words of the windows that nothing can change any more.
    words: Vec<Word>,
    /// The statement after them, as heard so far.
    tail: Option<(Window, Vec<Word>)>,
    /// The commands among these words, and all that were ever obeyed.
    commands: Vec<Command>,
    obeyed: Vec<Command>,
    /// Whether "end of note" are the last words.
    closing: bool,
}

impl<'a> Follower<'a> {
    /// Begins with what the visit holds already.
    pub fn new(
        visit: &'a Visit,
        board: &'a Board,
        ears: &'a Recognizer,
        tell: Sender<Event>,
        stop: &'a AtomicBool,
    ) -> Result<Self, Error> {
        let draft = Draft::open(visit)?;
        let record = draft.record(&visit.journal()?.standing());
        Ok(Follower { visit, board, ears, tell, stop, draft, record })
    }

    /// Hears note after note until the session has ended and all of it was heard.
    pub fn run(&mut self) -> Result<(), Error> {
        self.say(Event::Heard { lines: Vec::new(), standing: self.standing(&Text::default()) });
        let mut at = 0;
        while let Some(take) = self.board.take(at) {
            self.follow(at, &take)?;
            at += 1;
        }
        Ok(())
    }

    /// Hears one note to its end.
    fn follow(&mut self, at: usize, take: &Take) -> Result<(), Error> {
        let read = |source| crate::record::Error::Read { path: take.path.clone(), source };
        let mut file = File::open(&take.path).map_err(read)?;
        file.seek(SeekFrom::Start(HEAD)).map_err(read)?;
        let mut stream = Stream::new(&take.path, take.form)?;
        let mut hearing = self.ears.begin(&take.path)?;
        let mut text = Text::default();
        let mut done = 0;
        let chunk = u64::from(take.form.rate) * CHUNK_MS / 1000;
        while let Some(now) = self.board.more(at, done) {
            let count = (now.frames - done).min(chunk);
            if count == 0 && now.ended.is_some() {
                return self.close(&now, &mut stream, &mut hearing, text);
            }
            let samples = take_samples(&mut file, count * take.form.frame_bytes()).map_err(read)?;
            done += count;
            let windows = stream.push(&samples, &now.own_voice)?;
            self.hear_all(&mut hearing, &mut text, &now.name, &stream, windows)?;
            if let Some(peak) = stream.take_spoken() {
                self.board.look().meter.spoken(peak);
            }
            if take.form.ms(now.frames - done) < BEHIND_MS {
                self.hear_statement(&mut hearing, &mut text, &now.name, &stream)?;
                self.turn(&stream, &mut text);
            }
            self.board.heard(at, done);
        }
        Ok(())
    }

    /// Hears windows that are whole.
    fn hear_all(
        &mut self,
        hearing: &mut Hearing,
        text: &mut Text,
        note: &str,
        stream: &Stream,
        windows: Vec<Window>,
    ) -> Result<(), Error> {
        let some = !windows.is_empty();
        for window in windows {
            let skimmed = match text.tail.take() {
                Some((heard, words)) if heard == window => words,
                _ => hearing.skim(&window.samples, window.span, self.stop)?,
            };
            let mut words = hearing.check(skimmed, &window.samples, window.span, self.stop)?;
            tighten(&mut words, &window.samples, window.span);
            text.words.extend(words);
        }
        if some { self.tell(text, note, stream) } else { Ok(()) }
    }

    /// Hears the statement that a pause follows, if it was not heard yet.
    fn hear_statement(
        &mut self,
        hearing: &mut Hearing,
        text: &mut Text,
        note: &str,
        stream: &Stream,
    ) -> Result<(), Error> {
        let Some(span) = stream.statement() else { return Ok(()) };
        if text.tail.as_ref().is_some_and(|(heard, _)| heard.span == span) {
            return Ok(());
        }
        let window = stream.window(span);
        let words = hearing.skim(&window.samples, span, self.stop)?;
        text.tail = Some((window, words));
        self.tell(text, note, stream)
    }

    /// Reads all that was heard of the note, and tells what is new.
    fn tell(&mut self, text: &mut Text, note: &str, stream: &Stream) -> Result<(), Error> {
        let tail = text.tail.iter().flat_map(|(_, words)| words);
        let mut words: Vec<Word> = text.words.iter().chain(tail).cloned().collect();
        settle_pauses(&mut words, &stream.spoken_spans());
        let transcript = self.ears.transcript(words, 0, true);
        let reading = read::facts(&transcript, &self.draft.bench.lexicon, note);
        let commands = reading.commands.clone();
        let record = self.draft.record_with(note, reading, &self.visit.journal()?.standing());
        let lines = changes(&self.record, &record, &self.draft.bench.lexicon.catalogue);
        self.record = record;
        let last_ms = transcript.words.last().map_or(0, |w| w.end_ms);
        text.closing = order::closes(&commands, last_ms);
        let fresh = order::fresh(&mut text.obeyed, &commands);
        text.commands = commands;
        let standing = self.standing(text);
        self.say(Event::Heard { lines, standing });
        for command in fresh.iter().filter(|command| !order::is_idle(command, &text.commands)) {
            self.obey(command);
        }
        Ok(())
    }

    /// Shows that a command is obeyed; what it does to the facts, the reading has done.
    fn obey(&self, command: &Command) {
        let words = order::words(&command.kind).to_owned();
        self.say(Event::Obeyed { words, undone: command.undone });
        match command.kind.as_str() {
            _ if command.undone => {}
            "what-is-left" => self.say(Event::Answer { lines: self.left() }),
            "read-that-back" => {
                let lines = last(&self.record, READ_BACK, &self.draft.bench.lexicon.catalogue);
                let told = |line: Line| if line.is_sure() { line.text } else { format!("unsure: {}", line.text) };
                self.say(Event::Answer { lines: lines.into_iter().map(told).collect() });
            }
            _ => {}
        }
    }

    /// What nobody has said yet, in few words.
    fn left(&self) -> Vec<String> {
        let open = &self.record.open;
        let mut lines = vec![match open.len() {
            0 => "Nothing is left.".to_owned(),
            1 => "One question is left.".to_owned(),
            count => format!("{count} questions are left."),
        }];
        lines.extend(open.iter().take(LEFT).map(|q| q.why.clone()));
        lines
    }

    fn standing(&self, text: &Text) -> Standing {
        let left = self.record.open.iter().map(|q| q.why.clone()).collect();
        Standing { facts: self.record.facts.len(), left, deaf: order::is_deaf(&text.commands) }
    }

    /// Begins another note once "end of note" was said and nobody went on.
    fn turn(&self, stream: &Stream, text: &mut Text) {
        if text.closing && stream.quiet_ms() >= TURN_MS {
            text.closing = false;
            self.board.look().turn = true;
        }
    }

    /// Hears what is left of an ended note, keeps its words and makes the visit's draft of them.
    fn close(&mut self, take: &Take, stream: &mut Stream, hearing: &mut Hearing, mut text: Text) -> Result<(), Error> {
        let windows = stream.finish(&take.own_voice)?;
        self.hear_all(hearing, &mut text, &take.name, stream, windows)?;
        let Some(Some(note)) = &take.ended else { return Ok(()) };
        self.keep(note, stream, text)
    }

    fn keep(&mut self, note: &Note, stream: &Stream, mut text: Text) -> Result<(), Error> {
        settle_pauses(&mut text.words, &stream.spoken_spans());
        let transcript = self.ears.transcript(text.words, stream.loudest, stream.speech);
        self.visit.keep_transcript(note, &transcript)?;
        self.draft = Draft::open(self.visit)?;
        self.record = self.draft.save()?;
        Ok(())
    }

    fn say(&self, event: Event) {
        // Nobody watches any more when this fails; the words are kept all the same.
        let _ = self.tell.send(event);
    }
}

fn take_samples(file: &mut File, bytes: u64) -> std::io::Result<Vec<i16>> {
    let mut raw = vec![0; usize::try_from(bytes).unwrap_or(0)];
    file.read_exact(&mut raw)?;
    Ok(raw.chunks_exact(2).map(|b| i16::from_le_bytes([b[0], b[1]])).collect())
}
