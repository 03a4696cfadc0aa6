//! A pressure in the units that gauges show.
use super::quantity::{Pressure, psi};
use super::{Error, Figure, row, within};
use uom::si::pressure::{bar, kilopascal};

/// A gauge pressure in psi, kPa and bar, to be shown.
///
/// 1 psi = 6.894 757 kPa (NIST SP 811: pound, inch and standard gravity), 1 bar = 100 kPa. Holds for 0 to 300 psi,
/// more than any household gauge shows.
pub fn figure(pressure: Pressure) -> Result<Figure, Error> {
    within("pressure", pressure.get::<psi>(), 0.0, 300.0, "psi")?;
    Ok(Figure {
        name: "pressure",
        title: "Pressure in psi, kPa and bar",
        inputs: vec![row("pressure", format!("{:.1} psi", pressure.get::<psi>()))],
        formula: "1 psi = 6.894757 kPa; 1 bar = 100 kPa",
        source: "NIST SP 811".to_owned(),
        results: vec![
            row("pressure", format!("{:.1} psi", pressure.get::<psi>())),
            row("", format!("{:.0} kPa", pressure.get::<kilopascal>())),
            row("", format!("{:.2} bar", pressure.get::<bar>())),
        ],
        notes: vec!["as a gauge shows it, above the pressure of the air".to_owned()],
        caution: None,
    })
}
