//! How likely a claim is right, from how it was heard, matched and linked.
//!
//! Everything that can be held against a claim is a number from 0 up. The weights that turn them into a
//! probability lie in `lexicon/confidence.toml`, fitted by `hearsheet score --fit`; docs/confidence.md tells how.
use super::claim::Claim;
use super::note::{Note, gap};
use crate::lexicon::{Match, fold};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::LazyLock;

/// What can be held against a claim, in the order of [`Doubts`].
pub const REASONS: [&str; 22] = [
    "weak",
    "misheard",
    "fuzzy",
    "reach",
    "word",
    "part",
    "around",
    "note",
    "hedged",
    "implied",
    "implausible",
    "misread",
    "recorded",
    "number",
    "name",
    "distance",
    "crowd",
    "unexplained",
    "long",
    "garbled",
    "broken",
    "disputed",
];

/// How strongly each of the [`REASONS`] speaks against a claim; 0 is not at all.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Doubts(pub [f64; REASONS.len()]);

const DISPUTED: usize = REASONS.len() - 1;

impl Doubts {
    /// Another statement says otherwise, and neither takes the other back.
    pub fn dispute(&mut self) {
        self.0[DISPUTED] = 1.0;
    }
}

/// Turns doubts into a probability.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Weights {
    /// Log odds of a claim that nothing speaks against.
    pub trust: f64,
    /// A fact less likely than this is never shown as sure.
    #[serde(default)]
    pub sure: f64,
    /// What each reason takes away; a reason not named takes nothing.
    pub doubt: BTreeMap<String, f64>,
}

const SHIPPED: &str = include_str!("../../lexicon/confidence.toml");
/// A test proves that the shipped weights can be read; without them nothing would be sure.
static WEIGHTS: LazyLock<Weights> = LazyLock::new(|| toml::from_str(SHIPPED).unwrap_or_default());

impl Weights {
    /// The probability that a claim with these doubts is right.
    pub fn probability(&self, doubts: &Doubts) -> f64 {
        let held = REASONS.iter().zip(doubts.0).filter(|(_, doubt)| *doubt != 0.0);
        let against: f64 = held.map(|(name, doubt)| doubt * self.doubt.get(*name).unwrap_or(&0.0)).sum();
        1.0 / (1.0 + (against - self.trust).exp())
    }
}

/// The probability that a claim with these doubts is right, by the shipped weights, to three places.
pub fn of(doubts: &Doubts) -> f64 {
    (shown(WEIGHTS.probability(doubts), WEIGHTS.sure) * 1000.0).round() / 1000.0
}

/// The highest confidence of a fact that a person should still look at.
const DOUBTFUL: f64 = 0.89;

/// The confidence that is told of a probability: below `sure` it stays under what counts as sure.
pub fn shown(probability: f64, sure: f64) -> f64 {
    if probability < sure { probability.min(DOUBTFUL) } else { probability }
}

/// What a whole note says about the trust in its words.
pub struct Ground {
    recorded: bool,
    unsure: f64,
}

impl Ground {
    /// `recorded` is whether the words were recognised rather than typed.
    pub fn of(note: &Note, recorded: bool) -> Self {
        Ground { recorded, unsure: unsure(note, &(0..note.tokens.len())) }
    }
}

/// Everything that can be held against a claim.
pub fn doubts_of(note: &Note, ground: &Ground, claim: &Claim) -> Doubts {
    let signs = &claim.signs;
    let matched = |m: Match| flag(signs.matched == m);
    let at = claim.at.clone();
    let clause = note.clause(at.start);
    let sentence = note.sentence(at.start);
    let recorded = flag(ground.recorded);
    let free = matches!(claim.attribute.as_str(), "brand" | "model" | "serial" | "place" | "pressure-place");
    let part = claim.part.clone().unwrap_or(at.start..at.start);
    Doubts([
        matched(Match::Weak),
        matched(Match::Misheard),
        matched(Match::Fuzzy),
        signs.reach.max(0.0),
        surprise(f64::from(signs.word)),
        surprise(f64::from(note.surety(&part))),
        unsure(note, &sentence),
        ground.unsure,
        flag(signs.hedged),
        flag(signs.implied),
        flag(signs.implausible),
        1.0 - signs.certainty,
        recorded,
        recorded * flag(signs.number),
        recorded * flag(free),
        claim.part.as_ref().map_or(0.0, |part| (gap(&at, part) as f64).ln_1p()),
        (others(note, &clause, claim) as f64).ln_1p(),
        unexplained(note, &clause),
        (sentence.len().saturating_sub(20) as f64 / 20.0).min(2.0),
        recorded * flag(garbled(note, &clause, &at)),
        recorded * flag(signs.number && breaks_off(note, &at)),
        0.0,
    ])
}

fn flag(is: bool) -> f64 {
    if is { 1.0 } else { 0.0 }
}

/// How unexpected it would be that a word of this probability is right; at most 3.
fn surprise(probability: f64) -> f64 {
    -probability.clamp(0.05, 1.0).ln()
}

/// How unsure the words of a stretch are on average.
fn unsure(note: &Note, range: &Range<usize>) -> f64 {
    let tokens = &note.tokens[range.clone()];
    tokens.iter().map(|t| 1.0 - f64::from(t.probability)).sum::<f64>() / tokens.len().max(1) as f64
}

/// Other parts in the same clause, of which it could have been said.
fn others(note: &Note, clause: &Range<usize>, claim: &Claim) -> usize {
    let own = |span: &Range<usize>| claim.part.as_ref() == Some(span) || *span == claim.at;
    note.mentions_in(clause).iter().filter(|m| super::note::part_of(m).is_some() && !own(&m.span)).count()
}

/// The share of a clause's longer words that no term and no number takes in.
fn unexplained(note: &Note, clause: &Range<usize>) -> f64 {
    const SMALL: usize = 4;
    let known = |at: usize| {
        note.mentions_in(clause).iter().chain(note.side_in(clause)).any(|m| m.span.contains(&at))
            || note.quantities_in(clause).iter().any(|q| q.span.contains(&at))
    };
    let long = clause.clone().filter(|at| note.text(*at).len() > SMALL);
    let (all, strange) = long.fold((0usize, 0usize), |(all, strange), at| (all + 1, strange + usize::from(!known(at))));
    strange as f64 / all.max(1) as f64
}

/// Whether a word near in the clause is none at all: it may have been the one that says no.
fn garbled(note: &Note, clause: &Range<usize>, at: &Range<usize>) -> bool {
    const NEAR: usize = 4;
    let known = |at: usize| {
        let (token, lexicon) = (&note.tokens[at], note.lexicon);
        let ordinary = token.text.len() < 3 || token.text.contains(|c: char| !c.is_alphabetic());
        ordinary || lexicon.is_english(&token.text) || lexicon.vocabulary.contains(&fold(&token.text))
    };
    let near = clause.start.max(at.start.saturating_sub(NEAR))..clause.end.min(at.end + NEAR);
    near.into_iter().any(|at| !known(at))
}

/// What recognisers write for the "and" of a number.
const AND: [&str; 5] = ["and", "an", "at", "in", "end"];

/// Whether a round hundred is followed by "and", or what is written for it: "one hundred and eighteen", of which only the
/// beginning was heard.
fn breaks_off(note: &Note, at: &Range<usize>) -> bool {
    let round = note.quantities_in(at).iter().any(|q| q.value >= 100.0 && q.value % 100.0 == 0.0);
    round && note.tokens.get(at.end).is_some_and(|next| AND.contains(&next.text.as_str()))
}

/// Why a person should look at it, in a few words each.
pub fn reasons(claim: &Claim) -> Vec<String> {
    let signs = &claim.signs;
    let mut reasons = Vec::new();
    if signs.implausible {
        reasons.push("the number is outside the usual range".to_owned());
    }
    if matches!(signs.matched, Match::Misheard | Match::Fuzzy) {
        reasons.push("the words are a likely mishearing of the term".to_owned());
    }
    if signs.word < 0.5 {
        reasons.push("a word was heard unsurely".to_owned());
    }
    if signs.hedged {
        reasons.push("the speaker was not sure".to_owned());
    }
    if signs.reach >= 2.0 {
        reasons.push("the part was not named in the same sentence".to_owned());
    }
    reasons
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shipped_weights_are_read_and_name_known_reasons() {
        let weights: Weights = toml::from_str(SHIPPED).unwrap();
        for (name, weight) in &weights.doubt {
            assert!(REASONS.contains(&name.as_str()), "{name} is no reason for doubt");
            assert!(*weight >= 0.0, "{name} would speak for a claim");
        }
        assert_eq!(*WEIGHTS, weights);
    }

    #[test]
    fn what_is_less_than_sure_is_told_as_doubtful() {
        assert_eq!([shown(0.97, 0.96), shown(0.95, 0.96), shown(0.4, 0.96)], [0.97, 0.89, 0.4]);
    }

    #[test]
    fn a_round_hundred_that_may_have_gone_on_is_not_sure_where_it_was_heard() {
        let lexicon = crate::lexicon::Lexicon::shipped().unwrap();
        let sure = |text: &str, timed: bool| {
            let transcript = crate::recognize::Transcript { timed, ..crate::recognize::Transcript::from_text(text) };
            let facts = crate::read::facts(&transcript, &lexicon, "a").facts;
            facts.iter().find(|f| f.attribute == "temperature").unwrap().confidence >= 0.9
        };
        for text in ["Hot at the kitchen is 100 at the basement.", "Hot water at the kitchen is 100 and eight."] {
            assert!(!sure(text, true), "{text}");
        }
        assert!(sure("Hot water at the kitchen is 118 at the tap.", true));
        assert!(sure("Hot water at the kitchen is 100 at the tap.", false), "typed, it is what was meant");
    }

    #[test]
    fn a_probability_is_the_logistic_of_trust_less_doubts() {
        let weights =
            Weights { trust: 3.0, sure: 0.0, doubt: BTreeMap::from([("hedged".into(), 1.0), ("reach".into(), 0.5)]) };
        let mut doubts = Doubts::default();
        // 1 / (1 + e^-3)
        assert!((weights.probability(&doubts) - 0.952_574).abs() < 1e-6);
        doubts.0[8] = 1.0;
        doubts.0[3] = 2.0;
        // 1 / (1 + e^-(3 - 1 - 0.5 * 2)) = 1 / (1 + e^-1)
        assert!((weights.probability(&doubts) - 0.731_059).abs() < 1e-6);
    }
}
