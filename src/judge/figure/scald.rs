//! Time to a burn at a water temperature, from published tables that measure different injuries.
use super::quantity::ThermodynamicTemperature;
use super::{Error, Figure, row, with_unit, within};
use crate::judge::rule::Status;
use serde::Deserialize;
use uom::si::thermodynamic_temperature::degree_fahrenheit;

const TABLE: &str = include_str!("../../../lexicon/scald.csv");

/// One row of a table: at this temperature, this injury, after this time.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Burn {
    pub series: String,
    pub temp_f: f64,
    /// The shorter end, where the table gives two.
    pub seconds: f64,
    /// The longer end.
    pub to: Option<f64>,
    /// How the table means its time: `about`, `less than` or `more than`.
    pub bound: String,
    pub injury: String,
    pub source: String,
    pub status: Status,
}

/// All rows of all tables; a test reads every line of the file.
pub fn table() -> Vec<Burn> {
    csv::Reader::from_reader(TABLE.as_bytes()).into_deserialize().filter_map(Result::ok).collect()
}

/// For each table the row at or next below a temperature: hotter water burns sooner than it says.
///
/// Never averaged, and nothing between the rows: the tables measure different injuries. Holds for 111.2 °F, where the
/// coldest row stands, to 210 °F. Colder water is not thereby safe.
pub fn burns(temperature: ThermodynamicTemperature) -> Result<Vec<Burn>, Error> {
    let fahrenheit = temperature.get::<degree_fahrenheit>();
    within("water temperature", fahrenheit, 111.2, 210.0, "°F")?;
    let mut found: Vec<Burn> = Vec::new();
    for row in table().into_iter().filter(|row| row.temp_f <= fahrenheit + 0.05) {
        match found.iter_mut().find(|old| old.series == row.series) {
            Some(old) if old.temp_f < row.temp_f => *old = row,
            Some(_) => {}
            None => found.push(row),
        }
    }
    Ok(found)
}

/// The tables' times, to be shown.
pub fn figure(temperature: ThermodynamicTemperature) -> Result<Figure, Error> {
    let found = burns(temperature)?;
    let fahrenheit = temperature.get::<degree_fahrenheit>();
    let results = found.iter().map(|burn| row(&burn.series, words(burn, fahrenheit))).collect();
    let sources: Vec<String> = found.iter().map(source).collect();
    Ok(Figure {
        name: "scald",
        title: "Time to a burn",
        inputs: vec![row("water", with_unit(fahrenheit, "°F"))],
        formula: "the row of each table at or next below the temperature; hotter water burns sooner",
        source: sources.join("; "),
        results,
        notes: vec![
            "the tables measure different injuries and are never averaged".to_owned(),
            "children and older people burn faster; no temperature is safe for everyone".to_owned(),
        ],
        caution: Some("scald"),
    })
}

fn words(burn: &Burn, fahrenheit: f64) -> String {
    let memory = if burn.status == Status::Checked { String::new() } else { format!(", {}", burn.status.name()) };
    let row = format!("{}{memory}", with_unit(burn.temp_f, "°F"));
    // Between two rows the time is shorter than the cooler row's, whatever that row's own wording.
    if fahrenheit > burn.temp_f + 0.05 {
        return format!("{} in under {} (row {row})", burn.injury, time(burn.to.unwrap_or(burn.seconds)));
    }
    match burn.to {
        Some(to) => format!("{} in {} to {} (row {row})", burn.injury, time(burn.seconds), time(to)),
        None => format!("{} in {} {} (row {row})", burn.injury, burn.bound, time(burn.seconds)),
    }
}

fn time(seconds: f64) -> String {
    match seconds {
        s if s < 120.0 => with_unit(s, "s"),
        s if s < 7200.0 => with_unit(s / 60.0, "min"),
        s => with_unit(s / 3600.0, "h"),
    }
}

fn source(burn: &Burn) -> String {
    match burn.status {
        Status::Checked => burn.source.clone(),
        status => format!("{} ({})", burn.source, status.name()),
    }
}

#[cfg(test)]
mod tests;
