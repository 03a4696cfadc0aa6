//! Judging as the codes and the physics do: rules over facts, and what is still missing.
//!
//! A rule is data (`lexicon/rules.toml`); an unknown fact is not an absent one. What hangs on an unknown
//! fact becomes a question, what rests on a doubtful one is provisional.
mod caution;
mod condition;
mod error;
mod example;
pub mod figure;
mod function;
mod open;
mod page;
mod phrase;
mod rule;
mod rules;
mod situation;

pub use caution::{GENERAL, caution, cautions_for};
pub use condition::{Condition, Grounds, Truth};
pub use error::Error;
pub use figure::{Figure, FigureLine, figures_for};
pub use phrase::{facts as facts_from_text, words};
pub use rule::{Ask, Bound, Caution, Class, Question, Rule, Source, Standard, Status};
pub use rules::Rules;
pub use situation::{Situation, is_certain};

use crate::record::{Concern, Fact, Limit, OpenQuestion, State};
use condition::Constants;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// What the rules draw from a record.
#[derive(Debug, Clone, Default, PartialEq, serde::Serialize)]
pub struct Judgement {
    /// Gravest first.
    pub concerns: Vec<Concern>,
    /// Conditional questions first.
    pub open: Vec<OpenQuestion>,
}

/// Under which code and on which day a record is judged.
#[derive(Debug, Clone)]
pub struct Context {
    /// Id of the standard that applies.
    pub standard: String,
    /// Ages are counted to this day's year.
    pub today: jiff::civil::Date,
    /// An office's own rules, on top of those that ship.
    pub office_rules: Option<PathBuf>,
}

impl Default for Context {
    fn default() -> Self {
        Context { standard: "irc-2021".to_owned(), today: jiff::ZonedDateTime::now().date(), office_rules: None }
    }
}

impl Context {
    /// The rules in force here; refuses a standard that nobody defined.
    pub fn rules(&self) -> Result<Rules, Error> {
        let rules = Rules::shipped()?;
        let rules = match &self.office_rules {
            Some(path) => rules.with_office(path)?,
            None => rules,
        };
        rules.require_standard(&self.standard)?;
        Ok(rules)
    }
}

/// Draws every concern and every open question from what is known.
pub fn judge(facts: &[Fact], limits: &[Limit], rules: &Rules, context: &Context) -> Judgement {
    let bench = Bench::new(rules, context);
    let items = items(facts, limits);
    let mut findings: Vec<Finding> = Vec::new();
    let mut asked = open::Asked::default();
    for &item in &items {
        let situation = Situation::of(item, facts, &rules.house);
        let certain = situation.certain();
        for (rank, rule) in rules.under(&context.standard).enumerate() {
            let found = bench.finding(rule, rank, item, &situation, &certain);
            findings.extend(found.filter(|new| !findings.iter().any(|old| old.same(new))));
            open::conditional(&bench, rule, item, &situation, &mut asked);
        }
    }
    for &item in &items {
        open::unsaid(&bench, item, &Situation::of(item, facts, &rules.house), &mut asked);
    }
    findings.sort_by_key(|f| (f.class, f.rank, f.item));
    Judgement {
        concerns: findings.iter().map(|f| bench.concern(f)).collect(),
        open: asked.unanswered(limits, &rules.house),
    }
}

/// The heaters of a record; a record of nothing is still about one.
fn items(facts: &[Fact], limits: &[Limit]) -> BTreeSet<u32> {
    let said = facts.iter().filter(|f| f.state != State::Rejected).map(|f| f.item);
    let items: BTreeSet<u32> = said.chain(limits.iter().map(|l| l.item)).collect();
    if items.is_empty() { BTreeSet::from([1]) } else { items }
}

/// Everything that conditions are evaluated with.
struct Bench<'r> {
    rules: &'r Rules,
    context: &'r Context,
    constants: Constants,
    functions: cel::Context<'r, 'r>,
}

/// A rule that holds, and why.
struct Finding<'r, 'f> {
    rule: &'r Rule,
    rank: usize,
    class: Class,
    item: u32,
    grounds: Grounds<'f>,
    provisional: bool,
}

impl Finding<'_, '_> {
    /// Two heaters on one water system share what is wrong with it.
    fn same(&self, other: &Self) -> bool {
        self.rank == other.rank && self.item == other.item && self.grounds.facts == other.grounds.facts
    }
}

impl<'r> Bench<'r> {
    fn new(rules: &'r Rules, context: &'r Context) -> Self {
        Bench {
            rules,
            context,
            constants: rules.constants(&context.standard, context.today.year()),
            functions: function::context(rules),
        }
    }

    fn truth<'f>(&self, condition: &Condition, situation: &Situation<'f>) -> Truth<'f> {
        condition.evaluate(situation, &self.constants, &self.functions)
    }

    /// Whether a rule holds, as what, and on which grounds.
    fn verdict<'f>(&self, rule: &Rule, situation: &Situation<'f>) -> Option<(Class, Grounds<'f>)> {
        let Truth::Holds(mut grounds) = self.truth(rule.holds.as_ref()?, situation) else { return None };
        match rule.lifted.as_ref().map(|unless| self.truth(unless, situation)) {
            Some(Truth::Holds(more)) => {
                grounds.facts.extend(more.facts);
                Some((rule.unless_class?, grounds))
            }
            _ => Some((rule.class, grounds)),
        }
    }

    fn finding<'f>(
        &self,
        rule: &'r Rule,
        rank: usize,
        item: u32,
        situation: &Situation<'f>,
        certain: &Situation<'f>,
    ) -> Option<Finding<'r, 'f>> {
        let (class, mut grounds) = self.verdict(rule, situation)?;
        grounds.facts.sort_by_key(|fact| situation::order(fact));
        grounds.facts.dedup();
        let provisional = self.verdict(rule, certain).map(|(class, _)| class) != Some(class);
        let item = self.home(item, &grounds.facts);
        Some(Finding { rule, rank, class, item, grounds, provisional })
    }

    /// What rests on shared parts alone belongs to the heater where it was said first.
    fn home(&self, item: u32, facts: &[&Fact]) -> u32 {
        let shared = facts.iter().all(|fact| self.rules.house.contains(&fact.component));
        facts.iter().map(|fact| fact.item).min().filter(|_| shared).unwrap_or(item)
    }

    fn concern(&self, finding: &Finding) -> Concern {
        Concern {
            rule: finding.rule.id.clone(),
            class: finding.class.name().to_owned(),
            item: finding.item,
            because: self.because(finding),
            provisional: finding.provisional,
        }
    }

    fn because(&self, finding: &Finding) -> String {
        let facts = finding.grounds.facts.iter().map(|fact| phrase::words(fact, &self.rules.catalogue));
        let limits = finding.grounds.constants.iter().filter_map(|key| self.limit_words(key));
        let figure = finding.rule.figure.as_deref();
        let figure = figure.and_then(|n| figure::summary(n, &finding.grounds.facts, self.rules, self.context));
        facts.chain(limits).chain(figure).collect::<Vec<_>>().join("; ")
    }

    fn limit_words(&self, key: &str) -> Option<String> {
        let id = key.strip_prefix("limit.")?;
        let bound = self.rules.bound(id, &self.context.standard)?;
        let unit = phrase::readable(&self.rules.limits.iter().find(|l| l.id == id)?.unit);
        Some(format!("limit {} {unit}, {}", phrase::number(bound.value), bound.source))
    }
}

#[cfg(test)]
mod tests;
