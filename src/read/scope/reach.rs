//! How far a cue reaches.
use super::super::Stop;
use super::clause::{Clauses, verb_follows};
use super::cue::{Hit, Kind, Reach};
use super::word::{Lexeme, class};
use std::ops::Range;

/// Words that one negation can take in, at most.
const FARTHEST: usize = 40;
/// Silence that ends a noun group.
const GROUP_PAUSE_MS: u64 = 600;
/// Words that one item of a list has, at most.
const LONGEST_ITEM: usize = 6;
/// Words that a subject has, at most.
const LONGEST_SUBJECT: usize = 12;
/// Words that an advice or a report can take in where no full stop ends it.
const ONWARD_BARE: usize = 24;

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
            Reach::Sentence => sentence,
            Reach::Back if end >= sentence.end => sentence.start..end,
            Reach::Onward | Reach::Back => {
                let last = if self.clauses.bare { sentence.end.min(end + ONWARD_BARE) } else { sentence.end };
                let stop = (end..last).find(|&i| self.hit(i).is_some_and(|hit| hit.kind == Kind::Stop));
                at..stop.unwrap_or(last)
            }
            Reach::Noun | Reach::List | Reach::Lack | Reach::Verb => {
                at..self.forward(end, hit.reach).last().map_or(end, |last| last + 1)
            }
            Reach::Subject => self.subject(at).first().map_or(at, |first| *first)..end,
            Reach::Answer => self.answered(at, end).map_or(at..end, |words| words.start..end),
            Reach::Anaphor => self.resumed(at, end).map_or(at..end, |words| words.start..end),
            Reach::Itself => at..end,
        }
    }

    fn hit(&self, at: usize) -> Option<Hit> {
        self.hits.get(at).copied().flatten()
    }

    /// The words after a negation that it negates.
    pub fn forward(&self, from: usize, reach: Reach) -> Vec<usize> {
        let mut out = Vec::new();
        // In "there isn't one at the meter" the noun is already spoken.
        let spoken = reach == Reach::Verb && from > 0 && self.words[from - 1].is(class::NUMBER);
        let mut group = Group { verb: reach == Reach::Verb, seen: usize::from(spoken), ..Group::default() };
        let mut at = from;
        let sentence = self.clauses.sentence(from.saturating_sub(1));
        let last = sentence.end.min(from + FARTHEST);
        if from > 0 && self.words[from - 1].stop == Stop::Comma && reach != Reach::List {
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

    /// What another cue in its way does to a negation.
    fn meet(&self, hit: Hit, group: &Group) -> Meeting {
        match (hit.kind, hit.reach) {
            (Kind::Stop | Kind::Hypothetical | Kind::Hearsay, _) => Meeting::End,
            (Kind::Plain, _) if group.seen > 0 => Meeting::End,
            (Kind::Plain, _) => Meeting::Skip,
            (Kind::Affirmed, Reach::Answer | Reach::Anaphor) => Meeting::End,
            (Kind::Negated, Reach::Answer | Reach::Anaphor) => Meeting::End,
            (Kind::Negated, Reach::Noun | Reach::Verb | Reach::List) if group.seen > 0 && !group.verb => Meeting::End,
            (Kind::Negated, Reach::Noun | Reach::List) => Meeting::Skip,
            _ => Meeting::Take,
        }
    }

    /// Whether a noun group that has begun ends before the word at `at`.
    fn breaks_group(&self, at: usize, group: &Group) -> bool {
        let (word, last) = (&self.words[at], &self.words[at - 1]);
        if word.pause_ms >= GROUP_PAUSE_MS && !last.is(class::DET | class::PLACE | class::LINK | class::AND | class::OR)
        {
            return true;
        }
        let starts_clause = self.clauses.clause(at).start == at;
        if starts_clause && !word.is(class::OR | class::AND) {
            return true;
        }
        let bound =
            last.is(class::PLACE | class::LINK | class::TOWARD | class::OR | class::AND | class::DET | class::FINITE);
        if word.is(class::PRON | class::DET) && !bound {
            return !(group.verb && group.seen == 1);
        }
        if word.is(class::FINITE) && (group.verb || group.verbs > 0) && !last.is(class::FINITE) {
            return true;
        }
        let opens = word.is(class::OPENER) && last.is(class::HEAD) && !word.joined;
        let next_thing = self.thing_starts[at] && group.things > 0 && !bound;
        (opens || next_thing) && last.stop == Stop::None && !group.in_place
    }

    /// Whether "and" or "or" at `at` joins what follows to what is negated.
    fn joins(&self, at: usize, reach: Reach, group: &Group) -> bool {
        let Some(next) = self.words.get(at + 1) else { return false };
        if self.clauses.clause(at).start == at || self.clauses.clause(at + 1).start == at + 1 {
            return false;
        }
        if self.words[at].is(class::OR) {
            return !next.is(class::PRON) || !verb_follows(self.words, at + 1);
        }
        // "T and P valve" is one thing.
        if next.letter && self.words[at - 1].letter {
            return true;
        }
        self.item_ends(at + 1, reach, group.finding).is_some()
    }

    /// Where an item joined by "and" or a comma ends, if it can be one of a negated list.
    fn item_ends(&self, at: usize, reach: Reach, finding: bool) -> Option<usize> {
        let first = self.words.get(at)?;
        let listed = reach == Reach::List;
        if first.is(class::PRON | class::FINITE | class::NUMBER | class::DET) && !(listed && first.is(class::DET)) {
            return None;
        }
        if first.is(class::PLACE | class::TOWARD) || (first.is(class::OPENER) && !listed && !finding) {
            return None;
        }
        let mut end = at;
        loop {
            let word = self.words.get(end)?;
            if word.is(class::FINITE) {
                return None;
            }
            let blocked = self.hit(end).is_some_and(|hit| {
                matches!(hit.kind, Kind::Negated | Kind::Affirmed | Kind::Hypothetical | Kind::Hearsay)
            });
            if blocked {
                return None;
            }
            let stopped = self.hit(end + 1).is_some_and(|hit| hit.kind == Kind::Stop);
            let joined = self.words.get(end + 1).is_none_or(|next| next.is(class::AND | class::OR));
            if word.stop != Stop::None || joined || stopped {
                break;
            }
            end += 1;
            if end - at > LONGEST_ITEM {
                return if listed { Some(end) } else { None };
            }
        }
        if self.words[end].is(class::STATE) && end > at && !listed {
            return None;
        }
        Some(end)
    }

    /// Whether the list of a negation goes on after a comma.
    fn list_goes_on(&self, from: usize, reach: Reach) -> bool {
        let Some(first) = self.words.get(from) else { return false };
        if first.is(class::OR) {
            return !self.words.get(from + 1).is_some_and(|next| next.is(class::PRON));
        }
        if first.is(class::AND) {
            return self.item_ends(from + 1, reach, reach == Reach::List).is_some();
        }
        let mut at = from;
        for _ in 0..8 {
            let Some(end) = self.item_ends(at, reach, false) else { return false };
            let Some(next) = self.words.get(end + 1) else { return reach == Reach::List };
            if next.is(class::OR) {
                return true;
            }
            if self.words[end].stop >= Stop::Sentence {
                return reach == Reach::List;
            }
            if next.is(class::AND) {
                let findings = self.words[from..=end].iter().any(|w| w.is(class::FINDING));
                return (findings || reach == Reach::List) && self.item_ends(end + 2, reach, true).is_some();
            }
            at = end + 1;
        }
        false
    }

    /// The words of the subject that stands before a verb or state at `at`.
    pub fn subject(&self, at: usize) -> Vec<usize> {
        let sentence = self.clauses.sentence(at);
        let mut start = at;
        let mut content = 0;
        let mut commas = 0;
        while start > sentence.start && at - start < LONGEST_SUBJECT + 6 {
            let word = &self.words[start - 1];
            let verb = word.is(class::FINITE | class::SOFT) || (word.is(class::DET) && content == 0);
            if verb && content > 0 && word.is(class::FINITE) {
                break;
            }
            if content > 0 && (word.is(class::UNIT) || self.group_ends_at(start - 1)) {
                break;
            }
            if word.stop == Stop::Comma {
                commas += 1;
                let lists = content > 0 && self.words[start].is(class::AND | class::OR);
                if !(content == 0 && commas == 1 || lists || (commas > 1 && content <= 3)) {
                    break;
                }
            }
            if self.blocks_subject(start - 1, content) {
                break;
            }
            content += usize::from(!verb);
            if content > LONGEST_SUBJECT {
                break;
            }
            start -= 1;
            // "pan, straps, and cap are missing": no verb before the "and", so no clause either.
            let whole = self.words[start].is(class::AND)
                && !self.words[sentence.start..start].iter().any(|word| word.is(class::FINITE));
            if self.clauses.clause(start).start == start && content > 0 && !whole {
                break;
            }
        }
        self.without_places(start..at)
    }

    fn blocks_subject(&self, at: usize, content: usize) -> bool {
        let inside = (at.saturating_sub(5)..=at).rev().find_map(|i| self.hit(i).filter(|h| i + h.len > at));
        match inside {
            Some(hit) => match hit.kind {
                Kind::Stop | Kind::Plain => content > 0 || hit.kind == Kind::Stop,
                Kind::Negated => hit.reach != Reach::Noun && content > 0,
                Kind::Affirmed => true,
                _ => false,
            },
            None => self.words[at].is(class::STATE) && content > 0 && self.clauses.bare,
        }
    }

    fn group_ends_at(&self, at: usize) -> bool {
        self.words.get(at + 1).is_some_and(|next| {
            let opens = self.words[at].is(class::HEAD) && next.is(class::OPENER) && !next.joined;
            (opens || next.pause_ms >= GROUP_PAUSE_MS) && self.words[at].stop == Stop::None
        })
    }

    /// Whether a word like "missing" speaks of what follows: it opens its fragment, or an article follows.
    pub fn speaks_onward(&self, at: usize, end: usize) -> bool {
        if self.words[end - 1].stop != Stop::None {
            return false;
        }
        let opens = at == self.clauses.sentence(at).start || self.words[at - 1].stop == Stop::Comma;
        let named = self.words.get(end).is_some_and(|next| next.is(class::DET));
        let group =
            self.words.get(end).is_some_and(|next| !next.is(class::PLACE | class::LINK | class::AND | class::FINITE));
        named || (opens && group)
    }

    /// The fragment or question that an answer at `at..end` settles.
    pub fn answered(&self, at: usize, _end: usize) -> Option<Range<usize>> {
        if at == 0 {
            return None;
        }
        let sentence = self.clauses.sentence(at);
        if sentence.start < at {
            return Some(self.fragment_before(at));
        }
        let before = self.clauses.sentence(at - 1);
        let verbless = !self.words[before.clone()].iter().any(|w| w.is(class::FINITE));
        let asks = self.words[at - 1].stop == Stop::Question;
        (asks || (verbless && before.len() <= 6)).then_some(before)
    }

    /// The clause that "there isn't one" at `at..end` speaks of, if it stands for a whole clause.
    pub fn resumed(&self, at: usize, end: usize) -> Option<Range<usize>> {
        let closed = self.words[end - 1].stop != Stop::None
            || end >= self.words.len()
            || self.clauses.clause(end).start == end
            || self.words[end].is(class::CLOSER | class::AND)
            || self.hit(end).is_some();
        if !closed {
            return None;
        }
        let mut start = at;
        let sentence = self.clauses.sentence(at);
        while start > sentence.start && self.words[start - 1].is(class::PRON | class::SOFT | class::AND | class::AUX) {
            start -= 1;
        }
        if start > sentence.start && self.hit(start - 1).is_some_and(|hit| hit.kind == Kind::Stop) {
            start -= 1;
        }
        if start > sentence.start {
            return Some(self.fragment_before(start));
        }
        (start > 0).then(|| self.clauses.sentence(start - 1))
    }

    /// The words before `at` back to the last comma, clause or group.
    fn fragment_before(&self, at: usize) -> Range<usize> {
        let sentence = self.clauses.sentence(at - 1);
        let clause = self.clauses.clause(at - 1);
        let floor = sentence.start.max(if self.clauses.bare { clause.start } else { sentence.start });
        let mut start = at - 1;
        while start > floor && at - start < FARTHEST {
            let last = &self.words[start - 1];
            let stop =
                last.stop == Stop::Comma || self.group_ends_at(start - 1) || self.clauses.clause(start).start == start;
            if stop || last.is(class::UNIT) {
                break;
            }
            start -= 1;
        }
        start..at
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

/// A noun group as far as it has been read.
#[derive(Debug, Default)]
struct Group {
    /// Nouns and the like since the group began.
    seen: usize,
    /// Verbs since the negation.
    verbs: usize,
    /// Whether the words are the place of what is negated ("on that pan").
    in_place: bool,
    /// Negated by way of a verb.
    verb: bool,
    /// Whether a sign of harm was among them.
    finding: bool,
    /// Things that the caller named, since the group began.
    things: usize,
}

impl Group {
    fn take(&mut self, words: &[Lexeme], at: usize) {
        let word = &words[at];
        let next_definite = words.get(at + 1).is_some_and(|next| next.is(class::DEFINITE));
        let link = word.is(class::LINK) || (word.is(class::TOWARD) && !self.verb);
        if self.seen > 0 && (word.is(class::PLACE) || (link && next_definite)) {
            self.in_place = true;
        } else if word.is(class::FINITE) {
            self.in_place = false;
            self.verbs += usize::from(self.seen > 0);
            if self.seen > 0 {
                self.seen = 1;
            }
        }
        if !word.is(class::DET | class::SOFT | class::FINITE | class::PRON) {
            self.seen += 1;
        }
        self.finding |= word.is(class::FINDING);
    }

    fn next_item(&mut self, next: Option<&Lexeme>) {
        // "at the valve or the union" stays a place, "at the valve or rust" does not.
        self.in_place &= next.is_some_and(|next| next.is(class::DEFINITE));
        self.seen = 0;
        self.things = 0;
    }
}
