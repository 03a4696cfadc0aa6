//! The pull of the trade's words on the decoder.
//!
//! A general speech model writes "flu" for "flue". While it decodes, each token that goes on with a term gets a bonus
//! on its logit; the bonus grows with the tokens of the term already decoded. A bonus given to a term that stays
//! unfinished is handed back: the tokens that would finish it carry it on, no other does. It never repeats a term that
//! has just ended, and the probabilities told to the reader are those from before any bonus.
mod form;
#[cfg(test)]
mod tests;

pub use form::variants;

use super::bpe::Vocabulary;
use std::collections::HashSet;

/// How strongly terms pull, in natural logarithms of odds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strength {
    /// Bonus of a term's first token.
    pub first: f32,
    /// More for each token already decoded.
    pub step: f32,
    /// Most that one token gets.
    pub most: f32,
}

/// Chosen on recordings by `benches/pull.sh`. A stronger first token puts terms in that nobody said; a stronger step does
/// not, since the sound has already agreed with the beginning.
impl Default for Strength {
    fn default() -> Self {
        Strength { first: 1.5, step: 1.5, most: 6.0 }
    }
}

/// The terms' tokens as two trees, of terms after a space and of terms at a beginning or after a sign.
pub struct Pull {
    nodes: Vec<Node>,
    deepest: usize,
    strength: Strength,
    signs: HashSet<u32>,
    /// Tokens below this get no bonus as a term's first.
    common: u32,
}

/// Tokens are numbered by how early they were merged, so roughly by how common they are: those below this are word
/// beginnings like " in" or " as", and a bonus on them would make words of their own of them.
pub const COMMON: u32 = 1000;

/// The trees' roots.
const SPACED: usize = 0;
const BARE: usize = 1;

#[derive(Default)]
struct Node {
    /// Next tokens with their nodes, sorted.
    children: Vec<(u32, usize)>,
    /// Whether a term ends here.
    ends: bool,
}

impl Pull {
    /// Builds the tree of every form in every casing.
    pub fn new(forms: &[String], vocabulary: &Vocabulary, strength: Strength, common: u32) -> Self {
        let signs = vocabulary.signs().collect();
        let nodes = vec![Node::default(), Node::default()];
        let mut pull = Pull { nodes, deepest: 0, strength, signs, common };
        for variant in forms.iter().flat_map(|form| variants(form)) {
            let spaced = format!(" {variant}");
            for (root, text) in [(SPACED, &spaced), (BARE, &variant)] {
                if let Some(tokens) = vocabulary.encode(text) {
                    pull.insert(root, &tokens);
                }
            }
        }
        pull
    }

    fn insert(&mut self, root: usize, tokens: &[u32]) {
        let mut at = root;
        for token in tokens {
            at = match self.nodes[at].children.binary_search_by_key(token, |c| c.0) {
                Ok(found) => self.nodes[at].children[found].1,
                Err(place) => {
                    let fresh = self.nodes.len();
                    self.nodes[at].children.insert(place, (*token, fresh));
                    self.nodes.push(Node::default());
                    fresh
                }
            };
        }
        self.nodes[at].ends |= at != root;
        self.deepest = self.deepest.max(tokens.len());
    }

    /// The bonus of each token that begins or goes on with a term after these tokens.
    pub fn bonuses(&self, before: &[u32]) -> Vec<(u32, f32)> {
        let mut bonuses: Vec<(u32, f32)> = Vec::new();
        let mut just_ended = Vec::new();
        for start in before.len().saturating_sub(self.deepest)..before.len() {
            let depth = before.len() - start;
            for node in self.roots(&before[..start]).filter_map(|root| self.walk(root, &before[start..])) {
                bonuses.extend(self.nodes[node].children.iter().map(|(token, _)| (*token, self.bonus(depth))));
                if self.nodes[node].ends {
                    just_ended.push(before[start]);
                }
            }
        }
        for root in self.roots(before) {
            let first = self.nodes[root].children.iter().map(|(token, _)| *token);
            let first = first.filter(|token| *token >= self.common && !just_ended.contains(token));
            bonuses.extend(first.map(|token| (token, self.bonus(0))));
        }
        // Where a token goes on with several terms, the largest bonus counts, once.
        bonuses.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)));
        bonuses.dedup_by_key(|bonus| bonus.0);
        bonuses
    }

    /// The bonus of the token after so many of its term.
    fn bonus(&self, depth: usize) -> f32 {
        (self.strength.first + self.strength.step * depth as f32).min(self.strength.most)
    }

    /// The trees whose terms may begin after these tokens.
    fn roots(&self, before: &[u32]) -> impl Iterator<Item = usize> {
        let bare = before.last().is_none_or(|last| self.signs.contains(last));
        [Some(SPACED), bare.then_some(BARE)].into_iter().flatten()
    }

    fn walk(&self, root: usize, tokens: &[u32]) -> Option<usize> {
        tokens.iter().try_fold(root, |at: usize, token| {
            let children = &self.nodes[at].children;
            let found = children.binary_search_by_key(token, |c| c.0).ok()?;
            Some(children[found].1)
        })
    }
}
