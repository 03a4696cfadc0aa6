//! Drawing the page from a record.
use super::stand::{count, draft, moment, people, proof, revision, signature, standing};
use super::{Caution, Change, Cover, Finding, Group, Item, Line, Page, Question, Unseen, album};
use crate::judge::Status;
use crate::record::{Act, Concern, Decision, Fact, OpenKind, Stand, State};
use crate::report::{Source, clean, figure, reading};
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

impl Page {
    /// Draws the page from a record.
    pub fn draw(source: &Source) -> Page {
        let draw = Drawing { source, items: items(source) };
        let groups = draw.groups();
        Page {
            title: clean(&source.wording.title),
            version: env!("CARGO_PKG_VERSION"),
            office: source.office.face(),
            words: source.wording.words(),
            order: source.office.order(),
            cover: cover(source),
            draft: draft(source),
            standing: standing(source),
            glance: draw.glance(&groups),
            items: draw.items.iter().map(|&item| draw.item(item)).collect(),
            readings: reading::readings(source, |item| draw.name(item)),
            figures: figure::figures(source, |item| draw.name(item)),
            limits: draw.limits(),
            open: draw.open(),
            photos: album::shots(&draw, groups.iter().flat_map(|group| &group.findings)),
            outside: source.wording.outside.iter().map(|text| clean(text)).collect(),
            files: album::unplaced(source),
            remarks: draw.remarks(),
            cautions: draw.cautions(),
            signature: signature(source),
            people: people(source.decisions),
            changes: draw.changes(),
            groups,
        }
    }
}

/// Whether a fact belongs in the report: what a person rejected was not so.
pub(super) fn stands(fact: &&Fact) -> bool {
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
        day: about.date.to_string(),
        standard: clean(standard),
        revision: revision(source),
    }
}

/// The pages of one record need its heaters' names everywhere.
pub(super) struct Drawing<'s> {
    pub(super) source: &'s Source<'s>,
    items: Vec<u32>,
}

impl Drawing<'_> {
    /// What a reader calls a heater: its number where there are several, and where it stands.
    pub(super) fn name(&self, item: u32) -> String {
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
            pictures: rule.map(|rule| album::of_rule(self, rule, concern.item)).unwrap_or_default(),
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

    /// What else was said, only where the office chose to tell it.
    fn remarks(&self) -> Vec<String> {
        if !self.source.office.remarks {
            return Vec::new();
        }
        self.source.record.remarks.iter().map(|remark| clean(remark)).collect()
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
