//! Words to facts: numbers and units, terms, scope, corrections, linking.
mod abroad;
mod account;
mod amend;
mod asked;
mod carry;
mod claim;
pub mod confidence;
mod contrast;
mod item;
mod limit;
mod mention;
mod moved;
mod name;
pub mod nearest;
mod note;
pub mod number;
mod order;
mod photo;
mod presence;
mod reach;
pub mod restore;
mod revise;
mod same;
pub mod scope;
mod segment;
mod sense;
mod state;
mod taken;
mod token;
mod value;
mod view;

use crate::lexicon::Lexicon;
use crate::recognize::Transcript;
use crate::record::{Command, Evidence, Fact, Limit, Photo};
use account::Ledger;
use claim::Claim;
use confidence::{Doubts, Ground};
use item::Items;
use note::Note;
use std::collections::{BTreeMap, HashMap};
use std::ops::Range;

pub use token::{Stop, Token, tokenize};

/// What one note says.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Reading {
    pub facts: Vec<Fact>,
    /// What the confidence of each fact was computed from, in the same order.
    pub doubts: Vec<Doubts>,
    pub limits: Vec<Limit>,
    pub photos: Vec<Photo>,
    pub commands: Vec<Command>,
    /// Sentences that made no fact, word for word.
    pub remarks: Vec<(String, Evidence)>,
}

/// Reads the facts out of one note; `name` names it in the evidence.
pub fn facts(transcript: &Transcript, lexicon: &Lexicon, name: &str) -> Reading {
    let note = Note::of(transcript, lexicon);
    let mut orders = order::orders(&note);
    let unheard = order::unheard(&note, &orders);
    let heard = |at: usize| !unheard.iter().any(|stretch| stretch.contains(&at));
    orders.retain(|o| heard(o.at.start));
    let (mut photos, mut limits) = (photo::marks(&note), limit::marks(&note));
    photos.retain(|photo| heard(photo.at.start));
    limits.retain(|limit| heard(limit.at.start));
    let mut taken = vec![false; note.tokens.len()];
    let passed = photo::passed_over(&note);
    for span in photos.iter().map(|p| &p.at).chain(limits.iter().flat_map(|l| &l.parts)).chain(&passed) {
        taken[span.clone()].fill(true);
    }
    let spent = |span: &Range<usize>| taken[span.clone()].contains(&true);
    let mut claims = drawn(&note, &spent);
    claims.retain(|claim| heard(claim.at.start));
    claims.sort_by_key(|c| c.at.start);
    moved::parts(&note, &mut claims);
    let gone = revise::scratch(&note, &orders, &mut claims);

    let marks = photos.iter().map(|p| p.at.start).chain(limits.iter().map(|l| l.at.start));
    let told = claims.iter().map(|c| c.at.start).chain(marks).collect();
    let items = Items::find(&note, &orders, told, &claims);
    let mut ledger = Ledger::new(&note, transcript, name);
    let mut reading = Reading::default();
    let ground = Ground::of(&note, transcript.timed);
    let mut owned: BTreeMap<u32, Vec<Claim>> = BTreeMap::new();
    for claim in claims {
        for item in items.all_of(claim.at.start) {
            owned.entry(item).or_default().push(claim.clone());
        }
    }
    for (item, mut own) in owned {
        revise::correct(&note, &orders, &mut own);
        let (facts, doubts) = settled(&note, &ground, own, item, &mut ledger);
        reading.facts.extend(facts);
        reading.doubts.extend(doubts);
    }
    let kept = |at: &Range<usize>| !gone.iter().any(|g| g.contains(&at.start));
    for photo in photos.iter().filter(|p| kept(&p.at)) {
        let evidence = vec![ledger.evidence(&photo.at, "photo")];
        reading.photos.push(Photo { of: photo.of.clone(), item: items.of(photo.at.start), evidence });
    }
    for limit in limits.iter().filter(|l| kept(&l.at)) {
        let evidence = vec![ledger.evidence(&limit.at, "limit")];
        let item = items.of(limit.at.start);
        reading.limits.push(Limit { component: limit.component.clone(), why: limit.why.clone(), item, evidence });
    }
    for order in &orders {
        let evidence = vec![ledger.evidence(&order.at, order.kind)];
        reading.commands.push(Command { kind: order.kind.into(), undone: order.undone, evidence });
    }
    close(&mut ledger, &mut reading);
    reading.remarks = ledger.remarks();
    reading
}

/// A note of so many tokens is worth a second thread.
const LONG: usize = 2000;

/// Does two things, side by side where there is much to do.
fn both<A, B: Send>(much: bool, one: impl FnOnce() -> A, other: impl FnOnce() -> B + Send) -> (A, B) {
    if !much {
        return (one(), other());
    }
    std::thread::scope(|scope| {
        let other = scope.spawn(other);
        let one = one();
        // A panic of the one is a panic of both.
        (one, other.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
    })
}

/// All claims before corrections.
fn drawn(note: &Note, spent: &(dyn Fn(&Range<usize>) -> bool + Sync)) -> Vec<Claim> {
    let stated = || {
        let mut claims = state::claims(note, spent);
        let degrees = state::bare_degrees(note, spent, &claims);
        claims.extend(degrees);
        claims
    };
    let counted = || {
        let mut numbers = value::claims(note, spent);
        taken::places(note, &mut numbers);
        (numbers, name::claims(note))
    };
    let (mut claims, (numbers, mut names)) = both(note.tokens.len() > LONG, stated, counted);
    claims.extend(numbers);
    let contrary = contrast::claims(note, &claims);
    claims.extend(contrary);
    claims.extend(asked::claims(note));
    let alike = same::claims(note, &claims);
    claims.extend(alike);
    let there = presence::claims(note, spent, &claims);
    claims.extend(there);
    let missing = same::missing(note, &claims);
    claims.extend(missing);
    let within = |name: &Claim, c: &Claim| name.is("water-heater", "brand") && name.at.contains(&c.at.start);
    // Words that state something as a whole are no maker ("lectric"); a firm's name states nothing else, whatever is in
    // it ("Copper Basin Heat").
    claims.sort_by_key(|c| c.at.start);
    let from = |at: usize| claims.partition_point(|c| c.at.start < at);
    let inside = |name: &Claim| &claims[from(name.at.start)..from(name.at.end)];
    names.retain(|name| !inside(name).iter().any(|c| within(name, c) && name.at.end <= c.at.end));
    let firms: Vec<Range<usize>> =
        names.iter().filter(|n| n.is("water-heater", "brand")).map(|n| n.at.clone()).collect();
    let mut named = vec![false; note.tokens.len()];
    firms.into_iter().for_each(|at| named[at].fill(true));
    claims.retain(|c| !named[c.at.start]);
    claims.extend(names);
    // A room or a name alone is small talk: "I'm on the porch, waiting for the key."
    let weak = |c: &Claim| c.is("water-heater", "place") || c.is("water-heater", "brand");
    let styled = claims.iter().any(|c| c.is("water-heater", "style"));
    if (!styled && abroad::leaves_heater_out(note)) || (claims.iter().all(weak) && !note.parts().any(|_| true)) {
        claims.clear();
    }
    abroad::drop_talk(note, &mut claims);
    let style = storage_by_volume(&claims);
    claims.extend(style);
    let closed = closed_by_regulator(&claims);
    claims.extend(closed);
    claims
}

/// A pressure regulator closes the loop where nothing else is said of it.
fn closed_by_regulator(claims: &[Claim]) -> Option<Claim> {
    let told = |attribute: &str| claims.iter().any(|c| c.is("water-system", attribute));
    let there = |c: &&Claim| c.is("water-system", "regulator") && c.value.as_text() == Some("present");
    let regulator = claims.iter().find(there).filter(|_| !told("loop") && !told("source"))?;
    let closed = crate::record::Value::Text("closed".into());
    let mut claim = Claim::new("water-system", "loop", closed, regulator.at.clone(), "a regulator closes the loop");
    claim.signs = claim::Signs { implied: true, ..regulator.signs.clone() };
    Some(claim)
}

/// A volume with no other style said makes a storage heater.
fn storage_by_volume(claims: &[Claim]) -> Vec<Claim> {
    claims
        .iter()
        .filter(|c| c.is("water-heater", "capacity"))
        .map(|c| {
            let mut style = Claim::new(
                "water-heater",
                "style",
                crate::record::Value::Text("storage".into()),
                c.at.clone(),
                "a volume makes a storage heater",
            );
            style.signs = claim::Signs { implied: true, ..c.signs.clone() };
            style
        })
        .collect()
}

/// The facts of one heater: settled, with what they imply, each with its proof and what speaks against it.
fn settled(
    note: &Note,
    ground: &Ground,
    mut claims: Vec<Claim>,
    item: u32,
    ledger: &mut Ledger,
) -> (Vec<Fact>, Vec<Doubts>) {
    let implied = presence::implied(note, &claims);
    claims.extend(implied);
    revise::settle(&mut claims);
    let mut facts: Vec<Fact> = Vec::new();
    let mut held: Vec<Doubts> = Vec::new();
    // The facts of each attribute: a long note is not searched for each claim.
    let mut slots: HashMap<(&str, &str), Vec<usize>> = HashMap::new();
    for claim in &claims {
        let evidence = ledger.evidence(&claim.reach(), &claim.rule);
        let doubts = confidence::doubts_of(note, ground, claim);
        let slot = slots.entry((&claim.component, &claim.attribute)).or_default();
        if let Some(at) = slot.iter().copied().find(|at| facts[*at].value == claim.value) {
            let (fact, least) = (&mut facts[at], &mut held[at]);
            // Of two statements of one thing the surer counts.
            if confidence::of(&doubts) > confidence::of(least) {
                *least = doubts;
            }
            if fact.evidence.iter().all(|e| e.span != evidence.span) {
                fact.evidence.push(evidence);
            }
            continue;
        }
        let mut fact = Fact::new(&claim.component, &claim.attribute, claim.value.clone());
        fact.unit = claim.unit.clone();
        fact.range = claim.range;
        fact.spoken = claim.spoken.clone();
        fact.place = claim.place.clone();
        fact.item = item;
        fact.doubts = confidence::reasons(claim);
        fact.evidence.push(evidence);
        slot.push(facts.len());
        facts.push(fact);
        held.push(doubts);
    }
    dispute(&mut facts, &mut held);
    for (fact, doubts) in facts.iter_mut().zip(&held) {
        fact.confidence = confidence::of(doubts);
    }
    (facts, held)
}

/// Marks facts that disagree.
fn dispute(facts: &mut [Fact], doubts: &mut [Doubts]) {
    let keys: Vec<String> = facts.iter().map(Fact::key).collect();
    let mut told: HashMap<&str, usize> = HashMap::new();
    keys.iter().for_each(|key| *told.entry(key).or_default() += 1);
    for (index, fact) in facts.iter_mut().enumerate() {
        if told[keys[index].as_str()] > 1 {
            fact.disputed = true;
            doubts[index].dispute();
        }
    }
}

/// Lets each proof take in the small words left beside it.
fn close(ledger: &mut Ledger, reading: &mut Reading) {
    let mut proofs: Vec<&mut Evidence> = Vec::new();
    proofs.extend(reading.facts.iter_mut().flat_map(|f| f.evidence.iter_mut()));
    proofs.extend(reading.photos.iter_mut().flat_map(|p| p.evidence.iter_mut()));
    proofs.extend(reading.limits.iter_mut().flat_map(|l| l.evidence.iter_mut()));
    proofs.extend(reading.commands.iter_mut().flat_map(|c| c.evidence.iter_mut()));
    ledger.close(&mut proofs);
}
