use super::*;
use uom::si::temperature_interval as interval;

/// `as typed, unit asked for, value`, made by tests/tables/water.py with the PyPI package Pint 0.25.3.
const PINT: &str = include_str!("../../../../tests/tables/unit.tsv");

/// What was typed, in the unit asked for.
fn converted(typed: &str, unit: &str) -> Result<f64, Error> {
    Ok(match unit {
        "L" => volume(typed)?.get::<liter>(),
        "gal" => volume(typed)?.get::<us_gallon>(),
        "ft3" => volume(typed)?.get::<cubic_feet>(),
        "C" => temperature(typed)?.get::<degree_celsius>(),
        "F" => temperature(typed)?.get::<degree_fahrenheit>(),
        "deltaC" => rise(typed)?.get::<interval::degree_celsius>(),
        "deltaF" => rise(typed)?.get::<interval::degree_fahrenheit>(),
        "kPa" => pressure(typed)?.get::<kilopascal>(),
        "psi" => pressure(typed)?.get::<psi>(),
        "cm" => length(typed)?.get::<centimeter>(),
        "ft" => length(typed)?.get::<foot>(),
        "mm" => length(typed)?.get::<millimeter>(),
        "in" => length(typed)?.get::<inch>(),
        "Btu/h" => power(typed)?.get::<btu_per_hour>(),
        "W" => power(typed)?.get::<watt>(),
        unit => panic!("the table asks for {unit}"),
    })
}

#[test]
fn every_conversion_equals_that_of_pint() {
    let rows: Vec<Vec<&str>> =
        PINT.lines().filter(|line| !line.starts_with('#')).map(|line| line.split('\t').collect()).collect();
    assert_eq!(rows.len(), 20, "the table has twenty conversions");
    for row in rows {
        let expected: f64 = row[2].parse().unwrap();
        let got = converted(row[0], row[1]).unwrap();
        assert!((got / expected - 1.0).abs() < 1e-9, "{} is {got} {}, pint says {expected}", row[0], row[1]);
    }
}

#[test]
fn a_wrong_unit_names_the_ones_that_were_expected() {
    let error = pressure("50gal").unwrap_err().to_string();
    assert!(error.contains("pressure") && error.contains("psi, kPa, bar") && error.contains("60psi"), "{error}");
}

#[test]
fn a_number_without_a_unit_is_refused() {
    assert!(volume("50").is_err());
    assert!(volume("gal").is_err());
}

#[test]
fn a_negative_volume_is_refused_with_an_example() {
    let error = volume("-5gal").unwrap_err().to_string();
    assert!(error.contains("never negative") && error.contains("50gal"), "{error}");
}

#[test]
fn a_number_as_long_as_it_likes_is_never_taken_for_another() {
    assert!(volume("1e9gal").is_err(), "an exponent is no household figure");
    assert!(volume("1.2.3gal").is_err());
    assert_eq!(power("40,000 Btu/h").unwrap(), power("40000btu/h").unwrap());
}
