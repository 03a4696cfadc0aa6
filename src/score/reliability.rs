//! Whether a confidence means what it says.
use serde::Serialize;

/// Facts whose confidences lie close together.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Bin {
    pub from: f64,
    pub to: f64,
    pub facts: usize,
    /// Mean confidence of the facts in it.
    pub said: f64,
    /// Share of them that is right.
    pub right: f64,
}

/// Ten bins of equal width and the expected calibration error over them.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Reliability {
    pub bins: Vec<Bin>,
    /// Mean distance of said and right, each bin by the number of its facts.
    pub calibration_error: f64,
}

const BINS: usize = 10;

impl Reliability {
    /// Sorts facts (confidence, whether right) into bins.
    pub fn of(facts: impl Iterator<Item = (f64, bool)>) -> Self {
        let mut sums = [(0usize, 0.0, 0usize); BINS];
        for (confidence, right) in facts {
            let at = ((confidence * BINS as f64) as usize).min(BINS - 1);
            sums[at].0 += 1;
            sums[at].1 += confidence;
            sums[at].2 += usize::from(right);
        }
        let all: usize = sums.iter().map(|s| s.0).sum();
        let mut bins = Vec::new();
        let mut calibration_error = 0.0;
        for (at, (facts, said, right)) in sums.into_iter().enumerate() {
            if facts == 0 {
                continue;
            }
            let (said, right) = (said / facts as f64, right as f64 / facts as f64);
            calibration_error += (said - right).abs() * facts as f64 / all as f64;
            let width = 1.0 / BINS as f64;
            bins.push(Bin { from: at as f64 * width, to: (at + 1) as f64 * width, facts, said, right });
        }
        Reliability { bins, calibration_error }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_calibration_error_is_the_weighted_distance_of_said_and_right() {
        // By hand: two facts at 0.95, one right: said 0.95, right 0.5, distance 0.45, weight 2/4.
        // One at 0.55, right: distance 0.45, weight 1/4. One at 0.62, wrong: distance 0.62, weight 1/4.
        // 0.45 * 0.5 + 0.45 * 0.25 + 0.62 * 0.25 = 0.225 + 0.1125 + 0.155 = 0.4925.
        let found = Reliability::of([(0.95, true), (0.95, false), (0.55, true), (0.62, false)].into_iter());
        assert!((found.calibration_error - 0.4925).abs() < 1e-9, "{found:?}");
        let counts: Vec<usize> = found.bins.iter().map(|b| b.facts).collect();
        assert_eq!(counts, [1, 1, 2], "empty bins are left out");
    }

    #[test]
    fn certain_facts_fall_into_the_last_bin() {
        let found = Reliability::of([(1.0, true)].into_iter());
        assert_eq!((found.bins[0].from, found.bins[0].facts, found.calibration_error), (0.9, 1, 0.0));
    }
}
