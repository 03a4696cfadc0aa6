//! Readings beside the limits that the rules compare them with.
use super::{Source, clean};
use crate::judge::Status;
use crate::record::{Fact, State};
use serde::Serialize;

/// A number that was read, what it may be, and where it falls on a scale.
#[derive(Debug, Serialize)]
pub struct Reading {
    pub label: String,
    pub place: String,
    pub value: String,
    pub limit: String,
    pub outcome: String,
    pub beyond: bool,
    /// Where the reading and the limits stand on a scale 120 wide.
    pub at: f64,
    pub marks: Vec<f64>,
    /// The scale for a reader who cannot see it.
    pub spoken_scale: String,
}

/// One side of what a reading may be.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Bound {
    value: f64,
    /// The reading must not be above it, or must not be below it.
    above: bool,
    status: Status,
}

/// Every standing number that a rule of the standard compares with a limit.
pub fn readings(source: &Source, name: impl Fn(u32) -> String) -> Vec<Reading> {
    let facts = source.record.facts.iter().filter(|f| f.state != State::Rejected);
    facts.filter_map(|fact| reading(source, fact, &name)).collect()
}

fn reading(source: &Source, fact: &Fact, name: impl Fn(u32) -> String) -> Option<Reading> {
    let value = fact.value.as_number()?;
    let bounds = bounds(source, &fact.key());
    let names = &source.catalogue.names;
    let unit = fact.unit.as_deref();
    let told = |b: &Bound| {
        let side = if b.above { "at most" } else { "at least" };
        // A limit that was not looked up says so wherever it stands.
        let status = if b.status == Status::Checked { String::new() } else { format!(" ({})", b.status.name()) };
        format!("{side} {}{status}", names.amount(b.value, unit))
    };
    let limit = bounds.iter().map(told).reduce(|a, b| format!("{a}, {b}"))?;
    let outcome = outcome(value, &bounds);
    let label = format!("{}: {}", names.part(&fact.component), names.attribute(&fact.component, &fact.attribute));
    let shown = clean(&names.value(fact));
    // From nothing to a little beyond the largest number, so that limits of either side have room.
    let top = bounds.iter().map(|b| b.value).fold(value, f64::max).max(f64::MIN_POSITIVE) * 1.15;
    let x = |number: f64| (4.0 + 112.0 * (number / top).clamp(0.0, 1.0)).round();
    Some(Reading {
        place: fact.place.as_deref().map(clean).unwrap_or_else(|| name(fact.item)),
        spoken_scale: format!("{shown}, {outcome}; limit {limit}"),
        beyond: outcome != "within",
        outcome: outcome.to_owned(),
        at: x(value),
        marks: bounds.iter().map(|b| x(b.value)).collect(),
        value: shown,
        label,
        limit,
    })
}

fn outcome(value: f64, bounds: &[Bound]) -> &'static str {
    match bounds.iter().find(|b| if b.above { value > b.value } else { value < b.value }) {
        Some(Bound { above: true, .. }) => "above the limit",
        Some(_) => "below the limit",
        None => "within",
    }
}

/// The limits that the standard's rules compare `key` with by itself: `water-system.static-pressure > limit.pressure`.
///
/// A comparison that holds only together with another fact, such as the clearance of one kind of vent, is left to the
/// finding, which can tell why.
fn bounds(source: &Source, key: &str) -> Vec<Bound> {
    let standard = &source.about.standard;
    let mut bounds = Vec::new();
    for rule in source.rules.under(standard) {
        let Some((side, id)) = comparison(&rule.when, key) else { continue };
        let Some(limit) = source.rules.bound(id, standard) else { continue };
        let bound = Bound { value: limit.value, above: side == ">", status: limit.source.status };
        if !bounds.contains(&bound) {
            bounds.push(bound);
        }
    }
    bounds
}

/// The side and the limit of a condition that is one comparison.
fn comparison<'w>(when: &'w str, key: &str) -> Option<(&'w str, &'w str)> {
    let mut words = when.split_whitespace();
    let (left, side, right) = (words.next()?, words.next()?, words.next()?);
    let id = right.strip_prefix("limit.")?;
    (left == key && matches!(side, ">" | "<") && words.next().is_none()).then_some((side, id))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_at_its_limit_is_within_it() {
        // The limits themselves are allowed: 80 psi is no finding under IRC 2021 P2903.3.1.
        let bounds =
            [(80.0, true), (40.0, false)].map(|(value, above)| Bound { value, above, status: Status::Checked });
        for (value, told) in [(80.0, "within"), (80.1, "above the limit"), (40.0, "within"), (39.9, "below the limit")]
        {
            assert_eq!(outcome(value, &bounds), told, "{value} psi");
        }
    }

    #[test]
    fn only_a_single_comparison_is_a_limit_of_the_reading() {
        assert_eq!(comparison("vent.slope < limit.vent-slope", "vent.slope"), Some(("<", "vent-slope")));
        assert_eq!(comparison("vent.clearance < limit.b && vent.material == \"b-vent\"", "vent.clearance"), None);
        assert_eq!(comparison("vent.slope < limit.vent-slope", "vent.clearance"), None);
    }
}
