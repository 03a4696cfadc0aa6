//! Which forms speech recognition should lean towards: the trade's own words, not those of every talk.
use super::pattern::{Form, parse, phrases};
use super::{Lexicon, Match, TermRef};
use std::collections::HashSet;

/// A form that stands for more phrases is too loose to lean towards.
const MOST_PHRASES: usize = 150;
/// A longer phrase is met in its parts.
const MOST_WORDS: usize = 4;

const WORDS: &str = include_str!("../../lexicon/plain.txt");

/// Small words that join a term to the sentence. At a form's ends they are no part of it.
const JOINTS: &str = "a an the is are was were be been of in on at to from for with by and or as it its it's this that \
    there there's has have had no not all any some up down out over under into off right very one two \
    three still just so here 's isn't wasn't doesn't never too";

/// The forms of a lexicon that pull, in order, each once.
pub fn forms(lexicon: &Lexicon) -> Vec<String> {
    let plain = Plain::words();
    let mut pulls = Vec::new();
    for entry in lexicon.entries() {
        for (pattern, term, quality) in entry.forms() {
            let part_or_saying = matches!(term, TermRef::Part(_) | TermRef::Saying(_));
            // A command's own name pulls, though its words are those of every talk.
            let command = quality <= Match::Weak && entry.says.first() == Some(pattern) && lexicon.is_command(term);
            if part_or_saying && quality == Match::Exact {
                pulls.extend(parse(pattern).iter().flat_map(|form| plain.pulling(form)));
            } else if command {
                pulls.extend(parse(pattern).iter().flat_map(whole));
            }
        }
    }
    pulls.sort_unstable();
    pulls.dedup();
    pulls
}

/// All phrases of a form, as they are.
fn whole(form: &Form) -> Vec<String> {
    phrases(form, MOST_PHRASES).unwrap_or_default().iter().map(|phrase| spoken(phrase)).collect()
}

/// Folded words as they are said: an "'s" belongs to the word before.
fn spoken(phrase: &str) -> String {
    phrase.replace(" 's", "'s")
}

/// Words of every talk, which alone are no term.
struct Plain {
    words: HashSet<&'static str>,
    joints: HashSet<&'static str>,
}

impl Plain {
    /// All of them, folded as forms are.
    fn words() -> Self {
        let words = WORDS.lines().filter(|line| !line.starts_with('#')).flat_map(str::split_whitespace);
        Plain { words: words.collect(), joints: JOINTS.split(' ').collect() }
    }

    /// The phrases of a form that are terms: up to four words, and one of them at least the trade's own.
    fn pulling(&self, form: &Form) -> Vec<String> {
        let all = phrases(form, MOST_PHRASES).unwrap_or_default();
        all.iter().filter_map(|phrase| self.term(phrase)).collect()
    }

    /// The term in a phrase, from its first word that is the trade's own.
    ///
    /// What begins with a word of every talk would favour that word everywhere: with "old valve" among the terms a
    /// reading of a novel was heard with an "old" that nobody had read.
    fn term(&self, phrase: &str) -> Option<String> {
        let words: Vec<&str> = phrase.split(' ').collect();
        let start = words.iter().position(|word| !self.words.contains(word) && !self.joints.contains(word))?;
        let end = words.iter().rposition(|word| !self.joints.contains(word))?;
        let term = &words[start..=end];
        (term.len() <= MOST_WORDS).then(|| spoken(&term.join(" ")))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_term_pulls_from_its_first_word_that_is_the_trades_own() {
        let plain = Plain::words();
        let term = |phrase: &str| plain.term(phrase);
        assert_eq!(term("is not in conduit").as_deref(), Some("conduit"));
        assert_eq!(term("relief valve").as_deref(), Some("relief valve"));
        assert_eq!(term("old relief valve is").as_deref(), Some("relief valve"));
        assert_eq!(term("t and p valve").as_deref(), Some("t and p valve"));
        assert_eq!(term("heater 's flue").as_deref(), Some("heater's flue"));
    }

    #[test]
    fn words_of_every_talk_do_not_pull() {
        let plain = Plain::words();
        for phrase in ["is good", "goes out", "in it", "it 's not there", "water line", "is"] {
            assert_eq!(plain.term(phrase), None, "{phrase}");
        }
    }
}
