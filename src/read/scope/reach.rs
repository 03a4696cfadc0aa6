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
            Reach::Clause if self.clauses.bare => self.near_clause(at, end, clause),
            Reach::Clause => clause,
            Reach::Topic if clause.start != at => at..at,
            Reach::Topic => clause,
            Reach::Sentence if self.clauses.bare => {
                let limit = sentence.end.min(end + STORY_BARE);
                let new = |i: &usize| self.clauses.clause(*i).start == *i && self.hit(*i).is_none();
                clause.start..(end + 1..limit).find(new).unwrap_or(limit)
            }
            Reach::Sentence => sentence,
            Reach::Near => {
                let limit = sentence.end.min(end + NEAR);
                at..(end + 1..limit).find(|&i| self.clauses.clause(i).start == i).unwrap_or(limit)
            }
            Reach::Back if end >= sentence.end => sentence.start..end,
            Reach::Onward | Reach::Back => at..self.onward_end(end, sentence.end),
            Reach::Noun | Reach::List | Reach::Lack | Reach::Verb | Reach::Predicate | Reach::Each => {
                at..self.forward(end, hit.reach).last().map_or(end, |last| last + 1)
            }
            Reach::Subject => self.subject(at).first().map_or(at, |first| *first)..end,
            Reach::Answer | Reach::Reply => self.answered(at).map_or(at..end, |words| words.start..end),
            Reach::Anaphor => self.resumed(at, end).map_or(at..end, |words| words.start..end),
            Reach::Claim => at..self.claimed(end).end,
            Reach::Breath => {
                let limit = sentence.end.min(end + if self.clauses.bare { NEAR } else { FARTHEST });
                let but = |i: &usize| self.hit(*i).is_some_and(|hit| hit.kind == Kind::Stop);
                let stop = (end - 1..limit).find(|&i| self.words[i].stop != Stop::None).map_or(limit, |i| i + 1);
                at..(end..stop).find(but).unwrap_or(stop)
            }
            Reach::Number => {
                let number = |i: &usize| !self.words[*i].is(class::NUMBER | class::UNIT | class::DET);
                at..(end..sentence.end.min(end + NEAR)).find(number).unwrap_or(sentence.end.min(end + NEAR))
            }
            Reach::Suffix => at.saturating_sub(1)..end,
            Reach::Head => self.listed(at, end).unwrap_or(at..end),
            Reach::Itself | Reach::Inside => at..end,
        }
    }

    /// The part of a clause without punctuation that a word like "should" at `at` can speak of.
    fn near_clause(&self, at: usize, end: usize, clause: Range<usize>) -> Range<usize> {
        let last = clause.end.min(end + NEAR + 2);
        let denied = |i: &usize| self.hit(*i).is_some_and(|hit| matches!(hit.kind, Kind::Negated | Kind::Affirmed));
        let start = self.subject(at).first().copied().unwrap_or(at);
        start.max(clause.start).min(at)..(end..last).find(denied).unwrap_or(last)
    }

    /// The verb that says something of the things named at `from`, unless it only denies that they are there.
    pub fn predicate_after(&self, from: usize) -> Option<usize> {
        let last = self.clauses.sentence(from.saturating_sub(1)).end.min(from + NEAR + 4);
        for at in from..last {
            if self.words[at].is(class::FINITE) && at > from {
                let next = self.words[at..last].iter().find(|word| !word.is(class::FINITE | class::SOFT));
                return next.is_some_and(|word| !word.is(class::EXISTING)).then_some(at);
            }
            let ends = self.words[at].stop != Stop::None || self.hit(at).is_some_and(|hit| hit.kind == Kind::Stop);
            if ends || (at + 1 < last && self.new_group(at + 1)) {
                return None;
            }
        }
        None
    }

    /// The finding that is said of the things named at `from` as by a verb: "the outlet leaks".
    pub fn finding_after(&self, from: usize) -> Option<usize> {
        let last = self.clauses.sentence(from.saturating_sub(1)).end.min(from + NEAR + 4);
        for at in from + 1..last {
            if self.words[at - 1].stop != Stop::None {
                return None;
            }
            let named = self.thing_starts[at - 1] && !self.words[at - 1].is(class::FULL | class::FINDING);
            if named && self.words[at].is(class::FULL | class::FINDING) {
                return Some(at);
            }
        }
        None
    }

    /// Whether "free" or "less" at `at` belongs to the word before: "leak-free", "rust free".
    pub fn is_suffix(&self, at: usize) -> bool {
        let tied = self.words[at].joined || self.words[at.saturating_sub(1)].is(class::FINDING);
        at > 0 && tied && self.words[at - 1].stop == Stop::None
    }

    /// Where what a supposition or report at `from` takes in ends.
    fn onward_end(&self, from: usize, last: usize) -> usize {
        let limit = if self.clauses.bare { last.min(from + ONWARD_BARE) } else { last };
        let mut main = false;
        for at in from..limit {
            let kind = self.hit(at).map(|hit| hit.kind);
            let ends = self.hit(at).is_some_and(|hit| hit.kind == Kind::Stop && hit.reach == Reach::Onward);
            if ends || (self.clauses.bare && kind == Some(Kind::Hearsay)) {
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
        let last = self.clauses.sentence(from.saturating_sub(1)).end.min(from + FARTHEST);
        let apart = from > 0 && self.words[from - 1].stop == Stop::Comma && reach != Reach::List;
        if from >= last || apart || self.is_elliptic(from, reach) {
            return out;
        }
        let mut group = self.begin_group(from, reach);
        let mut at = from;
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
                if word.is(class::FINITE | class::STATE) {
                    self.return_subject(&mut out, at);
                }
                break;
            }
            let said = word.is(class::FINITE | class::EXISTING) && !group.verb && self.clauses.bare;
            if said && (self.return_subject(&mut out, at) || (group.seen > 0 && word.is_lexical_verb())) {
                break;
            }
            if word.is(class::OR | class::AND) && group.seen > 0 {
                if !self.joins(at, reach, &group) {
                    break;
                }
                if self.words[at - 1].letter && !group.in_place {
                    out.push(at);
                }
                group.next_item(&self.words[(at + 1).min(last)..last]);
                at += 1;
                continue;
            }
            group.take(self.words, at);
            group.things += usize::from(self.thing_starts[at]);
            if !group.in_place {
                out.push(at);
            }
            let comma = word.stop == Stop::Comma;
            let closed = word.is(class::CLOSER) && group.seen > 0;
            if closed || (comma && !self.list_goes_on(at + 1, reach, group.named)) {
                break;
            }
            if comma {
                group.next_item(&self.words[(at + 1).min(last)..last]);
            }
            at += 1;
        }
        out
    }

    /// The group that a cue which ends before `from` begins.
    fn begin_group(&self, from: usize, reach: Reach) -> Group {
        let ends_on = |class: u32| from > 0 && self.words[from - 1].is(class);
        Group {
            verb: matches!(reach, Reach::Verb | Reach::Predicate),
            lack: reach == Reach::Lack,
            named: ends_on(class::DET),
            // In "there isn't one at the meter" the noun is already spoken.
            seen: usize::from(ends_on(class::OBJECT)),
            ..Group::default()
        }
    }

    /// Whether nothing of what follows can be what is negated: "it isn't", "got nothing", then something new.
    fn is_elliptic(&self, from: usize, reach: Reach) -> bool {
        let next = &self.words[from];
        let predicate = class::ING | class::FINITE | class::STATE | class::PLACE | class::LINK | class::TOWARD;
        match reach {
            Reach::Predicate => !next.is(predicate | class::FINDING | class::SOFT) && !next.past,
            Reach::Verb if self.clauses.bare && from > 1 => {
                let copula = self.words[from - 2].id == BE && self.words[from - 1].id == NOT;
                let alone = self.clauses.clause(from + 1).start == from + 1;
                copula && next.is(class::HEAD | class::OPENER) && !next.is(class::STATE | class::FINDING) && !alone
            }
            _ => false,
        }
    }

    /// Without punctuation, gives back the subject of the next clause: "no drip leg | pilot is lit".
    fn return_subject(&self, out: &mut Vec<usize>, at: usize) -> bool {
        let adjacent = out.last().is_some_and(|last| last + 1 == at);
        if !self.clauses.bare || !adjacent {
            return false;
        }
        let run = (0..out.len()).rev().take_while(|&i| out[i] + out.len() - i == at).last().unwrap_or(0);
        let full = |at: &usize| self.words[*at].is(class::HEAD | class::FINDING | class::ING | class::STATE);
        let Some(first) = out[run..].iter().position(full).map(|first| first + run) else { return false };
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
            (Kind::Negated, Reach::Noun | Reach::Verb | Reach::List | Reach::Each) if group.seen > 0 && !group.verb => {
                Meeting::End
            }
            (Kind::Negated, Reach::Noun | Reach::List | Reach::Each) => Meeting::Skip,
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
            let joined = self.words[at - 1].stop == Stop::Comma
                || self.words[at].is(class::AND)
                || (self.clauses.bare && at > from + 2);
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
                group.next_item(&[]);
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
