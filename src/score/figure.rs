//! Outcomes added up: precision, recall, F1 and what went wrong.
use super::outcome::Outcome;
use super::reliability::Reliability;
use super::run::Hearing;
use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};
use std::collections::BTreeMap;
use std::ops::AddAssign;

/// From this confidence on the program claims to be sure.
pub const SURE: f64 = 0.9;

/// How many were right, given and wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Tally {
    pub right: usize,
    pub given: usize,
    pub wanted: usize,
}

impl Tally {
    /// Of what was given, the share that is right; 1 where nothing was given.
    pub fn precision(&self) -> f64 {
        share(self.right, self.given)
    }

    /// Of what was wanted, the share that was given; 1 where nothing was wanted.
    pub fn recall(&self) -> f64 {
        share(self.right, self.wanted)
    }

    /// The harmonic mean of precision and recall; 1 where nothing was given or wanted.
    pub fn f1(&self) -> f64 {
        share(2 * self.right, self.given + self.wanted)
    }
}

pub(super) fn share(part: usize, whole: usize) -> f64 {
    if whole == 0 { 1.0 } else { part as f64 / whole as f64 }
}

impl AddAssign for Tally {
    fn add_assign(&mut self, other: Tally) {
        self.right += other.right;
        self.given += other.given;
        self.wanted += other.wanted;
    }
}

impl Serialize for Tally {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(6))?;
        map.serialize_entry("right", &self.right)?;
        map.serialize_entry("given", &self.given)?;
        map.serialize_entry("wanted", &self.wanted)?;
        map.serialize_entry("precision", &self.precision())?;
        map.serialize_entry("recall", &self.recall())?;
        map.serialize_entry("f1", &self.f1())?;
        map.end()
    }
}

/// How the numbers and years came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Readings {
    pub given: usize,
    /// The attribute is labelled, with another value.
    pub wrong: usize,
    /// The attribute is not labelled at all.
    pub invented: usize,
}

/// Facts stated as sure and wrong.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Sure {
    /// Facts with a confidence of at least 0.9.
    pub stated: usize,
    pub wrong: usize,
    /// Of the wrong ones, those that are numbers or years.
    pub wrong_readings: usize,
}

/// The figures of one way of getting the words (text, stripped text, recordings).
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Figures {
    pub dictations: usize,
    pub facts: Tally,
    pub limits: Tally,
    pub photos: Tally,
    pub concerns: Tally,
    pub open: Tally,
    pub readings: Readings,
    pub sure: Sure,
    pub reliability: Reliability,
    pub words: usize,
    pub words_lost: usize,
    /// Facts stated in dictations that hold none.
    pub invented_in_empty: usize,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hearing: Option<Hearing>,
    pub by_attribute: BTreeMap<String, Tally>,
    pub by_voice: BTreeMap<String, Tally>,
}

impl Figures {
    /// Adds the outcomes up.
    pub fn of(outcomes: &[Outcome]) -> Self {
        let mut sum = Figures { dictations: outcomes.len(), ..Figures::default() };
        for outcome in outcomes {
            sum.add(outcome);
        }
        let stated = outcomes.iter().flat_map(|o| &o.stated);
        sum.reliability = Reliability::of(stated.map(|s| (s.confidence, s.right)));
        sum
    }

    fn add(&mut self, outcome: &Outcome) {
        let facts = outcome.facts();
        self.facts += facts;
        self.limits += outcome.limits;
        self.photos += outcome.photos;
        self.concerns += outcome.concerns;
        self.open += outcome.open;
        self.words += outcome.words;
        self.words_lost += outcome.lost.len();
        if outcome.empty {
            self.invented_in_empty += outcome.stated.len();
        }
        if let Some(hearing) = outcome.hearing {
            *self.hearing.get_or_insert_default() += hearing;
        }
        if let Some(voice) = &outcome.voice {
            *self.by_voice.entry(voice.clone()).or_default() += facts;
        }
        for fact in &outcome.stated {
            let right = usize::from(fact.right);
            let tally = Tally { right, given: 1, wanted: right };
            *self.by_attribute.entry(fact.key.clone()).or_default() += tally;
            self.readings.given += usize::from(fact.reading);
            self.readings.wrong += usize::from(fact.reading && !fact.right && fact.wanted.is_some());
            self.readings.invented += usize::from(fact.reading && !fact.right && fact.wanted.is_none());
            let sure = fact.confidence >= SURE;
            self.sure.stated += usize::from(sure);
            self.sure.wrong += usize::from(sure && !fact.right);
            self.sure.wrong_readings += usize::from(sure && !fact.right && fact.reading);
        }
        for fact in &outcome.missing {
            *self.by_attribute.entry(fact.key.clone()).or_default() += Tally { right: 0, given: 0, wanted: 1 };
        }
    }
}
