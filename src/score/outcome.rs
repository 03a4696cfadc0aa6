//! One dictation against the record made of it.
use super::agree::{agreement, pair};
use super::figure::Tally;
use super::label::Dictation;
use super::run::Hearing;
use crate::lexicon::{Catalogue, Kind};
use crate::read::confidence::{Doubts, REASONS};
use crate::recognize::Transcript;
use crate::record::{Evidence, Fact, OpenKind, Record};
use serde::Serialize;
use std::collections::BTreeSet;

/// A fact that the program stated and whether it is right.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stated {
    /// `component.attribute`.
    pub key: String,
    pub item: u32,
    pub value: String,
    pub confidence: f64,
    pub right: bool,
    /// The labelled value, where the label has the attribute with another one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wanted: Option<String>,
    /// A number or a year: what an inspector reads off an instrument or a plate.
    pub reading: bool,
    /// The sentence that its evidence lies in.
    pub sentence: String,
    /// The rule of reading that made it.
    pub rule: String,
    /// What its confidence was computed from.
    #[serde(serialize_with = "named")]
    pub doubts: Doubts,
}

/// The doubts that there are, by name.
fn named<S: serde::Serializer>(doubts: &Doubts, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_map(REASONS.iter().zip(doubts.0).filter(|(_, doubt)| *doubt != 0.0))
}

/// A labelled fact that the program did not state.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Missing {
    pub key: String,
    pub item: u32,
    pub value: String,
}

/// A limit, photo, concern, open question or heard term that is missing or too many.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Difference {
    /// `limit`, `photo`, `concern`, `open` or `term`.
    pub kind: &'static str,
    pub what: String,
    /// Labelled and not given; otherwise given and not labelled.
    pub missing: bool,
}

/// What became of one dictation.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Outcome {
    pub name: String,
    pub scenario: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub voice: Option<String>,
    /// How well it was heard, for a recording.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hearing: Option<Hearing>,
    pub stated: Vec<Stated>,
    pub missing: Vec<Missing>,
    pub limits: Tally,
    pub photos: Tally,
    pub concerns: Tally,
    pub open: Tally,
    pub differences: Vec<Difference>,
    pub words: usize,
    /// Words that are no part of any fact, limit, photo, command or remark.
    pub lost: Vec<String>,
    /// The label holds no fact, so that every one stated is invented.
    pub empty: bool,
}

impl Outcome {
    /// Facts right, stated and labelled.
    pub fn facts(&self) -> Tally {
        let right = self.stated.iter().filter(|s| s.right).count();
        Tally { right, given: self.stated.len(), wanted: right + self.missing.len() }
    }
}

/// Compares a record with its label; `transcript` is what the record was read from.
pub fn compare(dictation: &Dictation, transcript: &Transcript, record: &Record, catalogue: &Catalogue) -> Outcome {
    let pairs = pair(dictation.facts.len(), record.facts.len(), |w, s| {
        agreement(&dictation.facts[w], &record.facts[s], catalogue)
    });
    let missing: Vec<&Fact> = unpaired(&dictation.facts, |at| pairs.iter().any(|p| p.0 == at));
    let stated = record.facts.iter().enumerate().map(|(at, fact)| {
        let right = pairs.iter().any(|p| p.1 == at);
        state(fact, right, &missing, transcript, catalogue)
    });
    let mut differences = Vec::new();
    let limits = multiset(
        dictation.limits.iter().map(|l| numbered(&l.component, l.item)).collect(),
        record.limits.iter().map(|l| numbered(&l.component, l.item)).collect(),
        "limit",
        &mut differences,
    );
    let photos = multiset(
        dictation.photos.iter().map(|p| numbered(&p.of, p.item)).collect(),
        record.photos.iter().map(|p| numbered(&p.of, p.item)).collect(),
        "photo",
        &mut differences,
    );
    let concerns = set(
        dictation.concerns.iter().cloned().collect(),
        record.concerns.iter().map(|c| c.rule.clone()).collect(),
        "concern",
        &mut differences,
    );
    let conditional = record.open.iter().filter(|o| o.kind == OpenKind::Conditional);
    let open = set(
        dictation.open.iter().cloned().collect(),
        conditional.map(|o| format!("{}.{}", o.component, o.attribute)).collect(),
        "open",
        &mut differences,
    );
    Outcome {
        name: dictation.name.clone(),
        scenario: dictation.scenario.clone(),
        voice: None,
        hearing: None,
        stated: stated.collect(),
        missing: missing.iter().map(|f| Missing { key: f.key(), item: f.item, value: f.value.to_string() }).collect(),
        limits,
        photos,
        concerns,
        open,
        differences,
        words: transcript.words.len(),
        lost: lost(transcript, record),
        empty: dictation.facts.is_empty(),
    }
}

fn unpaired<T>(all: &[T], paired: impl Fn(usize) -> bool) -> Vec<&T> {
    all.iter().enumerate().filter(|(at, _)| !paired(*at)).map(|(_, one)| one).collect()
}

fn state(fact: &Fact, right: bool, missing: &[&Fact], transcript: &Transcript, catalogue: &Catalogue) -> Stated {
    let kind = catalogue.row(&fact.component, &fact.attribute).map(|row| row.kind);
    let wanted = missing.iter().find(|m| !right && m.key() == fact.key() && m.item == fact.item);
    let evidence = fact.evidence.last();
    Stated {
        key: fact.key(),
        item: fact.item,
        value: fact.value.to_string(),
        confidence: fact.confidence,
        right,
        wanted: wanted.map(|m| m.value.to_string()),
        reading: matches!(kind, Some(Kind::Number | Kind::Year)),
        sentence: evidence.map_or_else(String::new, |e| sentence(transcript, e)),
        rule: evidence.map_or_else(String::new, |e| e.rule.clone()),
        doubts: Doubts::default(),
    }
}

/// `component`, or `component #2` for a second heater.
fn numbered(component: &str, item: u32) -> String {
    if item == 1 { component.to_owned() } else { format!("{component} #{item}") }
}

/// Compares two lists in which one thing may stand twice.
fn multiset(wanted: Vec<String>, given: Vec<String>, kind: &'static str, out: &mut Vec<Difference>) -> Tally {
    let same = |w: usize, g: usize| if wanted[w] == given[g] { 1.0 } else { 0.0 };
    let pairs = pair(wanted.len(), given.len(), same);
    let missing = unpaired(&wanted, |at| pairs.iter().any(|p| p.0 == at));
    out.extend(missing.into_iter().map(|what| Difference { kind, what: what.clone(), missing: true }));
    let extra = unpaired(&given, |at| pairs.iter().any(|p| p.1 == at));
    out.extend(extra.into_iter().map(|what| Difference { kind, what: what.clone(), missing: false }));
    Tally { right: pairs.len(), given: given.len(), wanted: wanted.len() }
}

/// Compares two sets.
fn set(wanted: BTreeSet<String>, given: BTreeSet<String>, kind: &'static str, out: &mut Vec<Difference>) -> Tally {
    multiset(wanted.into_iter().collect(), given.into_iter().collect(), kind, out)
}

/// The words around the evidence, from one sentence's end to the next.
fn sentence(transcript: &Transcript, evidence: &Evidence) -> String {
    const WIDEST: usize = 20;
    let words = &transcript.words;
    let [from, to] = evidence.span.map(|at| at.min(words.len()));
    let ends = |at: usize| words[at].text.ends_with(['.', '?', '!']);
    let first = (0..from).rev().take(WIDEST).take_while(|at| !ends(*at)).last().unwrap_or(from);
    let mut last = to.max(first);
    while last < words.len() && last < to + WIDEST && (last == first || !ends(last - 1)) {
        last += 1;
    }
    let texts: Vec<&str> = words[first..last].iter().map(|w| w.text.as_str()).collect();
    texts.join(" ")
}

/// The words that no evidence covers.
fn lost(transcript: &Transcript, record: &Record) -> Vec<String> {
    let mut kept = vec![false; transcript.words.len()];
    let evidence = (record.facts.iter().flat_map(|f| &f.evidence))
        .chain(record.limits.iter().flat_map(|l| &l.evidence))
        .chain(record.photos.iter().flat_map(|p| &p.evidence))
        .chain(record.commands.iter().flat_map(|c| &c.evidence))
        .chain(&record.remark_evidence);
    for [from, to] in evidence.map(|e| e.span) {
        kept.iter_mut().take(to).skip(from).for_each(|word| *word = true);
    }
    let words = transcript.words.iter().zip(kept);
    words.filter(|(_, kept)| !kept).map(|(word, _)| word.text.clone()).collect()
}

#[cfg(test)]
mod tests;
