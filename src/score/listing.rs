//! Every difference on a line of its own, for whoever mends the reading.
use super::outcome::{Outcome, Stated};
use std::fmt::Write;

/// A line for each missing (`-`), extra (`+`) and changed (`~`) thing, and for words lost (`!`).
pub fn list(outcomes: &[Outcome]) -> String {
    let mut out = String::new();
    for outcome in outcomes {
        let _ = one(outcome, &mut out);
    }
    out
}

fn one(outcome: &Outcome, out: &mut String) -> std::fmt::Result {
    let name = &outcome.name;
    for fact in outcome.stated.iter().filter(|s| !s.right) {
        let (sign, wanted) = match &fact.wanted {
            Some(wanted) => ('~', format!(", wanted {wanted}")),
            None => ('+', String::new()),
        };
        writeln!(out, "{sign} {name} {} = {}{wanted}  {}", key(&fact.key, fact.item), fact.value, proof(fact))?;
    }
    for fact in &outcome.missing {
        let changed = |s: &&Stated| !s.right && s.key == fact.key && s.item == fact.item;
        if outcome.stated.iter().find(changed).is_none_or(|s| s.wanted.as_ref() != Some(&fact.value)) {
            writeln!(out, "- {name} {} = {}", key(&fact.key, fact.item), fact.value)?;
        }
    }
    for difference in &outcome.differences {
        let sign = if difference.missing { '-' } else { '+' };
        writeln!(out, "{sign} {name} {} {}", difference.kind, difference.what)?;
    }
    if !outcome.lost.is_empty() {
        writeln!(out, "! {name} words lost: {}", outcome.lost.join(" "))?;
    }
    Ok(())
}

/// `component.attribute`, with the heater's number from the second on.
fn key(key: &str, item: u32) -> String {
    if item == 1 { key.to_owned() } else { format!("{key} #{item}") }
}

fn proof(fact: &Stated) -> String {
    format!("[{:.2} {}] \"{}\"", fact.confidence, fact.rule, fact.sentence)
}
