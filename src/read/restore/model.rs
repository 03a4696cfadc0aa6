//! The learned weights and what they decide.
use super::feature::{Around, START, hash, key};
use crate::read::token::Stop;
use rustc_hash::{FxBuildHasher, FxHashMap};
use std::sync::LazyLock;

/// What may follow a word: nothing, a comma, the end of a sentence.
pub type Class = usize;
pub const CLASSES: usize = 3;

const SHIPPED: &str = include_str!("../../../lexicon/stops.tsv");
static WEIGHTS: LazyLock<FxHashMap<u64, [f32; CLASSES]>> = LazyLock::new(|| parse(SHIPPED));

pub fn class(stop: Stop) -> Class {
    match stop {
        Stop::None => 0,
        Stop::Comma => 1,
        Stop::Sentence | Stop::Question => 2,
    }
}

/// The likeliest stop after a token.
pub fn decide(around: &Around, at: usize, since: usize) -> Stop {
    let mut score = [0.0f32; CLASSES];
    around.each(at, since, &mut |name, words| {
        if let Some(weights) = WEIGHTS.get(&key(name, words)) {
            score.iter_mut().zip(weights).for_each(|(s, w)| *s += w);
        }
    });
    let best = (1..CLASSES).fold(0, |best, class| if score[class] > score[best] { class } else { best });
    [Stop::None, Stop::Comma, Stop::Sentence][best]
}

/// About as many weights as ship.
const LINES: usize = 70_000;

/// Lines of a feature and its weights; a line that is neither is passed over, and a test says so.
fn parse(text: &str) -> FxHashMap<u64, [f32; CLASSES]> {
    let mut weights = FxHashMap::with_capacity_and_hasher(LINES, FxBuildHasher);
    weights.extend(text.lines().filter(|line| !line.starts_with('#')).filter_map(weights_of));
    weights
}

fn weights_of(line: &str) -> Option<(u64, [f32; CLASSES])> {
    let mut cells = line.split('\t');
    let feature = cells.next()?;
    let mut weights = [0.0; CLASSES];
    for weight in &mut weights {
        *weight = cells.next()?.parse().ok()?;
    }
    Some((hash(START, feature.as_bytes()), weights))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_of_the_shipped_weights_is_read() {
        let lines = SHIPPED.lines().filter(|line| !line.starts_with('#')).count();
        assert!(lines > 1000, "{lines}");
        assert_eq!(WEIGHTS.len(), lines);
    }
}
