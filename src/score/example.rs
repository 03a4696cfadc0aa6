//! The lexicon's own examples: each phrase read alone, against what its entry says that it gives.
use super::same_value;
use crate::lexicon::{Entry, Kind, Lexicon, OneOrMany, Role, TermRef};
use crate::read::{self, Reading};
use crate::recognize::Transcript;
use crate::record::{Fact, Value};

/// An example that does not give what it should.
#[derive(Debug, Clone, PartialEq)]
pub struct Miss {
    pub file: String,
    pub line: usize,
    pub what: String,
}

/// Every example of every entry that fails.
pub fn examples(lexicon: &Lexicon) -> Vec<Miss> {
    let mut misses = Vec::new();
    for entry in lexicon.entries() {
        let mut miss = |text: &str, what: String| {
            let (file, line) = lexicon.place(&entry, text);
            misses.push(Miss { file, line, what: format!("\"{text}\" {what} ('{}')", entry.id) });
        };
        for example in entry.yes {
            for text in example.text.list() {
                let reading = read_alone(lexicon, text);
                wanting(lexicon, &reading, example).into_iter().for_each(|what| miss(text, what));
            }
        }
        for text in entry.no {
            let reading = read_alone(lexicon, text);
            if let Some(what) = unwanted(lexicon, &entry, &reading) {
                miss(text, what);
            }
        }
    }
    misses
}

/// How many phrases the entries show.
pub fn phrases(lexicon: &Lexicon) -> usize {
    lexicon.entries().map(|e| e.no.len() + e.yes.iter().map(|y| y.text.list().len()).sum::<usize>()).sum()
}

fn read_alone(lexicon: &Lexicon, text: &str) -> Reading {
    read::facts(&Transcript::from_text(text), lexicon, "example")
}

/// What an example lacks: facts not given, or given beside another value.
fn wanting(lexicon: &Lexicon, reading: &Reading, example: &crate::lexicon::Example) -> Vec<String> {
    let mut lacking = Vec::new();
    for wanted in example.fact.list() {
        let Some((key, value)) = wanted.split_once(" = ") else { continue };
        let given: Vec<&Fact> = reading.facts.iter().filter(|f| f.key() == key).collect();
        let right = |fact: &&Fact| agrees(lexicon, fact, value);
        if !given.iter().any(right) || !given.iter().all(right) {
            lacking.push(format!("should give {wanted}, gives {}", list(&given, &reading.facts)));
        }
    }
    if let Some(photo) = example.photo.as_ref().filter(|photo| reading.photos.iter().all(|p| p.of != **photo)) {
        lacking.push(format!("should photograph {photo}"));
    }
    if let Some(limit) = example.limit.as_ref().filter(|l| reading.limits.iter().all(|found| found.component != **l)) {
        lacking.push(format!("should say that {limit} could not be seen"));
    }
    if let Some(command) = example.command.as_ref().filter(|c| reading.commands.iter().all(|found| found.kind != **c)) {
        lacking.push(format!("should be the command {command}"));
    }
    lacking
}

fn agrees(lexicon: &Lexicon, fact: &Fact, value: &str) -> bool {
    let kind = lexicon.catalogue.row(&fact.component, &fact.attribute).map_or(Kind::Text, |row| row.kind);
    let wanted = match kind {
        Kind::Number | Kind::Year => value.parse().map_or_else(|_| Value::Text(value.into()), Value::Number),
        _ => Value::Text(value.to_owned()),
    };
    same_value(kind, &fact.attribute, &wanted, &fact.value) > 0.0
}

/// What of an entry a phrase gives that must give nothing of it.
fn unwanted(lexicon: &Lexicon, entry: &Entry, reading: &Reading) -> Option<String> {
    let own = |fact: &&Fact| fact.evidence.iter().any(|e| e.rule == entry.id) || stated(lexicon, entry, fact);
    let given: Vec<&Fact> = reading.facts.iter().filter(own).collect();
    let beside = match entry.term {
        TermRef::Cue(at) => beside(lexicon.cues[at].role, reading),
        _ => None,
    };
    let facts = (!given.is_empty()).then(|| format!("should give nothing, gives {}", list(&given, &[])));
    facts.or_else(|| beside.map(|what| format!("should be no {what}")))
}

/// Whether an entry could have stated a fact, whichever rule did.
fn stated(lexicon: &Lexicon, entry: &Entry, fact: &Fact) -> bool {
    let states = |states: &OneOrMany| {
        states.list().iter().filter_map(|s| s.split_once(" = ")).any(|(key, value)| {
            let named = if key.contains('.') { fact.key() == key } else { fact.attribute == key };
            named && agrees(lexicon, fact, value)
        })
    };
    match entry.term {
        TermRef::Part(at) => lexicon.parts[at].component.list().contains(&fact.component),
        TermRef::Saying(at) => states(&lexicon.sayings[at].states),
        TermRef::Reading(at, _) => fact.key() == lexicon.readings[at].states,
        TermRef::Cue(at) => match lexicon.cues[at].role {
            Role::Place | Role::PlaceBefore => fact.key() == "water-heater.place",
            Role::Fixture => fact.key() == "water-system.pressure-place",
            Role::Brand | Role::BrandBefore => fact.key() == "water-heater.brand",
            Role::Model => fact.key() == "water-heater.model",
            Role::Serial => fact.key() == "water-heater.serial",
            Role::There | Role::Gone | Role::Both | Role::Nothing => true,
            role if role.frames_talk() => true,
            Role::DegreeLight | Role::DegreeModerate | Role::DegreeHeavy => fact.attribute == "corrosion",
            _ => false,
        },
    }
}

/// What a cue does beside facts, if the reading shows it.
fn beside(role: Role, reading: &Reading) -> Option<&'static str> {
    let command = |kind: &str| reading.commands.iter().any(|c| c.kind == kind);
    let (shown, what) = match role {
        Role::Photo | Role::PhotoBefore => (!reading.photos.is_empty(), "photograph"),
        Role::Limit | Role::Reason => (!reading.limits.is_empty(), "limit"),
        Role::ScratchThat => (command("scratch-that"), "scratch-that"),
        Role::Correction => (command("correction"), "correction"),
        Role::NextItem => (command("next-item"), "next heater"),
        Role::FirstItem => (command("first-item"), "way back to the first heater"),
        Role::EndOfNote => (command("end-of-note"), "end"),
        Role::WhatIsLeft => (command("what-is-left"), "question what is left"),
        Role::ReadBack => (command("read-that-back"), "wish to be read back"),
        Role::StopListening => (command("stop-listening"), "end of listening"),
        Role::StartListening => (command("start-listening"), "beginning of listening"),
        _ => (false, ""),
    };
    shown.then_some(what)
}

fn list(given: &[&Fact], else_all: &[Fact]) -> String {
    let name = |fact: &&Fact| format!("{} = {}", fact.key(), fact.value);
    match given {
        [] if else_all.is_empty() => "nothing".to_owned(),
        [] => else_all.iter().map(|f| name(&f)).collect::<Vec<_>>().join(", "),
        _ => given.iter().map(name).collect::<Vec<_>>().join(", "),
    }
}
