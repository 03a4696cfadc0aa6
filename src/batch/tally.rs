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

/// What one visit adds to the figures.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Count {
    pub inspector: String,
    pub notes: usize,
    pub length_ms: u64,
    /// From recording to the words, in seconds, of each note that was heard.
    pub waits_s: Vec<i64>,
    pub terms: BTreeMap<String, Term>,
}

/// What a visit says of one term.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Term {
    pub notes: usize,
    pub states: States,
}

/// How many facts have come how far.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct States {
    pub heard: usize,
    pub confirmed: usize,
    pub amended: usize,
    pub rejected: usize,
    pub entered: usize,
}

/// Figures of several visits together.
#[derive(Debug, Default)]
pub(super) struct Sum {
    pub visits: usize,
    pub notes: usize,
    pub length_ms: u64,
    pub states: States,
    pub waits_s: Vec<i64>,
}

/// The sums by what they are of.
#[derive(Debug, Default)]
pub(super) struct Sums(BTreeMap<(&'static str, String), Sum>);

/// Reads every visit below a folder; one that cannot be read is told and left out.
pub fn tally(root: &Path) -> Result<Tally, Error> {
    let mut sums = Sums::default();
    let mut unread = Vec::new();
    for dir in find_visits(root)? {
        match Count::of(&dir) {
            Ok(count) => sums.add(count),
            Err(error) => unread.push(error.to_string()),
        }
    }
    Ok(Tally { rows: sums.rows(), unread })
}

impl Count {
    pub fn of(dir: &Path) -> Result<Count, crate::record::Error> {
        let visit = Visit::open(dir)?;
        let notes = visit.notes()?;
        let record = if visit.record_path().exists() { visit.record()? } else { Record::default() };
        // A transcript is written once, when the note is heard and drafted; record.json changes with every decision.
        let heard = notes.iter().filter_map(|note| {
            let written = std::fs::metadata(visit.transcript_path(note)).ok()?.modified().ok()?;
            Some(Timestamp::try_from(written).ok()?.as_second() - note.recorded.as_second())
        });
        let waits_s = heard.map(|seconds| seconds.max(0)).collect();
        let length_ms = notes.iter().filter_map(|note| note.length_ms).sum();
        let mut count =
            Count { inspector: visit.about.inspector, notes: notes.len(), length_ms, waits_s, terms: BTreeMap::new() };
        let mut told: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
        for fact in &record.facts {
            count.terms.entry(fact.key()).or_default().states.count(fact.state);
            told.entry(fact.key()).or_default().extend(fact.evidence.iter().map(|proof| proof.note.as_str()));
        }
        for (term, notes) in told {
            count.terms.entry(term).or_default().notes = notes.len();
        }
        Ok(count)
    }
}

impl Sums {
    fn add(&mut self, count: Count) {
        let Count { inspector, notes, length_ms, waits_s, terms } = count;
        let mut all = Sum { visits: 1, notes, length_ms, waits_s, ..Sum::default() };
        for (term, told) in terms {
            all.states.add(told.states);
            self.add_term(term, Sum { visits: 1, notes: told.notes, states: told.states, ..Sum::default() });
        }
        self.add_inspector(&inspector, &all);
    }

    /// Adds figures of one inspector, which are of all as well.
    pub fn add_inspector(&mut self, inspector: &str, sum: &Sum) {
        let name = if inspector.is_empty() { "nobody named" } else { inspector };
        for key in [("all", ""), ("inspector", name)] {
            self.0.entry((key.0, key.1.to_owned())).or_default().add(sum);
        }
    }

    pub fn add_term(&mut self, term: String, sum: Sum) {
        self.0.entry(("term", term)).or_default().add(&sum);
    }

    pub fn rows(self) -> Vec<Row> {
        self.0.into_iter().map(|((by, name), sum)| row(by, name, sum)).collect()
    }
}

impl Sum {
    fn add(&mut self, other: &Sum) {
        self.visits += other.visits;
        self.notes += other.notes;
        self.length_ms += other.length_ms;
        self.states.add(other.states);
        self.waits_s.extend(&other.waits_s);
    }
}

impl States {
    fn count(&mut self, state: State) {
        *match state {
            State::Heard => &mut self.heard,
            State::Confirmed => &mut self.confirmed,
            State::Amended => &mut self.amended,
            State::Rejected => &mut self.rejected,
            State::Entered => &mut self.entered,
        } += 1;
    }

    fn add(&mut self, other: States) {
        self.heard += other.heard;
        self.confirmed += other.confirmed;
        self.amended += other.amended;
        self.rejected += other.rejected;
        self.entered += other.entered;
    }
}

fn row(by: &'static str, name: String, mut sum: Sum) -> Row {
    let States { heard, confirmed, amended, rejected, entered } = sum.states;
    let decided = confirmed + amended + rejected;
    sum.waits_s.sort_unstable();
    let middle = sum.waits_s.get(sum.waits_s.len() / 2).map(|seconds| *seconds as f64 / 3600.0);
    Row {
        by,
        name,
        visits: sum.visits,
        notes: sum.notes,
        minutes: (by != "term").then_some(sum.length_ms as f64 / 60_000.0),
        facts: heard + decided + entered,
        decided,
        amended,
        rejected,
        entered,
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
            sum.states.count(state);
        }
        let row = row("inspector", "Ida Example".into(), sum);
        // Two confirmed, one amended, one rejected: one in four was amended.
        assert_eq!((row.facts, row.decided, row.share_amended), (6, 4, Some(0.25)));
        // 90 s are a minute and a half; 1, 2 and 10 hours have 2 in the middle.
        assert_eq!((row.minutes, row.hours_to_draft), (Some(1.5), Some(2.0)));
    }
}
