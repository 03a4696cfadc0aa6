//! What "and", "or" and commas join to a negated group.
use super::super::Stop;
use super::clause::verb_follows;
use super::cue::{Kind, Reach};
use super::group::Group;
use super::reach::Field;
use super::word::class;

/// Words that one item of a list has, at most.
const LONGEST_ITEM: usize = 6;

impl Field<'_> {
    /// Whether "and" or "or" at `at` joins what follows to what is negated.
    pub fn joins(&self, at: usize, reach: Reach, group: &Group) -> bool {
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
        // "the drip leg and the cap".
        let parallel = group.named && next.is(class::DET) && !verb_follows(self.words, at + 1);
        parallel || self.item_ends(at + 1, reach, group.finding, false).is_some()
    }

    /// Where an item joined by "and" or a comma ends, if it can be one of a negated list.
    fn item_ends(&self, at: usize, reach: Reach, finding: bool, named: bool) -> Option<usize> {
        let first = self.words.get(at)?;
        let listed = reach == Reach::List;
        if first.is(class::PRON | class::FINITE | class::NUMBER | class::DET)
            && !((listed || named) && first.is(class::DET))
        {
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
            let grouped = self.clauses.bare && end + 1 < self.words.len() && self.new_group(end + 1);
            if word.stop != Stop::None || joined || stopped || grouped {
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
        // "No rust, and dry": what is sound is no more of what there is none of.
        if end == at && first.is(class::SOUND) && matches!(reach, Reach::Noun | Reach::Lack) {
            return None;
        }
        Some(end)
    }

    /// Whether the list of a negation goes on after a comma.
    pub fn list_goes_on(&self, from: usize, reach: Reach, named: bool) -> bool {
        let Some(first) = self.words.get(from) else { return false };
        if first.is(class::OR) {
            return !self.words.get(from + 1).is_some_and(|next| next.is(class::PRON));
        }
        if first.is(class::AND) {
            return self.item_ends(from + 1, reach, reach == Reach::List, named).is_some();
        }
        let mut at = from;
        for _ in 0..8 {
            let Some(end) = self.item_ends(at, reach, false, named) else { return false };
            let Some(next) = self.words.get(end + 1) else { return reach == Reach::List || self.plain_list(from, end) };
            if next.is(class::OR) {
                return true;
            }
            if self.words[end].stop >= Stop::Sentence {
                return reach == Reach::List || self.plain_list(from, end);
            }
            if next.is(class::AND) {
                let findings = self.words[from..=end].iter().any(|w| w.is(class::FINDING));
                return (findings || named || reach == Reach::List)
                    && self.item_ends(end + 2, reach, true, named).is_some();
            }
            at = end + 1;
        }
        false
    }

    /// Whether what follows "no leaks," to the end of the sentence are single words of the same sort: "dents, stains".
    fn plain_list(&self, from: usize, end: usize) -> bool {
        let items = &self.words[from..=end];
        let single = items.iter().all(|word| word.stop != Stop::None && !word.is(!class::FINDING & !class::HEAD));
        single && (self.words[from - 1].plural || self.words[from - 1].is(class::FINDING))
    }
}
