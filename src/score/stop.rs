//! Learns where sentences end from punctuated notes: an averaged perceptron, the same every time.
use super::label::Dictation;
use crate::lexicon::Lexicon;
use crate::read::restore::{CLASSES, Class, lessons};
use std::collections::HashMap;
use std::fmt::Write;

const ROUNDS: usize = 6;
/// A feature seen less often teaches nothing.
const SEEN: usize = 2;
/// A weight smaller than this changes nothing.
const LEAST: f64 = 0.15;

#[derive(Default, Clone)]
struct Weight {
    now: [f64; CLASSES],
    /// Sum of all that was added, each times the step at which it was.
    late: [f64; CLASSES],
}

/// The learned weights as the file that ships: a feature and its weights a line, sorted.
pub fn learn(dictations: &[Dictation], lexicon: &Lexicon) -> String {
    let notes: Vec<Vec<(Vec<String>, Class)>> = dictations.iter().map(|d| lessons(&d.spoken, lexicon)).collect();
    let mut count: HashMap<&str, usize> = HashMap::new();
    for feature in notes.iter().flatten().flat_map(|(features, _)| features) {
        *count.entry(feature).or_default() += 1;
    }
    let mut weights: HashMap<&str, Weight> =
        count.iter().filter(|(_, n)| **n >= SEEN).map(|(f, _)| (*f, Weight::default())).collect();
    let mut step = 0.0;
    for _ in 0..ROUNDS {
        for (features, wanted) in notes.iter().flatten() {
            step += 1.0;
            let given = decide(&weights, features);
            if given == *wanted {
                continue;
            }
            for feature in features {
                if let Some(weight) = weights.get_mut(feature.as_str()) {
                    for (class, by) in [(*wanted, 1.0), (given, -1.0)] {
                        weight.now[class] += by;
                        weight.late[class] += by * step;
                    }
                }
            }
        }
    }
    page(&weights, step)
}

fn decide(weights: &HashMap<&str, Weight>, features: &[String]) -> Class {
    let mut score = [0.0; CLASSES];
    for weight in features.iter().filter_map(|f| weights.get(f.as_str())) {
        score.iter_mut().zip(weight.now).for_each(|(s, w)| *s += w);
    }
    (1..CLASSES).fold(0, |best, class| if score[class] > score[best] { class } else { best })
}

fn page(weights: &HashMap<&str, Weight>, steps: f64) -> String {
    let mut lines: Vec<String> = Vec::new();
    for (feature, weight) in weights {
        let mean: Vec<f64> =
            weight.now.iter().zip(weight.late).map(|(now, late)| now - late / steps.max(1.0)).collect();
        if mean.iter().any(|w| w.abs() >= LEAST) {
            let cells: Vec<String> = mean.iter().map(|w| format!("{w:.2}")).collect();
            lines.push(format!("{feature}\t{}", cells.join("\t")));
        }
    }
    lines.sort();
    let mut page =
        String::from("# Where a stop is missing: feature, and what speaks for none, a comma, a full stop.\n");
    for line in lines {
        let _ = writeln!(page, "{line}");
    }
    page
}
