//! Noun groups: where one begins, ends, and turns into the place of what is negated.
use super::super::Stop;
use super::reach::Field;
use super::word::{Lexeme, class};

/// Silence that ends a noun group.
pub const GROUP_PAUSE_MS: u64 = 600;

/// A noun group as far as it has been read.
#[derive(Debug, Default)]
pub struct Group {
    /// Nouns and the like since the group began.
    pub seen: usize,
    /// Verbs since the negation.
    pub verbs: usize,
    /// Whether the words are the place of what is negated ("on that pan").
    pub in_place: bool,
    /// Whether the place has been named in full ("on it").
    pub placed: bool,
    /// Whether an article was among them.
    pub named: bool,
    /// Negated by way of a verb.
    pub verb: bool,
    /// Negated by a word of lacking.
    pub lack: bool,
    /// Whether a sign of harm was among them.
    pub finding: bool,
    /// Things that the caller named, since the group began.
    pub things: usize,
}

impl Group {
    /// Takes in one more word.
    pub fn take(&mut self, words: &[Lexeme], at: usize) {
        let word = &words[at];
        let next_definite = words.get(at + 1).is_some_and(|next| next.is(class::DEFINITE));
        let related = at > 0 && words[at - 1].is(class::RELATION);
        let link = word.is(class::LINK) || (word.is(class::TOWARD) && !self.verb);
        if self.seen > 0 && (word.is(class::PLACE) || (link && (next_definite || related))) {
            self.in_place = true;
            self.placed = false;
        } else if word.is(class::FINITE) {
            self.in_place = false;
            self.verbs += usize::from(self.seen > 0);
            self.seen = self.seen.min(1);
        } else if self.in_place {
            self.placed = word.is(class::PRON);
        }
        if !word.is(class::DET | class::SOFT | class::FINITE | class::PRON) {
            self.seen += 1;
        }
        self.named |= word.is(class::DET);
        self.finding |= word.is(class::FINDING);
    }

    /// Begins anew after "and", "or" or a comma.
    pub fn next_item(&mut self, words: &[Lexeme]) {
        let next = words.iter().find(|word| !word.is(class::OR | class::AND));
        // "at the valve or the union" stays a place, "at the valve or rust" does not.
        let place = |next: &Lexeme| {
            next.is(class::DEFINITE) || (next.is(class::HEAD | class::OPENER) && !next.is(class::FINDING))
        };
        self.in_place &= next.is_some_and(place);
        self.placed = false;
        self.seen = 0;
        self.things = 0;
    }
}

/// Words that tie what follows to what stands before.
pub const BINDING: u32 =
    class::PLACE | class::LINK | class::TOWARD | class::OR | class::AND | class::DET | class::FINITE | class::OWNS;

impl Field<'_> {
    /// Whether a noun group that has begun ends before the word at `at`.
    pub fn breaks_group(&self, at: usize, group: &Group) -> bool {
        let (word, last) = (&self.words[at], &self.words[at - 1]);
        if word.pause_ms >= GROUP_PAUSE_MS && !last.is(BINDING & !class::FINITE) {
            return true;
        }
        if word.is(class::CLOSING) || (self.clauses.clause(at).start == at && !word.is(class::OR | class::AND)) {
            return true;
        }
        let joining = class::OR | class::AND | class::PLACE | class::LINK | class::SOFT | class::CLOSER;
        if group.placed && !word.is(joining | class::FINITE) {
            return true;
        }
        let bound = last.is(BINDING);
        if word.is(class::PRON | class::DET) && !bound {
            let closed = (last.is(class::STATE) && !last.past) || last.is(class::FINDING);
            let kept = word.is(class::DEFINITE) && last.is(class::CHANGE);
            let object = !kept && group.verb && group.seen == 1 && !group.named && !closed;
            return !object;
        }
        if word.is(class::FINITE) && !last.is(class::FINITE) {
            return group.verb || group.verbs > 0 || (group.in_place && self.clauses.bare);
        }
        let predicate = group.verb && self.clauses.bare && last.is(class::ING);
        if predicate && (word.is(class::HEAD | class::OPENER) || word.letter) && !word.is(class::FINDING) {
            return true;
        }
        let states =
            self.clauses.bare && !group.verb && word.is(class::STATE) && !word.is(class::EXISTING | class::ING);
        if states && !bound && !last.is(class::SOFT) {
            return true;
        }
        let next_thing = self.thing_starts[at] && group.things > 0 && !bound;
        // "dents dings or damage" is a list without its comma.
        let listed = last.is(class::FINDING) && self.words.get(at + 1).is_some_and(|next| next.is(class::OR));
        (next_thing || (self.new_group(at) && !listed)) && !group.in_place && last.stop == Stop::None
    }

    /// Whether a noun group begins at `at` without anything that ties it to the word before.
    pub fn new_group(&self, at: usize) -> bool {
        let (word, last) = (&self.words[at], &self.words[at - 1]);
        if word.joined || last.is(BINDING | class::SOFT) || last.stop != Stop::None {
            return false;
        }
        let lettered = last.letter && at > 1 && self.words[at - 2].letter;
        if word.is(class::OPENER) && (last.is(class::HEAD) || lettered) {
            return true;
        }
        let plain =
            !word.is(BINDING | class::SOFT | class::STATE | class::CLOSER | class::FINDING | class::ING | class::OWNS);
        let noun = word.is(class::HEAD | class::OPENER | class::NUMBER) || (word.letter && !lettered);
        let full =
            (last.plural && !last.is(class::OPENER)) || last.is(class::STATE | class::CLOSER) || last.is(class::FULL);
        full && plain && !word.past && (noun || self.clauses.bare)
    }
}
