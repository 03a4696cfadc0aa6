//! Weights of the confidence, fitted to facts of which it is known whether they are right.
//!
//! A logistic model whose features are all reasons for doubt, so that no weight may be negative: the
//! chance of being right is `logistic(trust - sum of weight * doubt)`. A ridge keeps what is seldom
//! seen from being believed.

/// One fact: how strong each reason for doubt is, and whether the fact is right.
#[derive(Debug, Clone, PartialEq)]
pub struct Example {
    pub doubts: Vec<f64>,
    pub right: bool,
}

/// What was fitted.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Log odds of a fact that nothing speaks against.
    pub trust: f64,
    /// What each reason for doubt takes away.
    pub weights: Vec<f64>,
}

impl Fit {
    /// The chance that a fact is right.
    pub fn chance(&self, doubts: &[f64]) -> f64 {
        let against: f64 = self.weights.iter().zip(doubts).map(|(w, d)| w * d).sum();
        logistic(self.trust - against)
    }
}

fn logistic(odds: f64) -> f64 {
    1.0 / (1.0 + (-odds).exp())
}

const ROUNDS: usize = 20_000;
/// Steps this small change nothing that a confidence shows.
const STILL: f64 = 1e-9;

/// Fits by projected gradient: each step goes downhill, then weights below zero are set to zero.
///
/// The loss is the sum over all examples plus `ridge / 2` times the sum of squared weights; the trust
/// itself is free. `None` where there are no examples.
pub fn fit(examples: &[Example], ridge: f64) -> Option<Fit> {
    let width = examples.first()?.doubts.len();
    let mut fit = Fit { trust: 0.0, weights: vec![0.0; width] };
    // The curvature of the loss is at most this, so that the step never overshoots.
    let square = |e: &Example| 1.0 + e.doubts.iter().map(|d| d * d).sum::<f64>();
    let steepest = 0.25 * examples.iter().map(square).sum::<f64>() + ridge;
    // Nesterov's momentum; it starts over whenever it points uphill.
    let mut ahead = fit.clone();
    let mut pace = 1.0f64;
    for _ in 0..ROUNDS {
        let (trust_slope, slopes) = slopes(&ahead, examples, ridge);
        let next = Fit {
            trust: ahead.trust - trust_slope / steepest,
            weights: ahead.weights.iter().zip(&slopes).map(|(w, s)| (w - s / steepest).max(0.0)).collect(),
        };
        let uphill = (next.trust - fit.trust) * trust_slope
            + next.weights.iter().zip(&fit.weights).zip(&slopes).map(|((n, o), s)| (n - o) * s).sum::<f64>();
        let moved = (next.trust - fit.trust).abs()
            + next.weights.iter().zip(&fit.weights).map(|(n, o)| (n - o).abs()).sum::<f64>();
        let quicker = if uphill > 0.0 { 1.0 } else { 0.5 * (1.0 + (1.0 + 4.0 * pace * pace).sqrt()) };
        let carry = if uphill > 0.0 { 0.0 } else { (pace - 1.0) / quicker };
        ahead = Fit {
            trust: next.trust + carry * (next.trust - fit.trust),
            weights: next.weights.iter().zip(&fit.weights).map(|(n, o)| n + carry * (n - o)).collect(),
        };
        pace = quicker;
        fit = next;
        if moved < STILL {
            break;
        }
    }
    Some(fit)
}

/// How the loss changes with the trust and with each weight.
fn slopes(fit: &Fit, examples: &[Example], ridge: f64) -> (f64, Vec<f64>) {
    let mut trust = 0.0;
    let mut weights: Vec<f64> = fit.weights.iter().map(|w| ridge * w).collect();
    for example in examples {
        let off = fit.chance(&example.doubts) - if example.right { 1.0 } else { 0.0 };
        trust += off;
        for (slope, doubt) in weights.iter_mut().zip(&example.doubts) {
            *slope -= off * doubt;
        }
    }
    (trust, weights)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Made by `tests/tables/logistic.py` with scikit-learn.
    const TABLE: &str = include_str!("../../tests/tables/logistic.tsv");

    #[test]
    fn the_weights_are_those_of_scikit_learn() {
        let mut lines = TABLE.lines();
        let head: Vec<f64> = lines.next().unwrap().split('\t').map(|c| c.parse().unwrap()).collect();
        let examples: Vec<Example> = lines
            .map(|line| {
                let cells: Vec<f64> = line.split('\t').map(|c| c.parse().unwrap()).collect();
                Example { doubts: cells[1..].to_vec(), right: cells[0] > 0.5 }
            })
            .collect();
        assert!(examples.len() >= 300);
        let found = fit(&examples, 1.0).unwrap();
        // The first row holds the intercept and the coefficients, which are what our weights take away.
        assert!((found.trust - head[0]).abs() < 1e-3, "{found:?} {head:?}");
        for (weight, expected) in found.weights.iter().zip(&head[1..]) {
            assert!((weight + expected).abs() < 1e-3, "{found:?} {head:?}");
        }
    }

    #[test]
    fn a_reason_for_doubt_never_speaks_for_a_fact() {
        let example = |doubt: f64, right: bool| Example { doubts: vec![doubt], right };
        // The doubtful ones are all right and the others half, so the best weight would be negative.
        let examples = [example(1.0, true), example(1.0, true), example(0.0, true), example(0.0, false)];
        let found = fit(&examples, 0.1).unwrap();
        assert_eq!(found.weights, [0.0]);
        // Then only the trust is left, and three of four are right: ln(3).
        assert!((found.trust - 3f64.ln()).abs() < 1e-4, "{found:?}");
    }
}
