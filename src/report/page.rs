//! What stands on the client's page, ready to be set: every string is plain text.
use super::figure::{self, Figure};
use super::reading::{self, Reading};
use super::{Source, clean};
use crate::judge::Status;
use crate::record::{Act, Concern, Decision, Evidence, Fact, OpenKind, Stand, State};
use serde::Serialize;
use std::collections::BTreeSet;

/// The order of the page, and of the classes in it: what can hurt comes first.
const CLASSES: [&str; 6] = ["unsafe", "defect", "worn", "watch", "upkeep", "limit"];
/// What the equipment is known by, in the order of a data plate.
const EQUIPMENT: [&str; 12] = [
    "brand",
    "model",
    "serial",
    "energy",
    "style",
    "capacity",
    "made-year",
    "power",
    "voltage",
    "input-rate",
    "running",
    "place",
];

/// The client's page.
#[derive(Debug, Serialize)]
pub struct Page {
    pub title: String,
    pub style: &'static str,
    pub version: &'static str,
    pub cover: Cover,
    /// Why this is a draft; nothing when every fact was settled by a person.
    pub draft: Option<String>,
    pub standing: String,
    pub glance: String,
    pub groups: Vec<Group>,
    pub items: Vec<Item>,
    pub readings: Vec<Reading>,
    pub figures: Vec<Figure>,
    pub limits: Vec<Unseen>,
    pub open: Vec<Question>,
    pub photos: Vec<Shot>,
    pub files: Vec<String>,
    pub cautions: Vec<Caution>,
    pub people: Vec<Person>,
    pub changes: Vec<Change>,
}

/// Whom and what the page is about.
#[derive(Debug, Serialize)]
pub struct Cover {
    pub property: String,
    pub client: String,
    pub inspector: String,
    pub date: String,
    pub standard: String,
}

/// The findings of one class.
#[derive(Debug, Serialize)]
pub struct Group {
    pub class: String,
    pub label: String,
    pub sign: String,
    pub meaning: String,
    pub findings: Vec<Finding>,
}

/// One judgement with what a reader needs to act on it.
#[derive(Debug, Serialize)]
pub struct Finding {
    pub anchor: String,
    pub title: String,
    pub item: String,
    pub because: String,
    pub meaning: String,
    pub next: String,
    pub trade: String,
    pub caution: String,
    pub sources: Vec<String>,
    pub provisional: bool,
}

/// One heater.
#[derive(Debug, Serialize)]
pub struct Item {
    pub name: String,
    pub facts: Vec<Line>,
    pub all: Vec<Line>,
}

/// One fact as a line of a table.
#[derive(Debug, Serialize)]
pub struct Line {
    pub part: String,
    pub label: String,
    pub value: String,
    pub standing: String,
    pub unsure: bool,
    pub proofs: Vec<Proof>,
}

/// Where something was said.
#[derive(Debug, Serialize)]
pub struct Proof {
    pub note: String,
    /// Minutes and seconds into the recording; empty for typed text.
    pub at: String,
    pub words: String,
}

#[derive(Debug, Serialize)]
pub struct Unseen {
    pub part: String,
    pub why: String,
    pub item: String,
}

#[derive(Debug, Serialize)]
pub struct Question {
    pub what: String,
    pub why: String,
    pub item: String,
}

#[derive(Debug, Serialize)]
pub struct Shot {
    pub of: String,
    pub item: String,
    pub proof: Option<Proof>,
}

#[derive(Debug, Serialize)]
pub struct Caution {
    pub title: String,
    pub text: String,
}

/// How much one person settled, and when.
#[derive(Debug, Serialize)]
pub struct Person {
    pub name: String,
    pub what: String,
    pub when: String,
}

/// A decision that made the record differ from what was heard.
#[derive(Debug, Serialize)]
pub struct Change {
    pub when: String,
    pub who: String,
    pub what: String,
    pub was: String,
    pub is: String,
    pub why: String,
}

impl Page {
    /// Draws the page from a record.
    pub fn draw(source: &Source) -> Page {
        let draw = Drawing { source, items: items(source) };
        let groups = draw.groups();
        Page {
            title: clean(&source.wording.title),
            style: include_str!("page.css"),
            version: env!("CARGO_PKG_VERSION"),
            cover: cover(source),
            draft: draft(source),
            standing: standing(source),
            glance: draw.glance(&groups),
            items: draw.items.iter().map(|&item| draw.item(item)).collect(),
            readings: reading::readings(source, |item| draw.name(item)),
            figures: figure::figures(source, |item| draw.name(item)),
            limits: draw.limits(),
            open: draw.open(),
            photos: draw.photos(),
            files: source.photographs.iter().map(|name| clean(name)).collect(),
            cautions: draw.cautions(),
            people: people(source.decisions),
            changes: draw.changes(),
            groups,
        }
    }
}

/// Whether a fact belongs in the report: what a person rejected was not so.
fn stands(fact: &&Fact) -> bool {
    fact.state != State::Rejected
}

fn items(source: &Source) -> Vec<u32> {
    let record = source.record;
    let all = record.facts.iter().map(|f| f.item).chain(record.limits.iter().map(|l| l.item));
    let all: BTreeSet<u32> = all.chain(record.photos.iter().map(|p| p.item)).collect();
    if all.is_empty() { vec![1] } else { all.into_iter().collect() }
}

fn cover(source: &Source) -> Cover {
    let about = source.about;
    let standard = source.rules.standards.iter().find(|s| s.id == about.standard).map_or(&about.standard, |s| &s.name);
    Cover {
        property: clean(&about.property),
        client: clean(&about.client),
        inspector: clean(&about.inspector),
        date: about.date.strftime("%B %-d, %Y").to_string(),
        standard: clean(standard),
    }
}

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

fn standing(source: &Source) -> String {
    match source.decisions.last() {
        _ if draft(source).is_some() => "Draft".to_owned(),
        Some(last) => format!("Every fact settled by a person, last on {}", moment(last.at)),
        None => "Every fact settled".to_owned(),
    }
}

/// A moment to the minute; the zone is told, since a report outlives the day.
fn moment(at: jiff::Timestamp) -> String {
    at.strftime("%B %-d, %Y, %H:%M UTC").to_string()
}

/// `2 parts`, `1 part`.
pub fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

fn proof(evidence: &Evidence) -> Proof {
    let at = evidence.start_ms.map(|ms| format!("{}:{:02}", ms / 60_000, ms / 1000 % 60));
    Proof { note: clean(&evidence.note), at: at.unwrap_or_default(), words: clean(&evidence.words) }
}

fn people(decisions: &[Decision]) -> Vec<Person> {
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
    let acts =
        [(Act::Confirm, "confirmed"), (Act::Amend, "changed"), (Act::Enter, "entered"), (Act::Reject, "rejected")];
    let told = acts.iter().filter_map(|(act, word)| {
        let number = own.iter().filter(|d| d.act == *act).count();
        (number > 0).then(|| format!("{word} {}", count(number, "fact", "facts")))
    });
    let when = if first == last { moment(first) } else { format!("{} to {}", moment(first), moment(last)) };
    Some(Person { name: clean(name), what: told.collect::<Vec<_>>().join(", "), when })
}

/// The pages of one record need its heaters' names everywhere.
struct Drawing<'s> {
    source: &'s Source<'s>,
    items: Vec<u32>,
}

impl Drawing<'_> {
    /// What a reader calls a heater: its number where there are several, and where it stands.
    fn name(&self, item: u32) -> String {
        let number = if self.items.len() > 1 { format!("Water heater {item}") } else { "Water heater".to_owned() };
        let is_place = |f: &&Fact| f.item == item && f.key() == "water-heater.place";
        let place = self.source.record.facts.iter().filter(stands).find(is_place);
        match place.and_then(|f| f.value.as_text()) {
            Some(place) => format!("{number}, {}", clean(place)),
            None => number,
        }
    }

    fn groups(&self) -> Vec<Group> {
        let concerns = &self.source.record.concerns;
        let strange =
            concerns.iter().map(|c| c.class.as_str()).filter(|c| !CLASSES.contains(c)).collect::<BTreeSet<_>>();
        let classes = CLASSES.iter().copied().chain(strange);
        classes.filter_map(|class| self.group(class, concerns)).collect()
    }

    fn group(&self, class: &str, concerns: &[Concern]) -> Option<Group> {
        let of_class = concerns.iter().enumerate().filter(|(_, c)| c.class == class);
        let findings: Vec<Finding> = of_class.map(|(at, concern)| self.finding(at, concern)).collect();
        let words = self.source.wording.class(class);
        (!findings.is_empty()).then(|| Group {
            class: class.to_owned(),
            label: words.label,
            sign: words.sign,
            meaning: words.meaning,
            findings,
        })
    }

    fn finding(&self, at: usize, concern: &Concern) -> Finding {
        let rules = self.source.rules;
        let rule = rules.get(&concern.rule);
        let caution = rule.and_then(|r| r.caution.as_deref()).and_then(|id| rules.caution(id));
        let told = |text: Option<&String>| text.map(|t| clean(t)).unwrap_or_default();
        Finding {
            anchor: format!("finding-{}", at + 1),
            title: clean(&self.source.wording.rule(&concern.rule)),
            item: self.name(concern.item),
            because: clean(&concern.because),
            meaning: told(rule.map(|r| &r.says)),
            next: told(rule.map(|r| &r.next)),
            trade: told(rule.map(|r| &r.trade)),
            caution: told(caution.map(|c| &c.text)),
            sources: rule.map(|r| r.sources(&self.source.about.standard).map(cite).collect()).unwrap_or_default(),
            provisional: concern.provisional,
        }
    }

    fn glance(&self, groups: &[Group]) -> String {
        let record = self.source.record;
        let mut told: Vec<String> = groups.iter().map(|g| format!("{}: {}.", g.label, g.findings.len())).collect();
        if told.is_empty() {
            told.push(
                "Of what was recorded nothing calls for attention; this is no promise that the equipment is safe."
                    .into(),
            );
        }
        if !record.limits.is_empty() {
            told.push(format!("Could not be seen: {}.", count(record.limits.len(), "part", "parts")));
        }
        if !record.open.is_empty() {
            told.push(format!("Left open: {}.", count(record.open.len(), "question", "questions")));
        }
        told.join(" ")
    }

    fn item(&self, item: u32) -> Item {
        let facts: Vec<&Fact> = self.source.record.facts.iter().filter(stands).filter(|f| f.item == item).collect();
        let of_plate =
            |attribute: &&str| facts.iter().find(|f| f.component == "water-heater" && f.attribute == **attribute);
        let mut all = facts.clone();
        let rows = &self.source.catalogue.rows;
        all.sort_by_key(|f| rows.iter().position(|r| r.component == f.component && r.attribute == f.attribute));
        Item {
            name: self.name(item),
            facts: EQUIPMENT.iter().filter_map(of_plate).map(|f| self.plate_line(f)).collect(),
            all: all.into_iter().map(|f| self.line(f)).collect(),
        }
    }

    /// A line of the equipment's table; a year is told as an age too.
    fn plate_line(&self, fact: &Fact) -> Line {
        let mut line = self.line(fact);
        if let ("made-year", Some(year)) = (fact.attribute.as_str(), fact.value.as_number()) {
            let age = f64::from(self.source.about.date.year()) - year;
            if age >= 0.0 {
                line.value = format!("{}, {} at the visit", line.value, count(age as usize, "year old", "years old"));
            }
        }
        if line.unsure {
            line.value = format!("{} ({})", line.value, line.standing);
        }
        line
    }

    fn line(&self, fact: &Fact) -> Line {
        let names = &self.source.catalogue.names;
        let place = fact.place.as_ref().map(|p| format!(", {p}")).unwrap_or_default();
        let standing = match (fact.state, fact.disputed) {
            (_, true) => "contradicted by another statement",
            (State::Heard, _) => "not confirmed yet",
            (State::Confirmed, _) => "confirmed",
            (State::Amended, _) => "changed by a person",
            (State::Entered, _) => "entered by a person",
            (State::Rejected, _) => "rejected",
        };
        Line {
            part: clean(&names.part(&fact.component)),
            label: clean(&names.attribute(&fact.component, &fact.attribute)),
            value: clean(&format!("{}{place}", names.value(fact))),
            standing: standing.to_owned(),
            unsure: fact.disputed || fact.state == State::Heard,
            proofs: fact.evidence.iter().map(proof).collect(),
        }
    }

    fn limits(&self) -> Vec<Unseen> {
        let line = |l: &crate::record::Limit| Unseen {
            part: clean(&self.source.catalogue.names.part(&l.component)),
            why: clean(&l.why),
            item: self.name(l.item),
        };
        self.source.record.limits.iter().map(line).collect()
    }

    /// What a rule hangs on first, then what was never said.
    fn open(&self) -> Vec<Question> {
        let mut open: Vec<_> = self.source.record.open.iter().collect();
        open.sort_by_key(|q| q.kind == OpenKind::Unsaid);
        let names = &self.source.catalogue.names;
        let line = |q: &crate::record::OpenQuestion| Question {
            what: clean(&format!("{}: {}", names.part(&q.component), names.attribute(&q.component, &q.attribute))),
            why: clean(&q.why),
            item: self.name(q.item),
        };
        open.into_iter().map(line).collect()
    }

    fn photos(&self) -> Vec<Shot> {
        let line = |p: &crate::record::Photo| Shot {
            of: clean(&self.source.catalogue.names.part(&p.of)),
            item: self.name(p.item),
            proof: p.evidence.first().map(proof),
        };
        self.source.record.photos.iter().map(line).collect()
    }

    fn cautions(&self) -> Vec<Caution> {
        let line = |c: &crate::judge::Caution| Caution { title: clean(&c.title), text: clean(&c.text) };
        self.source.rules.cautions.iter().map(line).collect()
    }

    /// Decisions that made the record differ from what was heard; plain confirmations are only counted.
    fn changes(&self) -> Vec<Change> {
        let changed = self.source.decisions.iter().filter(|d| matches!(d.act, Act::Amend | Act::Enter | Act::Reject));
        changed.map(|d| self.change(d)).collect()
    }

    fn change(&self, decision: &Decision) -> Change {
        let names = &self.source.catalogue.names;
        let key = &decision.fact;
        let shown = |stand: &Option<Stand>| {
            stand.as_ref().filter(|s| s.state != State::Rejected).map_or("nothing".to_owned(), |stand| {
                let mut fact = Fact::new(&key.component, &key.attribute, stand.value.clone());
                fact.unit = stand.unit.clone();
                clean(&names.value(&fact))
            })
        };
        let part = names.part(&key.component);
        Change {
            when: moment(decision.at),
            who: clean(&decision.by),
            what: format!("{part}: {} ({})", names.attribute(&key.component, &key.attribute), self.name(key.item)),
            was: shown(&decision.was),
            is: shown(&decision.is),
            why: clean(decision.why.as_deref().unwrap_or_default()),
        }
    }
}

/// A source with how far it can be leant on.
fn cite(source: &crate::judge::Source) -> String {
    match source.status {
        Status::Checked => clean(&format!("{source} (seen in print, perhaps of another edition)")),
        _ => clean(&source.to_string()),
    }
}
