//! Learns where sentences end from punctuated notes: logistic regression, the same every time.
use super::label::Dictation;
use crate::lexicon::Lexicon;
use crate::read::restore::{CLASSES, Class, key, lessons};
use std::collections::HashMap;
use std::fmt::Write;

const ROUNDS: usize = 6;
/// A feature seen less often teaches nothing.
const SEEN: usize = 2;
/// A weight smaller than this changes nothing.
const LEAST: f64 = 0.05;
const RATE: f64 = 0.05;
const SHRINK: f64 = 1e-5;
/// How much an example counts beside a note.
const DRILL: f64 = 0.3;
/// Examples of the lexicon that make one note to learn from, and how often they are dealt anew.
const DEALT: usize = 12;
const DEALS: usize = 1;

#[derive(Default, Clone)]
struct Weight {
    now: [f64; CLASSES],
    /// Sum of the squares of all steps so far: what has often been moved is moved less (AdaGrad).
    moved: [f64; CLASSES],
}

/// One gap to learn from: its features, the stop that is there, and how much it counts.
type Lesson = (Vec<String>, Class, f64);

/// The learned weights as the file that ships: a feature and its weights a line, sorted.
pub fn learn(dictations: &[Dictation], lexicon: &Lexicon) -> String {
    let spoken = dictations.iter().map(|d| (d.spoken.clone(), 1.0));
    let drills = dealt(lexicon).into_iter().map(|text| (text, DRILL));
    let gaps = |(text, counts): (String, f64)| lessons(&text, lexicon).into_iter().map(move |(f, c)| (f, c, counts));
    let gaps: Vec<Lesson> = drills.chain(spoken).flat_map(gaps).collect();
    let mut count: HashMap<&str, usize> = HashMap::new();
    for feature in gaps.iter().flat_map(|(features, ..)| features) {
        *count.entry(feature).or_default() += 1;
    }
    let mut weights: HashMap<&str, Weight> =
        count.iter().filter(|(_, n)| **n >= SEEN).map(|(f, _)| (*f, Weight::default())).collect();
    for _ in 0..ROUNDS {
        gaps.iter().for_each(|gap| step(&mut weights, gap));
    }
    page(&weights)
}

/// Moves the weights of a gap's features towards the stop that is there.
fn step(weights: &mut HashMap<&str, Weight>, (features, wanted, counts): &Lesson) {
    let likely = likelihood(weights, features);
    for feature in features {
        let Some(weight) = weights.get_mut(feature.as_str()) else { continue };
        let Weight { now, moved } = weight;
        for (class, (now, moved)) in now.iter_mut().zip(moved).enumerate() {
            let slope = counts * (f64::from(u8::from(class == *wanted)) - likely[class]) - SHRINK * *now;
            *moved += slope * slope;
            *now += RATE * slope / (moved.sqrt() + 1e-6);
        }
    }
}

/// How likely each stop is, by the weights as they are.
fn likelihood(weights: &HashMap<&str, Weight>, features: &[String]) -> [f64; CLASSES] {
    let mut score = [0.0; CLASSES];
    for weight in features.iter().filter_map(|f| weights.get(f.as_str())) {
        score.iter_mut().zip(weight.now).for_each(|(s, w)| *s += w);
    }
    let top = score.iter().copied().fold(f64::MIN, f64::max);
    let powers = score.map(|s| (s - top).exp());
    let sum: f64 = powers.iter().sum();
    powers.map(|p| p / sum)
}

/// The lexicon's examples, shuffled and dealt into notes: sentences of every kind next to every other.
fn dealt(lexicon: &Lexicon) -> Vec<String> {
    let shown = |entry: crate::lexicon::Entry<'_>| {
        let texts: Vec<String> =
            entry.yes.iter().flat_map(|y| y.text.list().to_vec()).chain(entry.no.to_vec()).collect();
        texts
    };
    let mut examples: Vec<String> = lexicon.entries().flat_map(shown).map(ended).collect();
    let mut notes = Vec::new();
    for deal in 0..DEALS {
        examples.sort_by_cached_key(|text| key(&deal.to_string(), &[text]));
        notes.extend(examples.chunks(DEALT).map(|chunk| chunk.join(" ")));
    }
    notes
}

fn ended(text: String) -> String {
    if text.ends_with(['.', '?', '!']) { text } else { text + "." }
}

fn page(weights: &HashMap<&str, Weight>) -> String {
    let mut lines: Vec<String> = Vec::new();
    for (feature, weight) in weights {
        if weight.now.iter().any(|w| w.abs() >= LEAST) {
            let cells: Vec<String> = weight.now.iter().map(|w| format!("{w:.2}")).collect();
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
