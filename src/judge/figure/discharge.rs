//! Where the relief valve's discharge pipe may end, by code.
use super::quantity::Length;
use super::{Error, Figure, row, with_unit, within};
use crate::judge::Rules;
use uom::si::length::inch;

/// The heights of the pipe's end against what a standard allows, to be shown.
///
/// Under the IRC the end is also to be two pipe diameters above the floor (from memory); that part needs `size`.
/// Holds for 0 to 120 in.
pub fn figure(gap: Length, size: Option<Length>, rules: &Rules, standard: &str) -> Result<Figure, Error> {
    let height = gap.get::<inch>();
    within("height of the end", height, 0.0, 120.0, "in")?;
    let most = rules.bound("relief-end-max", standard);
    let least = rules.bound("relief-end-min", standard);
    let source = most.map(|bound| bound.source.to_string()).unwrap_or_default();
    let mut inputs = vec![row("height of the end", with_unit(height, "in")), row("standard", standard)];
    let mut results = Vec::new();
    if let Some(bound) = most {
        let verdict = if height > bound.value { "too high" } else { "not too high" };
        results.push(row(&format!("at most {}", with_unit(bound.value, "in")), verdict));
    }
    if let Some(bound) = least {
        let verdict = if height < bound.value { "too low" } else { "not too low" };
        results.push(row(&format!("at least {}", with_unit(bound.value, "in")), verdict));
    }
    if let (Some(size), None) = (size, least) {
        let gap = 2.0 * size.get::<inch>();
        inputs.push(row("pipe size", with_unit(size.get::<inch>(), "in")));
        let verdict = if height < gap { "too low" } else { "not too low" };
        results.push(row(&format!("two diameters, {} (from memory)", with_unit(gap, "in")), verdict));
    }
    Ok(Figure {
        name: "discharge-end",
        title: "Height of the discharge pipe's end",
        inputs,
        formula: "height above floor, ground or receptor, against the limits of the standard",
        source,
        results,
        notes: vec!["codes differ: ask which edition the local authority has adopted".to_owned()],
        caution: Some("scald"),
    })
}

#[cfg(test)]
mod tests;
