//! Which of the trade's terms came through.
use super::{join_letters, normalize};
use serde::Serialize;
use std::collections::{BTreeMap, HashMap};
use std::ops::AddAssign;

/// Terms spoken, heard and put in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct TermTally {
    pub spoken: usize,
    /// Of those spoken, how many are among the words heard.
    pub heard: usize,
    /// Terms heard more often than they were spoken.
    pub inserted: usize,
}

impl TermTally {
    /// The share of the spoken terms that was heard.
    pub fn recall(&self) -> f64 {
        if self.spoken == 0 { 1.0 } else { self.heard as f64 / self.spoken as f64 }
    }
}

impl AddAssign for TermTally {
    fn add_assign(&mut self, other: TermTally) {
        self.spoken += other.spoken;
        self.heard += other.heard;
        self.inserted += other.inserted;
    }
}

/// The trade's terms by their first word, the longest first.
pub struct Terms(HashMap<String, Vec<Vec<String>>>);

impl Terms {
    /// From terms as people say them.
    pub fn new(terms: &[String]) -> Self {
        let mut index: HashMap<String, Vec<Vec<String>>> = HashMap::new();
        for term in terms {
            let words = words(term);
            if let Some(first) = words.first() {
                index.entry(first.clone()).or_default().push(words);
            }
        }
        for terms in index.values_mut() {
            terms.sort_by_key(|t| std::cmp::Reverse(t.len()));
        }
        Terms(index)
    }

    /// Counts the terms of the spoken words and looks for them in the words heard.
    pub fn heard(&self, spoken: &str, heard: &str) -> TermTally {
        let (spoken, heard) = (self.count(spoken), self.count(heard));
        let times = |counts: &Counts, letters: &str| counts.get(letters).map_or(0, |(times, _)| *times);
        let mut tally = TermTally { spoken: spoken.values().map(|(times, _)| times).sum(), ..TermTally::default() };
        for (letters, (spoken, _)) in &spoken {
            tally.heard += times(&heard, letters).min(*spoken);
        }
        for (letters, (heard, _)) in &heard {
            tally.inserted += heard.saturating_sub(times(&spoken, letters));
        }
        tally
    }

    /// Each term as often as it was spoken and not heard (`true`), or heard and not spoken.
    pub fn amiss(&self, spoken: &str, heard: &str) -> Vec<(String, bool)> {
        let (spoken, heard) = (self.count(spoken), self.count(heard));
        let beyond = |all: &Counts, others: &Counts, missed: bool| {
            let beyond = |letters: &str, times: usize| times.saturating_sub(others.get(letters).map_or(0, |(n, _)| *n));
            let each = all.iter().flat_map(|(letters, (n, term))| vec![(term.clone(), missed); beyond(letters, *n)]);
            each.collect::<Vec<_>>()
        };
        [beyond(&spoken, &heard, true), beyond(&heard, &spoken, false)].concat()
    }

    /// How often each term stands in a text; a word counts for one term only, and "blow off" is the same as "blowoff".
    fn count(&self, text: &str) -> Counts {
        let words = words(text);
        let mut counts = Counts::new();
        let mut at = 0;
        while at < words.len() {
            let here = self.0.get(&words[at]).and_then(|terms| terms.iter().find(|t| words[at..].starts_with(t)));
            at += match here {
                Some(term) => {
                    counts.entry(term.concat()).or_insert_with(|| (0, term.join(" "))).0 += 1;
                    term.len()
                }
                None => 1,
            };
        }
        counts
    }
}

/// Of each term, by its letters, how often it stands there and how it is written.
type Counts = BTreeMap<String, (usize, String)>;

fn words(text: &str) -> Vec<String> {
    normalize(&join_letters(text)).split_whitespace().map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_longest_term_counts_and_each_word_once() {
        let terms = ["pan", "drain pan", "flue", "drip leg"].map(String::from);
        // Spoken: drain pan, flue, drip leg, pan. Heard: drain pan, pan, pan; the second pan is one too many.
        let tally = Terms::new(&terms)
            .heard("The drain pan, the flue, the drip leg, a pan.", "drain pan, flu, drip lake, pan, pan");
        assert_eq!(tally, TermTally { spoken: 4, heard: 2, inserted: 1 });
        assert_eq!(tally.recall(), 0.5);
        let amiss = Terms::new(&terms)
            .amiss("The drain pan, the flue, the drip leg, a pan.", "drain pan, flu, drip lake, pan, pan");
        let compound = Terms::new(&["blow off pipe", "blowoff pipe"].map(String::from));
        let tally = compound.heard("The blow off pipe.", "The blowoff pipe.");
        assert_eq!(tally, TermTally { spoken: 1, heard: 1, inserted: 0 }, "one term, written in two ways");
        let wanted = [("drip leg", true), ("flue", true), ("pan", false)];
        assert_eq!(amiss, wanted.map(|(term, missed)| (term.to_owned(), missed)), "the same, by name");
    }
}
