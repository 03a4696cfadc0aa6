//! How fast a heater heats.
use super::quantity::{Power, TemperatureInterval, Volume, btu_per_hour, us_gallon};
use super::{Error, Figure, row, with_unit, within};
use uom::si::{power::kilowatt, temperature_interval::degree_fahrenheit};

/// Pounds in a gallon of water as the trade counts, at about 60 °F.
pub const POUNDS_PER_GALLON: f64 = 8.33;

/// The share of a tank that can be drawn before the water turns cool: common practice.
pub const USABLE_SHARE: f64 = 0.70;

/// The gallons that a heater brings up by a rise of temperature in an hour.
///
/// recovery = Btu/h × efficiency / (8.33 × rise in °F). Common practice, from the heat that a pound of water
/// takes: 1 Btu for 1 °F. Holds for 500 W to 60 kW (1,700 to 200,000 Btu/h), a rise of 5 to 160 °F, efficiency 0.3 to 1
/// (heat pumps, which exceed 1, do not heat at a constant rate).
pub fn recovery(power: Power, efficiency: f64, rise: TemperatureInterval) -> Result<f64, Error> {
    let degrees = rise.get::<degree_fahrenheit>();
    within("heating power", power.get::<btu_per_hour>(), 1_700.0, 200_000.0, "Btu/h")?;
    within("efficiency (a share of 1)", efficiency, 0.3, 1.0, "")?;
    within("rise of temperature", degrees, 5.0, 160.0, "°F")?;
    Ok(power.get::<btu_per_hour>() * efficiency / (POUNDS_PER_GALLON * degrees))
}

/// About how many gallons a full tank gives in its first hour: recovery + 0.70 × volume.
///
/// Common practice; the rating on the label is measured by a federal test (10 CFR 430 subpart B appendix E) and wins.
pub fn first_hour(recovery: f64, volume: Volume) -> Result<f64, Error> {
    within("tank volume", volume.get::<us_gallon>(), 1.0, 500.0, "gal")?;
    Ok(recovery + USABLE_SHARE * volume.get::<us_gallon>())
}

/// The whole computation, to be shown.
pub fn figure(power: Power, efficiency: f64, rise: TemperatureInterval, tank: Option<Volume>) -> Result<Figure, Error> {
    let gallons = recovery(power, efficiency, rise)?;
    let mut inputs = vec![
        row("heating power", with_unit(power.get::<btu_per_hour>().round(), "Btu/h")),
        row("", with_unit(power.get::<kilowatt>(), "kW")),
        row("efficiency", super::number(efficiency)),
        row("rise", with_unit(rise.get::<degree_fahrenheit>(), "°F")),
    ];
    let mut results = vec![row("recovery", format!("{gallons:.1} gal/h"))];
    if let Some(volume) = tank {
        inputs.push(row("tank", with_unit(volume.get::<us_gallon>(), "gal")));
        results.push(row("first hour, about", format!("{:.0} gal", first_hour(gallons, volume)?)));
    }
    Ok(Figure {
        name: "recovery",
        title: "How fast the heater heats",
        inputs,
        formula: "recovery = Btu/h × efficiency / (8.33 × rise °F); first hour = recovery + 0.70 × tank; 1 kW = 3412.14 Btu/h",
        source: "common practice, from 1 Btu a pound a °F; 8.33 lb a gallon".to_owned(),
        results,
        notes: vec!["the label's first-hour rating is measured by a federal test (10 CFR 430) and wins".to_owned()],
        caution: None,
    })
}

#[cfg(test)]
mod tests;
