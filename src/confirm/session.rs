//! One person going through one draft: what is asked now, and what each answer leads to. How it is drawn is elsewhere.
use super::{Answer, Ask, Costs, Error, Facts, Group, Shows, Who, decide, order, show, undo};
use crate::draft::{self, Draft};
use crate::record::{Concern, Decision, Fact, FactName, Found, Record, Seal, Value};
use std::collections::HashSet;

/// A walk through what needs a person.
pub struct Session<'d> {
    draft: &'d Draft,
    by: String,
    pub why: Option<String>,
    pub record: Record,
    costs: Costs,
    asks: Vec<Ask>,
    /// Left for later, until the program ends.
    left: HashSet<(FactName, String)>,
    /// Numbers of the decisions made since the start, so that undo takes back one's own.
    made: Vec<u64>,
}

/// What an answer led to.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    pub decision: Decision,
    /// Concerns that now hold, and that no longer do.
    pub new: Vec<Concern>,
    pub gone: Vec<Concern>,
}

impl<'d> Session<'d> {
    /// Begins with the decisions that stand now.
    pub fn new(draft: &'d Draft, by: &str) -> Result<Self, draft::Error> {
        let mut session = Session {
            draft,
            by: by.to_owned(),
            why: None,
            record: draft.record(&draft.visit.journal()?.standing()),
            costs: Costs::under(&draft.bench.rules, &draft.bench.context.standard),
            asks: Vec::new(),
            left: HashSet::new(),
            made: Vec::new(),
        };
        session.sort();
        Ok(session)
    }

    fn sort(&mut self) {
        let (record, left) = (&self.record, &self.left);
        self.asks = order(&record.facts, |fact| self.costs.of(fact));
        self.asks.retain(|ask| !left.contains(&key(&record.facts[ask.fact])));
    }

    /// What is still to be asked, in order.
    pub fn asks(&self) -> &[Ask] {
        &self.asks
    }

    /// The fact that is asked about.
    pub fn fact(&self, ask: &Ask) -> &Fact {
        &self.record.facts[ask.fact]
    }

    /// The other live statements on the same question.
    pub fn rivals(&self, fact: &Fact) -> Vec<&Fact> {
        super::rivals(&self.record.facts, fact)
    }

    /// The sure words that may be accepted together; never a number, never a doubtful one.
    pub fn sure(&self) -> Vec<&Fact> {
        self.asks.iter().filter(|a| a.group == Group::Sure).map(|a| self.fact(a)).collect()
    }

    /// Takes an answer about one fact; when this returns it is on the disk.
    pub fn answer(&mut self, fact: &Fact, answer: Answer) -> Result<Outcome, Error> {
        self.settle(&FactName::of(fact), Some(&fact.value), answer)
    }

    /// Takes an answer about a named fact, heard or not.
    pub fn settle(&mut self, name: &FactName, which: Option<&Value>, answer: Answer) -> Result<Outcome, Error> {
        let facts = Facts { heard: &self.draft.heard.facts, now: &self.record.facts };
        let decision = decide(facts, name, which, answer, &self.who())?;
        self.write(decision)
    }

    /// Whether an answer would be taken.
    pub fn check(&self, name: &FactName, which: Option<&Value>, answer: Answer) -> Result<(), Error> {
        let facts = Facts { heard: &self.draft.heard.facts, now: &self.record.facts };
        decide(facts, name, which, answer, &self.who()).map(|_| ())
    }

    /// Takes back a decision by its number, whoever made it.
    pub fn take_back(&mut self, number: u64) -> Result<Outcome, Error> {
        let entry = undo(&self.draft.visit.journal()?, number, &self.who())?;
        self.write(entry)
    }

    /// Takes back the last decision made since the start, if there is one.
    pub fn undo(&mut self) -> Result<Option<Outcome>, Error> {
        let Some(&number) = self.made.last() else { return Ok(None) };
        let outcome = self.take_back(number)?;
        self.made.truncate(self.made.len() - 2);
        Ok(Some(outcome))
    }

    /// Leaves a fact for another time.
    pub fn leave(&mut self, fact: &Fact) {
        self.left.insert(key(fact));
        self.sort();
    }

    /// What each photograph shows as things stand.
    pub fn photographs(&self) -> Result<Found, Error> {
        let visit = &self.draft.visit;
        Ok(visit.placed(&self.record, &visit.journal()?.standing())?)
    }

    /// The decisions that follow from what a person says of photographs; nothing is written.
    pub fn check_photographs(&self, shows: &[Shows]) -> Result<Vec<Decision>, Error> {
        if shows.is_empty() {
            return Ok(Vec::new());
        }
        let (found, catalogue) = (self.photographs()?, &self.draft.bench.lexicon.catalogue);
        shows.iter().map(|shows| show(&found.photographs, shows, catalogue, &self.who())).collect()
    }

    /// Takes what a person says of one photograph; when this returns it is on the disk.
    pub fn show(&mut self, shows: Shows) -> Result<Outcome, Error> {
        let decision = self.check_photographs(&[shows])?.remove(0);
        self.write(decision)
    }

    /// Writes a decision down; when this returns it is on the disk.
    pub fn write(&mut self, decision: Decision) -> Result<Outcome, Error> {
        let decision = self.draft.visit.decide(|_| Ok(vec![decision]))?.remove(0);
        self.made.push(decision.number);
        let record = self.draft.save().map_err(Box::new)?;
        let before = std::mem::replace(&mut self.record, record);
        self.sort();
        // The same finding on other grounds is neither new nor gone.
        let same = |a: &Concern, b: &Concern| (&a.rule, &a.class, a.item) == (&b.rule, &b.class, b.item);
        let only = |a: &[Concern], b: &[Concern]| -> Vec<Concern> {
            a.iter().filter(|c| !b.iter().any(|d| same(c, d))).cloned().collect()
        };
        let (new, gone) =
            (only(&self.record.concerns, &before.concerns), only(&before.concerns, &self.record.concerns));
        Ok(Outcome { decision, new, gone })
    }

    /// Seals what the person has seen, if nothing of it is left to settle.
    pub fn sign(&mut self, name: &str) -> Result<Seal, Error> {
        let left = self.unconfirmed();
        if left > 0 {
            return Err(Error::Unsettled { left });
        }
        if let Some(problem) = self.draft.problems.first() {
            return Err(Error::NotAll { problem: problem.to_string() });
        }
        let record = self.draft.save().map_err(Box::new)?;
        if record != self.record {
            self.record = record;
            self.sort();
            return Err(crate::record::Error::Moved { path: self.draft.visit.root().to_owned() }.into());
        }
        Ok(self.draft.visit.sign(name, jiff::Timestamp::now(), &record)?)
    }

    fn who(&self) -> Who {
        Who { by: self.by.clone(), at: jiff::Timestamp::now(), why: self.why.clone() }
    }

    /// How many facts nobody has decided.
    pub fn unconfirmed(&self) -> usize {
        order(&self.record.facts, |_| 1.0).len()
    }
}

fn key(fact: &Fact) -> (FactName, String) {
    (FactName::of(fact), fact.value.to_string())
}
