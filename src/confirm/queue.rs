//! Which visits wait for a person: all under one folder, with how much is doubtful in each.
use super::{Costs, is_doubtful, order};
use crate::draft::rules_of;
use crate::record::{Error, Fact, RECORD_VERSION, State, Value, Visit, read_json};
use serde::de::IgnoredAny;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

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
    let dirs = find(root)?;
    let share = dirs.len().div_ceil(std::thread::available_parallelism().map_or(1, usize::from)).max(1);
    let mut waiting: Vec<Waiting> = std::thread::scope(|scope| {
        let workers: Vec<_> = dirs.chunks(share).map(|dirs| scope.spawn(|| look_at_all(dirs))).collect();
        workers.into_iter().flat_map(|w| w.join().unwrap_or_default()).collect()
    });
    waiting.sort_by(|a, b| {
        let urgent = b.urgency(today).total_cmp(&a.urgency(today));
        b.waits().cmp(&a.waits()).then(urgent).then(a.date.cmp(&b.date)).then(a.dir.cmp(&b.dir))
    });
    Ok(waiting)
}

/// The folders of all visits below `root`, or `root` itself; what lies inside a visit is not searched, nor are links.
pub fn find(root: &Path) -> Result<Vec<PathBuf>, Error> {
    let mut found = Vec::new();
    let mut todo = vec![root.to_owned()];
    while let Some(dir) = todo.pop() {
        if dir.join("visit.toml").is_file() {
            found.push(dir);
            continue;
        }
        let entries = match std::fs::read_dir(&dir) {
            Err(source) if dir == root => return Err(Error::Read { path: dir, source }),
            // A folder that may not be looked into holds no visit that could be opened.
            Err(_) => continue,
            Ok(entries) => entries,
        };
        let folder = |e: &std::fs::DirEntry| e.file_type().is_ok_and(|t| t.is_dir());
        let hidden = |e: &std::fs::DirEntry| e.file_name().to_string_lossy().starts_with('.');
        todo.extend(entries.flatten().filter(|e| folder(e) && !hidden(e)).map(|e| e.path()));
    }
    found.sort();
    Ok(found)
}

fn look_at_all(dirs: &[PathBuf]) -> Vec<Waiting> {
    // The rules are the same for all visits of a standard, and dear to load.
    let mut costs = BTreeMap::new();
    dirs.iter().map(|dir| look_at(dir, &mut costs)).collect()
}

fn look_at(dir: &Path, costs: &mut BTreeMap<String, Costs>) -> Waiting {
    let mut waiting = Waiting { dir: dir.to_owned(), ..Waiting::default() };
    if let Err(error) = fill(&mut waiting, costs) {
        waiting.problem = Some(error.to_string());
    }
    waiting
}

fn fill(waiting: &mut Waiting, costs: &mut BTreeMap<String, Costs>) -> Result<(), Error> {
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
    // A visit with its office's own rules has its own costs; all others share those of their standard.
    let key =
        if visit.rules_path().exists() { waiting.dir.display().to_string() } else { visit.about.standard.clone() };
    let costs = costs.entry(key).or_insert_with(|| costs_of(&visit));
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

/// What mistakes cost in a visit; where its rules cannot be read they cost alike.
fn costs_of(visit: &Visit) -> Costs {
    rules_of(visit).map(|rules| Costs::under(&rules, &visit.about.standard)).unwrap_or_default()
}
