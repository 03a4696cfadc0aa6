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
        let amiss = self.amiss(spoken, heard);
        let spoken: usize = self.count(&words(spoken)).values().map(|(times, _)| times).sum();
        let missed = amiss.iter().filter(|(_, missed)| *missed).count();
        TermTally { spoken, heard: spoken - missed, inserted: amiss.len() - missed }
    }

    /// Each term as often as it was spoken and not heard (`true`), or heard and not spoken.
    pub fn amiss(&self, spoken: &str, heard: &str) -> Vec<(String, bool)> {
        let (spoken, heard) = (words(spoken), words(heard));
        let beyond = |own: &[String], others: &[String], missed: bool| {
            let told = self.count(others);
            let extra = |letters: &str, term: &str, times: usize| {
                let same = told.get(letters).map_or(0, |(times, _)| *times);
                times.saturating_sub(same.max(otherwise_written(others, letters, term)))
            };
            let each = self.count(own);
            each.iter()
                .flat_map(|(letters, (n, term))| vec![(term.clone(), missed); extra(letters, term, *n)])
                .collect()
        };
        let all: [Vec<(String, bool)>; 2] = [beyond(&spoken, &heard, true), beyond(&heard, &spoken, false)];
        all.concat()
    }

    /// How often each term stands among words; a word counts for one term only.
    fn count(&self, words: &[String]) -> Counts {
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

/// How often a term stands among words in another cut: "blow off pipe" for "blowoff pipe", though only one is a term.
fn otherwise_written(words: &[String], letters: &str, term: &str) -> usize {
    let own = term.split(' ').count();
    let most = own + 2;
    let cut = |start: usize| {
        (1..=most.min(words.len() - start)).find(|n| words[start..start + n].concat() == letters).filter(|n| *n != own)
    };
    (0..words.len()).filter(|start| cut(*start).is_some()).count()
}

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
        let compound = Terms::new(&["blowoff pipe".to_owned()]);
        let tally = compound.heard("The blow off pipe.", "The blowoff pipe.");
        assert_eq!(tally, TermTally { spoken: 0, heard: 0, inserted: 0 }, "one term, written in two ways");
        let wanted = [("drip leg", true), ("flue", true), ("pan", false)];
        assert_eq!(amiss, wanted.map(|(term, missed)| (term.to_owned(), missed)), "the same, by name");
    }
}
