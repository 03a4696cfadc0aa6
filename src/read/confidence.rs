//! How likely a claim is right, from how it was heard, matched and linked.
use super::claim::Claim;
use crate::lexicon::Match;

/// The probability that a claim is right; the weights are fitted on recordings.
pub fn of(claim: &Claim) -> f64 {
    let signs = &claim.signs;
    let mut odds: f64 = 4.0;
    odds -= match signs.matched {
        Match::Exact => 0.0,
        Match::Weak => 0.8,
        Match::Misheard => 2.0,
        Match::Fuzzy => 2.4,
    };
    odds -= 0.6 * signs.reach.max(0.0);
    odds -= 3.0 * f64::from(1.0 - signs.word).powi(2);
    odds -= if signs.hedged { 0.7 } else { 0.0 };
    odds -= if signs.implied { 0.3 } else { 0.0 };
    odds -= if signs.implausible { 3.5 } else { 0.0 };
    odds -= 4.0 * (1.0 - signs.certainty);
    let probability = 1.0 / (1.0 + (-odds).exp());
    (probability * 1000.0).round() / 1000.0
}

/// Why a person should look at it, in a few words each.
pub fn doubts(claim: &Claim) -> Vec<String> {
    let signs = &claim.signs;
    let mut doubts = Vec::new();
    if signs.implausible {
        doubts.push("the number is outside the usual range".to_owned());
    }
    if matches!(signs.matched, Match::Misheard | Match::Fuzzy) {
        doubts.push("the words are a likely mishearing of the term".to_owned());
    }
    if signs.word < 0.5 {
        doubts.push("a word was heard unsurely".to_owned());
    }
    if signs.hedged {
        doubts.push("the speaker was not sure".to_owned());
    }
    if signs.reach >= 2.0 {
        doubts.push("the part was not named in the same sentence".to_owned());
    }
    doubts
}
