//! How far a cue reaches.
use super::super::Stop;
use super::clause::Clauses;
use super::cue::{Hit, Kind, Reach};
use super::group::Group;
use super::word::{BE, Lexeme, NOT, class};
use std::ops::Range;

/// Words that one negation can take in, at most.
pub const FARTHEST: usize = 40;
/// Words that an advice or a report can take in where no full stop ends it.
const ONWARD_BARE: usize = 24;
/// Words that a story takes in where no full stop ends it.
const STORY_BARE: usize = 14;
/// Words that "looks like" and its like speak of.
const NEAR: usize = 8;

/// The words of a note with all that decides how far a cue reaches.
pub struct Field<'a> {
    pub words: &'a [Lexeme],
    pub hits: &'a [Option<Hit>],
    pub clauses: &'a Clauses,
    pub thing_starts: &'a [bool],
}

impl Field<'_> {
    /// The words that a cue at `at..end` reaches as one stretch.
    pub fn span(&self, at: usize, end: usize, hit: Hit) -> Range<usize> {
        let (sentence, clause) = (self.clauses.sentence(at), self.clauses.clause(at));
        match hit.reach {
            Reach::Clause => clause,
            Reach::Sentence if self.clauses.bare => clause.start..sentence.end.min(end + STORY_BARE),
            Reach::Sentence => sentence,
            Reach::Near => at..clause.end.min(end + NEAR),
            Reach::Back if end >= sentence.end => sentence.start..end,
            Reach::Onward | Reach::Back => at..self.onward_end(end, sentence.end),
            Reach::Noun | Reach::List | Reach::Lack | Reach::Verb | Reach::Predicate => {
                at..self.forward(end, hit.reach).last().map_or(end, |last| last + 1)
            }
            Reach::Subject => self.subject(at).first().map_or(at, |first| *first)..end,
            Reach::Answer | Reach::Reply => self.answered(at).map_or(at..end, |words| words.start..end),
            Reach::Anaphor => self.resumed(at, end).map_or(at..end, |words| words.start..end),
            Reach::Claim => at..self.claimed(end).end,
            Reach::Number => {
                let number = |i: &usize| !self.words[*i].is(class::NUMBER | class::UNIT | class::DET);
                at..(end..sentence.end.min(end + NEAR)).find(number).unwrap_or(sentence.end.min(end + NEAR))
            }
            Reach::Itself => at..end,
        }
    }

    /// Where what a supposition or report at `from` takes in ends.
    fn onward_end(&self, from: usize, last: usize) -> usize {
        let limit = if self.clauses.bare { last.min(from + ONWARD_BARE) } else { last };
        let mut main = false;
        for at in from..limit {
            let kind = self.hit(at).map(|hit| hit.kind);
            if kind == Some(Kind::Stop) {
                return at;
            }
            // Without full stops, "if ... you'd want ..." is over where a clause begins that supposes nothing.
            let clause = self.clauses.clause(at);
            let supposes = || clause.clone().any(|i| self.hit(i).is_some_and(|hit| hit.kind == Kind::Hypothetical));
            if self.clauses.bare && main && clause.start == at && at > from && !supposes() {
                return at;
            }
            main |= kind == Some(Kind::Hypothetical);
        }
        limit
    }

    /// The cue that starts at a word.
    pub fn hit(&self, at: usize) -> Option<Hit> {
        self.hits.get(at).copied().flatten()
    }

    /// The words after a negation that it negates.
    pub fn forward(&self, from: usize, reach: Reach) -> Vec<usize> {
        let mut out = Vec::new();
        // In "there isn't one at the meter" the noun is already spoken.
        let verb = matches!(reach, Reach::Verb | Reach::Predicate);
        let spoken = verb && from > 0 && self.words[from - 1].is(class::NUMBER);
        let mut group = Group { verb, lack: reach == Reach::Lack, seen: usize::from(spoken), ..Group::default() };
        let mut at = from;
        let sentence = self.clauses.sentence(from.saturating_sub(1));
        let last = sentence.end.min(from + FARTHEST);
        if from >= last || (self.words[from - 1].stop == Stop::Comma && reach != Reach::List) {
            return out;
        }
        if self.is_elliptic(from, reach) {
            return out;
        }
        while at < last {
            let word = &self.words[at];
            if let Some(hit) = self.hit(at) {
                match self.meet(hit, &group) {
                    Meeting::End => break,
                    Meeting::Skip => {
                        at += hit.len;
                        continue;
                    }
                    Meeting::Take => {}
                }
            }
            if group.seen > 0 && self.breaks_group(at, &group) {
                if word.is(class::FINITE) {
                    self.return_subject(&mut out);
                }
                break;
            }
            if self.clauses.bare && word.is(class::FINITE) && !verb && self.return_subject(&mut out) {
                break;
            }
            if word.is(class::OR | class::AND) && group.seen > 0 {
                if !self.joins(at, reach, &group) {
                    break;
                }
                group.next_item(self.words.get(at + 1));
                at += 1;
                continue;
            }
            group.take(self.words, at);
            group.things += usize::from(self.thing_starts[at]);
            if !group.in_place {
                out.push(at);
            }
            if word.stop == Stop::Comma && !self.list_goes_on(at + 1, reach) {
                break;
            }
            if word.is(class::CLOSER) && group.seen > 0 {
                break;
            }
            if word.stop == Stop::Comma {
                group.next_item(self.words.get(at + 1));
            }
            at += 1;
        }
        out
    }

    /// Whether nothing of what follows can be what is negated: "it isn't", "got nothing", then something new.
    fn is_elliptic(&self, from: usize, reach: Reach) -> bool {
        let next = &self.words[from];
        let predicate = class::ING | class::FINITE | class::STATE | class::PLACE | class::LINK | class::TOWARD;
        match reach {
            Reach::Predicate => !next.is(predicate | class::FINDING | class::SOFT) && !next.past,
            Reach::Verb if self.clauses.bare && from > 1 => {
                let copula = self.words[from - 2].id == BE && self.words[from - 1].id == NOT;
                copula && next.is(class::HEAD | class::OPENER) && !next.is(class::STATE | class::FINDING)
            }
            _ => false,
        }
    }

    /// Without punctuation, gives back the subject of the next clause: "no drip leg | pilot is lit".
    fn return_subject(&self, out: &mut Vec<usize>) -> bool {
        if !self.clauses.bare {
            return false;
        }
        let full = |at: &usize| self.words[*at].is(class::HEAD | class::FINDING | class::ING | class::STATE);
        let Some(first) = out.iter().position(full) else { return false };
        let more = out.len() > first + 1;
        out.truncate(first + 1);
        more
    }

    /// What another cue in its way does to a negation.
    fn meet(&self, hit: Hit, group: &Group) -> Meeting {
        match (hit.kind, hit.reach) {
            (Kind::Stop | Kind::Hypothetical | Kind::Hearsay, _) => Meeting::End,
            (Kind::Plain, _) if group.seen > 0 => Meeting::End,
            (Kind::Plain, _) => Meeting::Skip,
            (Kind::Affirmed, Reach::Answer | Reach::Reply | Reach::Anaphor) => Meeting::End,
            (Kind::Negated, Reach::Answer | Reach::Reply | Reach::Anaphor) => Meeting::End,
            (Kind::Negated, Reach::Noun | Reach::Verb | Reach::List) if group.seen > 0 && !group.verb => Meeting::End,
            (Kind::Negated, Reach::Noun | Reach::List) => Meeting::Skip,
            // "without rust without leaks" in one breath; but "not without rust" cancels out.
            (Kind::Negated, Reach::Lack) if group.seen > 0 && group.lack => Meeting::End,
            _ => Meeting::Take,
        }
    }

    /// The statement that begins at `from`, to the end of its clause.
    pub fn claimed(&self, from: usize) -> Range<usize> {
        let sentence = self.clauses.sentence(from.saturating_sub(1));
        let last = sentence.end.min(from + FARTHEST);
        let end = (from + 1..last).find(|&at| {
            let clause = self.clauses.clause(at).start == at;
            let joined = self.words[at - 1].stop == Stop::Comma || self.words[at].is(class::AND);
            self.hit(at).is_some_and(|hit| hit.kind == Kind::Stop) || (clause && joined)
        });
        from..end.unwrap_or(last).max(from)
    }

    /// The words of a stretch that are not told as the place of the rest.
    pub fn without_places(&self, stretch: Range<usize>) -> Vec<usize> {
        let mut group = Group::default();
        let mut out = Vec::new();
        for at in stretch {
            if self.words[at].is(class::OR | class::AND | class::FINITE) {
                group.next_item(None);
            }
            group.take(self.words, at);
            if !group.in_place {
                out.push(at);
            }
        }
        out
    }
}

enum Meeting {
    End,
    Skip,
    Take,
}
