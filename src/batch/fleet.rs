//! The workers: each takes jobs until there are none.
use super::memory::Budget;
use super::step::Stand;
use super::{Depot, Done, Error, Event, Failure, Job, Ledger, Queue, Step, Sum, Teller};
use crate::draft::Cause;
use crate::recognize::Transcript;
use crate::record::NoteKind;
use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

/// Turns recordings into words, for several workers at once.
pub trait Hearing: Send + Sync {
    /// Name and hash of the speech model, as transcripts bear it; loads it if that was not done before.
    fn model(&self) -> Result<String, Cause>;
    /// The words of one recording; `share` is told how much is done.
    fn hear(&self, recording: &Path, stop: &AtomicBool, share: &mut dyn FnMut(f32)) -> Result<Transcript, Cause>;
}

/// All that the workers have in common.
pub struct Crew {
    /// Folder of the recordings.
    pub source: PathBuf,
    /// Folder of the visits.
    pub out: PathBuf,
    /// Where recordings and visits are, if not in those folders.
    pub depot: Option<Depot>,
    pub hearing: Arc<dyn Hearing>,
    pub teller: Arc<dyn Teller>,
    pub queue: Arc<dyn Queue>,
    pub ledger: Arc<Ledger>,
    pub workers: usize,
    /// Memory that may be used, in bytes, where that is known.
    pub room: Option<u64>,
    /// Stop at the first file that cannot be used.
    pub fail_fast: bool,
    /// Set from outside to end early; what is not done is left for the next run.
    pub stop: Arc<AtomicBool>,
}

/// What the workers came to.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Outcome {
    pub sum: Sum,
    pub failures: Vec<Failure>,
}

/// Lets the workers work until the queue has no more for them.
pub async fn run(crew: Crew) -> Result<Outcome, Error> {
    let workers = crew.workers.max(1);
    let shared = Arc::new(Shared { sound: Budget::of_memory(crew.room), outcome: Mutex::default(), crew });
    let mut at_work = tokio::task::JoinSet::new();
    for worker in 0..workers {
        let shared = shared.clone();
        at_work.spawn_blocking(move || shared.work(worker));
    }
    let mut first = Ok(());
    while let Some(ended) = at_work.join_next().await {
        let ended = ended.unwrap_or_else(|e| Err(Error::Worker { what: e.to_string() }));
        if ended.is_err() {
            // What stops one worker, such as a missing model, stops all.
            shared.crew.stop.store(true, Ordering::Relaxed);
            first = first.and(ended);
        }
    }
    first.map(|()| shared.outcome.lock().unwrap_or_else(PoisonError::into_inner).clone())
}

struct Shared {
    crew: Crew,
    sound: Budget,
    outcome: Mutex<Outcome>,
}

impl Shared {
    fn work(&self, worker: usize) -> Result<(), Error> {
        let Crew { hearing, ledger, stop, queue, .. } = &self.crew;
        let (source, out) = self.folders(worker);
        let mut stand = Stand {
            worker,
            source: &source,
            out: &out,
            hearing: hearing.as_ref(),
            teller: self,
            ledger,
            sound: &self.sound,
            stop,
            bench: None,
        };
        while let Some(job) = queue.take(stop)? {
            if needs_model(&job)
                && let Err(source) = hearing.model()
            {
                queue.give_back(&job)?;
                return Err(Error::NoModel { source });
            }
            self.tell(&begin(worker, &job));
            let done = self.attempt(&mut stand, &job);
            if stop.load(Ordering::Relaxed) && matches!(done, Done::Failed(_)) {
                // A recording that was stopped in the middle has not failed.
                self.tell(&Event::Returned { visit: job.visit.clone(), note: job.note().map(|n| n.name.clone()) });
                queue.give_back(&job)?;
                break;
            }
            if queue.finish(&job, &done)? {
                self.tell_failures(&job, &done);
            }
        }
        Ok(())
    }

    /// What a worker takes for the folders of the recordings and the visits.
    fn folders(&self, worker: usize) -> (PathBuf, PathBuf) {
        let hand = format!("worker-{worker}");
        match &self.crew.depot {
            Some(depot) => (depot.0.source(&hand), depot.0.out(&hand)),
            None => (self.crew.source.clone(), self.crew.out.clone()),
        }
    }

    /// Does a job; a fault of this program itself costs that job alone.
    fn attempt(&self, stand: &mut Stand, job: &Job) -> Done {
        let work = || match &self.crew.depot {
            Some(depot) => depot.0.work(stand, job, &|| self.crew.queue.holds(job)),
            None => stand.work(job),
        };
        catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|panic| failed_itself(job, panic.as_ref()))
    }

    fn tell_failures(&self, job: &Job, done: &Done) {
        for failure in done.failures() {
            self.tell(&Event::Failed { visit: job.visit.clone(), failure: failure.clone() });
        }
        if self.crew.fail_fast && !done.failures().is_empty() {
            self.crew.stop.store(true, Ordering::Relaxed);
        }
    }
}

impl Teller for Shared {
    fn tell(&self, event: &Event) {
        let mut outcome = self.outcome.lock().unwrap_or_else(PoisonError::into_inner);
        outcome.count(event);
        self.crew.teller.tell(event);
    }

    fn progress(&self, worker: usize, share: f32) {
        self.crew.teller.progress(worker, share);
    }
}

impl Outcome {
    pub(super) fn add(&mut self, other: Outcome) {
        self.sum.add(&other.sum);
        self.failures.extend(other.failures);
    }

    pub(super) fn count(&mut self, event: &Event) {
        let sum = &mut self.sum;
        match event {
            Event::Heard { kept: true, .. } => sum.heard_before += 1,
            Event::Heard { length_ms, .. } => {
                sum.heard += 1;
                sum.heard_ms += length_ms.unwrap_or(0);
            }
            Event::Drafted { kept: true, .. } => sum.finished_before += 1,
            Event::Drafted { .. } => sum.drafted += 1,
            Event::Same { .. } => sum.same += 1,
            Event::Failed { failure, .. } => {
                sum.failed += 1;
                self.failures.push(failure.clone());
            }
            _ => {}
        }
    }
}

fn needs_model(job: &Job) -> bool {
    job.note().is_some_and(|note| note.kind == NoteKind::Recording)
}

fn begin(worker: usize, job: &Job) -> Event {
    let note = job.note();
    Event::Begin {
        worker,
        visit: job.visit.clone(),
        note: note.map(|note| note.name.clone()),
        bytes: match &job.step {
            Step::Hear(note) => note.bytes,
            _ => 0,
        },
    }
}

fn failed_itself(job: &Job, panic: &(dyn Any + Send)) -> Done {
    let what = panic.downcast_ref::<String>().map(String::as_str).or(panic.downcast_ref::<&str>().copied());
    let note = job.note().map(|note| format!("/notes/{}", note.name)).unwrap_or_default();
    let reason = format!("the program itself failed on it ({})", what.unwrap_or("no more is known"));
    Done::Failed(Failure::new(&format!("{}{note}", job.visit), &reason, "please report this, with the recording"))
}
