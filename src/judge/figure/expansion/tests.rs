use super::*;
use proptest::prelude::*;

/// Nine worked examples; their header tells where they are from.
const EXAMPLES: &str = include_str!("../../../../tests/tables/expansion.csv");

fn system(gallons: f64, cold: f64, hot: f64, [precharge, supply, most]: [f64; 3], feet: f64) -> System {
    System {
        volume: Volume::new::<us_gallon>(gallons),
        cold: ThermodynamicTemperature::new::<degree_fahrenheit>(cold),
        hot: ThermodynamicTemperature::new::<degree_fahrenheit>(hot),
        precharge: Pressure::new::<psi>(precharge),
        supply: Pressure::new::<psi>(supply),
        most: Pressure::new::<psi>(most),
        elevation: Length::new::<foot>(feet),
    }
}

/// Within half a percent.
fn near(got: f64, expected: f64) -> bool {
    (got - expected).abs() <= 0.005 * expected.abs() + 1e-9
}

#[test]
fn the_nine_worked_examples_come_out_within_half_a_percent() {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(EXAMPLES.as_bytes());
    let mut count = 0;
    for row in reader.records().map(Result::unwrap) {
        let number = |at: usize| row[at].parse::<f64>().unwrap();
        // The sixth is at 5,000 ft, where the table has 12.228 psi.
        let feet = if number(11) < 14.0 { 5000.0 } else { 0.0 };
        let system = system(number(1), number(2), number(3), [number(8), number(9), number(10)], feet);
        assert!(near(atmosphere(system.elevation).unwrap().get::<psi>(), number(11)), "{}: atmosphere", &row[0]);
        let grown = growth(system.volume, system.cold, system.hot).unwrap().get::<us_gallon>();
        assert!(near(grown, number(7)), "{}: grows by {grown}", &row[0]);
        let factor = acceptance(&system).unwrap();
        assert!(near(factor, number(12)), "{}: acceptance {factor}", &row[0]);
        let tank = smallest_tank(&system).unwrap().map(|tank| tank.get::<us_gallon>());
        match row[13].parse::<f64>() {
            Ok(expected) => assert!(near(tank.unwrap(), expected), "{}: tank {tank:?}", &row[0]),
            Err(_) => assert_eq!(tank, None, "{}: {}", &row[0], &row[13]),
        }
        count += 1;
    }
    assert_eq!(count, 9);
}

#[test]
fn a_supply_at_the_limit_is_told_to_come_down_first() {
    let figure = figure(&system(50.0, 40.0, 140.0, [80.0, 80.0, 80.0], 0.0)).unwrap();
    assert!(figure.summary().contains("no tank works"), "{}", figure.summary());
}

#[test]
fn hot_water_colder_than_the_cold_is_refused() {
    assert!(smallest_tank(&system(50.0, 140.0, 40.0, [60.0, 60.0, 80.0], 0.0)).is_err());
}

#[test]
fn pressures_volumes_and_heights_beyond_the_formula_are_refused_with_the_range() {
    let refused = [
        (system(50.0, 40.0, 140.0, [900.0, 60.0, 80.0], 0.0), "0 to 200 psi"),
        (system(50.0, 40.0, 140.0, [60.0, 60.0, 900.0], 0.0), "1 to 200 psi"),
        (system(5000.0, 40.0, 140.0, [60.0, 60.0, 80.0], 0.0), "1 to 500 gal"),
        (system(50.0, 40.0, 140.0, [60.0, 60.0, 80.0], 90_000.0), "-1000 to 20000 ft"),
    ];
    for (system, range) in refused {
        let error = smallest_tank(&system).unwrap_err().to_string();
        assert!(error.contains(range), "{error}");
    }
}

proptest! {
    /// With the highest pressure fixed and a pre-charge set to the supply, as makers ask.
    #[test]
    fn more_supply_pressure_never_lowers_the_tank(a in 20.0..150.0f64, b in 20.0..150.0f64, most in 60.0..150.0f64, hot in 60.0..200.0f64) {
        let size = |supply: f64| {
            let tank = smallest_tank(&system(50.0, 50.0, hot, [supply, supply, most], 0.0)).unwrap();
            // No tank is large enough: larger than any.
            tank.map_or(f64::INFINITY, |tank| tank.get::<us_gallon>())
        };
        prop_assert!(size(a.min(b)) <= size(a.max(b)) * (1.0 + 1e-12));
    }

    #[test]
    fn more_supply_pressure_on_the_same_precharge_never_lowers_the_tank(a in 20.0..150.0f64, b in 20.0..150.0f64, precharge in 20.0..120.0f64) {
        let size = |supply: f64| {
            let tank = smallest_tank(&system(50.0, 50.0, 140.0, [precharge, supply, 125.0], 0.0)).unwrap();
            tank.map_or(f64::INFINITY, |tank| tank.get::<us_gallon>())
        };
        prop_assert!(size(a.min(b)) <= size(a.max(b)) * (1.0 + 1e-12));
    }

    #[test]
    fn hotter_water_never_needs_a_smaller_tank(a in 50.0..200.0f64, b in 50.0..200.0f64) {
        let size = |hot: f64| smallest_tank(&system(50.0, 50.0, hot, [60.0, 60.0, 80.0], 0.0)).unwrap().unwrap();
        prop_assert!(size(a.min(b)) <= size(a.max(b)));
    }
}
