use super::*;

/// `°F, MPa, iapws, CoolProp` (both IAPWS-95), made by tests/tables/water.py with the PyPI packages iapws and CoolProp.
const TABLE: &str = include_str!("../../../../tests/tables/water.tsv");

#[test]
fn density_is_within_a_fiftieth_of_a_percent_of_iapws_and_coolprop() {
    let mut rows = 0;
    for line in TABLE.lines().filter(|line| !line.starts_with('#')) {
        let row: Vec<f64> = line.split('\t').map(|cell| cell.parse().unwrap()).collect();
        let water = ThermodynamicTemperature::new::<degree_fahrenheit>(row[0]);
        let got = density(water, Pressure::new::<megapascal>(row[1])).unwrap();
        for (name, expected) in [("iapws", row[2]), ("CoolProp", row[3])] {
            assert!((got / expected - 1.0).abs() < 2e-4, "{} °F: {got}, {name} says {expected}", row[0]);
        }
        rows += 1;
    }
    assert_eq!(rows, 111, "three pressures of 37 temperatures");
}

#[test]
fn expansion_from_any_to_any_temperature_is_within_a_fiftieth_of_a_percent_of_iapws() {
    let at_atmosphere = TABLE.lines().filter(|line| line.contains("\t0.101325\t"));
    let rows: Vec<Vec<f64>> =
        at_atmosphere.map(|line| line.split('\t').map(|cell| cell.parse().unwrap()).collect()).collect();
    let at = |f: f64| density_at_atmosphere(ThermodynamicTemperature::new::<degree_fahrenheit>(f)).unwrap();
    for (cold, hot) in rows.iter().flat_map(|cold| rows.iter().map(move |hot| (cold, hot))) {
        // Expected: what IAPWS-95 says a volume grows by, here to a fiftieth of a percent of the growth itself,
        // and to a tenth of a millionth of the volume where it hardly grows.
        let expected = cold[2] / hot[2] - 1.0;
        let got = at(cold[0]) / at(hot[0]) - 1.0;
        let slack = 2e-4 * expected.abs() + 1e-7;
        assert!((got - expected).abs() < slack, "{} to {} °F: {got}, expected {expected}", cold[0], hot[0]);
    }
}

#[test]
fn density_at_sixty_celsius_is_the_published_one() {
    // 983.20 kg/m³ at 60 °C and the pressure of the air: NIST, from memory; within a fiftieth of a percent.
    let got = density_at_atmosphere(ThermodynamicTemperature::new::<kelvin>(333.15)).unwrap();
    assert!((got / 983.20 - 1.0).abs() < 2e-4, "{got}");
}

#[test]
fn steam_and_ice_are_refused_with_the_range() {
    for fahrenheit in [20.0, 250.0, f64::NAN] {
        let water = ThermodynamicTemperature::new::<degree_fahrenheit>(fahrenheit);
        let error = density_at_atmosphere(water).unwrap_err().to_string();
        assert!(error.contains("32 to 210 °F"), "{error}");
    }
}
