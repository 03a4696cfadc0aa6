//! What a listening session tells whoever watches it.
use super::level::Fault;
use crate::lexicon::Catalogue;
use crate::record::{Fact, Record, same_slot, same_value};

/// One thing that happened.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    /// A note was begun.
    Note {
        name: String,
    },
    /// A note has ended and is listed with its hash.
    Listed {
        name: String,
    },
    /// Facts heard, in the order spoken; and what the record holds now.
    Heard {
        lines: Vec<Line>,
        standing: Standing,
    },
    /// A spoken command was obeyed, or taken back.
    Obeyed {
        words: String,
        undone: bool,
    },
    /// An answer to a spoken question.
    Answer {
        lines: Vec<String>,
    },
    /// Something is wrong with the sound, or no longer.
    Trouble(Trouble),
    Fine(Trouble),
    /// Words can't be made out any more; the sound goes on.
    NoWords {
        why: String,
    },
}

/// What can go wrong with the sound.
#[derive(Debug, Clone, PartialEq)]
pub enum Trouble {
    Sound(Fault),
    /// The device is gone.
    Lost {
        why: String,
    },
    /// So many minutes of sound still fit on the disk.
    DiskLow {
        minutes: u64,
    },
    /// Sound can't be written; it is kept in memory.
    DiskFull {
        why: String,
    },
}

impl Trouble {
    /// What is wrong and what to do, in few words.
    pub fn words(&self) -> String {
        match self {
            Trouble::Sound(Fault::Muted) => "NO SOUND: microphone off or unplugged?".to_owned(),
            Trouble::Sound(Fault::Clipped) => "TOO LOUD: hold it farther away".to_owned(),
            Trouble::Sound(Fault::Quiet) => "TOO QUIET: hold it closer".to_owned(),
            Trouble::Lost { why } => format!("MICROPHONE GONE: plug it in ({why})"),
            Trouble::DiskLow { minutes } => format!("DISK NEARLY FULL: {minutes} min left"),
            Trouble::DiskFull { why } => format!("NOT ON DISK YET: free some space ({why})"),
        }
    }

    /// Whether both are the same trouble, whatever their numbers.
    pub fn same(&self, other: &Trouble) -> bool {
        match (self, other) {
            (Trouble::Sound(a), Trouble::Sound(b)) => a == b,
            _ => std::mem::discriminant(self) == std::mem::discriminant(other),
        }
    }
}

/// How a heard line stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    Sure,
    Unsure,
    /// Taken back, corrected or heard otherwise by now.
    Gone,
}

/// A fact, a photograph or a limit in few words.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    pub mark: Mark,
    pub text: String,
}

impl Line {
    /// Whether nothing speaks against it.
    pub fn is_sure(&self) -> bool {
        self.mark == Mark::Sure
    }
}

/// Where the record stands.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Standing {
    pub facts: usize,
    /// The open questions, those that a judgement hangs on first.
    pub left: Vec<String>,
    /// Whether what is said is read just now.
    pub deaf: bool,
}

/// What is in the new record and was not in the old one, and the other way round.
pub fn changes(old: &Record, new: &Record, catalogue: &Catalogue) -> Vec<Line> {
    let has = |record: &Record, fact: &Fact| {
        record.facts.iter().any(|f| same_slot(f, fact) && same_value(&f.value, &fact.value))
    };
    let spoken = |fact: &Fact| fact.evidence.iter().filter_map(|e| e.end_ms).max();
    let mut fresh: Vec<&Fact> = new.facts.iter().filter(|f| !has(old, f)).collect();
    fresh.sort_by_key(|fact| spoken(fact));
    let gone = old.facts.iter().filter(|f| !has(new, f)).map(|f| Line { mark: Mark::Gone, text: words(f, catalogue) });
    let facts = fresh.into_iter().map(|f| Line { mark: mark(f), text: words(f, catalogue) });
    let photos = new.photos.iter().skip(old.photos.len()).map(|p| sure(format!("photo of {}", plain(&p.of))));
    let limits = new.limits.iter().skip(old.limits.len()).map(|l| sure(format!("not seen: {}", plain(&l.component))));
    gone.chain(facts).chain(photos).chain(limits).collect()
}

/// The last facts of a note, oldest first.
pub fn last(record: &Record, count: usize, catalogue: &Catalogue) -> Vec<Line> {
    let spoken = |fact: &Fact| fact.evidence.iter().filter_map(|e| e.end_ms).max();
    let mut facts: Vec<&Fact> = record.facts.iter().filter(|f| spoken(f).is_some()).collect();
    facts.sort_by_key(|fact| spoken(fact));
    let from = facts.len().saturating_sub(count);
    facts[from..].iter().map(|f| Line { mark: mark(f), text: words(f, catalogue) }).collect()
}

fn mark(fact: &Fact) -> Mark {
    if crate::confirm::is_doubtful(fact) || fact.disputed { Mark::Unsure } else { Mark::Sure }
}

fn words(fact: &Fact, catalogue: &Catalogue) -> String {
    let item = if fact.item > 1 { format!("heater {}: ", fact.item) } else { String::new() };
    format!("{item}{}", crate::confirm::text::clean(&crate::judge::words(fact, catalogue)))
}

fn sure(text: String) -> Line {
    Line { mark: Mark::Sure, text }
}

fn plain(component: &str) -> String {
    component.replace('-', " ")
}
