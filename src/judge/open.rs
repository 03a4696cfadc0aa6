//! What is still missing: questions that a rule hangs on, then what is always asked for.
use super::condition::{Grounds, Truth};
use super::phrase;
use super::rule::Rule;
use super::situation::Situation;
use super::{Bench, Question};
use crate::lexicon::Row;
use crate::record::{Limit, OpenKind, OpenQuestion};

/// The questions found so far, each once.
#[derive(Default)]
pub struct Asked(Vec<OpenQuestion>);

impl Asked {
    fn add(&mut self, new: OpenQuestion, house: &[String]) {
        let shared = house.contains(&new.component);
        let same = |old: &OpenQuestion| {
            (&old.component, &old.attribute) == (&new.component, &new.attribute) && (shared || old.item == new.item)
        };
        if !self.0.iter().any(same) {
            self.0.push(new);
        }
    }

    /// The questions that no limit answers, conditional ones first.
    pub fn unanswered(mut self, limits: &[Limit], house: &[String]) -> Vec<OpenQuestion> {
        let answered = |question: &OpenQuestion| {
            let shared = house.contains(&question.component);
            limits.iter().any(|l| l.component == question.component && (shared || l.item == question.item))
        };
        self.0.retain(|question| !answered(question));
        self.0.sort_by_key(|question| (question.kind == OpenKind::Unsaid, question.item));
        self.0
    }
}

/// Asks for what a rule hangs on, once enough of the rule was heard.
pub fn conditional(bench: &Bench, rule: &Rule, item: u32, situation: &Situation, asked: &mut Asked) {
    let Some(Truth::Hangs(keys)) = rule.holds.as_ref().map(|when| bench.truth(when, situation)) else { return };
    if rule.lifted.as_ref().is_some_and(|unless| bench.truth(unless, situation).holds()) {
        return;
    }
    for ask in rule.ask.iter().filter(|ask| keys.contains(&ask.key)) {
        let Some(Truth::Holds(grounds)) = ask.when.as_ref().map(|once| bench.truth(once, situation)) else { continue };
        let Some((component, attribute)) = ask.key.split_once('.') else { continue };
        let open = OpenQuestion {
            component: component.to_owned(),
            attribute: attribute.to_owned(),
            item: if bench.rules.house.iter().any(|h| h == component) {
                bench.home(item, &grounds.facts)
            } else {
                item
            },
            kind: OpenKind::Conditional,
            why: why(bench, &ask.key, &grounds),
        };
        asked.add(open, &bench.rules.house);
    }
}

/// Asks for what the catalogue always wants of this kind of heater and nobody has said.
pub fn unsaid(bench: &Bench, item: u32, situation: &Situation, asked: &mut Asked) {
    for row in bench.rules.catalogue.rows.iter().filter(|row| row.ask && applies(row, situation)) {
        let key = row.key();
        if situation.knows(&key) || is_gone(row, situation) || is_moot(bench, &key, situation) {
            continue;
        }
        let open = OpenQuestion {
            component: row.component.clone(),
            attribute: row.attribute.clone(),
            item,
            kind: OpenKind::Unsaid,
            why: why(bench, &key, &Grounds::default()),
        };
        asked.add(open, &bench.rules.house);
    }
}

/// A part known to be absent needs no more words.
fn is_gone(row: &Row, situation: &Situation) -> bool {
    row.attribute != "presence" && situation.says(&format!("{}.presence", row.component), "absent")
}

fn is_moot(bench: &Bench, key: &str, situation: &Situation) -> bool {
    let pointless = bench.rules.question(key).and_then(|q| q.pointless.as_ref());
    pointless.is_some_and(|moot| bench.truth(moot, situation).holds())
}

/// Whether a row is about this heater; of one whose kind is unknown only what is asked of all.
///
/// Whatever is not tankless has a tank. An indirect tank has neither elements nor a burner of its own.
pub fn applies(row: &Row, situation: &Situation) -> bool {
    const STYLE: &str = "water-heater.style";
    const ENERGY: &str = "water-heater.energy";
    let own_heat = !situation.says(STYLE, "indirect");
    match row.applies.as_str() {
        "storage" => situation.knows(STYLE) && !situation.says(STYLE, "tankless"),
        "electric" => own_heat && situation.says(ENERGY, "electric"),
        "gas" => own_heat && (situation.says(ENERGY, "natural-gas") || situation.says(ENERGY, "propane")),
        _ => true,
    }
}

fn why(bench: &Bench, key: &str, grounds: &Grounds) -> String {
    let question = bench.rules.question(key);
    let ask = question.map_or_else(|| key.replace(['.', '-'], " "), |q| q.ask.clone());
    let mut facts = grounds.facts.clone();
    facts.sort_by_key(|fact| super::situation::order(fact));
    facts.dedup();
    let because = facts.iter().map(|fact| phrase::words(fact, &bench.rules.catalogue)).collect::<Vec<_>>();
    match (because.is_empty(), question) {
        (false, Some(Question { look, .. })) => format!("{}: {ask} Look {look}.", because.join("; ")),
        (false, None) => format!("{}: {ask}", because.join("; ")),
        (true, _) => ask,
    }
}
