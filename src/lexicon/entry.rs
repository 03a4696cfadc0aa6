//! What all kinds of entries have in common, for those who go through them all.
use super::term::{Cue, Example, NumberTerm, Part, Saying};
use super::{Lexicon, Match, TermRef};

/// One entry, whatever its kind.
#[derive(Debug, Clone, Copy)]
pub struct Entry<'a> {
    pub term: TermRef,
    pub id: &'a str,
    /// Which of the lexicon's files it stands in.
    pub source: usize,
    pub says: &'a [String],
    pub weak: &'a [String],
    pub misheard: &'a [String],
    pub against: &'a [String],
    pub yes: &'a [Example],
    pub no: &'a [String],
}

impl<'a> Entry<'a> {
    /// Every form as written, with the term it stands for and how surely.
    pub fn forms(&self) -> impl Iterator<Item = (&'a String, TermRef, Match)> + use<'a> {
        let own = |forms: &'a [String], term, quality| forms.iter().map(move |form| (form, term, quality));
        let against = match self.term {
            TermRef::Reading(index, _) => TermRef::Reading(index, false),
            other => other,
        };
        own(self.says, self.term, Match::Exact)
            .chain(own(self.weak, self.term, Match::Weak))
            .chain(own(self.misheard, self.term, Match::Misheard))
            .chain(own(self.against, against, Match::Exact))
    }

    /// What kind of entry it is, as its file calls it.
    pub fn kind(&self) -> &'static str {
        match self.term {
            TermRef::Part(_) => "part",
            TermRef::Saying(_) => "saying",
            TermRef::Reading(..) => "reading",
            TermRef::Cue(_) => "cue",
        }
    }
}

impl Lexicon {
    /// All entries, in the order of the files.
    pub fn entries(&self) -> impl Iterator<Item = Entry<'_>> {
        let parts = self.parts.iter().enumerate().map(|(at, p)| of_part(at, p));
        let sayings = self.sayings.iter().enumerate().map(|(at, s)| of_saying(at, s));
        let readings = self.readings.iter().enumerate().map(|(at, r)| of_reading(at, r));
        let cues = self.cues.iter().enumerate().map(|(at, c)| of_cue(at, c));
        parts.chain(sayings).chain(readings).chain(cues)
    }

    /// File and line of a text of an entry: where the entry is defined, or where more words for it stand.
    pub fn place(&self, entry: &Entry, text: &str) -> (String, usize) {
        let own = self.origin.get(entry.source);
        let holds = |source: &&super::Source| source.names(entry.id) && source.text.contains(text);
        let found = own.filter(holds).or_else(|| self.origin.iter().find(holds)).or(own);
        found.map_or((String::new(), 1), |source| (source.name.clone(), source.line(entry.id, text)))
    }
}

fn of_part(at: usize, part: &Part) -> Entry<'_> {
    let Part { id, source, says, weak, misheard, yes, no, .. } = part;
    Entry { term: TermRef::Part(at), id, source: *source, says, weak, misheard, against: &[], yes, no }
}

fn of_saying(at: usize, saying: &Saying) -> Entry<'_> {
    let Saying { id, source, says, alone, misheard, yes, no, .. } = saying;
    Entry { term: TermRef::Saying(at), id, source: *source, says, weak: alone, misheard, against: &[], yes, no }
}

fn of_reading(at: usize, reading: &NumberTerm) -> Entry<'_> {
    let NumberTerm { id, source, says, against, yes, no, .. } = reading;
    Entry { term: TermRef::Reading(at, true), id, source: *source, says, weak: &[], misheard: &[], against, yes, no }
}

fn of_cue(at: usize, cue: &Cue) -> Entry<'_> {
    let Cue { id, source, says, alone, misheard, yes, no, .. } = cue;
    Entry { term: TermRef::Cue(at), id, source: *source, says, weak: alone, misheard, against: &[], yes, no }
}
