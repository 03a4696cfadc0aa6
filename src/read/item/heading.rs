//! What tells one heater from another: fuel, volume, maker, year, and the words that lead it in.
use super::lead::{self, Lead};
use super::{Begin, Several};
use crate::read::claim::Claim;
use crate::read::note::{Note, strong_part};
use crate::record::Value;
use std::collections::{BTreeMap, HashSet};

/// What a heading tells of a heater.
const HEADING: [&str; 4] = ["capacity", "brand", "made-year", "energy"];
/// A heading is no longer than so many tokens.
const LONGEST: usize = 40;
/// With no words that lead it in, another heater's heading tells so many things otherwise than the one before.
const UNLIKE: usize = 3;
/// With a room that leads it in, so many.
const UNLIKE_ROOM: usize = 2;
/// What a heater is known by is among so many things that were told last.
const RECENT: usize = 40;
/// "Left hand one.": so short a sentence is but a name.
const SHORT: usize = 5;

/// What the note tells that can tell heaters apart, in order.
pub struct Headings<'c>(Vec<&'c Claim>);

impl<'c> Headings<'c> {
    /// Those among the claims that are not said of all heaters.
    pub fn of(claims: &'c [Claim], shared: &[bool]) -> Self {
        let own = |c: &&Claim| c.component == "water-heater" && HEADING.contains(&c.attribute.as_str());
        Headings(claims.iter().filter(own).filter(|c| !shared[c.at.start]).collect())
    }

    /// In a range of tokens.
    fn within(&self, from: usize, to: usize) -> &[&'c Claim] {
        let at = |bound: usize| self.0.partition_point(|c| c.at.start < bound);
        &self.0[at(from)..at(to.max(from))]
    }
}

/// All beginnings: those that commands order, and those that are led in without one.
pub fn begins(note: &Note, headings: &Headings, told: &[usize], ordered: Vec<Begin>, several: &Several) -> Vec<Begin> {
    let announced = several.is_announced();
    let mut walk = Walk { note, headings, told, begins: ordered, names: BTreeMap::new(), announced };
    let leads = lead::find(note);
    for (index, lead) in leads.iter().enumerate() {
        let near = leads[index + 1..].iter().take_while(|next| next.at < lead.at + LONGEST);
        let until = near.filter(|next| !next.room_only).map(|next| next.at).next().unwrap_or(usize::MAX);
        walk.take(lead, until);
    }
    walk.unled();
    walk.begins
}

/// The walk over the sentences of a note.
struct Walk<'n, 'c> {
    note: &'n Note<'n>,
    headings: &'n Headings<'c>,
    told: &'n [usize],
    /// In order.
    begins: Vec<Begin>,
    /// What each heater is called.
    names: BTreeMap<u32, HashSet<String>>,
    announced: bool,
}

impl<'n, 'c> Walk<'n, 'c> {
    /// The heater told of right before a token, and where it began.
    fn current(&self, at: usize) -> Begin {
        let before = self.begins.partition_point(|(begun, _)| *begun < at);
        before.checked_sub(1).map_or((0, 1), |last| self.begins[last])
    }

    fn highest(&self) -> u32 {
        self.begins.iter().map(|(_, item)| *item).max().unwrap_or(1)
    }

    /// What was told last of a heater, attribute by attribute, before a token.
    fn known(&self, item: u32, at: usize) -> BTreeMap<&'c str, &'c Value> {
        let before = self.headings.within(0, at);
        let recent = &before[before.len().saturating_sub(RECENT)..];
        let own = recent.iter().filter(|c| self.current(c.at.start + 1).1 == item);
        own.map(|c| (c.attribute.as_str(), &c.value)).collect()
    }

    /// How many things the words up to `until` tell otherwise than they are known of the heater told of, and how many alike.
    fn compare(&self, at: usize, until: usize, item: u32) -> (usize, usize) {
        let known = self.known(item, at);
        let (mut unlike, mut alike) = (HashSet::new(), HashSet::new());
        for claim in self.headings.within(at, until.min(at + LONGEST)) {
            match known.get(claim.attribute.as_str()) {
                Some(value) if **value == claim.value || may_be_one(value, &claim.value) => {
                    alike.insert(&claim.attribute)
                }
                Some(_) => unlike.insert(&claim.attribute),
                None => continue,
            };
        }
        (unlike.len(), alike.len())
    }

    fn take(&mut self, lead: &Lead, until: usize) {
        // What a command orders stands.
        let next = self.begins.partition_point(|(at, _)| *at < lead.at);
        if let Some((_, item)) = self.begins.get(next).filter(|(at, _)| *at < lead.end).copied() {
            self.call(item, lead);
            return;
        }
        let (begun, item) = self.current(lead.at);
        let from = self.told.partition_point(|told| *told < begun);
        let told_since = self.told.get(from).is_some_and(|told| *told < lead.at);
        if !told_since {
            self.call(item, lead);
            return;
        }
        let (unlike, alike) = self.compare(lead.at, until, item);
        if self.is_another(lead, item, unlike, alike) {
            let item = match self.known_by_name(lead) {
                Some(known) if known != item && self.compare(lead.at, until, known).0 == 0 => known,
                _ => self.highest() + 1,
            };
            self.begin(lead.at, item);
            self.call(item, lead);
        } else if let Some(known) = self.known_by_name(lead).filter(|known| *known != item && unlike == 0) {
            // "Next heater. Cellar. Also gas, forty gallons": that goes on with the heading of the one.
            let headed = !self.known(item, lead.at).is_empty();
            let fits = self.compare(lead.at, until, known).0 == 0;
            if lead.back || (headed && fits && (!lead.room_only || lead.end - lead.at <= SHORT)) {
                self.begin(lead.at, known);
            }
        }
    }

    /// Whether a lead is to another heater than the one told of.
    fn is_another(&self, lead: &Lead, item: u32, unlike: usize, alike: usize) -> bool {
        let called = self.names.get(&item);
        let contrast = !lead.named.is_empty() && called.is_some_and(|c| lead.named.iter().all(|n| !c.contains(n)));
        let name_only = lead.end - lead.at <= SHORT && !lead.room_only;
        let heading = unlike + alike > 0;
        if lead.room_only {
            return unlike >= UNLIKE_ROOM && self.highest() == 1;
        }
        if lead.other {
            return unlike > 0 || alike > 1;
        }
        unlike >= UNLIKE_ROOM
            || (unlike > 0 && (self.announced || (lead.heater && contrast)))
            || (self.announced && contrast && (heading || name_only))
    }

    /// The one heater, of several, that goes by the name of a lead.
    fn known_by_name(&self, lead: &Lead) -> Option<u32> {
        if self.highest() < 2 {
            return None;
        }
        let goes_by = |item: &u32| {
            let told = |word: &String| self.names.get(item).is_some_and(|names| names.contains(word));
            lead.named.iter().any(told) || lead.named.iter().any(|word| self.is_fueled(*item, lead.at, word))
        };
        let mut found = (1..=self.highest()).filter(goes_by);
        found.next().filter(|_| found.next().is_none())
    }

    /// "The gas one": whether a heater is known to burn it.
    fn is_fueled(&self, item: u32, at: usize, word: &str) -> bool {
        let known = self.known(item, at);
        let fuel = known.get("energy").and_then(|value| value.as_text()).unwrap_or_default();
        matches!((word, fuel), ("gas", "natural-gas" | "propane") | ("propane", "propane") | ("electric", "electric"))
    }

    fn begin(&mut self, at: usize, item: u32) {
        let place = self.begins.partition_point(|(begun, _)| *begun < at);
        self.begins.insert(place, (at, item));
    }

    fn call(&mut self, item: u32, lead: &Lead) {
        self.names.entry(item).or_default().extend(lead.named.iter().cloned());
    }

    /// Another heater told of with no words that lead it in: no heater has two volumes, two makers and two years.
    fn unled(&mut self) {
        if self.highest() > 1 {
            return;
        }
        let mut first: BTreeMap<&str, usize> = BTreeMap::new();
        for head in &self.headings.0 {
            let told = *first.entry(&head.attribute).or_insert(head.at.start);
            let at = self.note.sentence(head.at.start).start;
            if told + LONGEST <= head.at.start && self.compare(at, usize::MAX, 1).0 >= UNLIKE {
                self.begin(self.led_in(at), 2);
                return;
            }
        }
    }

    /// The beginning of the sentences that lead a heading in: those before it that only tell a room.
    fn led_in(&self, at: usize) -> usize {
        let note = self.note;
        let mut sentence = note.sentence_of(at);
        for _ in 0..2 {
            let Some(before) = sentence.checked_sub(1).map(|n| note.segments.sentences[n].clone()) else { break };
            if before.len() > SHORT * 2 || !self.headings.within(before.start, before.end).is_empty() {
                break;
            }
            if note.mentions_in(&before).iter().any(|m| strong_part(m).is_some()) {
                break;
            }
            sentence -= 1;
        }
        note.segments.sentences[sentence].start
    }
}

/// "A gas heater", then "propane": the one tells more of the other.
fn may_be_one(one: &Value, other: &Value) -> bool {
    let gas = |value: &Value| matches!(value.as_text(), Some("natural-gas" | "propane"));
    gas(one) && gas(other)
}
