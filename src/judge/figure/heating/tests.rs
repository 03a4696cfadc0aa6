use super::*;
use uom::si::power::watt;

fn gallons(watts: f64, degrees: f64) -> f64 {
    recovery(Power::new::<watt>(watts), 1.0, TemperatureInterval::new::<degree_fahrenheit>(degrees)).unwrap()
}

#[test]
fn recovery_of_electric_elements_is_that_of_the_trade() {
    // Watts × 3.412 / (8.33 × rise), by hand, to a tenth; the row of 4,500 W is in published charts too.
    let rises = [60.0, 70.0, 80.0, 90.0, 100.0];
    let table = [
        (4500.0, [30.7, 26.3, 23.0, 20.5, 18.4]),
        (5500.0, [37.5, 32.2, 28.2, 25.0, 22.5]),
        (3800.0, [25.9, 22.2, 19.5, 17.3, 15.6]),
    ];
    for (watts, row) in table {
        for (rise, expected) in rises.into_iter().zip(row) {
            let got = gallons(watts, rise);
            assert!((got - expected).abs() <= 0.0501, "{watts} W, {rise} °F: {got}, expected {expected}");
        }
    }
}

#[test]
fn a_misprint_of_published_charts_is_not_repeated() {
    // One chart gives 26.6 for 5,000 W and 80 °F; the arithmetic gives 25.6.
    assert!((gallons(5000.0, 80.0) - 25.6).abs() < 0.05);
}

#[test]
fn a_gas_burner_recovers_by_its_efficiency() {
    // 40,000 × 0.76 / (8.33 × 90) = 40.5, by hand.
    let rise = TemperatureInterval::new::<degree_fahrenheit>(90.0);
    let got = recovery(Power::new::<btu_per_hour>(40_000.0), 0.76, rise).unwrap();
    assert!((got - 40.5).abs() < 0.06, "{got}");
}

#[test]
fn the_first_hour_adds_seven_tenths_of_the_tank() {
    // 20.5 + 0.70 × 50 = 55.5, given as 55 in the trade.
    let got = first_hour(gallons(4500.0, 90.0), Volume::new::<us_gallon>(50.0)).unwrap();
    assert!((got - 55.5).abs() < 0.1, "{got}");
}

#[test]
fn an_efficiency_in_percent_is_refused_with_the_range() {
    let rise = TemperatureInterval::new::<degree_fahrenheit>(90.0);
    let error = recovery(Power::new::<btu_per_hour>(40_000.0), 76.0, rise).unwrap_err().to_string();
    assert!(error.contains("0.3 to 1"), "{error}");
}
