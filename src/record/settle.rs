//! What decisions do to the facts that were heard.
use super::merge::{Slots, contradicts, same_slot, same_value};
use super::{Act, Decision, Evidence, Fact, FactName, Stand, State, Value};

/// Applies standing decisions in the order made.
pub fn settle(facts: &mut Vec<Fact>, decisions: &[Decision]) {
    // What the notes say now, before any decision changes it.
    let heard = facts.clone();
    for decision in decisions {
        match (decision.act, &decision.is) {
            (Act::Confirm | Act::Amend | Act::Enter, Some(is)) => choose(facts, decision, is),
            (Act::Reject, _) => reject(facts, decision),
            _ => {}
        }
    }
    reopen(facts, &heard, decisions);
}

/// The facts that a name means: those of its place, or the only ones there are.
pub fn named(facts: &[Fact], name: &FactName) -> Vec<usize> {
    let of_key: Vec<usize> = (0..facts.len()).filter(|&i| name.same_key(&facts[i])).collect();
    let one_slot = of_key.iter().all(|&a| of_key.iter().all(|&b| same_slot(&facts[a], &facts[b])));
    // A place may be worded anew when a note is heard again; with one slot there is no doubt which is meant.
    if one_slot { of_key } else { of_key.into_iter().filter(|&i| facts[i].place == name.place).collect() }
}

/// One value stands; what contradicts it and was known when it was decided is rejected.
fn choose(facts: &mut Vec<Fact>, decision: &Decision, is: &Stand) {
    let slot = named(facts, &decision.fact);
    let find = |test: &dyn Fn(&Fact) -> bool| slot.iter().copied().find(|&i| test(&facts[i]));
    let chosen = find(&|f| same_value(&f.value, &is.value))
        .or_else(|| find(&|f| was(f, decision)))
        .or_else(|| find(&|f| known(f, decision)));
    let chosen = chosen.unwrap_or_else(|| {
        facts.push(carried(decision, is));
        facts.len() - 1
    });
    for &i in slot.iter().filter(|&&i| i != chosen) {
        if known(&facts[i], decision) {
            set_aside(&mut facts[i]);
        }
    }
    let fact = &mut facts[chosen];
    if !same_value(&fact.value, &is.value) {
        fact.range = None;
        fact.spoken = None;
    }
    fact.value = is.value.clone();
    fact.unit = is.unit.clone();
    fact.state = is.state;
    fact.confidence = 1.0;
    fact.disputed = false;
    if !slot.is_empty() {
        fact.doubts.clear();
    }
}

/// A decided fact that the notes no longer give: it stays, with the words it rested on and a word that they are gone.
fn carried(decision: &Decision, is: &Stand) -> Fact {
    let mut fact = Fact::new(&decision.fact.component, &decision.fact.attribute, is.value.clone());
    fact.item = decision.fact.item;
    fact.place = decision.fact.place.clone();
    fact.evidence = decision.basis.clone();
    if !decision.heard.is_empty() {
        fact.doubts = vec![format!("{} decided this; the notes, as heard now, no longer say it", decision.by)];
    }
    fact
}

fn reject(facts: &mut [Fact], decision: &Decision) {
    for i in named(facts, &decision.fact) {
        if was(&facts[i], decision) {
            set_aside(&mut facts[i]);
        }
    }
}

fn set_aside(fact: &mut Fact) {
    fact.state = State::Rejected;
    fact.disputed = false;
}

/// Whether the fact is the one that the decision was about.
fn was(fact: &Fact, decision: &Decision) -> bool {
    decision.was.as_ref().is_some_and(|was| same_value(&was.value, &fact.value))
}

/// Whether whoever decided had this value before them.
fn known(fact: &Fact, decision: &Decision) -> bool {
    fact.state != State::Heard || decision.heard.iter().any(|v| same_value(v, &fact.value))
}

/// Disputes what is left: facts that nobody has decided between, and decided ones that a later note contradicts.
fn reopen(facts: &mut [Fact], heard: &[Fact], decisions: &[Decision]) {
    let rejected = |f: &Fact| f.state == State::Rejected;
    let (now, before) = (Slots::over(facts), Slots::over(heard));
    for at in 0..facts.len() {
        if rejected(&facts[at]) {
            continue;
        }
        let rival = |f: &&Fact| !rejected(f) && contradicts(f, &facts[at]);
        let own = now.of(&facts[at]).iter().map(|&i| &facts[i]);
        let rivals: Vec<Value> = own.filter(rival).map(|f| f.value.clone()).collect();
        // A dispute that the reading itself found within one statement has no rival to be rejected.
        let alone = || !before.of(&facts[at]).iter().any(|&i| contradicts(&heard[i], &facts[at]));
        let disputed = !rivals.is_empty() || (facts[at].disputed && alone());
        facts[at].disputed = disputed;
        if !rivals.is_empty() && facts[at].state != State::Heard {
            let since = decisions.iter().rev().find(|d| d.fact.same_key(&facts[at]));
            let rivals: Vec<String> = rivals.iter().map(Value::to_string).collect();
            let by = since.map_or("a person", |d| d.by.as_str());
            facts[at].doubts.push(format!("since {by} decided this, a note says {}", rivals.join(", ")));
        }
    }
}

/// What a fact rests on, for the journal: the values heard in its slot and their proofs. The facts are those before
/// any decision.
pub fn basis(facts: &[Fact], name: &FactName) -> (Vec<Value>, Vec<Evidence>) {
    let slot = named(facts, name);
    let values = slot.iter().map(|&i| facts[i].value.clone()).collect();
    (values, slot.iter().flat_map(|&i| facts[i].evidence.clone()).collect())
}
