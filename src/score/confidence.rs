//! Fits the weights of the confidence to scored dictations, and tells how they do on dictations they have not seen.
use super::figure::SURE;
use super::fit::{Example, Fit, fit};
use super::outcome::{Outcome, Stated};
use super::reliability::Reliability;
use crate::read::confidence::{REASONS, shown};
use std::fmt::Write;

/// How strongly seldom-seen reasons are held back.
const RIDGE: f64 = 1.0;
/// Dictations are left out one of so many at a time.
const FOLDS: usize = 6;
/// What a reason takes away at least, however seldom it was seen: set by hand, so that an unlikely or disputed reading
/// is never sure.
const LEAST: [(&str, f64); 7] = [
    ("implausible", 3.5),
    ("misread", 4.0),
    ("disputed", 4.0),
    ("fuzzy", 1.5),
    ("misheard", 1.5),
    ("name", 2.0),
    ("hedged", 0.3),
];
/// From here on a fact may be shown as sure: of the development recordings, less than one such fact in a hundred is
/// wrong. A wrong fact shown as sure costs more than a right one shown as doubtful.
const SURE_FROM: f64 = 0.96;

/// The file that ships, and how well it does.
pub struct Fitted {
    pub file: String,
    /// By dictations left out of the fit: facts called sure, those of them wrong, expected calibration error.
    pub sure: usize,
    pub wrong: usize,
    pub calibration_error: f64,
}

/// Fits to all outcomes; nothing where they hold no fact.
pub fn learn(outcomes: &[&Outcome]) -> Option<Fitted> {
    let names: Vec<&str> = outcomes.iter().map(|o| o.name.as_str()).collect();
    let mut folds = names.clone();
    folds.sort_unstable();
    folds.dedup();
    let fold_of = |name: &str| folds.iter().position(|n| *n == name).unwrap_or_default() % FOLDS;
    let mut seen: Vec<(f64, bool)> = Vec::new();
    for fold in 0..FOLDS {
        let kept = outcomes.iter().filter(|o| fold_of(&o.name) != fold);
        let Some(fit) = weights(kept.flat_map(|o| &o.stated)) else { continue };
        let left = outcomes.iter().filter(|o| fold_of(&o.name) == fold);
        let shown = |s: &Stated| shown(fit.chance(&s.doubts.0), SURE_FROM);
        seen.extend(left.flat_map(|o| &o.stated).map(|s| (shown(s), s.right)));
    }
    let sure: Vec<_> = seen.iter().filter(|(chance, _)| *chance >= SURE).collect();
    Some(Fitted {
        file: page(&weights(outcomes.iter().flat_map(|o| &o.stated))?, outcomes.len()),
        sure: sure.len(),
        wrong: sure.iter().filter(|(_, right)| !right).count(),
        calibration_error: Reliability::of(seen.into_iter()).calibration_error,
    })
}

fn weights<'a>(stated: impl Iterator<Item = &'a Stated>) -> Option<Fit> {
    let examples: Vec<Example> = stated.map(|s| Example { doubts: s.doubts.0.to_vec(), right: s.right }).collect();
    let mut fit = fit(&examples, RIDGE)?;
    for (reason, least) in LEAST {
        if let Some(at) = REASONS.iter().position(|r| *r == reason) {
            fit.weights[at] = fit.weights[at].max(least);
        }
    }
    Some(fit)
}

fn page(fit: &Fit, dictations: usize) -> String {
    let mut page = format!(
        "# How likely a fact is right: logistic(trust - sum of doubt * weight). What each doubt measures is told in\n\
         # src/read/confidence.rs. Fitted by `hearsheet score FOLDER --stripped --audio --fit FILE` to {dictations} readings of\n\
         # labelled dictations; docs/confidence.md tells how.\n\
         trust = {:.2}\n\
         # A fact less likely than this is never shown as sure.\n\
         sure = {SURE_FROM}\n\n[doubt]\n",
        fit.trust
    );
    for (reason, weight) in REASONS.iter().zip(&fit.weights).filter(|(_, w)| **w >= 0.005) {
        let _ = writeln!(page, "{reason} = {weight:.2}");
    }
    page
}
