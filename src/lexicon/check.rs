//! What is wrong, or looks wrong, in the lexicon's files: with file and line.
use super::entry::Entry;
use super::pattern::{Form, parse};
use super::{Lexicon, Match, Role, TermRef, source};
use std::collections::{BTreeMap, HashSet};
use std::path::PathBuf;

/// One thing found.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Finding {
    pub file: String,
    pub line: usize,
    /// Whether the lexicon cannot be used like this.
    pub severe: bool,
    pub what: String,
}

/// A form that stands for more phrases is compared as written.
const MOST_PHRASES: usize = 4000;

/// Checks the shipped lexicon with an office's files laid over it; the lexicon as far as it is well made comes back too.
pub fn check(files: &[PathBuf]) -> (Lexicon, Vec<Finding>) {
    let mut sources = source::shipped();
    let mut findings = Vec::new();
    for path in files {
        match source::from_disk(path) {
            Ok(source) => sources.push(source),
            Err(error) => findings.push(severe(&error)),
        }
    }
    let (lexicon, faults) = Lexicon::compile(&sources);
    findings.extend(faults.iter().map(severe));
    findings.extend(without_example(&lexicon));
    findings.extend(clashes(&lexicon));
    findings.sort();
    (lexicon, findings)
}

fn severe(error: &super::Error) -> Finding {
    let (file, line) = error.place();
    let mut what = error.to_string();
    let mut cause = std::error::Error::source(error).filter(|_| !matches!(error, super::Error::Toml { .. }));
    while let Some(reason) = cause {
        what += &format!(": {reason}");
        cause = reason.source();
    }
    let what = what.strip_prefix(&format!("{file}:{line}: ")).map(str::to_owned).unwrap_or(what);
    Finding { file, line, severe: true, what }
}

fn warn(lexicon: &Lexicon, entry: &Entry, text: &str, what: String) -> Finding {
    let (file, line) = lexicon.place(entry, text);
    Finding { file, line, severe: false, what }
}

/// Entries that no phrase shows at work.
fn without_example(lexicon: &Lexicon) -> Vec<Finding> {
    let bare = lexicon.entries().filter(|e| e.yes.is_empty() && e.no.is_empty());
    bare.map(|e| warn(lexicon, &e, e.id, format!("the {} '{}' has no example; give it `yes` phrases", e.kind(), e.id)))
        .collect()
}

/// Who owns a spoken form, and the form as written.
type Owner<'a> = (Entry<'a>, &'a String, Match);

/// Spoken forms that two entries own and nothing tells apart.
fn clashes(lexicon: &Lexicon) -> Vec<Finding> {
    let mut owners: BTreeMap<String, Vec<Owner>> = BTreeMap::new();
    for entry in lexicon.entries().filter(|e| !matches!(e.term, TermRef::Reading(..))) {
        for (pattern, _, quality) in entry.forms() {
            let Ok(form) = parse(pattern) else { continue };
            for phrase in spellings(&form).unwrap_or_else(|| vec![pattern.clone()]) {
                let all = owners.entry(phrase).or_default();
                if all.iter().all(|(other, ..)| other.term != entry.term) {
                    all.push((entry, pattern, quality));
                }
            }
        }
    }
    let mut findings = Vec::new();
    let mut told = HashSet::new();
    for (phrase, owners) in &owners {
        for (at, one) in owners.iter().enumerate() {
            for other in &owners[at + 1..] {
                if !told_apart(lexicon, one, other) && told.insert((one.0.term, other.0.term)) {
                    let what = format!(
                        "'{phrase}' belongs to '{}' and to '{}', and nothing tells them apart; take it from one of them, \
                         or give one a `need` or `near`",
                        one.0.id, other.0.id
                    );
                    findings.push(warn(lexicon, &other.0, other.1, what));
                }
            }
        }
    }
    findings
}

/// Every phrase of a form, with `..` for a gap.
fn spellings(form: &Form) -> Option<Vec<String>> {
    fn with_gaps(form: &Form) -> Form {
        match form {
            Form::Gap => Form::Word("..".into()),
            Form::Word(word) => Form::Word(word.clone()),
            Form::Sequence(all) => Form::Sequence(all.iter().map(with_gaps).collect()),
            Form::Choice(any) => Form::Choice(any.iter().map(with_gaps).collect()),
        }
    }
    super::pattern::phrases(&with_gaps(form), MOST_PHRASES)
}

/// Whether the reading can tell which of two owners of a form is meant.
fn told_apart(lexicon: &Lexicon, (one, _, how): &Owner, (other, _, how_other): &Owner) -> bool {
    match (one.term, other.term) {
        (TermRef::Part(a), TermRef::Part(b)) => {
            let (a, b) = (&lexicon.parts[a], &lexicon.parts[b]);
            // A short form goes to the part that is talked about.
            let weak = *how == Match::Weak || *how_other == Match::Weak;
            weak || a.component.list() == b.component.list()
        }
        (TermRef::Saying(a), TermRef::Saying(b)) => {
            let (a, b) = (&lexicon.sayings[a], &lexicon.sayings[b]);
            let same = a.states.list() == b.states.list();
            let meet = |a: &[String], b: &[String]| a.iter().any(|need| b.contains(need));
            same || (a.said != b.said) || (a.need.is_empty() != b.need.is_empty()) || {
                let (a, b) = (takers(lexicon, a), takers(lexicon, b));
                !meet(&a, &b)
            }
        }
        (TermRef::Cue(a), TermRef::Cue(b)) => {
            let (a, b) = (lexicon.cues[a].role, lexicon.cues[b].role);
            a == b || !decides(a) || !decides(b)
        }
        // What a thing is called may also say something of it ("storage tank"), but not while it is to be ignored.
        (TermRef::Cue(at), _) | (_, TermRef::Cue(at)) => lexicon.cues[at].role != Role::Nothing,
        _ => true,
    }
}

/// The components that a saying can be about.
fn takers(lexicon: &Lexicon, saying: &super::Saying) -> Vec<String> {
    if !saying.need.is_empty() {
        return saying.need.clone();
    }
    let mut takers = Vec::new();
    for state in saying.states.list() {
        let Some((key, value)) = state.split_once(" = ") else { continue };
        match key.split_once('.') {
            Some((component, _)) => takers.push(component.to_owned()),
            None => {
                let rows = lexicon.catalogue.rows.iter().filter(|r| r.attribute == key);
                takers.extend(rows.filter(|r| r.values.iter().any(|v| v == value)).map(|r| r.component.clone()));
            }
        }
    }
    takers
}

/// Whether a cue of this role alone settles what its words do.
fn decides(role: Role) -> bool {
    role.frames_talk()
        || matches!(
            role,
            Role::ScratchThat
                | Role::Correction
                | Role::NextItem
                | Role::FirstItem
                | Role::EndOfNote
                | Role::WhatIsLeft
                | Role::ReadBack
                | Role::StopListening
                | Role::StartListening
                | Role::DegreeLight
                | Role::DegreeModerate
                | Role::DegreeHeavy
                | Role::There
                | Role::Gone
                | Role::Both
                | Role::Nothing
        )
}
