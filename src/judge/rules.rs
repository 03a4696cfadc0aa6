//! The rules as data: read from TOML, checked against the catalogue, compiled once.
use super::condition::{Condition, Constants};
use super::error::Error;
use super::rule::{Bound, Caution, Limit, Question, Rule, Standard};
use crate::lexicon::{Catalogue, Kind};
use serde::Deserialize;
use std::path::Path;
use std::sync::Arc;

const SHIPPED: &str = include_str!("../../lexicon/rules.toml");
const SHIPPED_NAME: &str = "lexicon/rules.toml, as it ships";

/// The content of a file of rules; an office's file may hold any part of it.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct File {
    house: Vec<String>,
    standard: Vec<Standard>,
    limit: Vec<Limit>,
    rule: Vec<Rule>,
    question: Vec<Question>,
    caution: Vec<Caution>,
    /// Rules of the shipped file that an office does without.
    drop: Vec<String>,
}

/// Every rule in force, with the limits, questions and cautions that go with them.
pub struct Rules {
    pub house: Vec<String>,
    pub standards: Vec<Standard>,
    pub limits: Vec<Limit>,
    pub rules: Vec<Rule>,
    pub questions: Vec<Question>,
    pub cautions: Vec<Caution>,
    pub(super) catalogue: Catalogue,
    pub(super) environment: Arc<cel::Env>,
}

impl Rules {
    /// The rules that ship with the program.
    pub fn shipped() -> Result<Self, Error> {
        let empty = Rules {
            house: Vec::new(),
            standards: Vec::new(),
            limits: Vec::new(),
            rules: Vec::new(),
            questions: Vec::new(),
            cautions: Vec::new(),
            catalogue: Catalogue::shipped(),
            environment: Arc::new(cel::Env::stdlib()),
        };
        empty.merged(SHIPPED, SHIPPED_NAME)
    }

    /// A hash over the rules that ship, so that what was judged by others can be told.
    pub fn shipped_version() -> String {
        crate::record::hash_bytes(SHIPPED.as_bytes())
    }

    /// These rules with an office's own on top: what has the id of one that is there replaces it.
    pub fn with_office(self, path: &Path) -> Result<Self, Error> {
        let text = std::fs::read_to_string(path).map_err(|source| Error::Read { path: path.to_owned(), source })?;
        self.merged(&text, &path.display().to_string())
    }

    /// The rule with this id.
    pub fn get(&self, id: &str) -> Option<&Rule> {
        self.rules.iter().find(|rule| rule.id == id)
    }

    /// The caution with this id.
    pub fn caution(&self, id: &str) -> Option<&Caution> {
        self.cautions.iter().find(|caution| caution.id == id)
    }

    /// How `component.attribute` is asked for.
    pub fn question(&self, key: &str) -> Option<&Question> {
        self.questions.iter().find(|question| question.key == key)
    }

    /// Refuses a standard that no file of rules defines, naming those that are.
    pub fn require_standard(&self, name: &str) -> Result<(), Error> {
        if self.standards.iter().any(|s| s.id == name) {
            return Ok(());
        }
        let known = self.standards.iter().map(|s| s.id.as_str()).collect::<Vec<_>>().join(", ");
        Err(Error::Standard { name: name.to_owned(), known })
    }

    /// The figure of a limit under a standard, or under the ones it stands on.
    pub fn bound(&self, id: &str, standard: &str) -> Option<&Bound> {
        let limit = self.limits.iter().find(|limit| limit.id == id)?;
        self.lineage(standard).into_iter().find_map(|name| limit.value.iter().find(|b| b.standard == name))
    }

    /// The standard, then what it stands on; a name nobody defined stands on the first standard.
    pub(super) fn lineage(&self, standard: &str) -> Vec<&str> {
        let find = |name: &str| self.standards.iter().find(|s| s.id == name);
        let first = find(standard).or(self.standards.first());
        let chain = std::iter::successors(first, |s| s.base.as_deref().and_then(find));
        chain.take(self.standards.len()).map(|s| s.id.as_str()).collect()
    }

    /// The rules that a standard knows.
    pub fn under(&self, standard: &str) -> impl Iterator<Item = &Rule> {
        let lineage = self.lineage(standard);
        self.rules.iter().filter(move |rule| rule.applies_under(&lineage))
    }

    /// The limits of a standard and the year, under the names that conditions use.
    pub(super) fn constants(&self, standard: &str, year: i16) -> Constants {
        let limits =
            self.limits.iter().filter_map(|l| Some((format!("limit.{}", l.id), self.bound(&l.id, standard)?.value)));
        limits.chain([("today.year".to_owned(), f64::from(year))]).collect()
    }

    fn merged(mut self, text: &str, name: &str) -> Result<Self, Error> {
        let file: File =
            toml::from_str(text).map_err(|e| Error::Parse { file: name.to_owned(), source: Box::new(e) })?;
        self.house.extend(file.house);
        replace(&mut self.standards, file.standard, |a, b| a.id == b.id);
        for limit in file.limit {
            self.merge_limit(limit);
        }
        replace(&mut self.cautions, file.caution, |a, b| a.id == b.id);
        for id in &file.drop {
            let at = self.rules.iter().position(|rule| &rule.id == id);
            let at = at.ok_or_else(|| fault(name, &format!("drop '{id}'"), "no rule has this id".to_owned()))?;
            self.rules.remove(at);
        }
        let questions = file.question.into_iter().map(|q| self.compile_question(q, name)).collect::<Result<_, _>>()?;
        replace(&mut self.questions, questions, |a, b| a.key == b.key);
        let rules = file.rule.into_iter().map(|r| self.compile_rule(r, name)).collect::<Result<_, _>>()?;
        replace(&mut self.rules, rules, |a, b| a.id == b.id);
        Ok(self)
    }

    /// An office sets one standard's figure without repeating those of the others.
    fn merge_limit(&mut self, new: Limit) {
        match self.limits.iter_mut().find(|old| old.id == new.id) {
            Some(old) => replace(&mut old.value, new.value, |a, b| a.standard == b.standard),
            None => self.limits.push(new),
        }
    }

    fn compile_question(&self, mut question: Question, file: &str) -> Result<Question, Error> {
        let entry = format!("question '{}'", question.key);
        self.check_key(&question.key).map_err(|what| fault(file, &entry, what))?;
        question.pointless = self.condition(question.moot.as_deref()).map_err(|what| fault(file, &entry, what))?;
        Ok(question)
    }

    fn compile_rule(&self, mut rule: Rule, file: &str) -> Result<Rule, Error> {
        let entry = format!("rule '{}'", rule.id);
        let at = |what| fault(file, &entry, what);
        rule.office = file != SHIPPED_NAME;
        rule.holds = self.condition(Some(&rule.when)).map_err(at)?;
        rule.lifted = self.condition(rule.unless.as_deref()).map_err(at)?;
        for ask in &mut rule.ask {
            self.check_key(&ask.key).map_err(at)?;
            ask.when = self.condition(Some(&ask.once)).map_err(at)?;
        }
        self.check_rule(&rule).map_err(at)?;
        Ok(rule)
    }

    fn check_rule(&self, rule: &Rule) -> Result<(), String> {
        if rule.source.is_empty() {
            return Err("it has no source; give one, or status = \"common-practice\"".to_owned());
        }
        if let Some(name) = rule.standards.iter().find(|name| self.require_standard(name).is_err()) {
            return Err(format!("no standard is called '{name}'"));
        }
        match rule.caution.as_deref().filter(|id| self.caution(id).is_none()) {
            Some(id) => Err(format!("no caution is called '{id}'")),
            None => Ok(()),
        }
    }

    fn condition(&self, text: Option<&str>) -> Result<Option<Condition>, String> {
        let Some(text) = text else { return Ok(None) };
        let condition = Condition::compile(text)?;
        condition.keys().iter().try_for_each(|key| self.check_key(key))?;
        condition.words().iter().try_for_each(|(key, word)| self.check_word(key, word))?;
        Ok(Some(condition))
    }

    /// A misspelt key would leave a rule unknown for ever.
    fn check_key(&self, key: &str) -> Result<(), String> {
        let (component, attribute) = key.split_once('.').unwrap_or((key, ""));
        let known = match component {
            "limit" => self.limits.iter().any(|l| l.id == attribute),
            "today" => attribute == "year",
            "any" => self.catalogue.rows.iter().any(|row| row.attribute == attribute),
            _ => self.catalogue.row(component, attribute).is_some(),
        };
        if known { Ok(()) } else { Err(format!("nothing is called '{key}'; see lexicon/catalogue.csv and the limits")) }
    }

    fn check_word(&self, key: &str, word: &str) -> Result<(), String> {
        let row = key.split_once('.').and_then(|(component, attribute)| self.catalogue.row(component, attribute));
        match row.filter(|row| matches!(row.kind, Kind::Choice | Kind::Presence)) {
            Some(row) if !row.values.iter().any(|v| v == word) => {
                Err(format!("'{key}' is never '{word}'; it is one of {}", row.values.join(", ")))
            }
            _ => Ok(()),
        }
    }
}

fn replace<T>(all: &mut Vec<T>, new: Vec<T>, same: impl Fn(&T, &T) -> bool) {
    for entry in new {
        match all.iter_mut().find(|old| same(old, &entry)) {
            Some(old) => *old = entry,
            None => all.push(entry),
        }
    }
}

fn fault(file: &str, entry: &str, what: String) -> Error {
    Error::Entry { file: file.to_owned(), entry: entry.to_owned(), what }
}

#[cfg(test)]
mod tests;
