//! Which photograph shows what: the words that asked for it, else the words around it, and a person's word above both.
use super::{Photograph, fit};
use crate::record::{Decision, Error, Evidence, Fact, Note, Record, Visit};
use jiff::SignedDuration;
use serde::Serialize;
use std::collections::BTreeMap;

/// A photograph belongs to words that were said this long before it at most, or this long after, in milliseconds.
const AROUND: i64 = 20_000;
/// So much nearer must other words be to count for more than a mark.
const MUCH: i64 = 10_000;

/// How it is known what a photograph shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum How {
    /// It was taken when the notes ask for one.
    Mark,
    /// It was taken while something was said about the part.
    Words,
    /// A person said so.
    Person,
    /// It is not known.
    Nothing,
}

/// A photograph and what it shows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Placed {
    pub name: String,
    /// The component.
    pub of: Option<String>,
    pub item: u32,
    pub how: How,
    /// Index among the record's photographs, if it is one that the notes ask for.
    pub mark: Option<usize>,
    /// When it was taken, by a clock that agrees with the recordings.
    pub taken: Option<jiff::Timestamp>,
}

/// All photographs of a visit with what they show.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Found {
    /// What was added to the camera's clock.
    pub offset: SignedDuration,
    /// That was found from the best fit; else a person gave it, or none is needed.
    pub fitted: bool,
    pub photographs: Vec<Placed>,
}

impl Visit {
    /// What each photograph of the visit shows.
    pub fn placed(&self, record: &Record, decisions: &[Decision]) -> Result<Found, Error> {
        Ok(place(&self.photographs()?, &self.notes()?, record, decisions, self.clock_offset()?))
    }
}

/// What each photograph shows; `given` is what a person said has to be added to the camera's clock.
pub fn place(
    photographs: &[Photograph],
    notes: &[Note],
    record: &Record,
    decisions: &[Decision],
    given: Option<SignedDuration>,
) -> Found {
    let begun: BTreeMap<&str, i64> = notes.iter().map(|n| (n.name.as_str(), n.recorded.as_millisecond())).collect();
    let moment = |proof: &Evidence| Some(begun.get(proof.note.as_str())? + proof.start_ms? as i64);
    let marks = record.photos.iter().enumerate().filter_map(|(at, photo)| Some((moment(photo.evidence.first()?)?, at)));
    let mut marks: Vec<(i64, usize)> = marks.collect();
    marks.sort_unstable();
    let times: Vec<i64> = marks.iter().map(|(time, _)| *time).collect();
    let mut timed: Vec<(i64, &Photograph)> =
        photographs.iter().filter_map(|p| Some((p.taken?.as_millisecond(), p))).collect();
    timed.sort_by_key(|(time, _)| *time);
    let taken: Vec<i64> = timed.iter().map(|(time, _)| *time).collect();
    let fitted = if given.is_some() { None } else { fit::shift(&taken, &times) };
    let offset = given.map(|g| g.as_millis() as i64).or(fitted).unwrap_or(0);
    let moved: Vec<i64> = taken.iter().map(|time| time + offset).collect();
    let mut shown: BTreeMap<&str, Placed> = BTreeMap::new();
    for ((time, (_, photograph)), pair) in moved.iter().zip(&timed).zip(fit::pair(&moved, &times)) {
        let words = around(record, *time, &moment);
        // Words about a part that were said much nearer to the moment tell more than a mark further off.
        let pair = pair.filter(|&at| {
            let apart = (time - times[at]).abs();
            words.is_none_or(|(nearer, fact)| record.photos[marks[at].1].of == fact.component || nearer + MUCH > apart)
        });
        let placed = match (pair, words) {
            (Some(at), _) => by_mark(&photograph.name, record, marks[at].1),
            (None, Some((_, fact))) => by_words(&photograph.name, fact),
            (None, None) => nothing(&photograph.name),
        };
        let taken = jiff::Timestamp::from_millisecond(*time).ok();
        shown.insert(&photograph.name, Placed { taken, ..placed });
    }
    let place = |p: &Photograph| {
        let placed = shown.get(p.name.as_str()).cloned().unwrap_or_else(|| nothing(&p.name));
        by_person(placed, record, decisions)
    };
    Found {
        offset: SignedDuration::from_millis(offset),
        fitted: fitted.is_some(),
        photographs: photographs.iter().map(place).collect(),
    }
}

fn nothing(name: &str) -> Placed {
    Placed { name: name.to_owned(), of: None, item: 1, how: How::Nothing, mark: None, taken: None }
}

fn by_mark(name: &str, record: &Record, at: usize) -> Placed {
    let photo = &record.photos[at];
    Placed { of: Some(photo.of.clone()), item: photo.item, how: How::Mark, mark: Some(at), ..nothing(name) }
}

fn by_words(name: &str, fact: &Fact) -> Placed {
    Placed { of: Some(fact.component.clone()), item: fact.item, how: How::Words, ..nothing(name) }
}

/// What the nearest words around the moment are about, and how far off they were said.
fn around<'r>(record: &'r Record, time: i64, moment: &dyn Fn(&Evidence) -> Option<i64>) -> Option<(i64, &'r Fact)> {
    let proofs = record.facts.iter().flat_map(|fact| fact.evidence.iter().map(move |proof| (fact, proof)));
    let apart = proofs.filter_map(|(fact, proof)| Some(((time - moment(proof)?).abs(), fact)));
    apart.filter(|(apart, _)| *apart <= AROUND).min_by_key(|(apart, _)| *apart)
}

/// The last word that a person had on a photograph.
fn by_person(placed: Placed, record: &Record, decisions: &[Decision]) -> Placed {
    let said = decisions.iter().rev().find(|d| d.photo.as_deref() == Some(&placed.name));
    let Some(said) = said else { return placed };
    let (of, item) = (said.is.as_ref().map(|_| said.fact.component.clone()), said.fact.item);
    let mark = record.photos.iter().position(|p| Some(&p.of) == of.as_ref() && p.item == item);
    Placed { of, item, how: How::Person, mark, ..placed }
}
