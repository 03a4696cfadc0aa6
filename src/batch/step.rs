//! The steps themselves, each on one visit's folder.
use super::fence::{self, inside};
use super::memory::Budget;
use super::{Done, Event, Failure, Hearing, Job, Known, Ledger, Source, Step, Teller};
use crate::draft::{self, Bench, Cause, Draft};
use crate::lexicon::Lexicon;
use crate::recognize::{Memory, Transcript};
use crate::record::{About, Added, Note, NoteKind, Visit, hash_bytes, kind_of, look_at};
use std::collections::HashSet;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;
use std::time::Instant;

/// What a worker stands at.
pub struct Stand<'a> {
    pub worker: usize,
    pub source: &'a Path,
    pub out: &'a Path,
    pub hearing: &'a dyn Hearing,
    pub teller: &'a dyn Teller,
    pub ledger: &'a Ledger,
    pub sound: &'a Budget,
    pub stop: &'a AtomicBool,
    /// The words and rules that ship, made once.
    pub bench: Option<Bench>,
}

/// Why a step could not be done at all.
type Fault = Box<dyn std::error::Error>;

/// A visit's folder that must not be worked on.
#[derive(Debug, thiserror::Error)]
#[error("'{folder}' is not worked on: {refusal}; put a real folder in its place, or name the visit otherwise")]
struct Fenced {
    folder: String,
    refusal: &'static str,
}

impl Stand<'_> {
    /// Does a job; whatever goes wrong is an outcome of it.
    pub fn work(&mut self, job: &Job) -> Done {
        let done = match &job.step {
            Step::Gather { known, files } => self.gather(&job.visit, known, files),
            Step::Hear(note) => self.hear(&job.visit, note),
            Step::Draft => self.draft(&job.visit),
        };
        done.unwrap_or_else(|fault| {
            let note = job.note().map(|note| format!("/notes/{}", note.name)).unwrap_or_default();
            Done::Failed(Failure::of(&format!("{}{note}", job.visit), fault.as_ref()))
        })
    }

    fn dir(&self, folder: &str) -> Result<PathBuf, Fenced> {
        fence::visit(self.out, folder).map_err(|refusal| Fenced { folder: folder.to_owned(), refusal })
    }

    fn gather(&self, folder: &str, known: &Known, files: &[Source]) -> Result<Done, Fault> {
        let dir = self.dir(folder)?;
        let mut failures = Vec::new();
        let mut visit = if dir.join("visit.toml").exists() { Some(Visit::open(&dir)?) } else { None };
        if let Some(visit) = &visit {
            let (_, refused) = visit.adopt()?;
            failures.extend(refused.iter().map(|error| Failure::of(folder, error)));
        }
        let there = visit.as_ref().map_or(Ok(Vec::new()), Visit::notes)?;
        let there: HashSet<&str> = there.iter().map(|note| note.sha256.as_str()).collect();
        let new = files.iter().filter(|file| !there.contains(file.sha256.as_str()));
        let looked = self.look_at_all(new, &mut failures);
        if visit.is_none() && !looked.is_empty() {
            visit = Some(Visit::create(&dir, about(folder, known, &looked))?);
        }
        let Some(visit) = visit else { return Ok(Done::Gathered { notes: Vec::new(), failures }) };
        for (source, path, note) in looked {
            match visit.take(&path, note) {
                Ok(added) => self.tell_added(folder, &source, added),
                Err(error) => failures.push(Failure::of(&source.name(), &error)),
            }
        }
        let notes = visit.notes()?;
        if failures.is_empty() && self.is_finished(folder, &visit, &notes)? {
            self.teller.tell(&Event::Drafted { visit: folder.to_owned(), facts: 0, open: 0, kept: true });
            return Ok(Done::Gathered { notes: Vec::new(), failures });
        }
        Ok(Done::Gathered { notes, failures })
    }

    /// The files that are notes, with their places; one that is none does not stop the others.
    fn look_at_all<'f>(
        &self,
        files: impl Iterator<Item = &'f Source>,
        failures: &mut Vec<Failure>,
    ) -> Vec<(Source, PathBuf, Note)> {
        let mut looked = Vec::new();
        for file in files {
            let _share = (kind_of(&file.path) == NoteKind::Recording).then(|| self.sound.for_file(file.bytes));
            match inside(self.source, &file.path).map(|path| (look_at(&path), path)) {
                Ok((Ok(note), path)) => looked.push((file.clone(), path, note)),
                Ok((Err(error), _)) => failures.push(Failure::of(&file.name(), &error)),
                Err(refusal) => failures.push(Failure::new(&file.name(), refusal, "put the recording itself there")),
            }
        }
        looked
    }

    fn tell_added(&self, folder: &str, source: &Source, added: Added) {
        let (visit, file) = (folder.to_owned(), source.name());
        self.teller.tell(&match added {
            Added::New(note) => Event::Added { visit, note: note.name, file },
            Added::Known(note) => Event::Same { file, visit, note: note.name },
        });
    }

    fn hear(&self, folder: &str, note: &Note) -> Result<Done, Fault> {
        let dir = self.dir(folder)?;
        let visit = Visit::open(&dir)?;
        // A queue is not to be trusted with names: the visit's own list tells which notes there are.
        let listed = visit.notes()?.into_iter().find(|known| known.name == note.name && known.sha256 == note.sha256);
        let Some(note) = &listed else {
            let cure = "start the batch again, which adds it anew";
            return Ok(Done::Failed(Failure::new(folder, "a note is not in the visit any more", cure)));
        };
        let _share = note.length_ms.map(|ms| self.sound.for_length(ms));
        let begun = Instant::now();
        let mut ear = Ear { stand: self, heard: note.kind == NoteKind::Text && !visit.transcript_path(note).exists() };
        let transcript = draft::hear(&visit, note, &mut ear)?;
        self.teller.tell(&Event::Heard {
            visit: folder.to_owned(),
            note: note.name.clone(),
            length_ms: note.length_ms,
            words: transcript.words.len(),
            took_ms: u64::try_from(begun.elapsed().as_millis()).unwrap_or(u64::MAX),
            kept: !ear.heard,
        });
        Ok(Done::Heard)
    }

    fn draft(&mut self, folder: &str) -> Result<Done, Fault> {
        let dir = self.dir(folder)?;
        let visit = Visit::open(&dir)?;
        if self.bench.is_none() {
            self.bench = Some(Bench::new(Lexicon::shipped()?, &visit.about.standard, visit.about.date)?);
        }
        let bench = self.bench.as_ref().map_or_else(|| Bench::of(&visit), |bench| bench.like(&visit))?;
        let draft = Draft::open_on(&visit, bench)?;
        // A note that could not be heard was told of when that was tried.
        let told = |problem: &&draft::Error| !matches!(problem, draft::Error::Unheard { .. });
        let failures: Vec<Failure> =
            draft.problems.iter().filter(told).map(|problem| Failure::of(folder, problem)).collect();
        let record = draft.save()?;
        if draft.problems.is_empty() {
            self.ledger.keep_draft(folder, self.key(&visit, &visit.notes()?)?);
        }
        let (facts, open) = (record.facts.len(), record.open.len());
        self.teller.tell(&Event::Drafted { visit: folder.to_owned(), facts, open, kept: false });
        Ok(Done::Drafted { facts, open, failures })
    }

    /// Whether nothing is left to do: a person has signed these very notes, or they were drafted by what is at hand.
    fn is_finished(&self, folder: &str, visit: &Visit, notes: &[Note]) -> Result<bool, Fault> {
        if visit.is_signed()? {
            let seal = visit.seals()?.pop();
            let sealed = |note: &Note| {
                seal.as_ref().and_then(|seal| seal.files.get(&format!("notes/{}", note.name))) == Some(&note.sha256)
            };
            // What was signed is not heard anew because a model is.
            if notes.iter().all(sealed) {
                return Ok(true);
            }
        }
        let heard = notes.iter().all(|note| visit.transcript_path(note).exists());
        Ok(heard && visit.record_path().exists() && self.ledger.is_drafted(folder, &self.key(visit, notes)?))
    }

    /// What stands for all that shapes a draft, save for the decisions.
    fn key(&self, visit: &Visit, notes: &[Note]) -> Result<String, Fault> {
        let own = |path: PathBuf| std::fs::read(path).map_or_else(|_| String::new(), |bytes| hash_bytes(&bytes));
        let mut parts = vec![env!("CARGO_PKG_VERSION").to_owned(), shipped_mark()?];
        parts.extend([visit.root().join("visit.toml"), visit.lexicon_path(), visit.rules_path()].map(own));
        if notes.iter().any(|note| note.kind == NoteKind::Recording) {
            parts.push(self.hearing.model().unwrap_or_default());
        }
        parts.extend(notes.iter().map(|note| format!("{} {}", note.name, note.sha256)));
        Ok(hash_bytes(parts.join("\n").as_bytes()))
    }
}

/// The words and rules that ship with the program, as one mark.
fn shipped_mark() -> Result<String, crate::lexicon::Error> {
    static MARK: std::sync::OnceLock<String> = std::sync::OnceLock::new();
    if let Some(mark) = MARK.get() {
        return Ok(mark.clone());
    }
    let mark = format!("{} {}", Lexicon::shipped()?.version(), crate::judge::Rules::shipped_version());
    Ok(MARK.get_or_init(|| mark).clone())
}

/// What a new visit is about; its day is that of its first recording where nobody says.
fn about(folder: &str, known: &Known, looked: &[(Source, PathBuf, Note)]) -> About {
    let first = looked.iter().map(|(_, _, note)| note.recorded).min().unwrap_or_default();
    let date = known.date.unwrap_or_else(|| first.to_zoned_datetime(jiff::tz::TimeZone::system()).date());
    let name = || folder.rsplit('/').next().unwrap_or(folder).to_owned();
    let property = if known.property.is_empty() { name() } else { known.property.clone() };
    let usual = About::new(&property, date);
    let standard = if known.standard.is_empty() { usual.standard.clone() } else { known.standard.clone() };
    About { client: known.client.clone(), inspector: known.inspector.clone(), standard, ..usual }
}

/// One worker's ear: it hears with what all share, and tells how far it is.
struct Ear<'a> {
    stand: &'a Stand<'a>,
    heard: bool,
}

impl draft::Ears for Ear<'_> {
    fn model(&mut self) -> Result<String, Cause> {
        self.stand.hearing.model()
    }

    // A batch takes the files of recorders, in which the program itself never spoke; a note that was not heard to its end
    // may be heard by another machine next.
    fn hear(&mut self, recording: &Path, _: &[[u64; 2]], _: &mut dyn Memory) -> Result<Transcript, Cause> {
        self.heard = true;
        let Stand { worker, teller, stop, .. } = *self.stand;
        self.stand.hearing.hear(recording, stop, &mut |share| teller.progress(worker, share))
    }
}
