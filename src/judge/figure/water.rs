//! Density of water by IAPWS-IF97, region 1.
use super::quantity::{Pressure, ThermodynamicTemperature};
use super::{Error, Figure, row, with_unit, within};
use uom::si::{
    pressure::{megapascal, pascal},
    thermodynamic_temperature::{degree_fahrenheit, kelvin},
};

/// Exponents and coefficients of the dimensionless Gibbs energy in region 1: I, J and n of table 2 of
/// IAPWS R7-97(2012), "Release on the IAPWS Industrial Formulation 1997". Terms with I = 0 do not bear on the volume.
const GIBBS: [(i32, i32, f64); 26] = [
    (1, -9, 0.28319080123804e-3),
    (1, -7, -0.60706301565874e-3),
    (1, -1, -0.18990068218419e-1),
    (1, 0, -0.32529748770505e-1),
    (1, 1, -0.21841717175414e-1),
    (1, 3, -0.52838357969930e-4),
    (2, -3, -0.47184321073267e-3),
    (2, 0, -0.30001780793026e-3),
    (2, 1, 0.47661393906987e-4),
    (2, 3, -0.44141845330846e-5),
    (2, 17, -0.72694996297594e-15),
    (3, -4, -0.31679644845054e-4),
    (3, 0, -0.28270797985312e-5),
    (3, 6, -0.85205128120103e-9),
    (4, -5, -0.22425281908000e-5),
    (4, -2, -0.65171222895601e-6),
    (4, 10, -0.14341729937924e-12),
    (5, -8, -0.40516996860117e-6),
    (8, -11, -0.12734301741641e-8),
    (8, -6, -0.17424871230634e-9),
    (21, -29, -0.68762131295531e-18),
    (23, -31, 0.14478307828521e-19),
    (29, -38, 0.26335781662795e-22),
    (30, -39, -0.11947622640071e-22),
    (31, -40, 0.18228094581404e-23),
    (32, -41, -0.93537087262458e-25),
];

/// The standard atmosphere.
pub const ATMOSPHERE: f64 = 101_325.0;

/// The density of liquid water in kg/m³, at an absolute pressure.
///
/// v = (RT/p) · π · ∂γ/∂π with π = p/16.53 MPa, τ = 1386 K/T and R = 461.526 J/(kg K).
/// Source: IAPWS R7-97(2012), equation 7. Taken for 32 to 210 °F and up to 10 MPa, where water is liquid at
/// the pressure of the air.
pub fn density(temperature: ThermodynamicTemperature, pressure: Pressure) -> Result<f64, Error> {
    within("water temperature", temperature.get::<degree_fahrenheit>(), 32.0, 210.0, "°F")?;
    within("pressure", pressure.get::<megapascal>(), 0.1, 10.0, "MPa (absolute)")?;
    let kelvins = temperature.get::<kelvin>();
    let pi = pressure.get::<megapascal>() / 16.53;
    let tau = 1386.0 / kelvins;
    let term = |&(i, j, n): &(i32, i32, f64)| -n * f64::from(i) * (7.1 - pi).powi(i - 1) * (tau - 1.222).powi(j);
    let slope: f64 = GIBBS.iter().map(term).sum();
    Ok(pressure.get::<pascal>() / (461.526 * kelvins * pi * slope))
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
        formula: "ρ = p / (R · T · π · ∂γ/∂π), region 1",
        source: "IAPWS-IF97 (R7-97, 2012), equation 7".to_owned(),
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
