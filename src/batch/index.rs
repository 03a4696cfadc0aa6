//! The index of visits in a shared database: what is listed and counted without a walk through the folders.
use super::outline::{Outline, stamp};
use super::shared::{connect, fault};
use super::tally::{Count, States, Sum, Sums};
use super::{Depot, Error, Tally, fence};
use crate::confirm::{Gauge, Waiting, find_visits, rank};
use jiff::Timestamp;
use sqlx::postgres::{PgPool, PgRow};
use sqlx::{PgConnection, Row};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

/// How a visit stands; none where there is none.
pub(super) type Looked = Option<Outline>;

/// How many visits are looked at in one round, so that a large office does not keep its store busy.
const ROUND: i64 = 500;

/// The index, and where the visits in it lie as this machine sees them.
#[derive(Clone)]
pub struct Index {
    pub(super) pool: PgPool,
    /// Empty where only the database is asked.
    root: PathBuf,
    /// Where they lie instead, if in a store.
    depot: Option<Depot>,
    gauge: Arc<Gauge>,
}

impl Index {
    /// Opens the index in a database for the visits below `root`.
    pub async fn open(address: &str, root: &Path) -> Result<Index, Error> {
        Ok(Index::on(connect(address).await?, root, None))
    }

    pub(super) fn on(pool: PgPool, root: &Path, depot: Option<Depot>) -> Index {
        Index { pool, root: root.to_owned(), depot, gauge: Arc::default() }
    }

    /// Every visit, as [`crate::confirm::queue`] sorts them.
    pub async fn list(&self, today: jiff::civil::Date) -> Result<Vec<Waiting>, Error> {
        let text = "select folder, property, date::text, drafted, signed, facts::bigint, unconfirmed::bigint,
            doubtful::bigint, disputed::bigint, open::bigint, risk, problem from visit where there";
        let rows = sqlx::query(text).fetch_all(&self.pool).await.map_err(fault)?;
        Ok(rank(rows.iter().map(|row| self.waiting(row)).collect(), today))
    }

    fn waiting(&self, row: &PgRow) -> Waiting {
        let (folder, count) = (row.get::<String, _>(0), |at: usize| number(row.get(at)));
        let fenced = || fence::visit(&self.root, &folder).err().map(|refusal| format!("'{folder}': {refusal}"));
        let here = !self.root.as_os_str().is_empty();
        Waiting {
            dir: self.root.join(&folder),
            property: row.get(1),
            date: row.get::<Option<String>, _>(2).and_then(|date| date.parse().ok()),
            drafted: row.get(3),
            signed: row.get(4),
            facts: count(5),
            unconfirmed: count(6),
            doubtful: count(7),
            disputed: count(8),
            open: count(9),
            risk: row.get(10),
            problem: row.get::<Option<String>, _>(11).or_else(|| if here { fenced() } else { None }),
        }
    }

    /// The office's figures, as [`super::tally`] counts them.
    pub async fn tally(&self) -> Result<Tally, Error> {
        let mut sums = Sums::default();
        let visits = "select inspector, notes::bigint, length_ms, waits_s,
            coalesce(t.heard, 0), coalesce(t.confirmed, 0), coalesce(t.amended, 0), coalesce(t.rejected, 0),
            coalesce(t.entered, 0) from visit left join (select visit, sum(heard) as heard,
              sum(confirmed) as confirmed, sum(amended) as amended, sum(rejected) as rejected, sum(entered) as entered
              from term group by visit) t on t.visit = folder where there and unread is null";
        for row in sqlx::query(visits).fetch_all(&self.pool).await.map_err(fault)? {
            let (notes, length_ms, waits_s) = (number(row.get(1)), number(row.get(2)) as u64, row.get(3));
            let sum = Sum { visits: 1, notes, length_ms, states: states(&row, 4), waits_s };
            sums.add_inspector(row.get(0), &sum);
        }
        let terms = "select term, count(*), sum(t.notes), sum(heard), sum(confirmed), sum(amended), sum(rejected),
            sum(entered) from term t join visit on folder = visit where there and unread is null group by term";
        for row in sqlx::query(terms).fetch_all(&self.pool).await.map_err(fault)? {
            let (visits, notes) = (number(row.get(1)), number(row.get(2)));
            sums.add_term(row.get(0), Sum { visits, notes, states: states(&row, 3), ..Sum::default() });
        }
        let unread = "select unread from visit where there and unread is not null order by folder collate \"C\"";
        let unread = sqlx::query(unread).fetch_all(&self.pool).await.map_err(fault)?;
        Ok(Tally { rows: sums.rows(), unread: unread.iter().map(|row| row.get(0)).collect() })
    }

    /// When the visit that nobody has looked at for longest was looked at.
    pub async fn oldest(&self) -> Result<Option<Timestamp>, Error> {
        let text = "select extract(epoch from min(looked_at))::bigint from visit where there";
        let row = sqlx::query(text).fetch_one(&self.pool).await.map_err(fault)?;
        Ok(row.get::<Option<i64>, _>(0).and_then(|second| Timestamp::from_second(second).ok()))
    }

    /// Looks at one visit's folder and takes in how it stands.
    pub async fn take_in(&self, folder: &str) -> Result<(), Error> {
        self.take_in_changed(folder, None).await
    }

    /// The same, unless its files still have this stamp.
    async fn take_in_changed(&self, folder: &str, known: Option<String>) -> Result<(), Error> {
        let (index, name) = (self.clone(), folder.to_owned());
        let looked = apart(move || {
            let same = known.is_some_and(|known| known == stamp(&index.root, &name));
            if same { Ok(None) } else { index.look_at(&name).map(Some) }
        });
        let Some(outline) = looked.await?? else { return Ok(()) };
        let mut all = self.pool.begin().await.map_err(fault)?;
        write(&mut all, folder, outline.as_ref()).await?;
        all.commit().await.map_err(fault)
    }

    pub(super) fn look_at(&self, folder: &str) -> Result<Looked, Error> {
        match &self.depot {
            Some(depot) => depot.0.look_at(&self.gauge, folder),
            None => Ok(Outline::of(&self.gauge, &self.root, folder)),
        }
    }

    /// Makes the visits known that lie in the folders, however they came there.
    pub(super) async fn find(&self, folders: &[String]) -> Result<(), Error> {
        let text =
            "insert into visit (folder, state) select f, 'found' from unnest($1::text[]) f on conflict do nothing";
        sqlx::query(text).bind(folders).execute(&self.pool).await.map_err(fault).map(drop)
    }

    /// Takes in what changed in the visits that nobody has looked at for so long; some may be left for the next round.
    pub(super) async fn freshen(&self, older: Duration) -> Result<(), Error> {
        if let Some(depot) = &self.depot {
            // One listing tells of all visits, and many would be paid for: they are looked at when they are searched.
            return if older.is_zero() { self.match_with(depot).await } else { Ok(()) };
        }
        let root = self.root.clone();
        // A store that is not mounted is no office without visits.
        if !apart(move || std::fs::read_dir(root).is_ok_and(|mut entries| entries.next().is_some())).await? {
            return Ok(());
        }
        let text = "with due as (
              select folder from visit where looked_at is null or looked_at <= now() - $1 * interval '1 millisecond'
              order by looked_at nulls first limit $2 for update skip locked)
            update visit set looked_at = now() from due where visit.folder = due.folder
            returning visit.folder, visit.stamp";
        let due = sqlx::query(text).bind(older.as_millis() as f64).bind(ROUND);
        for row in due.fetch_all(&self.pool).await.map_err(fault)? {
            self.take_in_changed(row.get(0), Some(row.get(1))).await?;
        }
        Ok(())
    }

    /// Keeps the index as the folders are for as long as it is let.
    pub(super) async fn keep(self, every: Duration) {
        let mut searched: Option<Instant> = None;
        loop {
            // A share or a database that is away is back by another round.
            if searched.is_none_or(|at| at.elapsed() > 20 * every) {
                let _ = self.search().await;
                searched = Some(Instant::now());
            }
            let _ = self.freshen(2 * every).await;
            tokio::time::sleep(every).await;
        }
    }

    async fn search(&self) -> Result<(), Error> {
        if let Some(depot) = &self.depot {
            return self.match_with(depot).await;
        }
        let root = self.root.clone();
        let found = apart(move || find_visits(&root)).await??;
        let below = |dir: &PathBuf| dir.strip_prefix(&self.root).ok()?.to_str().map(str::to_owned);
        self.find(&found.iter().filter_map(below).collect::<Vec<_>>()).await
    }

    /// Takes in what changed in a store, and what came and went.
    async fn match_with(&self, depot: &Depot) -> Result<(), Error> {
        let depot = depot.clone();
        let stamps = apart(move || depot.0.stamps()).await??;
        let there: Vec<String> = stamps.keys().cloned().collect();
        self.find(&there).await?;
        let text = "select folder, stamp from visit where there or folder = any($1)";
        let mut same = Vec::new();
        for row in sqlx::query(text).bind(&there).fetch_all(&self.pool).await.map_err(fault)? {
            let (folder, known): (String, String) = (row.get(0), row.get(1));
            match stamps.get(&folder) {
                Some(stamp) if *stamp == known => same.push(folder),
                _ => self.take_in(&folder).await?,
            }
        }
        let text = "update visit set looked_at = now() where folder = any($1)";
        sqlx::query(text).bind(same).execute(&self.pool).await.map_err(fault).map(drop)
    }
}

/// Looks at files where a store that is slow keeps nobody waiting: least of all what renews the leases.
pub(super) async fn apart<T: Send + 'static>(look: impl FnOnce() -> T + Send + 'static) -> Result<T, Error> {
    tokio::task::spawn_blocking(look).await.map_err(|e| Error::Worker { what: e.to_string() })
}

/// Writes how a visit stands, or that it is not there.
pub(super) async fn write(all: &mut PgConnection, folder: &str, outline: Option<&Outline>) -> Result<(), Error> {
    let Some(Outline { waiting, count, stamp }) = outline else {
        let text = "update visit set there = false, stamp = '', looked_at = now() where folder = $1";
        return sqlx::query(text).bind(folder).execute(all).await.map_err(fault).map(drop);
    };
    let empty = Count::default();
    let (count, unread) = match count {
        Ok(count) => (count, None),
        Err(error) => (&empty, Some(plain(error))),
    };
    let text = "update visit set there = true, property = $2, inspector = $3, date = $4::date, drafted = $5, signed = $6,
        facts = $7, open = $8, unconfirmed = $9, doubtful = $10, disputed = $11, risk = $12, problem = $13, unread = $14,
        notes = $15, length_ms = $16, waits_s = $17, stamp = $18, looked_at = now() where folder = $1";
    // The database has no days before our era.
    let date = waiting.date.filter(|date| date.year() > 0).map(|date| date.to_string());
    let told = sqlx::query(text).bind(folder).bind(plain(&waiting.property)).bind(plain(&count.inspector)).bind(date);
    let told = told.bind(waiting.drafted).bind(waiting.signed).bind(whole(waiting.facts)).bind(whole(waiting.open));
    let told = told.bind(whole(waiting.unconfirmed)).bind(whole(waiting.doubtful)).bind(whole(waiting.disputed));
    let told = told.bind(waiting.risk).bind(waiting.problem.as_deref().map(plain)).bind(unread);
    let told = told.bind(whole(count.notes)).bind(i64::try_from(count.length_ms).unwrap_or(i64::MAX));
    told.bind(&count.waits_s).bind(stamp).execute(&mut *all).await.map_err(fault)?;
    write_terms(all, folder, count).await
}

async fn write_terms(all: &mut PgConnection, folder: &str, count: &Count) -> Result<(), Error> {
    let forget = sqlx::query("delete from term where visit = $1").bind(folder);
    forget.execute(&mut *all).await.map_err(fault)?;
    let text = "insert into term select $1, * from unnest($2::text[], $3::bigint[], $4::bigint[], $5::bigint[],
        $6::bigint[], $7::bigint[], $8::bigint[])";
    let each = |of: fn(&States) -> usize| count.terms.values().map(|term| whole(of(&term.states))).collect::<Vec<_>>();
    let told = sqlx::query(text).bind(folder).bind(count.terms.keys().map(|term| plain(term)).collect::<Vec<_>>());
    let told = told.bind(count.terms.values().map(|term| whole(term.notes)).collect::<Vec<_>>());
    let told = told.bind(each(|s| s.heard)).bind(each(|s| s.confirmed)).bind(each(|s| s.amended));
    told.bind(each(|s| s.rejected)).bind(each(|s| s.entered)).execute(all).await.map_err(fault).map(drop)
}

/// The database takes any character but this one.
fn plain(text: &str) -> String {
    text.replace('\0', "\u{fffd}")
}

fn whole(count: usize) -> i64 {
    i64::from(i32::try_from(count).unwrap_or(i32::MAX))
}

fn number(count: Option<i64>) -> usize {
    count.and_then(|count| usize::try_from(count).ok()).unwrap_or(0)
}

/// The five states in the columns from `at` on.
fn states(row: &PgRow, at: usize) -> States {
    let of = |column: usize| number(row.get(at + column));
    States { heard: of(0), confirmed: of(1), amended: of(2), rejected: of(3), entered: of(4) }
}
