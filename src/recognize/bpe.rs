//! Splits text into the model's own tokens, as the model was trained to.
//!
//! Byte-pair encoding needs no list of merges: a token's number is its merge's rank (the first 256 are the bytes).
use std::collections::HashMap;

/// The model's vocabulary, from bytes to number.
pub struct Vocabulary {
    ranks: HashMap<Vec<u8>, u32>,
}

impl Vocabulary {
    /// Takes the ordinary tokens in order of their numbers.
    pub fn new(tokens: impl Iterator<Item = Vec<u8>>) -> Self {
        Vocabulary { ranks: tokens.zip(0..).collect() }
    }

    /// The numbers of the tokens that end in a sign, after which a word may begin without a space.
    pub fn signs(&self) -> impl Iterator<Item = u32> {
        let is_sign = |token: &[u8]| token.last().is_some_and(|b| b.is_ascii_punctuation());
        self.ranks.iter().filter(move |(token, _)| is_sign(token)).map(|(_, rank)| *rank)
    }

    /// The one token that is this text, if there is one.
    pub fn token(&self, text: &str) -> Option<u32> {
        self.ranks.get(text.as_bytes()).copied()
    }

    /// The tokens of a text; none where a byte is unknown.
    pub fn encode(&self, text: &str) -> Option<Vec<u32>> {
        let pieces: Vec<Vec<u32>> = pieces(text).into_iter().map(|piece| self.merge(piece)).collect::<Option<_>>()?;
        Some(pieces.concat())
    }

    /// Joins neighbours, lowest rank first, until no join is a token.
    fn merge(&self, piece: &str) -> Option<Vec<u32>> {
        let mut parts: Vec<Vec<u8>> = piece.bytes().map(|b| vec![b]).collect();
        loop {
            let joins = parts.windows(2).enumerate();
            let ranked = joins.filter_map(|(at, pair)| Some((self.ranks.get(&pair.concat())?, at)));
            let Some((_, at)) = ranked.min() else { break };
            let second = parts.remove(at + 1);
            parts[at].extend(second);
        }
        parts.iter().map(|part| self.ranks.get(part).copied()).collect()
    }
}

/// Splits before merging: runs of letters, of digits or of signs, each with the space before it.
fn pieces(text: &str) -> Vec<&str> {
    let mut cuts = vec![0];
    let mut before: Option<char> = None;
    for (at, c) in text.char_indices() {
        if before.is_some_and(|b| b != ' ' && class(b) != class(c)) {
            cuts.push(at);
        }
        before = Some(c);
    }
    cuts.push(text.len());
    cuts.windows(2).map(|cut| &text[cut[0]..cut[1]]).filter(|piece| !piece.is_empty()).collect()
}

fn class(c: char) -> u8 {
    match c {
        ' ' => 0,
        c if c.is_alphabetic() => 1,
        c if c.is_numeric() => 2,
        _ => 3,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn toy() -> Vocabulary {
        // Merges in order: "re", "li", "reli", "ef", " reli"; a greedy longest match would take " relief" apart otherwise.
        let merged = ["re", "li", "reli", "ef", " reli", "relief"];
        Vocabulary::new((0..=255u8).map(|b| vec![b]).chain(merged.iter().map(|m| m.as_bytes().to_vec())))
    }

    #[test]
    fn the_earliest_merge_is_made_first() {
        // By hand: " relief" → re, li → reli → ef → " reli" (260) before "relief" (261).
        assert_eq!(toy().encode(" relief"), Some(vec![260, 259]));
        assert_eq!(toy().encode("relief"), Some(vec![261]));
    }

    #[test]
    fn a_space_belongs_to_the_word_after_it_and_signs_stand_alone() {
        assert_eq!(pieces(" T&P valve 3/4"), [" T", "&", "P", " valve", " 3", "/", "4"]);
    }
}
