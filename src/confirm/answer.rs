//! What an answer does: values checked against the catalogue, and the decision that follows.
use super::Error;
use crate::lexicon::{Catalogue, Kind, Row};
use crate::read::{number, tokenize};
use crate::recognize::Transcript;
use crate::record::{
    Act, Decision, Fact, FactName, JOURNAL_VERSION, Journal, Stand, State, Value, basis, named, same_value,
};

/// What a person says about a fact.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    Yes,
    No,
    /// The value, and its unit where it is a number.
    Set(Value, Option<String>),
}

/// Who says it, when and why.
#[derive(Debug, Clone)]
pub struct Who {
    pub by: String,
    pub at: jiff::Timestamp,
    pub why: Option<String>,
}

/// The facts of a visit before any decision and after all of them.
#[derive(Debug, Clone, Copy)]
pub struct Facts<'a> {
    pub heard: &'a [Fact],
    pub now: &'a [Fact],
}

/// An answer as typed: `FACT` or `FACT=VALUE`.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    pub name: FactName,
    pub value: Option<String>,
}

impl std::str::FromStr for Asked {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self, Error> {
        let (name, value) = match text.split_once('=') {
            Some((name, value)) => (name, Some(value.trim().to_owned())),
            None => (text, None),
        };
        Ok(Asked { name: name.parse()?, value })
    }
}

/// The catalogue's row of a fact, or the nearest names there are.
pub fn find_row<'a>(catalogue: &'a Catalogue, name: &FactName) -> Result<&'a Row, Error> {
    catalogue.row(&name.component, &name.attribute).ok_or_else(|| {
        let key = name.key();
        let of_component = |r: &&Row| r.component == name.component;
        let mut near: Vec<String> = catalogue.rows.iter().filter(of_component).map(Row::key).collect();
        if near.is_empty() {
            near = catalogue.rows.iter().map(Row::key).filter(|k| strsim::jaro_winkler(k, &key) > 0.8).collect();
        }
        let hint = if near.is_empty() { String::new() } else { format!("; there is: {}", near.join(", ")) };
        Error::NoSuchFact { key, hint }
    })
}

/// A typed value as the catalogue stores it.
pub fn parse_value(row: &Row, text: &str) -> Result<Value, Error> {
    let text = text.trim();
    match row.kind {
        Kind::Choice | Kind::Presence => parse_choice(row, text),
        Kind::Number | Kind::Year => parse_number(row, text),
        Kind::Text => {
            let plain = !text.is_empty() && text.chars().count() <= 200 && !text.chars().any(char::is_control);
            let refuse = || Error::NoText { key: row.key(), text: text.escape_debug().to_string() };
            if plain { Ok(Value::Text(text.to_owned())) } else { Err(refuse()) }
        }
    }
}

fn parse_choice(row: &Row, text: &str) -> Result<Value, Error> {
    let typed = text.to_lowercase().replace([' ', '_'], "-");
    let choice = row.values.iter().find(|v| v.to_lowercase() == typed).cloned();
    choice.map(Value::Text).ok_or_else(|| Error::NoChoice {
        key: row.key(),
        text: text.to_owned(),
        choices: row.values.join(", "),
    })
}

fn parse_number(row: &Row, text: &str) -> Result<Value, Error> {
    let unit = row.unit.as_deref();
    let refuse = || Error::NoNumber {
        key: row.key(),
        text: text.to_owned(),
        unit: unit.map(|u| format!(" in {u}, or in a unit that becomes it")).unwrap_or_default(),
        example: if row.kind == Kind::Year { "2014".into() } else { format!("12.5 {}", unit.unwrap_or_default()) },
    };
    let bare = unit.and_then(|u| text.strip_suffix(u)).unwrap_or(text).trim();
    let number = bare.parse().ok().or_else(|| measured(text, unit?)).ok_or_else(refuse)?;
    let possible = match row.kind {
        Kind::Year => f64::fract(number) == 0.0 && (1850.0..=2200.0).contains(&number),
        _ => f64::is_finite(number) && (0.0..1e9).contains(&number),
    };
    if possible { Ok(Value::Number(number)) } else { Err(refuse()) }
}

/// A number with a unit, read as a spoken one would be: `4.5 kW`, `3/4"`, `190 litres`; nothing else may stand beside.
fn measured(text: &str, unit: &str) -> Option<f64> {
    let tokens = tokenize(&Transcript::from_text(text));
    let found = number::quantities(&tokens);
    let [only] = found.as_slice() else { return None };
    let whole = only.span == (0..tokens.len()) && only.range.is_none() && only.other.is_none();
    if whole { number::convert(only.value, only.unit?, unit) } else { None }
}

/// The decision that follows from an answer; `which` chooses between rivals.
pub fn decide(
    facts: Facts<'_>,
    name: &FactName,
    which: Option<&Value>,
    answer: Answer,
    who: &Who,
) -> Result<Decision, Error> {
    let slot = named(facts.now, name);
    let slot: Vec<&Fact> = slot.into_iter().map(|i| &facts.now[i]).collect();
    let elsewhere: Vec<&Fact> = facts.now.iter().filter(|f| name.same_key(f)).collect();
    if slot.is_empty() && !elsewhere.is_empty() && name.place.is_none() {
        return Err(several(name, &elsewhere));
    }
    let (act, was, is) = match answer {
        Answer::Yes => {
            let fact = one(name, &slot, which)?;
            (Act::Confirm, Some(fact), Some(confirmed(fact)))
        }
        Answer::No => (Act::Reject, Some(one(name, &slot, which)?), None),
        Answer::Set(value, unit) => set(&slot, value, unit),
    };
    let name = was.map_or_else(|| name.clone(), FactName::of);
    let (heard, basis) = basis(facts.heard, &name);
    Ok(Decision {
        version: JOURNAL_VERSION,
        number: 0,
        at: who.at,
        by: who.by.clone(),
        act,
        fact: name,
        was: was.map(stand),
        is,
        why: who.why.clone(),
        photo: None,
        undoes: None,
        heard,
        basis,
    })
}

/// A typed value settles all that was said about the slot: it agrees with one of the statements, or amends them, or
/// enters what nobody said.
fn set<'a>(slot: &[&'a Fact], value: Value, unit: Option<String>) -> (Act, Option<&'a Fact>, Option<Stand>) {
    let live = || slot.iter().copied().filter(|f| f.state != State::Rejected);
    if let Some(fact) = live().find(|f| same_value(&f.value, &value)) {
        return (Act::Confirm, Some(fact), Some(confirmed(fact)));
    }
    let was = live().next().or(slot.first().copied());
    let (act, state) = if was.is_some() { (Act::Amend, State::Amended) } else { (Act::Enter, State::Entered) };
    (act, was, Some(Stand { value, unit, state }))
}

/// The one fact that is meant; a rejected one only if its value was named.
fn one<'a>(name: &FactName, slot: &[&'a Fact], which: Option<&Value>) -> Result<&'a Fact, Error> {
    let meant = |f: &&Fact| match which {
        Some(value) => same_value(value, &f.value),
        None => f.state != State::Rejected,
    };
    let mut meant = slot.iter().copied().filter(meant);
    match (meant.next(), meant.next()) {
        (Some(fact), None) => Ok(fact),
        (Some(_), Some(_)) => Err(several(name, slot)),
        (None, _) => Err(Error::Unsaid { name: name.to_string() }),
    }
}

fn several(name: &FactName, facts: &[&Fact]) -> Error {
    let choices: Vec<String> = facts.iter().map(|f| format!("'{}={}'", FactName::of(f), f.value)).collect();
    Error::Several { name: name.to_string(), choices: choices.join(" or ") }
}

fn stand(fact: &Fact) -> Stand {
    Stand { value: fact.value.clone(), unit: fact.unit.clone(), state: fact.state }
}

/// What a person amended or entered stays so when another one agrees.
fn confirmed(fact: &Fact) -> Stand {
    let state = match fact.state {
        State::Heard | State::Rejected | State::Confirmed => State::Confirmed,
        other => other,
    };
    Stand { state, ..stand(fact) }
}

/// The entry that takes decision `number` back.
pub fn undo(journal: &Journal, number: u64, who: &Who) -> Result<Decision, Error> {
    let undone = journal.decisions.iter().find(|d| d.number == number);
    let undone = undone.ok_or(crate::record::Error::NoDecision { number })?;
    if undone.act != Act::Undo && !journal.standing().iter().any(|d| d.number == number) {
        return Err(crate::record::Error::Undone { number }.into());
    }
    Ok(Decision {
        version: JOURNAL_VERSION,
        number: 0,
        at: who.at,
        by: who.by.clone(),
        act: Act::Undo,
        was: undone.is.clone(),
        is: undone.was.clone(),
        why: who.why.clone(),
        photo: undone.photo.clone(),
        undoes: Some(number),
        heard: Vec::new(),
        basis: Vec::new(),
        fact: undone.fact.clone(),
    })
}

#[cfg(test)]
mod tests;
