//! How much a tank's water grows when heated, and the smallest expansion tank that takes it up.
use super::quantity::{Length, Pressure, ThermodynamicTemperature, Volume, psi, us_gallon};
use super::{Error, Figure, row, water, with_unit, within};
use uom::si::{
    length::{foot, meter},
    pressure::pascal,
    thermodynamic_temperature::degree_fahrenheit,
    volume::liter,
};

/// A heater, its water, and the pressures (as a gauge shows them) of the system it hangs on.
#[derive(Debug, Clone, Copy)]
pub struct System {
    pub volume: Volume,
    pub cold: ThermodynamicTemperature,
    pub hot: ThermodynamicTemperature,
    pub precharge: Pressure,
    pub supply: Pressure,
    /// The pressure that must not be passed: the code's limit, or the relief valve's setting.
    pub most: Pressure,
    pub elevation: Length,
}

/// How much a volume of water grows between two temperatures.
///
/// growth = volume × (ρ cold / ρ hot − 1), density by IAPWS (`water::density`). Holds for 32 to 210 °F and
/// 1 to 500 gal, the hot water not colder than the cold.
pub fn growth(volume: Volume, cold: ThermodynamicTemperature, hot: ThermodynamicTemperature) -> Result<Volume, Error> {
    within("tank volume", volume.get::<us_gallon>(), 1.0, 500.0, "gal")?;
    if hot < cold {
        let what = "the hot water is colder than the cold".to_owned();
        return Err(Error::Input { what, expected: "give the cold supply first and the stored water second" });
    }
    // Water is densest at 39 °F; from colder than that it first shrinks, and no tank is needed for it.
    let ratio = water::density_at_atmosphere(cold)? / water::density_at_atmosphere(hot)?;
    Ok(volume * (ratio - 1.0).max(0.0))
}

/// The pressure of the air at a height above the sea.
///
/// p = 101 325 Pa × (1 − 2.25577e-5 h)^5.25588, h in metres: the U.S. Standard Atmosphere 1976 (constants from
/// memory). Holds for −1,000 to 20,000 ft.
pub fn atmosphere(elevation: Length) -> Result<Pressure, Error> {
    within("elevation", elevation.get::<foot>(), -1000.0, 20_000.0, "ft")?;
    let ratio = (1.0 - 2.25577e-5 * elevation.get::<meter>()).powf(5.25588);
    Ok(Pressure::new::<pascal>(water::ATMOSPHERE * ratio))
}

/// The share of an expansion tank that can take up water; 0 when none can.
///
/// Boyle's law on its air, absolute pressures: AF = p_pre × (1 / max(p_pre, p_supply) − 1 / p_max).
/// Holds for gauge pressures up to 200 psi.
pub fn acceptance(system: &System) -> Result<f64, Error> {
    for (what, pressure) in [("pre-charge", system.precharge), ("supply pressure", system.supply)] {
        within(what, pressure.get::<psi>(), 0.0, 200.0, "psi")?;
    }
    within("highest pressure", system.most.get::<psi>(), 1.0, 200.0, "psi")?;
    let air = atmosphere(system.elevation)?;
    let [precharge, supply, most] = [system.precharge, system.supply, system.most].map(|p| (p + air).get::<pascal>());
    Ok((precharge * (1.0 / precharge.max(supply) - 1.0 / most)).max(0.0))
}

/// The smallest expansion tank: growth over acceptance; none when the tank could take up nothing.
pub fn smallest_tank(system: &System) -> Result<Option<Volume>, Error> {
    let grown = growth(system.volume, system.cold, system.hot)?;
    let share = acceptance(system)?;
    // A factor this small is the rounding of zero.
    Ok((share > 1e-9).then(|| grown / share))
}

/// The whole computation, to be shown.
pub fn figure(system: &System) -> Result<Figure, Error> {
    let grown = growth(system.volume, system.cold, system.hot)?;
    let tank = smallest_tank(system)?;
    let mut notes = vec![
        "the tank's own label must also accept at least the growth".to_owned(),
        "the growth of the steel tank itself, about 0.2 %, is left out: the safe side".to_owned(),
    ];
    if system.precharge < system.supply {
        notes.push("a pre-charge below the supply pressure leaves the tank part full of water when cold".to_owned());
    }
    let smallest = match tank {
        Some(volume) => gallons(volume),
        None => "no tank works: lower the supply pressure or the pre-charge first".to_owned(),
    };
    Ok(Figure {
        name: "expansion",
        title: "Growth of the heated water, and the smallest expansion tank",
        inputs: inputs(system),
        formula: "growth = volume × (ρ cold / ρ hot − 1); tank = growth / AF; AF = p_pre × (1 / max(p_pre, p_supply) − 1 / p_max), absolute",
        source: "density of water by IAPWS SR7-09 (2011); Boyle's law".to_owned(),
        results: vec![
            row("growth", gallons(grown)),
            row("acceptance factor", format!("{:.4}", acceptance(system)?)),
            row("smallest tank", smallest),
        ],
        notes,
        caution: Some("relief-valve"),
    })
}

fn inputs(system: &System) -> Vec<(String, String)> {
    let fahrenheit = |t: ThermodynamicTemperature| with_unit(t.get::<degree_fahrenheit>(), "°F");
    vec![
        row("volume", gallons(system.volume)),
        row("cold water", fahrenheit(system.cold)),
        row("hot water", fahrenheit(system.hot)),
        row("pre-charge", with_unit(system.precharge.get::<psi>(), "psi")),
        row("supply pressure", with_unit(system.supply.get::<psi>(), "psi")),
        row("highest pressure", with_unit(system.most.get::<psi>(), "psi")),
        row("elevation", with_unit(system.elevation.get::<foot>(), "ft")),
    ]
}

fn gallons(volume: Volume) -> String {
    format!("{} ({})", with_unit(volume.get::<us_gallon>(), "gal"), with_unit(volume.get::<liter>(), "L"))
}

#[cfg(test)]
mod tests;
