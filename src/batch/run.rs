//! A whole batch: once over what is there, or for as long as something comes.
use super::index::apart;
use super::watch::{Patience, whole};
use super::{
    By, Crew, Depot, Error, Event, Failure, Found, Hearing, Index, Ledger, Local, Outcome, Plan, Queue, Scan, Shared,
    Taken, Teller, Until, fleet, memory, scan, shared,
};
use crate::confirm::find_visits;
use crate::record::{NoteKind, Visit, kind_of};
use std::collections::{HashMap, HashSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// What a batch works on, and with what.
#[derive(Clone)]
pub struct Batch {
    /// Folder of the recordings.
    pub source: PathBuf,
    /// Folder of the visits.
    pub out: PathBuf,
    /// Where both are, if they lie in a store; then a database has to share the work.
    pub depot: Option<Depot>,
    pub by: By,
    pub hearing: Arc<dyn Hearing>,
    pub teller: Arc<dyn Teller>,
    /// How many work at once; as cores and memory allow where nobody says.
    pub workers: usize,
    pub fail_fast: bool,
    pub stop: Arc<AtomicBool>,
}

/// How often a watched folder is looked at, and how long a file has to stand still.
#[derive(Debug, Clone, Copy)]
pub struct Rhythm {
    pub every: Duration,
    pub settle: Duration,
}

impl Batch {
    /// Everything that is there, once.
    pub async fn once(&self) -> Result<Outcome, Error> {
        self.check_folders()?;
        let ledger = Arc::new(Ledger::open(&self.out)?);
        self.pass(scan(&self.source)?, &ledger).await
    }

    /// Everything that is there, by all the workers that share a database.
    pub async fn once_shared(&self, address: &str, lease: Duration) -> Result<Outcome, Error> {
        self.check_folders()?;
        let pool = shared::connect(address).await?;
        let begun = Instant::now();
        let recordings = shared::recordings(&pool).await?;
        let (batch, ledger) = (self.clone(), Arc::new(Ledger::forgetful()));
        let looked = apart(move || batch.look(recordings));
        let (plan, mut outcome, visits) = looked.await??;
        shared::enqueue(&pool, &plan).await?;
        let index = self.index(pool.clone());
        index.find(&visits).await?;
        let visits: Vec<String> = plan.visits.iter().map(|planned| planned.folder.clone()).collect();
        let until = Until::Visits(visits.clone());
        let queue = Shared::open(index.clone(), lease, until, self.teller.clone()).await?;
        let done = fleet::run(self.crew(Arc::new(queue), ledger)).await?;
        outcome.sum.add(&done.sum);
        index.freshen(Duration::ZERO).await?;
        // Others may have met failures too; the database knows of all.
        let failures = shared::failures(&pool, &visits).await?;
        outcome.sum.failed += failures.len() - done.sum.failed.min(failures.len());
        outcome.failures.extend(failures);
        self.tell_end(&outcome, begun);
        Ok(outcome)
    }

    /// Works for whoever fills the queue.
    pub async fn work(&self, address: &str, lease: Duration, until: Until) -> Result<Outcome, Error> {
        self.check_folders()?;
        if let Some(depot) = self.depot.clone() {
            apart(move || depot.0.reach()).await??;
        }
        let pool = shared::connect(address).await?;
        let queue = Shared::open(self.index(pool), lease, until, self.teller.clone()).await?;
        let begun = Instant::now();
        let outcome = fleet::run(self.crew(Arc::new(queue), Arc::new(Ledger::forgetful()))).await?;
        self.tell_end(&outcome, begun);
        Ok(outcome)
    }

    /// What is there, and then whatever comes, until told to stop.
    pub async fn watch(&self, rhythm: Rhythm) -> Result<Outcome, Error> {
        self.check_folders()?;
        let ledger = Arc::new(Ledger::open(&self.out)?);
        let mut patience = Patience::new(rhythm.settle);
        let mut told: HashSet<Failure> = HashSet::new();
        let mut outcome = Outcome::default();
        while !self.stop.load(Ordering::Relaxed) {
            // A shared folder that is away for a while comes back.
            let mut found = scan(&self.source).unwrap_or_else(|error| Scan {
                refused: vec![Failure::of(&self.source.to_string_lossy(), &error)],
                ..Scan::default()
            });
            found.refused.retain(|failure| told.insert(failure.clone()));
            let files = std::mem::take(&mut found.files);
            found.files = self.take_whole(patience.settled(files, Instant::now()), &ledger)?;
            if !found.files.is_empty() || !found.refused.is_empty() {
                outcome.add(self.pass(found, &ledger).await?);
            }
            self.sleep(rhythm.every).await;
        }
        Ok(outcome)
    }

    fn take_whole(&self, files: Vec<Found>, ledger: &Ledger) -> Result<Vec<Found>, Error> {
        if files.is_empty() {
            return Ok(files);
        }
        let (good, bad) = whole(&self.source, files, ledger, &taken(&self.out)?);
        for (found, why) in bad {
            self.teller.tell(&Event::Waiting { file: found.name(), why });
        }
        Ok(good)
    }

    async fn sleep(&self, length: Duration) {
        let begun = Instant::now();
        while begun.elapsed() < length && !self.stop.load(Ordering::Relaxed) {
            tokio::time::sleep(Duration::from_millis(100).min(length)).await;
        }
    }

    /// One pass over what was found.
    async fn pass(&self, found: Scan, ledger: &Arc<Ledger>) -> Result<Outcome, Error> {
        let begun = Instant::now();
        let (plan, mut outcome) = self.plan(found, ledger, &taken(&self.out)?)?;
        let recordings = plan.visits.iter().flat_map(|v| &v.files).any(|f| kind_of(&f.path) == NoteKind::Recording);
        if recordings {
            // A model that is missing is told of before a night's work begins.
            self.hearing.model().map_err(|source| Error::NoModel { source })?;
        }
        if !plan.visits.is_empty() {
            outcome.add(fleet::run(self.crew(Arc::new(Local::new(&plan)), ledger.clone())).await?);
        }
        self.tell_end(&outcome, begun);
        Ok(outcome)
    }

    fn tell_end(&self, outcome: &Outcome, begun: Instant) {
        let took_ms = u64::try_from(begun.elapsed().as_millis()).unwrap_or(u64::MAX);
        let stopped = self.stop.load(Ordering::Relaxed);
        self.teller.tell(&Event::End { sum: outcome.sum.clone(), took_ms, stopped });
    }

    fn index(&self, pool: sqlx::PgPool) -> Index {
        Index::on(pool, &self.out, self.depot.clone())
    }

    /// What there is to do for all the workers that share a database, and the visits that are there.
    fn look(&self, recordings: HashMap<String, (String, String)>) -> Result<(Plan, Outcome, Vec<String>), Error> {
        let (mut known, found) = match &self.depot {
            Some(depot) => (depot.0.taken()?, depot.0.scan()?),
            None => (taken(&self.out)?, scan(&self.source)?),
        };
        known.recordings.extend(recordings);
        let (plan, outcome) = self.plan(found, &Ledger::forgetful(), &known)?;
        Ok((plan, outcome, known.visits.into_iter().collect()))
    }

    fn plan(&self, found: Scan, ledger: &Ledger, taken: &Taken) -> Result<(Plan, Outcome), Error> {
        let hash = |found: &Found| match &self.depot {
            Some(depot) => depot.0.hash(found),
            None => ledger.hash(&self.source, found),
        };
        let plan = Plan::make(found, &self.source, &self.by, &hash, taken)?;
        let files = || plan.visits.iter().flat_map(|planned| &planned.files);
        self.teller.tell(&Event::Start {
            visits: plan.visits.len(),
            files: files().count(),
            bytes: files().map(|file| file.bytes).sum(),
            left_alone: plan.left_alone,
            workers: self.workers,
        });
        let mut outcome = Outcome::default();
        let same = plan.same.iter().map(|same| {
            let (file, visit, note) = (same.file.clone(), same.visit.clone(), same.of.clone());
            Event::Same { file, visit, note }
        });
        let refused =
            plan.refused.iter().map(|failure| Event::Failed { visit: String::new(), failure: failure.clone() });
        for event in same.chain(refused) {
            outcome.count(&event);
            self.teller.tell(&event);
        }
        if self.fail_fast && !plan.refused.is_empty() {
            self.stop.store(true, Ordering::Relaxed);
        }
        Ok((plan, outcome))
    }

    fn crew(&self, queue: Arc<dyn Queue>, ledger: Arc<Ledger>) -> Crew {
        Crew {
            source: self.source.clone(),
            out: self.out.clone(),
            depot: self.depot.clone(),
            hearing: self.hearing.clone(),
            teller: self.teller.clone(),
            queue,
            ledger,
            workers: self.workers,
            room: memory::room(),
            fail_fast: self.fail_fast,
            stop: self.stop.clone(),
        }
    }

    /// Makes the folder of the visits; it and that of the recordings must not lie one in the other.
    fn check_folders(&self) -> Result<(), Error> {
        if self.depot.is_some() {
            return Ok(());
        }
        std::fs::create_dir_all(&self.out).map_err(Error::write(&self.out))?;
        let real = |path: &Path| path.canonicalize().map_err(Error::read(path));
        let (source, out) = (real(&self.source)?, real(&self.out)?);
        if source.starts_with(&out) || out.starts_with(&source) {
            return Err(Error::Nested { source_dir: self.source.clone(), out: self.out.clone() });
        }
        Ok(())
    }
}

/// The visits below `root` and the recordings in them. A visit that cannot be read counts for nothing here; who works on
/// it is told.
fn taken(root: &Path) -> Result<Taken, Error> {
    let mut taken = Taken::default();
    for dir in find_visits(root)? {
        let folder = dir.strip_prefix(root).unwrap_or(&dir).to_string_lossy().into_owned();
        let notes = Visit::open(&dir).and_then(|visit| visit.notes()).unwrap_or_default();
        for note in notes.into_iter().filter(|note| note.kind == NoteKind::Recording) {
            taken.recordings.insert(note.sha256, (folder.clone(), note.name));
        }
        taken.visits.insert(folder);
    }
    Ok(taken)
}
