//! What a cue says of the words before it: its subject, the question it answers, the clause it stands for.
use super::super::Stop;
use super::clause::verb_follows;
use super::cue::{Kind, Reach};
use super::group::{BINDING, GROUP_PAUSE_MS};
use super::reach::{FARTHEST, Field};
use super::word::{BE, Lexeme, NO, class};
use std::ops::Range;

/// Words that a subject has, at most.
const LONGEST_SUBJECT: usize = 12;

impl Field<'_> {
    /// The words of the subject that stands before a verb or state at `at`.
    pub fn subject(&self, at: usize) -> Vec<usize> {
        let sentence = self.clauses.sentence(at);
        if self.words[at].past && self.words.get(at + 1).is_some_and(|next| next.is(class::DET)) {
            return Vec::new();
        }
        let mut start = at;
        let mut content = 0;
        let mut commas = 0;
        while start > sentence.start && at - start < LONGEST_SUBJECT + 6 {
            let word = &self.words[start - 1];
            let verb = word.is(class::FINITE | class::SOFT) || (word.is(class::DET) && content == 0);
            if verb && content > 0 && word.is(class::FINITE) {
                break;
            }
            let ended = word.is(class::UNIT | class::PRON | class::CLOSER) || self.group_ends_at(start - 1);
            if content > 0 && ended {
                break;
            }
            if word.stop == Stop::Comma {
                commas += 1;
                // "Pan, missing", "pan, straps, and cap are missing".
                let lists = content > 0 && self.words[start].is(class::AND | class::OR);
                let item = commas > 1 && content <= 3;
                if !(lists || item || (content == 0 && commas == 1)) {
                    break;
                }
            }
            if self.blocks_subject(start - 1, content) || content >= LONGEST_SUBJECT {
                break;
            }
            content += usize::from(!verb);
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

    /// Whether a group ends with the word at `at`, so that another begins after it.
    fn group_ends_at(&self, at: usize) -> bool {
        let things = self.thing_starts.get(at + 1) == Some(&true) && !self.words[at].is(BINDING);
        self.words[at].stop == Stop::None
            && self.words.get(at + 1).is_some_and(|next| {
                self.new_group(at + 1) || things || (next.pause_ms >= GROUP_PAUSE_MS && !self.words[at].is(BINDING))
            })
    }

    /// Whether a word like "missing" speaks of what follows: it opens its fragment, or an article follows.
    pub fn speaks_onward(&self, at: usize, end: usize) -> bool {
        if self.words[end - 1].stop != Stop::None || end - at > 1 {
            return false;
        }
        let opens = at == self.clauses.sentence(at).start
            || self.words[at - 1].stop == Stop::Comma
            || self.words[at - 1].is(class::DET)
            || (self.clauses.bare && self.words[at - 1].is(class::STATE));
        let clause = self.clauses.clause(end).start == end;
        let named = self.words.get(end).is_some_and(|next| next.is(class::DET)) && !clause;
        let group =
            self.words.get(end).is_some_and(|next| !next.is(class::PLACE | class::LINK | class::AND | class::FINITE));
        // "I removed the cover" is said of what was there.
        !self.words[at].past && (named || (opens && group))
    }

    /// Whether nothing of the fragment is left after a cue.
    pub fn is_last(&self, end: usize) -> bool {
        end >= self.words.len() || self.words[end - 1].stop != Stop::None
    }

    /// Whether the subject before `at` is but a pronoun that stands for something said before.
    pub fn is_pronoun(&self, at: usize) -> bool {
        let sentence = self.clauses.sentence(at);
        let subject = (sentence.start..at).rev().find(|&i| !self.words[i].is(class::FINITE | class::SOFT));
        subject.is_some_and(|i| i > 0 && self.words[i].is(class::PRON) && self.words[i].is(class::OBJECT))
    }

    /// Whether the subject before `at` is but the speaker: "I could not find".
    pub fn is_speaker(&self, at: usize) -> bool {
        let spoken = |word: &Lexeme| word.is(class::PRON) && !word.is(class::OBJECT);
        let sentence = self.clauses.sentence(at);
        let subject = (sentence.start..at).rev().find(|&i| !self.words[i].is(class::AUX | class::SOFT));
        subject.is_some_and(|i| i > sentence.start && spoken(&self.words[i]))
    }

    /// Whether a cue stands right behind "but", or set off by commas.
    pub fn turns(&self, at: usize, end: usize) -> bool {
        let turn = at > 0 && (at.saturating_sub(2)..at).any(|i| self.hit(i).is_some_and(|hit| hit.kind == Kind::Stop));
        self.is_last(end) && (turn || self.is_fragment(at, end))
    }

    /// Whether "nowhere" follows something that is denied already.
    pub fn is_doubled(&self, at: usize) -> bool {
        let denied = |i: usize| self.hit(i).is_some_and(|hit| hit.kind == Kind::Negated && hit.reach == Reach::Noun);
        let before = at.saturating_sub(6).max(self.clauses.sentence(at).start)..at;
        self.words[at].is(class::CLOSER) && before.clone().any(denied)
    }

    /// The list that a cue heads: it opens the sentence, a comma follows, and then nothing but things.
    pub fn listed(&self, at: usize, end: usize) -> Option<Range<usize>> {
        let sentence = self.clauses.sentence(at);
        let rest = end..sentence.end;
        let heads = at == sentence.start && self.words[end - 1].stop == Stop::Comma && !rest.is_empty();
        let states = |i: usize| self.words[i].is(class::FINITE | class::STATE) || self.hit(i).is_some();
        let things =
            || self.thing_starts[rest.clone()].contains(&true) || self.words[rest.start].is(class::DET | class::HEAD);
        (heads && things() && !rest.clone().any(states)).then_some(rest)
    }

    /// Whether a cue is a whole sentence.
    pub fn stands_alone(&self, at: usize, end: usize) -> bool {
        let sentence = self.clauses.sentence(at);
        at > 0 && sentence.start == at && sentence.end == end
    }

    /// Whether a cue is set off from the words before and after it.
    pub fn is_fragment(&self, at: usize, end: usize) -> bool {
        at > 0
            && self.words[at - 1].stop != Stop::None
            && (self.words[end - 1].stop != Stop::None || end == self.words.len())
    }

    /// The fragment or question that an answer at `at` settles.
    pub fn answered(&self, at: usize) -> Option<Range<usize>> {
        if at == 0 {
            return None;
        }
        let sentence = self.clauses.sentence(at);
        // "Forty gallons, no, fifty" corrects a number, and denies nothing.
        let number = self.words.get(at + 1).is_some_and(|next| next.is(class::NUMBER));
        if sentence.start < at && self.words[at].id == NO && self.words[at].stop == Stop::Comma && number {
            return None;
        }
        // "Rust on the inlet, none on the outlet": each has its own place.
        let place = |at: &usize| self.words[*at].is(class::PLACE);
        let thing = |at: usize| at < sentence.end && !self.words[at].is(class::PRON | class::DET | class::SOFT);
        let named = |at: usize| thing(at) || (at < sentence.end && self.words[at].is(class::DEFINITE) && thing(at + 1));
        let placed = at + 1 < sentence.end && self.words[at].stop == Stop::None && place(&(at + 1)) && named(at + 2);
        let elsewhere = |before: &Range<usize>| placed && before.clone().any(|at| place(&at));
        if sentence.start < at {
            return Some(self.with_thing(self.fragment_before(at))).filter(|before| !elsewhere(before));
        }
        let before = self.clauses.sentence(at - 1);
        if self.words[at - 1].stop != Stop::Question && elsewhere(&before) {
            return None;
        }
        let verbless = !self.words[before.clone()].iter().any(|w| w.is(class::FINITE));
        let asks = self.words[at - 1].stop == Stop::Question;
        // "It's present, plugged? No." answers the last of it only.
        let last = self.with_thing(self.fragment_before(at));
        let apart = before.start < last.start && self.words[last.start - 1].stop == Stop::Comma;
        if asks && apart && self.words[before.start..last.start].iter().any(|w| w.is(class::EXISTING | class::AUX)) {
            return Some(last);
        }
        (asks || (verbless && before.len() <= 6)).then_some(before)
    }

    /// The clause that "there isn't one" at `at..end` speaks of, if it stands for a whole clause.
    pub fn resumed(&self, at: usize, end: usize) -> Option<Range<usize>> {
        let closed = self.words[end - 1].stop != Stop::None
            || end >= self.words.len()
            || self.clauses.clause(end).start == end
            || self.words[end].is(class::CLOSER | class::AND)
            || self.hit(end).is_some_and(|hit| hit.kind == Kind::Stop);
        let mut start = at;
        let sentence = self.clauses.sentence(at);
        // "... but there isn't one under it": a place may follow where something stands before.
        let placed = at > sentence.start && self.words.get(end).is_some_and(|next| next.is(class::PLACE | class::LINK));
        if !closed && !placed && !self.opens_anew(at, end) {
            return None;
        }
        while start > sentence.start && self.words[start - 1].is(class::PRON | class::SOFT | class::AND | class::AUX) {
            start -= 1;
        }
        if start > sentence.start && self.hit(start - 1).is_some_and(|hit| hit.kind == Kind::Stop) {
            start -= 1;
        }
        let before = match start {
            0 => return None,
            _ if start > sentence.start => {
                self.advice_before(start).unwrap_or_else(|| self.with_thing(self.fragment_before(start)))
            }
            _ => self.clauses.sentence(start - 1),
        };
        // In "if this were a finished room it'd need one, but it isn't" the condition is denied, not what hangs on it.
        let conditional = self.words[before.clone()].iter().any(|word| word.is(class::CONDITION));
        (!conditional).then_some(before)
    }

    /// Without punctuation, the clause before `at` if it says what should be.
    fn advice_before(&self, at: usize) -> Option<Range<usize>> {
        let clause = self.clauses.clause(at - 1);
        let advises = |i: usize| self.hit(i).is_some_and(|hit| hit.kind == Kind::Hypothetical);
        (self.clauses.bare && clause.len() <= LONGEST_SUBJECT && clause.clone().any(advises)).then_some(clause)
    }

    /// Whether, without punctuation, the words at `end` begin something new, and what is denied stands before `at`:
    /// "gas smell i could not find any | gas cock is available".
    fn opens_anew(&self, at: usize, end: usize) -> bool {
        let pronoun = |i: usize| {
            let turn = self.hit(i).is_some_and(|hit| hit.kind == Kind::Stop);
            turn || self.words[i].is(class::PRON | class::SOFT | class::AND | class::EXISTING)
        };
        let before = (self.clauses.sentence(at).start..at).rev().find(|&i| !pronoun(i));
        let named = before.is_some_and(|i| self.words[i].is(class::HEAD | class::FINDING));
        let new = self.words[end].is(class::DET) || verb_follows(self.words, end);
        self.clauses.bare && named && new
    }

    /// A fragment that names no thing, widened to the one before it that does: "the trap, honestly, none".
    fn with_thing(&self, fragment: Range<usize>) -> Range<usize> {
        let names = |range: &Range<usize>| self.thing_starts[range.clone()].contains(&true);
        let sentence = self.clauses.sentence(fragment.start);
        // "Some houses have a pan, some don't" is no answer on the first.
        let others = fragment.len() == 1 && self.words[fragment.start].is(class::DET);
        if names(&fragment) || others || fragment.start == sentence.start {
            return fragment;
        }
        let before = self.fragment_before(fragment.start);
        if names(&before) { before.start..fragment.end } else { fragment }
    }

    /// The words before `at` back to the last comma, clause or group.
    fn fragment_before(&self, at: usize) -> Range<usize> {
        let sentence = self.clauses.sentence(at - 1);
        let mut start = at - 1;
        while start > sentence.start && at - start < FARTHEST {
            let last = &self.words[start - 1];
            let stop = last.stop == Stop::Comma || self.group_ends_at(start - 1);
            if stop || last.is(class::UNIT) || (self.clauses.bare && self.ends_bare_group(start)) {
                break;
            }
            let joins = self.clauses.clause(start).start == start || self.words[start].is(class::AND);
            if joins && at - start > 1 && self.is_told(sentence.start..start) {
                break;
            }
            start -= 1;
        }
        start..at
    }

    /// Whether the words say of their own thing that it is there: "the valve is there but the pipe, there is not".
    fn is_told(&self, words: Range<usize>) -> bool {
        let there = self.words[words.clone()].windows(2).any(|w| w[0].id == BE && w[1].is(class::EXISTING));
        there && self.thing_starts[words].contains(&true)
    }

    /// Whether, without punctuation, a group that begins at `at` cannot reach further back.
    fn ends_bare_group(&self, at: usize) -> bool {
        let last = &self.words[at - 1];
        let loose = class::FINITE | class::PRON | class::PLACE | class::TOWARD | class::STATE | class::CLOSER;
        let cued = (at.saturating_sub(5)..at).any(|i| self.hit(i).is_some_and(|hit| i + hit.len == at));
        self.clauses.clause(at).start == at || last.is(loose) || cued || self.thing_starts[at]
    }
}
