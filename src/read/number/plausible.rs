//! Which values a quantity can have: outside, a number was misheard or misread.
use serde::Deserialize;
use std::collections::HashMap;
use std::sync::OnceLock;

/// How well a value fits what it is said to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Plausibility {
    /// One of the values that the trade makes or meets.
    Usual,
    /// Possible, but of no standard size or out of the common run: worth a question.
    Unusual,
    /// Outside what can be.
    Implausible,
    /// Nothing is known of this quantity.
    Unknown,
}

/// One row of the readings table, as far as it is used here.
#[derive(Debug, Deserialize)]
struct Reading {
    id: String,
    plausible_min: f64,
    plausible_max: f64,
}

const READINGS: &str = include_str!("../../../lexicon/readings.csv");

/// Which row of the readings table bounds which attribute.
const ROWS: &[(&str, &str)] = &[
    ("water-heater.capacity", "wh_capacity"),
    ("water-heater.power", "wh_element_power"),
    ("water-heater.input-rate", "wh_gas_input"),
    ("relief-discharge.end-gap", "wh_tpr_end_above_floor"),
    ("relief-discharge.size", "wh_tpr_pipe_size"),
    ("expansion-tank.precharge", "wh_expansion_precharge"),
    ("water-system.static-pressure", "static_pressure"),
    ("hot-water.temperature", "hot_temp_tub"),
    ("breaker.rating", "wh_breaker"),
    ("vent.slope", "wh_vent_slope"),
    ("vent.clearance", "wh_vent_clearance_single"),
    ("ignition.height", "wh_ignition_height"),
];

/// Bounds that the readings table lacks: common practice, no source.
const OWN: &[(&str, f64, f64)] = &[
    // Rated voltages from a shore-power 100 V to a commercial 480 V.
    ("water-heater.voltage", 100.0, 480.0),
    // Branch circuit conductors for 15 A to 70 A.
    ("cable.gauge", 4.0, 14.0),
    ("water-heater.made-year", 1950.0, 2030.0),
];

/// Values in common use; an empty list has a range instead.
const USUAL: &[(&str, &[f64])] = &[
    // Nominal volumes sold, in gallons (common practice, no source).
    (
        "water-heater.capacity",
        &[
            2.5, 4.0, 6.0, 10.0, 12.0, 15.0, 19.0, 20.0, 28.0, 30.0, 36.0, 38.0, 40.0, 45.0, 47.0, 48.0, 50.0, 52.0,
            55.0, 60.0, 65.0, 66.0, 75.0, 80.0, 85.0, 100.0, 119.0, 120.0,
        ],
    ),
    (
        "water-heater.power",
        &[1500.0, 1650.0, 2000.0, 2500.0, 3000.0, 3500.0, 3800.0, 4000.0, 4500.0, 5000.0, 5500.0, 6000.0],
    ),
    ("water-heater.voltage", &[110.0, 115.0, 120.0, 208.0, 220.0, 230.0, 240.0, 277.0]),
    // NEC 240.6(A), from memory, as far as a water heater needs it.
    ("breaker.rating", &[15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0]),
    ("cable.gauge", &[6.0, 8.0, 10.0, 12.0, 14.0]),
    // Nominal pipe sizes (ASME B36.10, from memory).
    ("relief-discharge.size", &[0.375, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0]),
];

/// Ranges within which nothing is odd (common practice, no source).
const COMMON: &[(&str, f64, f64)] = &[
    ("water-heater.input-rate", 26_000.0, 199_900.0),
    ("relief-discharge.end-gap", 0.0, 36.0),
    ("expansion-tank.precharge", 12.0, 100.0),
    ("water-system.static-pressure", 15.0, 175.0),
    ("hot-water.temperature", 80.0, 165.0),
    ("vent.slope", 0.0, 3.0),
    ("vent.clearance", 0.0, 36.0),
    ("ignition.height", 0.0, 48.0),
    ("water-heater.made-year", 1970.0, 2030.0),
];

fn bounds() -> &'static HashMap<&'static str, (f64, f64)> {
    static BOUNDS: OnceLock<HashMap<&'static str, (f64, f64)>> = OnceLock::new();
    BOUNDS.get_or_init(|| {
        let rows = csv::Reader::from_reader(READINGS.as_bytes()).into_deserialize::<Reading>().filter_map(Result::ok);
        let readings: HashMap<String, (f64, f64)> = rows.map(|r| (r.id, (r.plausible_min, r.plausible_max))).collect();
        let listed = ROWS.iter().filter_map(|(key, id)| Some((*key, *readings.get(*id)?)));
        listed.chain(OWN.iter().map(|(key, low, high)| (*key, (*low, *high)))).collect()
    })
}

/// Judges the value of `component.attribute`, in the catalogue's unit.
pub fn plausible(key: &str, value: f64) -> Plausibility {
    let Some(&(low, high)) = bounds().get(key) else { return Plausibility::Unknown };
    if !(low..=high).contains(&value) {
        return Plausibility::Implausible;
    }
    let listed = USUAL.iter().find(|(k, _)| *k == key).map(|(_, values)| near_any(value, values));
    let common = COMMON.iter().find(|(k, ..)| *k == key).map(|(_, low, high)| (*low..=*high).contains(&value));
    match listed.or(common) {
        Some(false) => Plausibility::Unusual,
        _ => Plausibility::Usual,
    }
}

/// The number that this one is most easily misheard as: thirteen and thirty, one fifteen and one fifty, forty thousand and fourteen thousand.
pub fn twin(value: f64) -> Option<f64> {
    if value.fract() != 0.0 || value < 13.0 {
        return None;
    }
    if value % 1000.0 == 0.0 && value < 100_000.0 {
        return twin(value / 1000.0).map(|t| t * 1000.0);
    }
    let last = value % 100.0;
    let other = match last as u32 {
        13..=19 => (last - 10.0) * 10.0,
        30 | 40 | 50 | 60 | 70 | 80 | 90 => last / 10.0 + 10.0,
        _ => return None,
    };
    (value < 1000.0).then_some(value - last + other)
}

/// Within two percent: litres and kilowatts convert to near a nominal size, not onto it.
fn near_any(value: f64, values: &[f64]) -> bool {
    values.iter().any(|v| (value - v).abs() <= 0.02 * v)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn teens_and_tens_are_twins() {
        // The pairs that sound alike, by ear.
        for (one, other) in [(15.0, 50.0), (13.0, 30.0), (118.0, 180.0), (40_000.0, 14_000.0)] {
            assert_eq!((twin(one), twin(other)), (Some(other), Some(one)));
        }
        assert_eq!((twin(20.0), twin(12.0), twin(2015.0), twin(0.75)), (None, None, None, None));
    }

    #[test]
    fn every_mapped_row_is_in_the_readings_table() {
        assert_eq!(bounds().len(), ROWS.len() + OWN.len());
    }

    #[test]
    fn every_number_of_the_catalogue_has_bounds() {
        let catalogue = crate::lexicon::Catalogue::shipped();
        for row in catalogue
            .rows
            .iter()
            .filter(|r| matches!(r.kind, crate::lexicon::Kind::Number | crate::lexicon::Kind::Year))
        {
            assert_ne!(plausible(&row.key(), 0.1), Plausibility::Unknown, "{}", row.key());
        }
    }

    #[test]
    fn values_are_judged_by_the_readings_table() {
        // readings.csv: wh_capacity 2 to 120 gal, wh_breaker 10 to 100 A, static_pressure 0 to 250 psi.
        assert_eq!(plausible("water-heater.capacity", 50.0), Plausibility::Usual);
        assert_eq!(plausible("water-heater.capacity", 43.0), Plausibility::Unusual);
        assert_eq!(plausible("water-heater.capacity", 400.0), Plausibility::Implausible);
        assert_eq!(plausible("breaker.rating", 13.0), Plausibility::Unusual);
        assert_eq!(plausible("water-system.static-pressure", 680.0), Plausibility::Implausible);
        assert_eq!(plausible("water-heater.brand", 1.0), Plausibility::Unknown);
    }
}
