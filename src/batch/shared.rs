//! The queue that several machines share: a PostgreSQL database hands out the work and remembers the visits.
use super::index::Looked;
use super::{Done, Error, Event, Failure, Index, Job, Plan, Queue, Step, Teller, index};
use crate::record::{NoteKind, kind_of};
use sqlx::postgres::{PgConnectOptions, PgPool, PgPoolOptions, PgSslMode};
use sqlx::{Postgres, Row, Transaction};
use std::collections::HashMap;
use std::str::FromStr;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};
use tokio::runtime::Handle;

static MIGRATIONS: sqlx::migrate::Migrator = sqlx::migrate!("src/batch/migrations");

/// How long a database that does not answer is waited for.
const PATIENCE: Duration = Duration::from_secs(600);
/// How long to wait before a queue without work, or a database that does not answer, is asked again.
const NAP: Duration = Duration::from_millis(250);
/// A job at which this many workers ended is not tried any more: it may be what ends them.
const MOST_ATTEMPTS: i32 = 5;

/// When a worker has done enough.
#[derive(Debug, Clone, PartialEq)]
pub enum Until {
    /// Never: it waits for more.
    Never,
    /// Nobody has anything to do.
    Empty,
    /// These visits are finished, whoever does the work.
    Visits(Vec<String>),
}

/// A queue in a database.
pub struct Shared {
    pool: PgPool,
    runtime: Handle,
    /// Marks what this program has taken.
    name: String,
    lease: Duration,
    until: Until,
    teller: Arc<dyn Teller>,
    index: Index,
    /// What goes on beside the work, as long as this is there.
    beside: [tokio::task::AbortHandle; 2],
}

impl Drop for Shared {
    fn drop(&mut self) {
        self.beside.iter().for_each(tokio::task::AbortHandle::abort);
    }
}

/// Opens the database and brings its tables up to date.
pub async fn connect(address: &str) -> Result<PgPool, Error> {
    let options = PgConnectOptions::from_str(address)
        .map_err(|source| Error::Address { given: "what was given with --queue", source })?
        .application_name("hearsheet");
    let mode = match options.get_ssl_mode() {
        PgSslMode::Require => Some("require"),
        PgSslMode::VerifyCa => Some("verify-ca"),
        PgSslMode::VerifyFull => Some("verify-full"),
        PgSslMode::Disable | PgSslMode::Allow | PgSslMode::Prefer => None,
    };
    // Without this, whoever asked for encryption would be told that the database is away.
    if let Some(mode) = mode {
        return Err(Error::NoTls { mode });
    }
    let pool = PgPoolOptions::new().acquire_timeout(Duration::from_secs(10)).connect_with(options).await;
    let pool = pool.map_err(|source| Error::Unreachable { source })?;
    MIGRATIONS.run(&pool).await.map_err(|source| Error::Migration { source })?;
    Ok(pool)
}

/// The recordings that are in the database's visits, by hash.
pub async fn recordings(pool: &PgPool) -> Result<HashMap<String, (String, String)>, Error> {
    let rows = sqlx::query("select sha256, visit, path from file").fetch_all(pool).await.map_err(fault)?;
    Ok(rows.iter().map(|row| (row.get(0), (row.get(1), row.get(2)))).collect())
}

/// Puts all that is planned into the queue; what is there already is asked for again.
pub async fn enqueue(pool: &PgPool, plan: &Plan) -> Result<(), Error> {
    for planned in &plan.visits {
        let mut all = pool.begin().await.map_err(fault)?;
        let asked = "insert into visit (folder) values ($1) on conflict (folder) do update set asked_at = now()";
        sqlx::query(asked).bind(&planned.folder).execute(&mut *all).await.map_err(fault)?;
        let forget = "delete from failure where visit = $1";
        sqlx::query(forget).bind(&planned.folder).execute(&mut *all).await.map_err(fault)?;
        for file in planned.files.iter().filter(|file| kind_of(&file.path) == NoteKind::Recording) {
            let listed = "insert into file (sha256, visit, path) values ($1, $2, $3) on conflict do nothing";
            let listed = sqlx::query(listed).bind(&file.sha256).bind(&planned.folder).bind(file.name());
            listed.execute(&mut *all).await.map_err(fault)?;
        }
        let step = Step::Gather { known: planned.known.clone(), files: planned.files.clone() };
        ask(&mut all, &planned.folder, &step).await?;
        all.commit().await.map_err(fault)?;
    }
    Ok(())
}

/// The files of some visits that could not be used, whoever tried.
pub async fn failures(pool: &PgPool, visits: &[String]) -> Result<Vec<Failure>, Error> {
    let text = "select file, reason, cure from failure where visit = any($1) order by visit, file";
    let rows = sqlx::query(text).bind(visits).fetch_all(pool).await.map_err(fault)?;
    Ok(rows.iter().map(|row| Failure { file: row.get(0), reason: row.get(1), cure: row.get(2) }).collect())
}

/// Adds a job, or has it done once more.
async fn ask(all: &mut Transaction<'_, Postgres>, visit: &str, step: &Step) -> Result<(), Error> {
    let (name, rank, note) = match step {
        Step::Draft => ("draft", 0_i16, ""),
        Step::Hear(note) => ("hear", 1, note.name.as_str()),
        Step::Gather { .. } => ("gather", 2, ""),
    };
    let work = serde_json::to_string(step).map_err(|e| Error::Strange { what: e.to_string() })?;
    let text = "insert into job (visit, step, note, rank, work) values ($1, $2, $3, $4, $5)
        on conflict (visit, step, note) do update set work = excluded.work, again = job.state = 'taken',
        attempts = 0, state = case job.state when 'taken' then 'taken' else 'waiting' end";
    let asked = sqlx::query(text).bind(visit).bind(name).bind(note).bind(rank).bind(work);
    asked.execute(&mut **all).await.map_err(fault).map(drop)
}

impl Shared {
    /// A queue for the workers of this program; what they take is theirs for `lease`, which is renewed as long as the
    /// program runs.
    pub async fn open(index: Index, lease: Duration, until: Until, teller: Arc<dyn Teller>) -> Result<Shared, Error> {
        let pool = index.pool.clone();
        let row = sqlx::query("select gen_random_uuid()::text").fetch_one(&pool).await.map_err(fault)?;
        let name: String = row.get(0);
        let renewal = tokio::spawn(renew(pool.clone(), name.clone(), lease));
        let beside = [renewal.abort_handle(), tokio::spawn(index.clone().keep(lease / 4)).abort_handle()];
        Ok(Shared { pool, runtime: Handle::current(), name, lease, until, teller, index, beside })
    }

    /// Asks until the database answers; where it is gone for good that is told.
    fn patiently<T>(&self, mut ask: impl AsyncFnMut() -> Result<T, Error>) -> Result<T, Error> {
        let begun = Instant::now();
        let mut told = false;
        loop {
            match self.runtime.block_on(ask()) {
                Err(Error::Unreachable { source }) if begun.elapsed() < PATIENCE => {
                    if !told {
                        self.teller.tell(&Event::Lost { what: source.to_string() });
                        told = true;
                    }
                    std::thread::sleep(NAP);
                }
                other => return other,
            }
        }
    }

    async fn next(&self) -> Result<Option<(Job, i32)>, Error> {
        let text = "with next as (
              select id from job where state = 'waiting' or (state = 'taken' and lease_until < now())
              order by rank, id limit 1 for update skip locked)
            update job set state = 'taken', taken_by = $1, attempts = attempts + 1,
              lease_until = now() + $2 * interval '1 millisecond'
            from next where job.id = next.id returning job.id, job.visit, job.work, job.attempts";
        let row = sqlx::query(text).bind(&self.name).bind(self.lease.as_millis() as f64);
        let Some(row) = row.fetch_optional(&self.pool).await.map_err(fault)? else { return Ok(None) };
        let work: String = row.get(2);
        let step = serde_json::from_str(&work).map_err(|e| Error::Strange { what: e.to_string() })?;
        Ok(Some((Job { id: row.get(0), visit: row.get(1), step }, row.get(3))))
    }

    /// Whether nothing is left to wait for.
    async fn is_over(&self) -> Result<bool, Error> {
        let (text, visits) = match &self.until {
            Until::Never => return Ok(false),
            Until::Empty => ("select exists (select from job where state in ('waiting', 'taken'))", None),
            Until::Visits(visits) => (
                "select exists (select from job where state in ('waiting', 'taken') and visit = any($1))",
                Some(visits),
            ),
        };
        let asked = sqlx::query(text);
        let asked = if let Some(visits) = visits { asked.bind(visits) } else { asked };
        Ok(!asked.fetch_one(&self.pool).await.map_err(fault)?.get::<bool, _>(0))
    }

    /// Ends a job, and takes in how its visit stands now, if that was looked at.
    async fn end(&self, job: &Job, done: &Done, looked: Option<&Looked>) -> Result<bool, Error> {
        let mut all = self.pool.begin().await.map_err(fault)?;
        // Whoever ends the last but one note of a visit and whoever ends the last one must not miss each other.
        let visit = sqlx::query("select from visit where folder = $1 for update").bind(&job.visit);
        visit.execute(&mut *all).await.map_err(fault)?;
        let state = if matches!(done, Done::Failed(_)) { "failed" } else { "done" };
        let text = "update job set state = case when again then 'waiting' else $3 end, again = false, taken_by = null,
            lease_until = null, attempts = 0, results = results + 1, finished_at = now()
            where id = $1 and taken_by = $2 and state = 'taken'";
        let ended = sqlx::query(text).bind(job.id).bind(&self.name).bind(state);
        if ended.execute(&mut *all).await.map_err(fault)?.rows_affected() == 0 {
            return Ok(false);
        }
        for failure in done.failures() {
            let text = "insert into failure (visit, file, reason, cure) values ($1, $2, $3, $4)
                on conflict (visit, file) do update set reason = excluded.reason, cure = excluded.cure, at = now()";
            let told = sqlx::query(text).bind(&job.visit).bind(&failure.file).bind(&failure.reason);
            told.bind(&failure.cure).execute(&mut *all).await.map_err(fault)?;
        }
        self.follow(&mut all, job, done).await?;
        if let Some(outline) = looked {
            index::write(&mut all, &job.visit, outline.as_ref()).await?;
        }
        all.commit().await.map_err(fault)?;
        Ok(true)
    }

    /// What comes after a job.
    async fn follow(&self, all: &mut Transaction<'_, Postgres>, job: &Job, done: &Done) -> Result<(), Error> {
        let state = match (&job.step, done) {
            (_, Done::Gathered { notes, .. }) => {
                for note in notes {
                    ask(all, &job.visit, &Step::Hear(note.clone())).await?;
                }
                if notes.is_empty() { "drafted" } else { "hearing" }
            }
            (_, Done::Drafted { .. }) => "drafted",
            (Step::Hear(_), _) => {
                let text = "select exists (select from job where visit = $1 and step = 'hear'
                    and state in ('waiting', 'taken'))";
                let left = sqlx::query(text).bind(&job.visit).fetch_one(&mut **all).await.map_err(fault)?;
                if !left.get::<bool, _>(0) {
                    ask(all, &job.visit, &Step::Draft).await?;
                }
                "hearing"
            }
            _ => "failed",
        };
        let text = "update visit set state = $2,
            drafted_at = case when $2 = 'drafted' then now() else drafted_at end where folder = $1";
        let told = sqlx::query(text).bind(&job.visit).bind(state);
        told.execute(&mut **all).await.map_err(fault).map(drop)
    }
}

impl Queue for Shared {
    fn take(&self, stop: &AtomicBool) -> Result<Option<Job>, Error> {
        while !stop.load(Ordering::Relaxed) {
            match self.patiently(async || self.next().await)? {
                Some((job, attempts)) if attempts > MOST_ATTEMPTS => {
                    let file =
                        job.note().map_or(job.visit.clone(), |note| format!("{}/notes/{}", job.visit, note.name));
                    let reason = format!("{MOST_ATTEMPTS} workers ended while they were at it");
                    let cure = "look at it with hearsheet draft, and at the memory of the machines";
                    self.finish(&job, &Done::Failed(Failure::new(&file, &reason, cure)))?;
                }
                Some((job, _)) => return Ok(Some(job)),
                None if self.patiently(async || self.is_over().await)? => break,
                None => std::thread::sleep(NAP),
            }
        }
        Ok(None)
    }

    fn finish(&self, job: &Job, done: &Done) -> Result<bool, Error> {
        let looked = match job.step {
            Step::Hear(_) => None,
            // A store that does not answer is looked at again by whoever keeps the index.
            _ => self.index.look_at(&job.visit).ok(),
        };
        self.patiently(async || self.end(job, done, looked.as_ref()).await)
    }

    fn holds(&self, job: &Job) -> bool {
        let text = "update job set lease_until = now() + $3 * interval '1 millisecond'
            where id = $1 and taken_by = $2 and state = 'taken'";
        let held = self.patiently(async || {
            let held = sqlx::query(text).bind(job.id).bind(&self.name).bind(self.lease.as_millis() as f64);
            Ok(held.execute(&self.pool).await.map_err(fault)?.rows_affected() > 0)
        });
        // Who cannot ask does not write.
        held.unwrap_or(false)
    }

    fn give_back(&self, job: &Job) -> Result<(), Error> {
        let text = "update job set state = 'waiting', again = false, taken_by = null, lease_until = null,
            attempts = attempts - 1 where id = $1 and taken_by = $2 and state = 'taken'";
        self.patiently(async || {
            let given = sqlx::query(text).bind(job.id).bind(&self.name).execute(&self.pool).await;
            given.map_err(fault).map(drop)
        })
    }
}

/// Renews the leases of what this program has taken, three times within each.
async fn renew(pool: PgPool, name: String, lease: Duration) {
    loop {
        tokio::time::sleep(lease / 3).await;
        let text = "update job set lease_until = now() + $2 * interval '1 millisecond'
            where taken_by = $1 and state = 'taken'";
        // A renewal that fails is tried again in a moment; a lease that ends costs that its work is done once more.
        let _ = sqlx::query(text).bind(&name).bind(lease.as_millis() as f64).execute(&pool).await;
    }
}

/// Tells a database that is away, and will be back, from one that refuses.
pub(super) fn fault(source: sqlx::Error) -> Error {
    use sqlx::Error::{Database, Io, PoolTimedOut, Protocol, WorkerCrashed};
    let away = match &source {
        Io(_) | PoolTimedOut | WorkerCrashed | Protocol(_) => true,
        // Shut down, starting, too many connections (classes 57P and 53), or two transactions that met (class 40).
        Database(told) => told.code().is_some_and(|code| ["57P", "53", "40"].iter().any(|c| code.starts_with(c))),
        _ => false,
    };
    if away { Error::Unreachable { source } } else { Error::Database { source } }
}
