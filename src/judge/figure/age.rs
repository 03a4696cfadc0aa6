//! Age of a heater, and the share of its expected life that is behind it.
use super::{Error, Figure, row, with_unit, within};

/// Whole years since the year of manufacture.
///
/// Only the year is known, so the age may be one less before that month. Holds for heaters of 1950 and later.
pub fn age(made: i16, this_year: i16) -> Result<u16, Error> {
    within("year of manufacture", f64::from(made), 1950.0, f64::from(this_year), "")?;
    Ok(this_year.abs_diff(made))
}

/// The age, and its share of an expected life in years where one is known, to be shown; with that life comes its source.
pub fn figure(made: i16, this_year: i16, life: Option<(f64, &str)>) -> Result<Figure, Error> {
    let age = f64::from(age(made, this_year)?);
    let mut inputs = vec![row("made in", made.to_string()), row("this year", this_year.to_string())];
    let mut results = vec![row("age", with_unit(age, "years"))];
    if let Some((years, _)) = life {
        within("expected life", years, 1.0, 100.0, "years")?;
        inputs.push(row("expected life", with_unit(years, "years")));
        results.push(row("share of the expected life", format!("{:.0} %", 100.0 * age / years)));
    }
    Ok(Figure {
        name: "age",
        title: "Age, and share of the expected life",
        inputs,
        formula: "age = this year − year made; share = age / expected life",
        source: life.map_or("a subtraction", |(_, source)| source).to_owned(),
        results,
        notes: vec!["age alone is no defect".to_owned()],
        caution: None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_heater_of_2011_is_fifteen_in_2026() {
        // 2026 - 2011, by hand.
        assert_eq!(age(2011, 2026), Ok(15));
        assert_eq!(figure(2011, 2026, Some((12.0, "common practice"))).unwrap().results[1].1, "125 %");
    }

    #[test]
    fn a_year_still_to_come_is_refused_with_the_range() {
        let error = age(2030, 2026).unwrap_err().to_string();
        assert!(error.contains("1950 to 2026"), "{error}");
    }
}
