//! The functions that conditions may call beside those of CEL.
use super::figure::circuit::{breaker_max, wire_max};
use super::rules::Rules;
use cel::ExecutionError;
use std::sync::Arc;

/// A context with our functions; `figure::circuit` documents the electrical ones.
pub fn context<'r>(rules: &Rules) -> cel::Context<'r, 'r> {
    let mut context = cel::Context::with_env(rules.environment.clone());
    // None of these names is taken by CEL; a test calls each of them.
    let _ = context.add_function("is_garage", |place: Arc<String>| is_garage(&place));
    let _ = context.add_function("breaker_max", |amps: f64| {
        breaker_max(amps).ok_or_else(|| ExecutionError::function_error("breaker_max", "beyond the standard sizes"))
    });
    let _ = context.add_function("wire_max", |gauge: f64| {
        wire_max(gauge).ok_or_else(|| ExecutionError::function_error("wire_max", "no such gauge in the table"))
    });
    context
}

/// Whether a place as spoken is a garage, not a room beside or above one.
pub fn is_garage(place: &str) -> bool {
    const BESIDE: [&str; 12] = [
        "over",
        "above",
        "off",
        "beside",
        "behind",
        "beneath",
        "below",
        "under",
        "near",
        "outside",
        "adjoining",
        "from",
    ];
    const ROOMS: [&str; 4] = ["apartment", "attic", "loft", "roof"];
    let place = place.to_lowercase();
    let words: Vec<&str> = place.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    let Some(at) = words.iter().position(|w| *w == "garage") else { return false };
    let beside = words[..at].iter().any(|w| BESIDE.contains(w));
    let next_to = words[..at].windows(2).any(|pair| pair == ["next", "to"]);
    !beside && !next_to && !words.get(at + 1).is_some_and(|w| ROOMS.contains(w))
}
