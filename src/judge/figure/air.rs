//! Air for a burner, and the rise of its vent.
use super::quantity::{Length, Power, Volume, btu_per_hour, cubic_feet};
use super::{Error, Figure, row, with_unit, within};
use uom::si::length::{foot, inch};

/// Cubic feet of room for each 1,000 Btu/h of all the burners in it: IRC 2021 G2407.5.1, the standard method.
pub const ROOM_PER_1000_BTUH: f64 = 50.0;

/// Least rise of a vent connector in inches a foot: IRC 2021 G2427.10.8, from memory.
pub const VENT_RISE_MIN: f64 = 0.25;

/// The room that burners need to draw their air from it.
///
/// 50 ft³ for each 1,000 Btu/h of all of them. Holds for 1,000 to 1,000,000 Btu/h together, and for houses not
/// known to be tighter than 0.40 air changes an hour.
pub fn room_needed(burners: &[Power]) -> Result<Volume, Error> {
    let input: f64 = burners.iter().map(|b| b.get::<btu_per_hour>()).sum();
    within("input of all burners", input, 1_000.0, 1_000_000.0, "Btu/h")?;
    Ok(Volume::new::<cubic_feet>(ROOM_PER_1000_BTUH * input / 1_000.0))
}

/// The computation of room for combustion air, to be shown; `room` is compared with it if given.
pub fn combustion(burners: &[Power], room: Option<Volume>) -> Result<Figure, Error> {
    let needed = room_needed(burners)?;
    let cubic = |v: Volume| with_unit(v.get::<cubic_feet>(), "ft³");
    let mut inputs: Vec<_> =
        burners.iter().map(|b| row("burner", with_unit(b.get::<btu_per_hour>(), "Btu/h"))).collect();
    let mut results = vec![row("room needed", cubic(needed))];
    if let Some(room) = room {
        within("room", room.get::<cubic_feet>(), 1.0, 1e6, "ft³")?;
        inputs.push(row("room", cubic(room)));
        // A thousandth of a cubic foot is less than any tape measures.
        let enough = room.get::<cubic_feet>() >= needed.get::<cubic_feet>() - 1e-3;
        let verdict = if enough { "enough by the standard method" } else { "too small alone: openings are needed" };
        results.push(row("this room is", verdict));
    }
    Ok(Figure {
        name: "combustion-air",
        title: "Room for combustion air",
        inputs,
        formula: "room = 50 ft³ × Btu/h of all burners in it / 1,000",
        source: "IRC 2021 G2407.5.1 (standard method; seen in a state edition)".to_owned(),
        results,
        notes: vec![
            "rooms joined by open doorways count; direct-vent appliances do not".to_owned(),
            "not for houses known to change less than 0.40 of their air an hour".to_owned(),
        ],
        caution: Some("carbon-monoxide"),
    })
}

/// The rise of a vent in inches for each foot of its run; below zero it falls.
///
/// Holds for runs of 0.5 to 100 ft and up to 12 in/ft either way.
pub fn vent_rise(rise: Length, run: Length) -> Result<f64, Error> {
    within("run", run.get::<foot>(), 0.5, 100.0, "ft")?;
    let slope = rise.get::<inch>() / run.get::<foot>();
    within("rise", slope, -12.0, 12.0, "in/ft")?;
    Ok(slope)
}

/// The computation of a vent's rise, to be shown.
pub fn vent(rise: Length, run: Length) -> Result<Figure, Error> {
    let slope = vent_rise(rise, run)?;
    Ok(Figure {
        inputs: vec![row("rise", with_unit(rise.get::<inch>(), "in")), row("run", with_unit(run.get::<foot>(), "ft"))],
        ..vent_of_slope(slope)
    })
}

/// The same from a slope as spoken.
pub fn vent_of_slope(slope: f64) -> Figure {
    let verdict = if slope < VENT_RISE_MIN { "below the least rise" } else { "not below the least rise" };
    Figure {
        name: "vent-rise",
        title: "Rise of the vent over its run",
        inputs: vec![row("slope", with_unit(slope, "in/ft"))],
        formula: "slope = rise in inches / run in feet, against 1/4 in/ft",
        source: "IRC 2021 G2427.10.8 (from memory)".to_owned(),
        results: vec![row("slope", with_unit(slope, "in/ft")), row("it is", verdict)],
        notes: Vec::new(),
        caution: Some("carbon-monoxide"),
    }
}

#[cfg(test)]
mod tests;
