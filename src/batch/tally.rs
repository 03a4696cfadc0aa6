//! Figures for the office: how much was spoken, what became of it, and how long it took.
use super::Error;
use crate::confirm::find_visits;
use crate::record::{Record, State, Visit};
use jiff::Timestamp;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// One line of figures.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Row {
    /// `all`, `inspector` or `term`.
    pub by: &'static str,
    pub name: String,
    pub visits: usize,
    pub notes: usize,
    /// Length of the recordings; typed notes have none, and of a term it says nothing.
    pub minutes: Option<f64>,
    pub facts: usize,
    /// Facts that a person settled: confirmed, amended, rejected; those entered by hand were never heard.
    pub decided: usize,
    pub amended: usize,
    pub rejected: usize,
    pub entered: usize,
    /// Of the facts decided, the share amended.
    pub share_amended: Option<f64>,
    /// From recording to the draft, in hours: of half the notes it was less.
    pub hours_to_draft: Option<f64>,
}

/// All figures, and the visits that could not be read.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Tally {
    pub rows: Vec<Row>,
    pub unread: Vec<String>,
}

#[derive(Debug, Default)]
struct Sum {
    visits: usize,
    notes: usize,
    length_ms: u64,
    states: BTreeMap<&'static str, usize>,
    waits_s: Vec<i64>,
}

/// Reads every visit below a folder; one that cannot be read is told and left out.
pub fn tally(root: &Path) -> Result<Tally, Error> {
    let mut sums: BTreeMap<(&'static str, String), Sum> = BTreeMap::new();
    let mut unread = Vec::new();
    for dir in find_visits(root)? {
        if let Err(error) = add(&dir, &mut sums) {
            unread.push(error.to_string());
        }
    }
    Ok(Tally { rows: sums.into_iter().map(|((by, name), sum)| row(by, name, sum)).collect(), unread })
}

fn add(dir: &Path, sums: &mut BTreeMap<(&'static str, String), Sum>) -> Result<(), crate::record::Error> {
    let visit = Visit::open(dir)?;
    let notes = visit.notes()?;
    let record = if visit.record_path().exists() { visit.record()? } else { Record::default() };
    let inspector = match visit.about.inspector.as_str() {
        "" => "nobody named".to_owned(),
        name => name.to_owned(),
    };
    for key in [("all", String::new()), ("inspector", inspector)] {
        let sum = sums.entry(key).or_default();
        sum.visits += 1;
        sum.notes += notes.len();
        sum.length_ms += notes.iter().filter_map(|note| note.length_ms).sum::<u64>();
        // A transcript is written once, when the note is heard and drafted; record.json changes with every decision.
        let heard = notes.iter().filter_map(|note| {
            let written = std::fs::metadata(visit.transcript_path(note)).ok()?.modified().ok()?;
            Some(Timestamp::try_from(written).ok()?.as_second() - note.recorded.as_second())
        });
        sum.waits_s.extend(heard.map(|seconds| seconds.max(0)));
        record.facts.iter().for_each(|fact| sum.count(fact.state));
    }
    let mut told: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    for fact in &record.facts {
        sums.entry(("term", fact.key())).or_default().count(fact.state);
        told.entry(fact.key()).or_default().extend(fact.evidence.iter().map(|proof| proof.note.as_str()));
    }
    for (term, notes) in told {
        let sum = sums.entry(("term", term)).or_default();
        sum.visits += 1;
        sum.notes += notes.len();
    }
    Ok(())
}

impl Sum {
    fn count(&mut self, state: State) {
        let name = match state {
            State::Heard => "heard",
            State::Confirmed => "confirmed",
            State::Amended => "amended",
            State::Rejected => "rejected",
            State::Entered => "entered",
        };
        *self.states.entry(name).or_default() += 1;
    }
}

fn row(by: &'static str, name: String, mut sum: Sum) -> Row {
    let of = |name: &str| sum.states.get(name).copied().unwrap_or(0);
    let (amended, rejected) = (of("amended"), of("rejected"));
    let decided = of("confirmed") + amended + rejected;
    sum.waits_s.sort_unstable();
    let middle = sum.waits_s.get(sum.waits_s.len() / 2).map(|seconds| *seconds as f64 / 3600.0);
    Row {
        by,
        name,
        visits: sum.visits,
        notes: sum.notes,
        minutes: (by != "term").then_some(sum.length_ms as f64 / 60_000.0),
        facts: sum.states.values().sum(),
        decided,
        amended,
        rejected,
        entered: of("entered"),
        share_amended: (decided > 0).then(|| amended as f64 / decided as f64),
        hours_to_draft: if by == "term" { None } else { middle },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_of_what_people_decided() {
        let mut sum = Sum { waits_s: vec![7200, 3600, 36_000], length_ms: 90_000, ..Sum::default() };
        for state in [State::Heard, State::Confirmed, State::Confirmed, State::Amended, State::Rejected, State::Entered]
        {
            sum.count(state);
        }
        let row = row("inspector", "Ida Example".into(), sum);
        // Two confirmed, one amended, one rejected: one in four was amended.
        assert_eq!((row.facts, row.decided, row.share_amended), (6, 4, Some(0.25)));
        // 90 s are a minute and a half; 1, 2 and 10 hours have 2 in the middle.
        assert_eq!((row.minutes, row.hours_to_draft), (Some(1.5), Some(2.0)));
    }
}
