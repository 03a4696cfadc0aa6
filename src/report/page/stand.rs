//! How far a record can be relied on, and who says so.
use super::draw::stands;
use super::{Person, Proof, Signature};
use crate::record::{Act, Decision, Evidence, Fact, State};
use crate::report::{Source, clean};

/// Why the record cannot be relied on yet; nothing when every fact was settled by a person.
pub fn draft(source: &Source) -> Option<String> {
    let facts: Vec<&Fact> = source.record.facts.iter().filter(stands).collect();
    let heard = facts.iter().filter(|f| f.state == State::Heard).count();
    let disputed = facts.iter().filter(|f| f.disputed).count();
    let mut why = Vec::new();
    if !source.unread.is_empty() {
        let names = source.unread.iter().map(|name| clean(name)).collect::<Vec<_>>().join(", ");
        why.push(format!(
            "Nothing said in {names} is in it: {} not be read.",
            if source.unread.len() == 1 { "it could" } else { "they could" }
        ));
    }
    if facts.is_empty() {
        why.push("Nothing has been recorded.".to_owned());
    }
    if heard > 0 {
        why.push(format!(
            "{heard} of its {} facts were heard by a machine and not confirmed by a person.",
            facts.len()
        ));
    }
    if disputed > 0 {
        why.push(format!("{disputed} of them contradict another statement."));
    }
    if why.is_empty() { None } else { Some(why.join(" ")) }
}

pub(super) fn standing(source: &Source) -> String {
    match source.decisions.last() {
        _ if draft(source).is_some() => "Draft".to_owned(),
        Some(last) => format!("Every fact settled by a person, last on {}", moment(last.at)),
        None => "Every fact settled".to_owned(),
    }
}

/// A moment to the minute; the zone is told, since a report outlives the day.
pub(super) fn moment(at: jiff::Timestamp) -> String {
    at.strftime("%B %-d, %Y, %H:%M UTC").to_string()
}

/// `2 parts`, `1 part`.
pub(super) fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

pub(super) fn proof(evidence: &Evidence) -> Proof {
    let at = evidence.start_ms.map(|ms| format!("{}:{:02}", ms / 60_000, ms / 1000 % 60));
    Proof { note: clean(&evidence.note), at: at.unwrap_or_default(), words: clean(&evidence.words) }
}

pub(super) fn people(decisions: &[Decision]) -> Vec<Person> {
    let mut names: Vec<&str> = Vec::new();
    for decision in decisions {
        if !names.contains(&decision.by.as_str()) {
            names.push(&decision.by);
        }
    }
    names.into_iter().filter_map(|name| person(name, decisions)).collect()
}

fn person(name: &str, decisions: &[Decision]) -> Option<Person> {
    let own: Vec<&Decision> = decisions.iter().filter(|d| d.by == name).collect();
    let first = own.iter().map(|d| d.at).min()?;
    let last = own.iter().map(|d| d.at).max()?;
    let acts = [
        (Act::Confirm, "confirmed", "fact", "facts"),
        (Act::Amend, "changed", "fact", "facts"),
        (Act::Enter, "entered", "fact", "facts"),
        (Act::Reject, "rejected", "fact", "facts"),
        (Act::Show, "placed", "photograph", "photographs"),
    ];
    let told = acts.iter().filter_map(|(act, word, one, many)| {
        let number = own.iter().filter(|d| d.act == *act).count();
        (number > 0).then(|| format!("{word} {}", count(number, one, many)))
    });
    let when = if first == last { moment(first) } else { format!("{} to {}", moment(first), moment(last)) };
    Some(Person { name: clean(name), what: told.collect::<Vec<_>>().join(", "), when })
}

/// Which revision it is: `2, signed by Ida Example`.
pub(super) fn revision(source: &Source) -> String {
    match &source.revision.seal {
        Some(seal) => format!("{}, signed by {}", source.revision.number, clean(&seal.by)),
        None => format!("{}, not signed", source.revision.number),
    }
}

pub(super) fn signature(source: &Source) -> Option<Signature> {
    let seal = source.revision.seal.as_ref()?;
    Some(Signature { by: clean(&seal.by), when: moment(seal.at), seal: seal.hash() })
}
