//! Density of liquid water near the pressure of the air, by IAPWS.
use super::quantity::{Pressure, ThermodynamicTemperature};
use super::{Error, Figure, row, with_unit, within};
use uom::si::{
    pressure::{megapascal, pascal},
    thermodynamic_temperature::{degree_fahrenheit, kelvin},
};

/// Exponents and coefficients of the volume's fit: powers of 10 K / (593 K − T), then of 10 K / (T − 232 K).
///
/// Table 1 of IAPWS SR7-09(2011), "Revised Supplementary Release on Properties of Liquid Water at 0.1 MPa".
const VOLUME_HOT: [(i32, f64); 5] =
    [(4, 6.74458446e3), (5, -2.22521604e5), (7, 1.00231247e8), (8, -1.63552118e9), (9, 8.32299658e9)];
const VOLUME_COLD: [(i32, f64); 6] = [
    (1, 5.78545292e-3),
    (2, -1.53195665e-2),
    (3, 3.11337859e-2),
    (4, -4.23546241e-2),
    (5, 3.38713507e-2),
    (6, -1.19946761e-2),
];

/// The same for the volume's change with pressure.
const SLOPE_HOT: [(i32, f64); 5] =
    [(1, -7.5245878e-6), (3, -1.3767418e-2), (5, 1.0627293e1), (6, -2.0457795e2), (7, 1.2037414e3)];
const SLOPE_COLD: [(i32, f64); 7] = [
    (1, -3.1091470e-6),
    (3, 2.8964919e-5),
    (4, -1.3112763e-4),
    (5, 3.0410453e-4),
    (6, -3.9034594e-4),
    (7, 2.3403117e-4),
    (9, -4.8510101e-5),
];

/// The standard atmosphere.
pub const ATMOSPHERE: f64 = 101_325.0;

/// The density of liquid water in kg/m³, at an absolute pressure.
///
/// v = v₀(T) + v₁(T) · (p − 0.1 MPa), both sums of powers of 10 K / (593 K − T) and 10 K / (T − 232 K), with the gas
/// constant 461.518 05 J/(kg K). Source: IAPWS SR7-09(2011), a fit to IAPWS-95 within a millionth. Taken for 32 to
/// 210 °F and 0.1 to 0.3 MPa, where it holds and water is liquid.
pub fn density(temperature: ThermodynamicTemperature, pressure: Pressure) -> Result<f64, Error> {
    within("water temperature", temperature.get::<degree_fahrenheit>(), 32.0, 210.0, "°F")?;
    within("pressure", pressure.get::<megapascal>(), 0.1, 0.3, "MPa (absolute)")?;
    let kelvins = temperature.get::<kelvin>();
    let (hot, cold) = (10.0 / (593.0 - kelvins), 10.0 / (kelvins - 232.0));
    let sum = |terms: &[(i32, f64)], base: f64| terms.iter().map(|(power, n)| n * base.powi(*power)).sum::<f64>();
    // R · 10 K / 0.1 MPa, in m³/kg.
    let scale = 461.518_05 * 10.0 / 1e5;
    let volume = scale * (1.93763157e-2 + sum(&VOLUME_HOT, hot) + sum(&VOLUME_COLD, cold));
    let slope = scale * (sum(&SLOPE_HOT, hot) + sum(&SLOPE_COLD, cold));
    let excess = pressure.get::<pascal>() / 1e5 - 1.0;
    Ok(1.0 / (volume + slope * excess))
}

/// The density at the pressure of the air, which is what expansion is counted with.
///
/// Sixty psi more raise it by about 0.02 %, hot and cold alike.
pub fn density_at_atmosphere(temperature: ThermodynamicTemperature) -> Result<f64, Error> {
    density(temperature, Pressure::new::<pascal>(ATMOSPHERE))
}

/// The density and what a gallon weighs, to be shown.
pub fn figure(temperature: ThermodynamicTemperature) -> Result<Figure, Error> {
    // A gallon is 231 in³, a pound 0.453 592 37 kg, both by definition.
    const GALLON_TO_POUNDS: f64 = 3.785_411_784e-3 / 0.453_592_37;
    let density = density_at_atmosphere(temperature)?;
    Ok(Figure {
        name: "density",
        title: "Density of water at the pressure of the air",
        inputs: vec![row("water", with_unit(temperature.get::<degree_fahrenheit>(), "°F"))],
        formula: "ρ = 1 / (v₀(T) + v₁(T) · (p − 0.1 MPa))",
        source: "IAPWS SR7-09 (2011), liquid water at 0.1 MPa".to_owned(),
        results: vec![
            row("density", format!("{density:.2} kg/m³")),
            row("a gallon weighs", format!("{:.4} lb", density * GALLON_TO_POUNDS)),
        ],
        notes: Vec::new(),
        caution: None,
    })
}

#[cfg(test)]
mod tests;
