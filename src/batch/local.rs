//! The queue of one program: in its memory, since the folders tell what is done.
use super::{Done, Error, Job, Plan, Queue, Step};
use std::collections::{HashMap, VecDeque};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

/// How long a worker sleeps before it looks whether it is to stop.
const NAP: Duration = Duration::from_millis(100);

#[derive(Debug, Default)]
struct State {
    drafts: VecDeque<Job>,
    notes: VecDeque<Job>,
    visits: VecDeque<Job>,
    /// Notes of each visit that are not heard yet.
    left: HashMap<String, usize>,
    at_work: usize,
}

/// A queue in memory.
#[derive(Debug, Default)]
pub struct Local {
    state: Mutex<State>,
    changed: Condvar,
}

impl Local {
    /// A queue of all that is planned.
    pub fn new(plan: &Plan) -> Local {
        let visits = plan.visits.iter().map(|planned| Job {
            id: 0,
            visit: planned.folder.clone(),
            step: Step::Gather { known: planned.known.clone(), files: planned.files.clone() },
        });
        Local { state: Mutex::new(State { visits: visits.collect(), ..State::default() }), changed: Condvar::new() }
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Queue for Local {
    fn take(&self, stop: &AtomicBool) -> Result<Option<Job>, Error> {
        let mut state = self.state();
        while !stop.load(Ordering::Relaxed) {
            let State { drafts, notes, visits, .. } = &mut *state;
            if let Some(job) = drafts.pop_front().or_else(|| notes.pop_front()).or_else(|| visits.pop_front()) {
                state.at_work += 1;
                return Ok(Some(job));
            }
            if state.at_work == 0 {
                break;
            }
            state = self.changed.wait_timeout(state, NAP).unwrap_or_else(PoisonError::into_inner).0;
        }
        Ok(None)
    }

    fn finish(&self, job: &Job, done: &Done) -> Result<bool, Error> {
        let mut state = self.state();
        state.at_work -= 1;
        let of = |step| Job { id: 0, visit: job.visit.clone(), step };
        match (&job.step, done) {
            (_, Done::Gathered { notes, .. }) => {
                state.left.insert(job.visit.clone(), notes.len());
                state.notes.extend(notes.iter().map(|note| of(Step::Hear(note.clone()))));
            }
            (Step::Hear(_), _) => {
                let left = state.left.entry(job.visit.clone()).or_default();
                *left = left.saturating_sub(1);
                if *left == 0 {
                    state.left.remove(&job.visit);
                    state.drafts.push_back(of(Step::Draft));
                }
            }
            _ => {}
        }
        self.changed.notify_all();
        Ok(true)
    }

    fn holds(&self, _: &Job) -> bool {
        true
    }

    fn give_back(&self, job: &Job) -> Result<(), Error> {
        let mut state = self.state();
        state.at_work -= 1;
        match job.step {
            Step::Gather { .. } => state.visits.push_front(job.clone()),
            Step::Hear(_) => state.notes.push_front(job.clone()),
            Step::Draft => state.drafts.push_front(job.clone()),
        }
        self.changed.notify_all();
        Ok(())
    }
}
