//! Which visits wait for a person: all under one folder, with how much is doubtful in each.
use super::{Costs, is_doubtful, order};
use crate::draft::rules_of;
use crate::record::{Error, Fact, RECORD_VERSION, State, Value, Visit, read_json};
use serde::de::IgnoredAny;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

#[cfg(test)]
mod tests;

/// One visit in the queue.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Waiting {
    pub dir: PathBuf,
    pub property: String,
    pub date: Option<jiff::civil::Date>,
    pub drafted: bool,
    pub signed: bool,
    pub facts: usize,
    /// Facts that nobody has decided, or that were reopened; the doubtful and the disputed are among them.
    pub unconfirmed: usize,
    pub doubtful: usize,
    pub disputed: usize,
    /// Questions that are still open.
    pub open: usize,
    /// What mistakes would cost times how likely they are, summed.
    pub risk: f64,
    /// Why the visit could not be read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub problem: Option<String>,
}

impl Waiting {
    /// Whether a person has anything to do here.
    pub fn waits(&self) -> bool {
        self.problem.is_some() || !self.drafted || self.unconfirmed > 0 || self.open > 0
    }

    /// What waits longest and risks most comes first: the risk grows with each day by as much as on the first.
    fn urgency(&self, today: jiff::civil::Date) -> f64 {
        let days = self.date.map_or(0, |date| (today - date).get_days().max(0));
        // A visit that could not be read, or was never drafted, may hide anything.
        let risk = if self.problem.is_some() || !self.drafted { self.risk.max(5.0) } else { self.risk };
        (risk + 0.1 * self.open as f64) * f64::from(days + 1)
    }
}

/// What the queue needs of a record; the words of the proofs are skipped.
#[derive(Deserialize)]
struct Brief {
    facts: Vec<BriefFact>,
    #[serde(default)]
    open: Vec<IgnoredAny>,
}

#[derive(Deserialize)]
struct BriefFact {
    component: String,
    attribute: String,
    value: Value,
    #[serde(default)]
    state: State,
    confidence: Option<f64>,
    #[serde(default)]
    disputed: bool,
    #[serde(default)]
    doubts: Vec<String>,
}

impl From<BriefFact> for Fact {
    fn from(brief: BriefFact) -> Fact {
        Fact {
            state: brief.state,
            confidence: brief.confidence.unwrap_or(1.0),
            disputed: brief.disputed,
            doubts: brief.doubts,
            ..Fact::new(&brief.component, &brief.attribute, brief.value)
        }
    }
}

/// Every visit under `root`, the most urgent first; those that wait for nobody come last.
pub fn queue(root: &Path, today: jiff::civil::Date) -> Result<Vec<Waiting>, Error> {
    let gauge = Gauge::default();
    Ok(rank(side_by_side(&find(root)?, |dir| gauge.look_at(dir)), today))
}

/// Sorts visits so that the most urgent come first, and those that wait for nobody last.
pub fn rank(mut waiting: Vec<Waiting>, today: jiff::civil::Date) -> Vec<Waiting> {
    waiting.sort_by(|a, b| {
        let urgent = b.urgency(today).total_cmp(&a.urgency(today));
        b.waits().cmp(&a.waits()).then(urgent).then(a.date.cmp(&b.date)).then(a.dir.cmp(&b.dir))
    });
    waiting
}

/// The folders of all visits below `root`, or `root` itself; what lies inside a visit is not searched, nor are links.
pub fn find(root: &Path) -> Result<Vec<PathBuf>, Error> {
    let mut found = Vec::new();
    let mut level = vec![root.to_owned()];
    while !level.is_empty() {
        let looked = side_by_side(&level, |dir| (!dir.join("visit.toml").is_file()).then(|| folders(dir)));
        let mut next = Vec::new();
        for (dir, below) in level.into_iter().zip(looked) {
            match below {
                None => found.push(dir),
                Some(Ok(below)) => next.extend(below),
                Some(Err(source)) if dir == root => return Err(Error::Read { path: dir, source }),
                // A folder that may not be looked into holds no visit that could be opened.
                Some(Err(_)) => {}
            }
        }
        level = next;
    }
    found.sort();
    Ok(found)
}

/// The folders in a folder, without links and without what is hidden.
fn folders(dir: &Path) -> std::io::Result<Vec<PathBuf>> {
    let folder = |e: &std::fs::DirEntry| e.file_type().is_ok_and(|t| t.is_dir());
    let hidden = |e: &std::fs::DirEntry| e.file_name().to_string_lossy().starts_with('.');
    Ok(std::fs::read_dir(dir)?.flatten().filter(|e| folder(e) && !hidden(e)).map(|e| e.path()).collect())
}

/// How many files are asked for at once: a disk that has to seek, or is far away, answers many as fast as one.
const AT_ONCE: usize = 16;

/// What `look` gives for each folder, in their order.
pub(crate) fn side_by_side<I: Sync, T: Send>(dirs: &[I], look: impl Fn(&I) -> T + Sync) -> Vec<T> {
    let (next, look) = (AtomicUsize::new(0), &look);
    let work = || {
        let taken = std::iter::from_fn(|| Some(next.fetch_add(1, Ordering::Relaxed)).filter(|&at| at < dirs.len()));
        taken.map(|at| (at, look(&dirs[at]))).collect::<Vec<_>>()
    };
    let mut looked = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..AT_ONCE.min(dirs.len())).map(|_| scope.spawn(work)).collect();
        let gather = |worker: std::thread::ScopedJoinHandle<'_, _>| match worker.join() {
            Ok(looked) => looked,
            // No visit may be missing from the list without a word.
            Err(panic) => std::panic::resume_unwind(panic),
        };
        workers.into_iter().flat_map(gather).collect::<Vec<(usize, T)>>()
    });
    looked.sort_by_key(|(at, _)| *at);
    looked.into_iter().map(|(_, looked)| looked).collect()
}

/// Tells how visits stand. The rules are the same for all visits of a standard, and dear to load: they are loaded once.
#[derive(Debug, Default)]
pub struct Gauge(Mutex<BTreeMap<String, Arc<Costs>>>);

impl Gauge {
    /// How the visit in a folder stands.
    pub fn look_at(&self, dir: &Path) -> Waiting {
        let mut waiting = Waiting { dir: dir.to_owned(), ..Waiting::default() };
        if let Err(error) = self.fill(&mut waiting) {
            waiting.problem = Some(error.to_string());
        }
        waiting
    }

    fn fill(&self, waiting: &mut Waiting) -> Result<(), Error> {
        let visit = Visit::open(&waiting.dir)?;
        waiting.property = visit.about.property.clone();
        waiting.date = Some(visit.about.date);
        let path = visit.record_path();
        waiting.drafted = path.exists();
        if !waiting.drafted {
            return Ok(());
        }
        let brief: Brief = read_json(&path, RECORD_VERSION, "run hearsheet draft, which makes record.json again")?;
        let facts: Vec<Fact> = brief.facts.into_iter().map(Fact::from).collect();
        let costs = self.costs_of(&visit);
        let asks = order(&facts, |fact| costs.of(fact));
        waiting.facts = facts.iter().filter(|f| f.state != State::Rejected).count();
        waiting.unconfirmed = asks.len();
        waiting.doubtful = asks.iter().filter(|a| is_doubtful(&facts[a.fact])).count();
        waiting.disputed = asks.iter().filter(|a| facts[a.fact].disputed).count();
        waiting.risk = asks.iter().map(|a| a.risk).sum();
        waiting.open = brief.open.len();
        waiting.signed = visit.is_signed()?;
        Ok(())
    }

    /// What mistakes cost in a visit: by its office's own rules, or by those of its standard.
    fn costs_of(&self, visit: &Visit) -> Arc<Costs> {
        if visit.rules_path().exists() {
            return Arc::new(costs_of(visit));
        }
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        known.entry(visit.about.standard.clone()).or_insert_with(|| Arc::new(costs_of(visit))).clone()
    }
}

/// What mistakes cost in a visit; where its rules cannot be read they cost alike.
fn costs_of(visit: &Visit) -> Costs {
    rules_of(visit).map(|rules| Costs::under(&rules, &visit.about.standard)).unwrap_or_default()
}
